"""What cleaning and another motor truly make of a virtual house's unit."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from inchwater import units
from inchwater.rehearsal.figures import figure
from inchwater.rehearsal.generate import torque_for
from inchwater.rehearsal.new_work import stream_of
from inchwater.rehearsal.world import Machine, Wheel, World

if TYPE_CHECKING:
    import numpy as np

    from inchwater.survey import BlowerTable, Change

    Rng = np.random.Generator

_RATED = units.to_si(0.5, "inwc")


def clean_wheel(world: World, change: Change) -> World:
    """A wheel that has lost its dirt, but for what no brush reaches."""
    rng = stream_of(world, change, "wheel")
    left = min(world.machine.dirt, 0.004 * float(rng.gamma(2.0)))
    return replace(world, machine=replace(world.machine, dirt=left))


def clean_coil(world: World, change: Change) -> World:
    """A coil that takes about what a clean one does."""
    coil = world.coil
    if coil is None:
        return world
    rng = stream_of(world, change, coil.id)
    dirt = min(coil.dirt, 1.0 + 0.02 * float(rng.gamma(2.0)))
    return replace(world, coil=replace(coil, dirt=dirt))


def motor(world: World, change: Change) -> World:
    """Another motor on the same wheel: as its table says, or as installers usually set it."""
    old = world.machine
    rng = stream_of(world, change, "motor")
    kind = str(change.to["motor"])
    table: BlowerTable | None = change.to.get("table")
    design = figure("coil airflow") * old.capacity
    bare = _bare(rng, old.wheel, kind, design)
    if table is None:
        wanted = {"typical": design * 0.95 * float(rng.lognormal(0.0, 0.12))}
    else:
        wanted = {tap: _at_rated(table, tap) for tap in table.taps}
    settings = {
        tap: flow if kind == "constant-airflow" else torque_for(bare, flow)
        for tap, flow in wanted.items()
    }
    tap = str(change.to.get("tap", next(iter(settings))))
    new: Machine = replace(
        old,
        wheel=replace(bare, settings=settings),
        tap=tap,
        calls=dict.fromkeys(old.calls, tap),
        level=float(1.0 + rng.normal(0.0, 0.036)),
        tilt=float(rng.normal(0.0, 0.03)),
        taps={name: float(1.0 + rng.normal(0.0, 0.014)) for name in settings},
        watts=float(rng.gamma(300.0) / 300.0),
        volts=old.volts if kind == "psc" else 1.0,
    )
    return replace(world, machine=new)


def _bare(rng: Rng, wheel: Wheel, kind: str, design: float) -> Wheel:
    """The wheel with a motor of a kind that has no settings yet."""
    top = float(rng.uniform(1180.0, 1380.0)) * math.pi / 30.0
    efficiency, idle = {"psc": (0.66, 50.0), "constant-torque": (0.76, 12.0)}.get(
        kind, (0.78, 15.0)
    )
    power = 0.0
    if kind == "constant-airflow":
        power = design * 1.06 * 250.0 / 0.36 * float(rng.uniform(0.95, 1.25))
    return replace(
        wheel,
        motor=kind,
        settings={},
        top=top,
        power=power,
        efficiency=efficiency,
        idle=idle,
    )


def _at_rated(table: BlowerTable, tap: str) -> float:
    """What a table prints at 0.5 in. w.c., straight between its cells and at its ends. [m3/s]"""
    import numpy as np

    cells = sorted(
        (row.tesp, row.airflow) for row in table.rows if row.tap == tap and row.airflow is not None
    )
    return float(np.interp(_RATED, [one[0] for one in cells], [one[1] for one in cells]))
