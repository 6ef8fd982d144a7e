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
def test_density_by_altitude_and_temperature(check, degf, altitude_ft, factor):
    """Density over that at 70 °F and sea level, within the table's 0.002."""
    base = air.air_at(0.0, to_si(70.0, "degf"))
    there = air.air_at(to_si(altitude_ft, "ft"), to_si(degf, "degf"))
    check(
        formula="density altitude",
        source="fan-catalogue",
        place="air density factors",
        case=f"{altitude_ft:,} ft, {degf} °F",
        says=factor,
        got=there.density / base.density,
        abs=0.002,
        status="read",
    )


def test_a_sea_level_table_is_entered_with_the_pressure_over_the_factor(check):
    """1.5 in. w.c. at factor 0.643 is 2.333 in the table (0.5 %)."""
    check(
        formula="blower density",
        source="fan-catalogue",
        place="worked selection",
        case="1.5 in. w.c. at 6,000 ft and 200 °F, factor 0.643",
        says=2.333,
        got=blowers.density_ratio_entry(1.5, 0.643),
        unit="in. w.c.",
        rel=5e-3,
        status="read",
    )
