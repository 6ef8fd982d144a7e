"""How work scatters in a virtual house: friction, fittings, faces, filters, flex; trade sizes."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from inchwater import units
from inchwater.rehearsal.world import Face, Local, Media

if TYPE_CHECKING:
    import numpy as np

    Rng = np.random.Generator

FILTER_SIZES = (
    (12, 20),
    (14, 20),
    (16, 20),
    (14, 25),
    (16, 25),
    (20, 20),
    (20, 25),
    (24, 24),
    (20, 30),
    (25, 25),
    (24, 30),
)
REGISTERS = ((8, 4), (10, 4), (10, 6), (12, 6), (14, 6), (14, 8))
GRILLES = ((14, 10), (16, 12), (20, 12), (20, 16), (20, 20), (25, 20), (30, 20), (30, 24))
ROUND = (5, 6, 7, 8, 9, 10)
WIDE = (8, 10, 12, 14, 16, 18, 20)


def friction(rng: Rng, crew: float) -> float:
    """Of one duct: the crew's, times its own. [-]"""
    return crew * float(rng.gamma(45.0) / 45.0)


def fitting(rng: Rng, key: str, crew: float = 1.03) -> Local:
    """A fitting as it was made; a boot in seven is badly joined."""
    factor = crew * float(rng.gamma(22.0) / 22.0)
    if key.startswith("boot") and rng.random() < 0.18:
        factor *= float(rng.uniform(1.5, 2.8))
    return Local(key, factor)


def face(rng: Rng, width: float, height: float, kind: str) -> Face:
    """A grille or register [in]; one register in twenty is half shut."""
    factor = float(rng.gamma(8.0) / 8.0)
    if kind.startswith("register") and rng.random() < 0.05:
        factor *= float(rng.uniform(2.0, 5.0))
    return Face(inches(width), inches(height), kind, factor)


def media(
    rng: Rng, id_: str, at: str, grade: str, width: float, height: float, loading: float
) -> Media:
    """A filter of a product among those of its grade; sides [m]."""
    return Media(
        id_,
        at,
        grade,
        width,
        height,
        factor=float(rng.gamma(10.0) / 10.0),
        loading=loading,
        viscous=float(rng.uniform(0.45, 0.75)),
    )


def compression(rng: Rng, crew: float) -> float:
    """Of one piece of flex, about the crew's. [-]"""
    return float(min(max(crew * rng.gamma(6.0) / 6.0, 0.005), 0.42))


def crushed(rng: Rng, material: str) -> float:
    """One piece of flex in 25 is crushed; a metal one's damper is half shut as often. [-]"""
    if rng.random() >= 0.04:
        return 1.0
    return float(rng.uniform(3.0, 12.0) if material == "flex" else rng.uniform(2.0, 5.0))


def inches(value: float) -> float:
    """Metres of inches."""
    return units.to_si(float(value), "in")


def feet(value: float) -> float:
    """Metres of feet."""
    return units.to_si(float(value), "ft")


def nearest(area: float, sizes: tuple[tuple[int, int], ...]) -> tuple[int, int]:
    """The size [in] whose face is nearest to an area [m2]."""
    return min(sizes, key=lambda one: abs(math.log(inches(one[0]) * inches(one[1]) / area)))


def nearest_round(area: float, sizes: tuple[int, ...]) -> int:
    """The diameter [in] whose section is nearest to an area [m2]."""
    return min(sizes, key=lambda one: abs(math.log(math.pi / 4.0 * inches(one) ** 2 / area)))


def picked(rng: Rng, shares: dict[str, float]) -> str:
    """A word by its share."""
    names = list(shares)
    weights = [shares[name] for name in names]
    total = sum(weights)
    return names[int(rng.choice(len(names), p=[one / total for one in weights]))]
