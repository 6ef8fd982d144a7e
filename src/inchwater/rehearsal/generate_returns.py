"""The returns and filters of a virtual house."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from inchwater import units
from inchwater.rehearsal.generate_work import (
    FILTER_SIZES,
    GRILLES,
    WIDE,
    compression,
    face,
    feet,
    fitting,
    friction,
    inches,
    media,
    nearest,
    nearest_round,
    picked,
)
from inchwater.rehearsal.world import Back, Leak, Media, Pipe

if TYPE_CHECKING:
    import numpy as np

    from inchwater.rehearsal.generate_kind import Kind

    Rng = np.random.Generator

_GRADES = {
    "pleat-1in-merv8": 0.42,
    "pleat-1in-merv11": 0.22,
    "pleat-1in-merv13": 0.12,
    "fiberglass-1in": 0.12,
    "pleat-2in-merv8": 0.12,
}
_DEEP = {"media-4in-merv8": 0.2, "media-4in-merv11": 0.5, "media-4in-merv13": 0.3}


def _loading(rng: Rng) -> float:
    part = rng.random()
    if part < 0.25:
        return float(rng.uniform(1.0, 1.1))
    if part < 0.80:
        return float(rng.uniform(1.1, 1.9))
    return float(1.6 + rng.gamma(2.0) * 0.6)


def returns(rng: Rng, kind: Kind) -> tuple[tuple[Media, ...], tuple[Back, ...]]:
    """Filters, and returns with what carries their air to the unit."""
    per = kind.speed * units.to_si(560.0, "cfm")
    count = {
        "single": 1,
        "platform": 1,
        "multi": int(rng.integers(2, 4 if kind.size != "large" else 5)),
        "panned": max(2, math.ceil(kind.design / per)),
    }[kind.returns]
    weights = rng.dirichlet([8.0] * count)
    common = kind.returns == "multi" and kind.space != "attic" and rng.random() < 0.5
    loading = _loading(rng)
    grade = picked(rng, _GRADES)
    backs: list[Back] = []
    filters: list[Media] = []
    leak = kind.leak_return * kind.design * 0.4
    for number, weight in enumerate(weights, 1):
        flow = kind.design * float(weight)
        id_ = f"g{number}"
        held = f"f{number}" if kind.filter == "grille" else None
        speed = kind.speed * units.to_si(float(rng.lognormal(math.log(385.0), 0.22)), "fpm")
        if held is not None:
            width, height = nearest(flow / speed, FILTER_SIZES)
            filters.append(
                media(rng, held, "grille", grade, inches(width), inches(height), loading)
            )
            opening = face(rng, width, height, "grille-filter")
        else:
            width, height = nearest(flow / (1.25 * speed), GRILLES)
            name = picked(rng, {"grille-stamped": 0.55, "grille-bar": 0.3, "grille-floor": 0.15})
            opening = face(rng, width, height, name)
        boxes = leak * float(weight)
        exponent = float(rng.uniform(0.52, 0.70))
        backs.append(
            Back(
                id=id_,
                kind={"single": "ducted", "multi": "ducted"}.get(kind.returns, kind.returns),
                pipe=_return_pipe(rng, kind, flow, common),
                face=opening,
                filter=held,
                leak=Leak(boxes * (25.0 / 40.0) ** exponent, exponent),
                into="gc" if common else None,
            )
        )
    if common:
        backs.append(
            Back(
                id="gc",
                kind="common",
                pipe=_common_pipe(rng, kind),
                face=None,
                filter=None,
                leak=Leak(),
            )
        )
    if kind.filter == "unit":
        filters.append(_slot(rng, kind, grade, loading))
    return tuple(filters), tuple(backs)


def _slot(rng: Rng, kind: Kind, grade: str, loading: float) -> Media:
    """The filter at the unit: a slot of an inch or a cabinet of four."""
    deep = rng.random() < 0.28
    if deep:
        grade = picked(rng, _DEEP)
        loading = 1.0 + 0.7 * (loading - 1.0)
    usual = 600.0 if deep else 445.0
    speed = kind.speed * units.to_si(float(rng.lognormal(math.log(usual), 0.20)), "fpm")
    area = kind.design / speed
    width, height = nearest(area, FILTER_SIZES)
    one = media(rng, "f1", "unit", grade, inches(width), inches(height), loading)
    return one


def _return_pipe(rng: Rng, kind: Kind, flow: float, common: bool) -> Pipe:
    speed = kind.speed * units.to_si(float(rng.lognormal(math.log(850.0), 0.20)), "fpm")
    if kind.returns == "panned":
        return Pipe(
            "panned",
            inches(14.5),
            inches(9.25),
            feet(float(rng.integers(8, 20))),
            factor=float(rng.gamma(6.0) / 6.0) * 1.1,
        )
    if kind.returns == "platform":
        side = math.sqrt(
            kind.design / units.to_si(float(rng.uniform(520, 850)), "fpm") / kind.speed
        )
        return Pipe("platform", side, side, feet(2.0), factor=float(rng.gamma(6.0) / 6.0) * 1.1)
    flex = kind.material == "flex"
    width = nearest_round(flow / speed, WIDE)
    bends = int(rng.integers(0, 3)) + (0 if common else 1)
    keys = ["return-box"] + ["flex-bend-90" if flex else "elbow-90-gored"] * bends
    if common:
        keys.append("tee-join-90")
    return Pipe(
        kind.material,
        inches(width),
        None,
        feet(float(rng.integers(5, 20))),
        compression=compression(rng, 0.8 * kind.compression) if flex else 0.0,
        factor=friction(rng, kind.crew_friction),
        fittings=tuple(fitting(rng, key, kind.crew_fittings) for key in keys),
    )


def _common_pipe(rng: Rng, kind: Kind) -> Pipe:
    speed = units.to_si(float(rng.uniform(700.0, 950.0)), "fpm")
    height = 10 if kind.size == "large" else 8
    width = max(10, 2 * round(kind.design / speed / inches(height) / inches(2)))
    return Pipe(
        "metal",
        inches(width),
        inches(height),
        feet(float(rng.integers(6, 18))),
        factor=friction(rng, kind.crew_friction),
        fittings=(fitting(rng, "return-elbow", kind.crew_fittings),),
    )
