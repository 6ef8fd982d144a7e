"""The supply of a virtual house: runs off the plenum, off trunks, off trunks of trunks."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from inchwater import units
from inchwater.rehearsal.generate_work import (
    REGISTERS,
    ROUND,
    compression,
    crushed,
    face,
    feet,
    fitting,
    friction,
    inches,
    nearest,
    nearest_round,
    picked,
)
from inchwater.rehearsal.world import Leak, Limb, Pipe

if TYPE_CHECKING:
    import numpy as np

    from inchwater.rehearsal.generate_kind import Kind

    Rng = np.random.Generator

ROOMS = (
    "living room",
    "kitchen",
    "bedroom 1",
    "bedroom 2",
    "bedroom 3",
    "dining room",
    "bath",
    "family room",
    "office",
    "hall",
    "bedroom 4",
    "laundry",
    "den",
    "bath 2",
    "entry",
    "play room",
)


def supply(rng: Rng, kind: Kind) -> tuple[Limb, ...]:
    """Runs and trunks that leave the supply plenum."""
    count = int(min(max(round(kind.tons * float(rng.uniform(2.4, 3.3))), 4), 16))
    weights = rng.dirichlet([14.0] * count)
    usual = 740.0 if kind.material == "flex" else 860.0
    speed = kind.speed * float(rng.lognormal(math.log(usual), 0.17))
    register = picked(
        rng,
        {
            "register-stamped": 0.35,
            "register-ceiling": 0.3 if kind.space == "attic" else 0.05,
            "register-floor": 0.05 if kind.space == "attic" else 0.45,
            "register-bar": 0.1,
            "register-curved": 0.1,
        },
    )
    style = _Style(
        boot=picked(rng, {"boot-angle": 0.6, "boot-straight": 0.15, "boot-box": 0.25}),
        bend=picked(rng, {"flex-bend-90": 0.75, "flex-bend-wide": 0.15, "flex-bend-tight": 0.1})
        if kind.material == "flex"
        else picked(rng, {"elbow-90-gored": 0.8, "elbow-90-smooth": 0.1, "elbow-90-mitred": 0.1}),
        take_off=picked(
            rng, {"take-off-straight": 0.7, "take-off-tapered": 0.2, "take-off-elbow": 0.1}
        ),
        off_trunk=picked(
            rng,
            {
                "trunk-take-off-90": 0.55,
                "trunk-take-off-tapered": 0.2,
                "trunk-take-off-45": 0.15,
                "trunk-take-off-top": 0.1,
            },
        ),
        register=register,
        speed=speed,
    )
    runs = [
        _run(rng, kind, style, f"r{number}", ROOMS[number - 1], kind.design * float(weight))
        for number, weight in enumerate(weights, 1)
    ]
    if kind.layout == "radial":
        return tuple(runs)
    flows = {run.id: kind.design * float(w) for run, w in zip(runs, weights, strict=True)}
    if kind.layout == "trunk":
        return _trunks(rng, kind, runs, flows)
    return _branched(rng, kind, runs, flows)


@dataclass(frozen=True)
class _Style:
    boot: str
    bend: str
    take_off: str
    off_trunk: str
    register: str
    speed: float


def _run(rng: Rng, kind: Kind, style: _Style, id_: str, room: str, flow: float) -> Limb:
    diameter = nearest_round(flow / units.to_si(style.speed, "fpm"), ROUND)
    first = style.take_off if kind.layout == "radial" else style.off_trunk
    bends = [style.bend] * int(rng.integers(1, 4))
    damper = ["damper-open"] if kind.material == "metal" and rng.random() < 0.3 else []
    longest = 36 if kind.layout == "radial" else 22
    flex = kind.material == "flex"
    pipe = Pipe(
        kind.material,
        inches(diameter),
        None,
        feet(float(rng.integers(8, longest))),
        compression=compression(rng, kind.compression) if flex else 0.0,
        factor=friction(rng, kind.crew_friction),
        crush=crushed(rng, kind.material),
        fittings=tuple(
            fitting(rng, key, kind.crew_fittings) for key in (first, *damper, *bends, style.boot)
        ),
    )
    wanted = flow / units.to_si(float(rng.uniform(360.0, 700.0)), "fpm")
    width, height = nearest(wanted, REGISTERS)
    leak = kind.leak_supply * flow * 0.45
    exponent = float(rng.uniform(0.52, 0.70))
    return Limb(
        id=id_,
        pipe=pipe,
        place=1.0,
        leak=Leak(leak * (25.0 / 9.0) ** exponent, exponent),
        room=room,
        register=face(rng, width, height, style.register),
    )


def _along(rng: Rng, runs: list[Limb], first: float) -> tuple[Limb, ...]:
    """Runs along a trunk, two and two across from each other, the last at its end."""
    pairs = max(1, math.ceil(len(runs) / 2))
    places = [
        round(first + (1.0 - first) * (at + 1) / pairs * float(rng.uniform(0.9, 1.0)), 3)
        for at in range(pairs)
    ]
    places[-1] = 1.0
    return tuple(replace(run, place=places[at // 2]) for at, run in enumerate(runs))


def _trunk(
    rng: Rng, kind: Kind, id_: str, flow: float, limbs: tuple[Limb, ...], key: str, length: float
) -> Limb:
    speed = kind.speed * units.to_si(float(rng.lognormal(math.log(1040.0), 0.15)), "fpm")
    area = flow / speed
    material, width, height = "metal", 0.0, None
    if kind.material == "metal" or rng.random() < 0.3:
        tall = 10 if kind.size == "large" else 8
        width = float(max(8, 2 * round(area / inches(tall) / inches(2))))
        height = inches(tall)
    else:
        material = "ductboard" if rng.random() < 0.5 else "metal"
        if material == "ductboard":
            width = float(max(8, 2 * round(math.sqrt(area) / inches(2))))
            height = inches(width)
        else:
            width = float(2 * round(math.sqrt(4.0 * area / math.pi) / inches(2)))
    leak = kind.leak_supply * flow * 0.15
    exponent = float(rng.uniform(0.52, 0.70))
    return Limb(
        id=id_,
        pipe=Pipe(
            material,
            inches(width),
            height,
            feet(length),
            factor=friction(rng, kind.crew_friction),
            fittings=(fitting(rng, key, kind.crew_fittings),),
        ),
        place=1.0,
        leak=Leak(leak * (25.0 / 30.0) ** exponent, exponent),
        limbs=limbs,
    )


def _trunks(rng: Rng, kind: Kind, runs: list[Limb], flows: dict[str, float]) -> tuple[Limb, ...]:
    two = len(runs) >= 6 and rng.random() < 0.6
    groups = [runs[0::2], runs[1::2]] if two else [runs]
    found = []
    for number, group in enumerate(groups, 1):
        flow = sum(flows[run.id] for run in group)
        limbs = _along(rng, group, float(rng.uniform(0.15, 0.35)))
        length = float(rng.integers(10, 14 + 3 * len(group)))
        key = "take-off-trunk" if rng.random() < 0.7 else "take-off-trunk-flared"
        found.append(_trunk(rng, kind, f"t{number}", flow, limbs, key, length))
    return tuple(found)


def _branched(rng: Rng, kind: Kind, runs: list[Limb], flows: dict[str, float]) -> tuple[Limb, ...]:
    """A trunk with a few runs of its own and one or two trunks off it."""
    own = runs[: max(1, len(runs) // 4)]
    rest = runs[len(own) :]
    groups = [rest[0::2], rest[1::2]] if len(rest) >= 4 else [rest]
    below = []
    for number, group in enumerate(groups, 2):
        flow = sum(flows[run.id] for run in group)
        limbs = _along(rng, group, float(rng.uniform(0.2, 0.4)))
        key = "trunk-take-off-90" if rng.random() < 0.5 else "trunk-take-off-45"
        length = float(rng.integers(8, 12 + 2 * len(group)))
        place = 1.0 if number == 1 + len(groups) else round(float(rng.uniform(0.5, 0.9)), 3)
        below.append(
            replace(_trunk(rng, kind, f"t{number}", flow, limbs, key, length), place=place)
        )
    placed = tuple(replace(run, place=round(float(rng.uniform(0.25, 0.95)), 3)) for run in own)
    total = sum(flows.values())
    length = float(rng.integers(8, 20))
    return (_trunk(rng, kind, "t1", total, (*placed, *below), "take-off-trunk", length),)
