"""ASHRAE Handbook Fundamentals 2017, chapter 1, Psychrometrics.

Table 1 as quoted in psychrolib's own tests (memory of that file; the book was not in hand); the
tables by altitude in feet are computed from the chapter's equation 3.
"""

from __future__ import annotations

import pytest

from inchwater import air
from inchwater.units import from_si, to_si

# Table 1, standard atmospheric data: altitude [m], pressure [Pa] as printed in kPa.
TABLE_1 = [(-500, 107_478), (0, 101_325), (500, 95_461), (1000, 89_875), (4000, 61_640)]
# The same relation at round feet, printed in in. Hg with the density ratio at equal temperature.
BY_FEET = [
    (500, 29.385, 0.9821),
    (1000, 28.856, 0.9644),
    (2000, 27.821, 0.9298),
    (3000, 26.817, 0.8962),
    (5000, 24.896, 0.8320),
    (5280, 24.636, 0.8234),
    (7000, 23.088, 0.7716),
    (10000, 20.577, 0.6877),
]


@pytest.mark.parametrize(("altitude", "pressure"), TABLE_1)
def test_standard_pressure_follows_the_table(altitude, pressure):
    """Pressure at altitude equals the printed value; the table prints whole pascals."""
    assert air.standard_pressure(altitude) == pytest.approx(pressure, abs=1.0)


@pytest.mark.parametrize(("altitude_ft", "inhg", "ratio"), BY_FEET)
def test_pressure_and_density_ratio_by_feet(altitude_ft, inhg, ratio):
    """Barometer and density ratio at round feet; 1 in. Hg is 3386.39 Pa (tolerance 0.1 %)."""
    pressure = air.standard_pressure(to_si(altitude_ft, "ft"))
    assert pressure / 3386.39 == pytest.approx(inhg, rel=1e-3)
    assert pressure / air.standard_pressure(0.0) == pytest.approx(ratio, abs=1e-4)


def test_standard_air_is_a_rounded_convention():
    """Dry air at 70 °F and sea level is 0.0749 lb/ft3; 0.075 is the convention (0.2 %)."""
    found = air.density(to_si(70.0, "degf"), 101_325.0)
    assert from_si(found, "lbft3") == pytest.approx(0.0749, abs=5e-5)
    assert found == pytest.approx(air.STANDARD.density, rel=2e-3)


def test_humid_air_is_half_a_percent_lighter():
    """75 °F at 50 % is 0.55 % lighter than dry (computed from the chapter's equations)."""
    warm = to_si(75.0, "degf")
    ratio = air.density(warm, 101_325.0, 0.5) / air.density(warm, 101_325.0)
    assert ratio - 1.0 == pytest.approx(-0.0055, abs=5e-5)
