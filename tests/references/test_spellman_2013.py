"""Spellman, Mathematics and Statistics for the Environment, section 15.6.5 (read in a reprint)."""

from __future__ import annotations

import pytest

from inchwater import air
from inchwater.units import to_si

INHG = 3386.39  # [Pa]


def test_weight_density_of_standard_air():
    """0.075 lb/ft3 at 70 °F and 29.92 in. Hg; printed to two digits."""
    found = air.density(to_si(70.0, "degf"), 29.92 * INHG)
    assert found == pytest.approx(to_si(0.075, "lbft3"), rel=0.007)


def test_temperature_factor():
    """530/550 at 90 °F is 0.9636 (0.1 %; the book's Rankine offset is whole)."""
    ratio = air.density(to_si(90.0, "degf"), 1e5) / air.density(to_si(70.0, "degf"), 1e5)
    assert ratio == pytest.approx(0.9636, rel=1e-3)


def test_example_15_5():
    """90 °F and 27.50 in. Hg: the printed factor is 0.88, its own arithmetic gives 0.8857."""
    ratio = air.density(to_si(90.0, "degf"), 27.50 * INHG) / air.density(
        to_si(70.0, "degf"), 29.92 * INHG
    )
    assert ratio == pytest.approx(0.88, abs=0.006)
    assert ratio == pytest.approx(0.8857, abs=1e-3)
