"""A fan catalogue's one-page "fan basics": density factors and a selection at altitude.

Read in a public re-post (the maker is left unnamed); factors are printed to three digits.
"""

from __future__ import annotations

import pytest

from inchwater import air
from inchwater.parts import blowers
from inchwater.units import to_si

FACTORS = {
    70: [
        (0, 1.000),
        (1000, 0.964),
        (2000, 0.930),
        (3000, 0.896),
        (4000, 0.864),
        (5000, 0.832),
        (6000, 0.801),
        (7000, 0.772),
        (8000, 0.743),
        (10000, 0.688),
    ],
    100: [(0, 0.946), (3000, 0.848), (5000, 0.787), (7000, 0.730)],
    200: [(0, 0.803), (5000, 0.668), (6000, 0.643)],
}


@pytest.mark.parametrize(
    ("degf", "altitude_ft", "factor"),
    [(degf, *row) for degf, rows in FACTORS.items() for row in rows],
)
def test_density_by_altitude_and_temperature(degf, altitude_ft, factor):
    """Density over that at 70 °F and sea level, within the table's 0.002."""
    base = air.density(to_si(70.0, "degf"), air.standard_pressure(0.0))
    there = air.density(to_si(degf, "degf"), air.standard_pressure(to_si(altitude_ft, "ft")))
    assert there / base == pytest.approx(factor, abs=0.002)


def test_a_sea_level_table_is_entered_with_the_pressure_over_the_factor():
    """1.5 in. w.c. at factor 0.643 is 2.333 in the table (0.5 %)."""
    assert blowers.density_ratio_entry(1.5, 0.643) == pytest.approx(2.333, rel=5e-3)


def test_the_factor_of_the_example_is_that_of_its_air():
    """6000 ft and 200 °F make the 0.643 of the example, through `air_at` too."""
    there = air.air_at(to_si(6000.0, "ft"), to_si(200.0, "degf"))
    sea = air.air_at(0.0, to_si(70.0, "degf"))
    assert there.density / sea.density == pytest.approx(0.643, abs=0.002)
