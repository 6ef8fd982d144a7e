"""Sections that are not round: their friction by another route, worked out apart.

The equivalent diameter goes with the true flow; the hydraulic diameter with the true velocity. The
second route was worked out with ``fluids`` 1.3.1 (Colebrook, galvanised) and agrees within 1 to
4 %. Heyt and Diaz's own equation only checks that nothing was mistyped.
"""

from __future__ import annotations

import pytest

from inchwater.air import STANDARD
from inchwater.parts import ducts
from inchwater.parts.sections import Section
from inchwater.units import from_si, to_si

# Major x minor [in], equivalent [in]; computed from the formula.
ROWS = [
    (8, 3, 5.106),
    (10, 6, 8.073),
    (12, 6, 8.872),
    (16, 8, 11.830),
    (20, 8, 13.204),
    (24, 10, 16.183),
]


@pytest.mark.parametrize(("major", "minor", "equivalent"), ROWS)
def test_oval_equivalents(major, minor, equivalent):
    """Equivalent by friction, tolerance 0.1 %, by either of our functions."""
    found = ducts.equivalent_diameter_oval(to_si(major, "in"), to_si(minor, "in"))
    assert from_si(found, "in") == pytest.approx(equivalent, rel=1e-3)
    section = Section("oval", to_si(major, "in"), to_si(minor, "in"))
    assert section.equivalent_diameter == pytest.approx(found, rel=1e-9)


def per_100_ft(shape: str, width: float, height: float, cfm: float) -> float:
    """Friction rate of galvanised duct of this section [in. w.c. per 100 ft]."""
    section = Section(shape, to_si(width, "in"), to_si(height, "in"))
    drop, _ = ducts.friction_drop(
        to_si(cfm, "cfm"),
        section.equivalent_diameter,
        to_si(100.0, "ft"),
        to_si(0.0003, "ft"),
        STANDARD,
    )
    return from_si(float(drop), "inwc")


# Sides [in], cfm, in. w.c. per 100 ft by the hydraulic diameter and the true velocity.
HYDRAULIC = [
    ("rectangular", 20, 8, 800, 0.07009, 0.01),
    ("rectangular", 12, 8, 500, 0.09359, 0.01),
    ("rectangular", 14, 3.25, 120, 0.05768, 0.015),
    ("rectangular", 24, 8, 900, 0.05866, 0.01),
    ("oval", 8, 3, 80, 0.12306, 0.03),
    ("oval", 10, 6, 200, 0.06916, 0.03),
    ("oval", 12, 6, 250, 0.06551, 0.03),
    ("oval", 16, 8, 550, 0.06767, 0.03),
    ("oval", 20, 8, 800, 0.07855, 0.03),
    ("oval", 24, 10, 1300, 0.07076, 0.03),
]


@pytest.mark.parametrize(("shape", "width", "height", "cfm", "rate", "tolerance"), HYDRAULIC)
def test_friction_by_the_other_route(check, shape, width, height, cfm, rate, tolerance):
    """Equivalent diameter and true flow against hydraulic diameter and true velocity."""
    check(
        formula=f"{shape} friction",
        source="fluids-scipy",
        place="hydraulic diameter with the true velocity",
        case=f"{width:g} × {height:g} in, {cfm} cfm",
        says=rate,
        got=per_100_ft(shape, width, height, cfm),
        unit="in. w.c./100 ft",
        rel=tolerance,
        status="computed",
    )


def test_an_oval_as_wide_as_high_is_round(check):
    """Where both sides are alike the equation gives the circle back (0.2 %)."""
    section = Section("oval", 0.254, 0.254)
    check(
        formula="oval friction",
        source="hand",
        place="a flat oval of equal sides is a circle",
        case="10 × 10 in",
        says=10.0,
        got=from_si(section.equivalent_diameter, "in"),
        unit="in",
        rel=2e-3,
        status="computed",
    )


@pytest.mark.parametrize(("sag", "factor"), [(2, 1.00461), (6, 1.04023), (10, 1.10595)])
def test_sagging_duct_is_longer(check, sag, factor):
    """The arc of a parabola over 4 ft, from the integral's logarithmic form."""
    from inchwater.parts import flex

    check(
        formula="flex sag",
        source="hand",
        place="arc length, ½√(L² + 16 s²) + L²/(8 s) ln((4 s + √(L² + 16 s²))/L)",
        case=f"{sag} in over 4 ft",
        says=factor,
        got=float(flex.sag_length_factor(to_si(float(sag), "in"), to_si(4.0, "ft"))),
        rel=1e-4,
        status="computed",
    )
