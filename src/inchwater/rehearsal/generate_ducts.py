"""The ducts of a virtual house with their true multipliers, its doors and its bypass."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inchwater.rehearsal.generate_returns import returns
from inchwater.rehearsal.generate_supply import supply
from inchwater.rehearsal.generate_work import (
    feet,
    fitting,
    inches,
)
from inchwater.rehearsal.world import Back, Chamber, Leak, Limb, Media, Pipe, Way

if TYPE_CHECKING:
    import numpy as np

    from inchwater.rehearsal.generate_kind import Kind

    Rng = np.random.Generator


@dataclass(frozen=True)
class Ducts:
    """All ducts of a house."""

    filters: tuple[Media, ...]
    backs: tuple[Back, ...]
    limbs: tuple[Limb, ...]
    chambers: tuple[Chamber, ...]
    ways: tuple[Way, ...]


def lay(rng: Rng, kind: Kind) -> Ducts:
    """The ducts of a house of this kind."""
    filters, backs = returns(rng, kind)
    limbs = supply(rng, kind)
    chambers = _chambers(rng, kind, limbs)
    return Ducts(filters, backs, limbs, chambers, _bypass(rng, kind))


def _chambers(rng: Rng, kind: Kind, limbs: tuple[Limb, ...]) -> tuple[Chamber, ...]:
    """Bedrooms with a door, where the returns are central."""
    if not kind.doors:
        return ()
    found = []

    def walk(of: tuple[Limb, ...]) -> None:
        for limb in of:
            if limb.limbs:
                walk(limb.limbs)
            elif limb.room is not None and limb.room.startswith("bedroom"):
                gap = inches(30.0) * inches(float(rng.uniform(0.4, 1.0))) + inches(4.0) * inches(
                    4.0
                )
                flow = 0.65 * gap * math.sqrt(2.0 * 25.0 / 1.2)
                found.append(
                    Chamber(f"room-{limb.id}", limb.room, Leak(flow, float(rng.uniform(0.5, 0.6))))
                )

    walk(limbs)
    return tuple(found)


def _bypass(rng: Rng, kind: Kind) -> tuple[Way, ...]:
    if not kind.bypass:
        return ()
    keys = ("take-off-straight", "elbow-90-gored", "elbow-90-gored", "duct-exit")
    pad = 6.0 if kind.bypass == "humidifier" else 10 ** (0.045 * float(rng.uniform(20, 60))) * 0.2
    return (
        Way(
            "bp1",
            kind.bypass,
            Pipe(
                "metal",
                inches(6 if kind.bypass == "humidifier" else 8),
                None,
                feet(float(rng.integers(3, 8))),
                fittings=tuple(fitting(rng, key) for key in keys),
            ),
            float(pad * rng.gamma(12.0) / 12.0),
        ),
    )
