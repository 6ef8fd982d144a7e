"""Heyt and Diaz 1975, flat oval ducts (form read in a reprint, area and perimeter memory)."""

from __future__ import annotations

import pytest

from inchwater.parts import ducts
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
    """Equivalent by friction, tolerance 0.1 %."""
    found = ducts.equivalent_diameter_oval(to_si(major, "in"), to_si(minor, "in"))
    assert from_si(found, "in") == pytest.approx(equivalent, rel=1e-3)
