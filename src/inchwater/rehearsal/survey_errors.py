"""What a technician writes of a virtual house: nearly all of it, and some of it wrong.

Lengths within 20 %, sag in one word, one run in twenty of a wrong size, a forgotten fitting, a
filter's class off by one now and then.  Facts are ``seen`` where somebody looked.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Literal

from inchwater import units
from inchwater.rehearsal.blower_true import printed
from inchwater.rehearsal.figures import stream
from inchwater.survey import (
    BlowerTable,
    Branch,
    Bypass,
    Coil,
    Duct,
    Fact,
    Filter,
    Grille,
    HeatKit,
    How,
    Leakage,
    Place,
    Return,
    Room,
    Supply,
    Survey,
    TableRow,
    Transfer,
    Unit,
)

if TYPE_CHECKING:
    import numpy as np

    from inchwater.rehearsal.generate_kind import Kind
    from inchwater.rehearsal.world import Back, Face, Limb, Media, Pipe, Wheel, World

    Rng = np.random.Generator

_SLACK = ("tight", "slack", "draped", "kinked")
# Above these compressions flex is called by the next word.
_SLACK_FROM = (0.0, 0.085, 0.20, 0.31)
_GRADES = ("fiberglass-1in", "pleat-1in-merv8", "pleat-1in-merv11", "pleat-1in-merv13")


def surveyed(world: World, kind: Kind) -> Survey:
    """The survey of a house as found."""
    rng = stream(world.seed, f"survey {world.attempt}")
    unit = _unit(rng, world, kind)
    filters = tuple(_filter(rng, one) for one in world.filters)
    coil = world.coil
    coils: tuple[Coil, ...] = ()
    if coil is not None:
        coils = (Coil(coil.id, coil.inside, _coil_word(rng, coil.dirt)),)
    rooms = tuple(
        Room(one.id, one.name, (Transfer("undercut", _seen(30, "in"), _seen(0.75, "in")),))
        for one in world.chambers
    )
    return Survey(
        unit=unit,
        filters=filters,
        coils=coils,
        returns=tuple(_return(rng, back) for back in world.backs),
        supply=Supply(branches=tuple(_branch(rng, limb) for limb in world.limbs)),
        place=Place(
            altitude=Fact(round(units.from_si(kind.altitude, "ft"), -2), "ft", How.STATED)
            if kind.altitude > 300.0
            else None,
            space=kind.space,
            fuel_appliances=("natural-draft",) if kind.built < 1985 else (),
            built=kind.built,
        ),
        bypasses=tuple(
            Bypass(way.id, way.kind, _duct(rng, way.pipe, fittings=False))  # type: ignore[arg-type]
            for way in world.ways
        ),
        rooms=rooms,
        leakage=_leakage(rng, kind),
    )


def _seen(value: float, unit: str) -> Fact:
    return Fact(float(value), unit, How.SEEN)


# --- unit --------------------------------------------------------------------------------------


def _unit(rng: Rng, world: World, kind: Kind) -> Unit:
    machine = world.machine
    wheel = None
    if rng.random() < 0.5:
        words = ("clean", "dusty", "caked")
        at = 0 if kind.dirt < 0.018 else 1 if kind.dirt < 0.08 else 2
        wheel = words[at] if rng.random() < 0.85 else words[max(at - 1, 0)]
    how = {}
    if rng.random() < 0.15:
        how = {"heating": How.STATED}
    gas = kind.heat_by == "gas"
    return Unit(
        kind=machine.kind,  # type: ignore[arg-type]
        capacity=_seen(kind.tons, "ton"),
        motor=machine.wheel.motor,  # type: ignore[arg-type]
        tesp_rating=_seen(0.5, "inwc"),
        table=table(rng, machine.wheel, machine.includes),
        tap=machine.tap,
        calls=dict(machine.calls),
        nominal_volts=_seen(machine.nominal, "v"),
        wheel=wheel,  # type: ignore[arg-type]
        heat=kind.heat_by,  # type: ignore[arg-type]
        calls_how=how,
        heat_kit=None if gas else HeatKit(power=_seen(kind.heat / 1000.0, "kw")),
        heat_output=_seen(round(units.from_si(kind.heat, "btuh"), -2), "btuh") if gas else None,
    )


def table(rng: Rng, wheel: Wheel, includes: tuple[str, ...]) -> BlowerTable:
    """The maker's table: rounded cells, dashes where a tap does not work, watts, perhaps rpm."""
    step = float(rng.choice([1.0, 5.0, 5.0, 10.0, 25.0]))
    watt_step = float(rng.choice([1.0, 5.0, 5.0, 10.0]))
    last = 10
    turns = rng.random() < 0.4
    rows = []
    for tap in wheel.settings:
        curve = printed(wheel, tap)
        before = math.inf
        for column in range(1, last + 1):
            tesp = units.to_si(column / 10.0, "inwc")
            flow = curve.at(tesp)[0]
            cell = min(step * round(units.from_si(flow, "cfm") / step), before)
            if not _runs_at(wheel, tap, tesp):
                break
            before = cell
            watts = watt_step * round(curve.at(tesp, curve.power)[0] / watt_step)
            speed = 5.0 * round(units.from_si(curve.at(tesp, curve.speed)[0], "rpm") / 5.0)
            rows.append(
                TableRow(
                    tap=tap,
                    tesp=tesp,
                    airflow=units.to_si(cell, "cfm"),
                    power=watts,
                    speed=units.to_si(speed, "rpm") if turns else None,
                )
            )
    return BlowerTable("t1", tuple(rows), frozenset(includes))


