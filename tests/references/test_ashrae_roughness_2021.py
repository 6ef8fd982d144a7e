"""ASHRAE Handbook Fundamentals 2021, Duct Design, table 1, duct roughness (read in a reprint).

Our own source, so that it only checks that nothing was mistyped; a second handbook checks metal.
"""

from __future__ import annotations

import pytest

from inchwater.air import STANDARD
from inchwater.parts import ducts
from inchwater.parts.cavities import cavity
from inchwater.units import to_si


@pytest.mark.parametrize(
    ("material", "low", "high", "category_mm"),
    [
        ("metal", 0.00016, 0.0005, 0.091),
        ("flex", 0.0003, 0.003, 0.91),
        ("ductboard", 0.001, 0.005, 0.91),
    ],
)
def test_roughness_lies_in_its_range(material, low, high, category_mm):
    """Each material is within the listed range [ft] and is the category's value [mm].

    The flex value is the top of its range, 0.0003–0.003 ft, as the table's category has it.
    """
    found = ducts.roughness(material)
    assert to_si(low, "ft") <= found <= to_si(high, "ft") * (1.0 + 1e-9)
    assert found * 1000.0 == pytest.approx(category_mm, rel=0.01)


@pytest.mark.parametrize(
    ("source", "place", "says", "status"),
    [
        ("cibse-c", "table of roughness, galvanised steel duct", 0.075, "memory"),
        ("engineering-toolbox", "page d_209, galvanized steel", 0.15, "read"),
    ],
)
def test_metal_elsewhere(check, source, place, says, status):
    """Galvanised duct is 0.075 mm in one guide, 0.15 mm on a page that has it from pipe."""
    check(
        formula="roughness metal",
        source=source,
        place=place,
        case="galvanised sheet metal",
        says=says,
        got=1000.0 * ducts.roughness("metal"),
        unit="mm",
        rel=0.40,
        status=status,
    )


def test_a_wall_cavity_is_as_rough_as_planed_wood(check):
    """Well planed wood is 0.18 to 0.9 mm; ours between studs is Idelchik's 0.5."""
    check(
        formula="roughness cavity",
        source="engineering-toolbox",
        place="page d_209, well planed wood",
        case="between two studs",
        says=(0.18, 0.9),
        got=1000.0 * cavity("stud").roughness,
        unit="mm",
        status="read",
    )


def test_smooth_plastic_is_a_stated_disagreement(check):
    """PVC pipe is 0.0015–0.007 mm on a page for pipe, 0.009–0.046 in the handbook for duct.

    Ours is the handbook's rough end; in a 6 in duct at 110 cfm that is 5 % of friction.
    """
    check(
        formula="roughness pvc",
        source="engineering-toolbox",
        place="page d_209, PVC and other smooth plastic pipes, its rough end",
        case="plastic pipe",
        says=0.007,
        got=1000.0 * ducts.roughness("pvc"),
        unit="mm",
        status="read",
        differs=(6.0, 7.0),
    )
    flow, size, foot = to_si(110.0, "cfm"), to_si(6.0, "in"), to_si(1.0, "ft")
    ours, smooth = (
        float(ducts.friction_drop(flow, size, foot, rough, STANDARD)[0])
        for rough in (ducts.roughness("pvc"), 0.007e-3)
    )
    assert 1.02 < ours / smooth < 1.08
