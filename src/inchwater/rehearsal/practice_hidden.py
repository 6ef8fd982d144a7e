"""What the survey of a practice house did not say: told when the round is over.

Kind, part and amount of each; the words are of whoever shows them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from inchwater.rehearsal.practice_figures import practice
from inchwater.rehearsal.practice_house import practice_house, truth, world_after
from inchwater.rehearsal.visits import COOLING
from inchwater.rehearsal.world import Limb, World
from inchwater.survey import Branch, Survey

Kind = Literal[
    "blower",
    "dirt",
    "volts",
    "coil",
    "loading",
    "grade",
    "crush",
    "register",
    "boot",
    "sag",
    "size",
    "forgotten",
    "supply-leak",
    "return-leak",
]


@dataclass(frozen=True, slots=True)
class Hidden:
    """One thing that truly is otherwise.

    ``at`` is the part; ``amount`` a factor [-] for blower, coil, loading, crush, register and boot,
    a share [-] for dirt, volts (off nominal), sag and leaks, the true diameter [m] for size;
    ``word`` the true class of a filter, or the fitting that was forgotten.
    """

    kind: Kind
    at: str
    amount: float = 0.0
    word: str = ""


def hidden(seed: int) -> tuple[Hidden, ...]:
    """Everything worth telling of a practice house as it was found, along the air's way."""
    world = world_after(seed, ())
    survey = practice_house(seed).job.survey
    return (
        *_returns(world, seed),
        *_filters(world, survey),
        *_unit(world),
        *_supply(world, survey),
        *_supply_leak(seed),
    )


def _returns(world: World, seed: int) -> Iterator[Hidden]:
    found = truth(seed, (), COOLING)
    drawn = 1.0 - sum(found.grilles.values()) / found.airflow
    if drawn >= practice("told leak"):
        yield Hidden("return-leak", "return", drawn)
    for back in world.backs:
        if back.pipe.crush >= practice("told crush"):
            yield Hidden("crush", back.id, back.pipe.crush)


def _filters(world: World, survey: Survey) -> Iterator[Hidden]:
    written = {one.id: one.grade for one in survey.filters or ()}
    for one in world.filters:
        if one.loading >= practice("told loading"):
            yield Hidden("loading", one.id, one.loading)
        if written.get(one.id) != one.grade:
            yield Hidden("grade", one.id, word=one.grade)


def _unit(world: World) -> Iterator[Hidden]:
    machine = world.machine
    moved = machine.level * machine.taps.get(machine.tap, 1.0)
    if abs(moved - 1.0) >= practice("told blower"):
        yield Hidden("blower", "unit", moved)
    if machine.dirt >= practice("told dirt"):
        yield Hidden("dirt", "unit", machine.dirt)
    if abs(machine.volts - 1.0) >= practice("told volts"):
        yield Hidden("volts", "unit", machine.volts - 1.0)
    if world.coil is not None and world.coil.dirt >= practice("told coil"):
        yield Hidden("coil", world.coil.id, world.coil.dirt)


def _supply(world: World, survey: Survey) -> Iterator[Hidden]:
    written: dict[str, Branch] = {}
    if survey.supply is not None:
        written = {branch.id: branch for branch, _ in survey.supply.walk()}
    for limb, _ in world.walk():
        yield from _limb(limb, written.get(limb.id))


def _limb(limb: Limb, branch: Branch | None) -> Iterator[Hidden]:
    pipe = limb.pipe
    if pipe.crush >= practice("told crush"):
        yield Hidden("crush", limb.id, pipe.crush)
    if limb.register is not None and limb.register.factor >= practice("told register"):
        yield Hidden("register", limb.id, limb.register.factor)
    boots = [one.factor for one in pipe.fittings if one.key.startswith("boot")]
    if boots and max(boots) >= practice("told boot"):
        yield Hidden("boot", limb.id, max(boots))
    if branch is None:
        return
    duct = branch.duct
    if pipe.compression >= practice("told sag") and duct.slack in (None, "tight"):
        yield Hidden("sag", limb.id, pipe.compression)
    if duct.diameter is not None and pipe.height is None:
        off = abs(duct.diameter.si / pipe.width - 1.0)
        if off >= practice("told size"):
            yield Hidden("size", limb.id, pipe.width)
    if duct.fittings is not None:
        left = [one.key for one in pipe.fittings]
        for key in duct.fittings:
            if key in left:
                left.remove(key)
        for key in left:
            yield Hidden("forgotten", limb.id, word=key)


def _supply_leak(seed: int) -> Iterator[Hidden]:
    found = truth(seed, (), COOLING)
    lost = 1.0 - found.delivered / found.airflow
    if lost >= practice("told leak"):
        yield Hidden("supply-leak", "supply", lost)
