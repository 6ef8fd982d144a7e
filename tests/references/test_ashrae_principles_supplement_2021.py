"""Principles of HVAC, 9th edition, online fitting supplement (ASHRAE 2021), table 1-1 (read).

After Idelchik 1986, diagram 3-1: entry into a duct end that stands free in space.
"""

from __future__ import annotations

import pytest

from inchwater.parts.fittings import fitting


def test_a_collar_that_reaches_into_the_plenum():
    """Thin wall (t/D 0): .92 at L/D 0.2, 1.0 at 0.5; ours reaches 0.33 of its diameter in (5 %)."""
    found = fitting("take-off-projecting").loss_coefficient
    assert 0.92 * 0.95 < found < 1.0 * 1.05


@pytest.mark.parametrize("key", ["take-off-straight", "return-box"])
def test_a_flush_entry(key):
    """L/D 0: 0.50; Rennels' 0.57 is 14 % above (authors differ by 15 %)."""
    assert fitting(key).loss_coefficient == pytest.approx(0.50, rel=0.15)
