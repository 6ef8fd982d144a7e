"""ASHRAE Handbook Fundamentals 2021, Duct Design, table 1, duct roughness (read in a reprint).

Our own source, so that it only checks that nothing was mistyped; a second handbook checks metal.
"""

from __future__ import annotations

import pytest

from inchwater.parts import ducts
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


def test_metal_in_two_other_books(check):
    """Galvanised duct is 0.075 mm in one guide; a textbook's galvanised iron is 0.15 mm."""
    for source, place, says in (
        ("cibse-c", "table of roughness, galvanised steel duct", 0.075),
        ("cengel", "table of pipe roughness, galvanised iron", 0.15),
    ):
        check(
            formula="roughness metal",
            source=source,
            place=place,
            case="galvanised sheet metal",
            says=says,
            got=1000.0 * ducts.roughness("metal"),
            unit="mm",
            rel=0.40,
            status="memory",
        )
