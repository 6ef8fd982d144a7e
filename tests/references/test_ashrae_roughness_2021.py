"""ASHRAE Handbook Fundamentals 2021, Duct Design, table 1, duct roughness (read in a reprint)."""

from __future__ import annotations

import pytest

from inchwater.air import STANDARD
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


def test_what_the_choice_of_row_is_worth():
    """8 in at 0.08: 212, 180 and 152 cfm for 0.0003, 0.003 and 0.01 ft: 40 % from the row alone."""
    for feet, cfm in ((0.0003, 212.0), (0.003, 180.4), (0.01, 152.0)):
        drop, _ = ducts.friction_drop(
            to_si(cfm, "cfm"), to_si(8.0, "in"), to_si(100.0, "ft"), to_si(feet, "ft"), STANDARD
        )
        assert drop == pytest.approx(to_si(0.08, "inwc"), rel=0.01)