def _runs_at(wheel: Wheel, tap: str, tesp: float) -> bool:
    """Whether a maker prints a tap at a pressure [Pa]: where it still moves a third of its air."""
    curve = printed(wheel, tap)
    return curve.at(tesp)[0] >= 0.32 * curve.at(units.to_si(0.1, "inwc"))[0]


def last_column(wheel: Wheel, tap: str) -> float:
    """The last pressure at which a tap is printed in the widest table of this unit. [Pa]"""
    columns = [units.to_si(column / 10.0, "inwc") for column in range(1, 11)]
    return max(one for one in columns if _runs_at(wheel, tap, one))


# --- parts -------------------------------------------------------------------------------------


def _filter(rng: Rng, one: Media) -> Filter:
    grade = one.grade
    if grade in _GRADES and rng.random() < 0.12:
        at = _GRADES.index(grade) + int(rng.choice([-1, 1]))
        grade = _GRADES[min(max(at, 1), len(_GRADES) - 1)]
    word = "clean" if one.loading < 1.12 else "used" if one.loading < 1.85 else "loaded"
    if rng.random() < 0.12:
        word = "used"
    return Filter(
        id=one.id,
        at=one.at,  # type: ignore[arg-type]
        grade=grade,
        width=_inches(one.width),
        height=_inches(one.height),
        condition=word,  # type: ignore[arg-type]
    )


def _coil_word(rng: Rng, dirt: float) -> Literal["clean", "dusty", "caked"] | None:
    if rng.random() < 0.45:
        return None
    return "clean" if dirt < 1.13 else "dusty" if dirt < 2.1 else "caked"


def _return(rng: Rng, back: Back) -> Return:
    return Return(
        id=back.id,
        kind=back.kind,  # type: ignore[arg-type]
        grille=None if back.face is None else _grille(back.face),
        filter=back.filter,
        duct=_return_duct(rng, back),
        into=back.into,
        room=back.room,
    )


def _return_duct(rng: Rng, back: Back) -> Duct:
    if back.kind in ("panned", "platform"):
        return Duct(
            width=_inches(back.pipe.width),
            height=_inches(back.pipe.height or 0.0),
            length=_length(rng, back.pipe.length),
        )
    return _duct(rng, back.pipe)


def _grille(face: Face) -> Grille:
    return Grille(_inches(face.width), _inches(face.height), face.kind)


def _branch(rng: Rng, limb: Limb) -> Branch:
    duct = _duct(rng, limb.pipe)
    if not limb.limbs and rng.random() < 0.05:
        wrong = round(units.from_si(limb.pipe.width, "in")) + int(rng.choice([-1, 1]))
        duct = replace(duct, diameter=_seen(max(wrong, 4), "in"))
    if limb.register is not None:
        duct = replace(duct, register=_grille(limb.register))
    return Branch(
        id=limb.id,
        duct=duct,
        room=limb.room,
        branches=tuple(_branch(rng, below) for below in limb.limbs),
    )


def _duct(rng: Rng, pipe: Pipe, fittings: bool = True) -> Duct:
    keys: tuple[str, ...] | None = tuple(one.key for one in pipe.fittings)
    # The end fittings are seen at both ends; what turns between them is forgotten.
    if keys is not None and len(keys) > 3 and rng.random() < 0.2:
        keys = (keys[0], *keys[2:])
    round_ = pipe.height is None
    return Duct(
        material=pipe.material,  # type: ignore[arg-type]
        diameter=_inches(pipe.width) if round_ else None,
        width=None if round_ else _inches(pipe.width),
        height=None if pipe.height is None else _inches(pipe.height),
        length=_length(rng, pipe.length),
        slack=_slack(rng, pipe) if pipe.material == "flex" else None,  # type: ignore[arg-type]
        fittings=keys if fittings else None,
    )


def _slack(rng: Rng, pipe: Pipe) -> str | None:
    """The word for how flex hangs; mostly right, sometimes a neighbour, sometimes not looked at."""
    part = rng.random()
    if part < 0.12:
        return None
    at = max(k for k, start in enumerate(_SLACK_FROM) if pipe.compression >= start)
    if part < 0.30:
        at = min(max(at + int(rng.choice([-1, 1])), 0), 2)
    return _SLACK[min(at, 2)] if pipe.crush < 6.0 or part < 0.8 else "kinked"


def _length(rng: Rng, length: float) -> Fact:
    paced = units.from_si(length, "ft") * float(rng.lognormal(0.0, 0.19))
    return Fact(float(max(1, round(paced))), "ft", How.SEEN)


def _inches(value: float) -> Fact:
    return Fact(round(units.from_si(value, "in") * 4.0) / 4.0, "in", How.SEEN)


def _leakage(rng: Rng, kind: Kind) -> tuple[Leakage, ...]:
    """How the joints look, where somebody says so."""
    found = []
    for side, share in (("supply", kind.leak_supply), ("return", kind.leak_return)):
        if rng.random() < 0.6:
            continue
        word = "sealed" if share < 0.04 else "taped" if share < 0.09 else "unsealed"
        if rng.random() < 0.25:
            word = "taped"
        found.append(Leakage(side, sealing=word))  # type: ignore[arg-type]
    return tuple(found)
