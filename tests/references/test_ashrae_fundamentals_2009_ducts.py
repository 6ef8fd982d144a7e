"""ASHRAE Handbook Fundamentals 2009 (SI), chapter 21, Duct Design, p. 21.26 and flexible duct.

Fitting rows were read in a re-post. The flexible-duct equation is memory and is our own source:
what follows from it checks only that nothing was mistyped.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from inchwater.parts import ducts, flex
from inchwater.parts.fitting_forms import typical_reynolds
from inchwater.parts.fittings import loss
from inchwater.parts.sections import Section
from inchwater.units import to_si


def wall_friction(key_radius: float, angle: float, diameter: float, wall: float) -> float:
    """Friction along a bend's own axis, which the handbook's coefficients leave out. [-]"""
    factor = ducts.friction_factor(typical_reynolds(diameter), wall / diameter)
    return float(factor) * key_radius * angle


# CD3-1 and CD3-3, die-stamped, r/D 1.5: diameter [mm], coefficient.
@pytest.mark.parametrize(
    ("key", "angle", "millimetres", "printed"),
    [
        ("elbow-90-smooth", 90.0, 75, 0.30),
        ("elbow-90-smooth", 90.0, 100, 0.21),
        ("elbow-45-smooth", 45.0, 75, 0.18),
        ("elbow-45-smooth", 45.0, 100, 0.13),
    ],
)
def test_die_stamped_elbow(check, key, angle, millimetres, printed):
    """CD3-1, CD3-3: small elbows within 41 %, the friction of their wall taken off.

    From 125 mm on the handbook prints much less than ours: see the next test.
    """
    diameter = millimetres / 1000.0
    found = loss(key, Section.round(diameter)).coefficient
    own = wall_friction(1.5, math.radians(angle), diameter, 0.0914e-3)
    check(
        formula="elbow smooth" if angle == 90.0 else "elbow angle",
        source="ashrae-2009",
        place="p. 21.26, CD3-1" if angle == 90.0 else "p. 21.26, CD3-3",
        case=f"die-stamped {angle:g}°, {millimetres} mm, wall friction taken off",
        says=printed,
        got=found - own,
        rel=0.41,
        status="read",
    )


@pytest.mark.parametrize(
    ("millimetres", "printed"), [(125, 0.16), (150, 0.14), (200, 0.11), (250, 0.11)]
)
def test_larger_die_stamped_elbows_are_a_stated_disagreement(check, millimetres, printed):
    """CD3-1 from 125 mm on: ours is 1.4 to 2 times that, without its friction.

    The authors of ``fluids`` say 0.25–0.28 with friction, the older sheet-metal table 0.15 without;
    the 25 % of the fitting's spread covers these authors, not this table.
    """
    diameter = millimetres / 1000.0
    found = loss("elbow-90-smooth", Section.round(diameter)).coefficient
    check(
        formula="elbow smooth",
        source="ashrae-2009",
        place="p. 21.26, CD3-1",
        case=f"die-stamped 90°, {millimetres} mm, wall friction taken off",
        says=printed,
        got=found - wall_friction(1.5, math.pi / 2.0, diameter, 0.0914e-3),
        status="read",
        differs=(1.4, 2.1),
    )


# CD3-5 and CD3-7, pleated, r/D 1.5: diameter [mm], coefficient.
PLEATED = [
    ("elbow-90-pleated", "CD3-5", 100, 0.57),
    ("elbow-90-pleated", "CD3-5", 150, 0.43),
    ("elbow-90-pleated", "CD3-5", 200, 0.34),
    ("elbow-90-pleated", "CD3-5", 250, 0.28),
    ("elbow-90-pleated", "CD3-5", 300, 0.26),
    ("elbow-45-pleated", "CD3-7", 100, 0.34),
    ("elbow-45-pleated", "CD3-7", 150, 0.26),
    ("elbow-45-pleated", "CD3-7", 200, 0.21),
]


@pytest.mark.parametrize(("key", "row", "millimetres", "printed"), PLEATED)
def test_pleated_elbow(check, key, row, millimetres, printed):
    """CD3-5, CD3-7, r/D 1.5, by diameter (31 % between authors)."""
    check(
        formula="elbow pleated",
        source="ashrae-2009",
        place=f"p. 21.26, {row}",
        case=f"{key.split('-')[1]}°, {millimetres} mm",
        says=printed,
        got=loss(key, Section.round(millimetres / 1000.0)).coefficient,
        rel=0.31,
        status="read",
    )


@pytest.mark.parametrize(("radius", "printed"), [(0.75, 0.54), (1.0, 0.42)])
def test_gored_elbow_of_three_pieces(check, radius, printed):
    """CD3-12: three pieces at these radii; our four adjustable ones lie near (30 %)."""
    check(
        formula="elbow gored",
        source="ashrae-2009",
        place="p. 21.27, CD3-12",
        case=f"three gores, r/D {radius:g}",
        says=printed,
        got=loss("elbow-90-gored", Section.round(0.2)).coefficient,
        rel=0.30,
        status="read",
    )


# The correction for compression: D [in] by 4, 10, 15, 20, 30, 45 % (computed from the equation).
TABLE = {
    4: (2.40, 4.50, 6.26, 8.01, 11.51, 16.77),
    6: (2.09, 3.72, 5.09, 6.45, 9.17, 13.26),
    8: (1.85, 3.12, 4.18, 5.23, 7.35, 10.53),
    10: (1.66, 2.65, 3.47, 4.29, 5.94, 8.40),
    12: (1.51, 2.28, 2.92, 3.56, 4.84, 6.75),
    16: (1.31, 1.77, 2.16, 2.54, 3.32, 4.48),
}
COMPRESSIONS = (0.04, 0.10, 0.15, 0.20, 0.30, 0.45)


@pytest.mark.parametrize(
    ("inches", "compression", "factor"),
    [(d, r, f) for d, row in TABLE.items() for r, f in zip(COMPRESSIONS, row, strict=True)],
)
def test_compressed_flex(inches, compression, factor):
    """1 + 0.58 rc exp(−0.126 D), printed here to two decimals."""
    found = flex.compression_factor(compression, to_si(inches, "in"))
    assert found == pytest.approx(factor, abs=0.0051)


def test_the_si_form_is_the_same():
    """exp(−0.00496 D) with D in millimetres, within its three digits."""
    found = float(flex.compression_factor(0.2, 0.2)) - 1.0
    assert found == pytest.approx(0.58 * 20.0 * np.exp(-0.00496 * 200.0), rel=2e-3)
