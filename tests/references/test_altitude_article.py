"""D. R. Olson, trade article on altitude effects (read); US Standard Atmosphere 1976 (memory).

The article's 27.8 in. Hg at 5280 ft is a misprint of its own 12.04 psi and is left out.
"""

from __future__ import annotations

import pytest

from inchwater import air
from inchwater.units import from_si, to_si


@pytest.mark.parametrize(
    ("feet", "says", "tolerance"), [(5280, 0.0617, 0.003), (7928, (0.0554, 0.0557), 0.005)]
)
def test_density_of_two_towns(check, feet, says, tolerance):
    """Density of dry air at 70 °F at the altitude of two towns."""
    there = air.air_at(to_si(feet, "ft"), to_si(70.0, "degf"))
    check(
        formula="density altitude",
        source="olson",
        place="table of cities",
        case=f"{feet:,} ft, 70 °F",
        says=says,
        got=from_si(there.density, "lbft3"),
        unit="lb/ft³",
        rel=tolerance,
        status="read",
    )


# Geometric altitude [m], pressure [Pa] as the tables print it.
ATMOSPHERE = [
    (500, 95_461),
    (1000, 89_876),
    (1500, 84_560),
    (2000, 79_501),
    (2500, 74_692),
    (3000, 70_121),
]


@pytest.mark.parametrize(("metres", "pascal"), ATMOSPHERE)
def test_pressure_of_the_standard_atmosphere(check, metres, pascal):
    """The handbook's fit follows the atmosphere's own table within 0.05 %."""
    check(
        formula="pressure altitude",
        source="standard-atmosphere",
        place="table I, pressure by geometric altitude",
        case=f"{metres:,} m",
        says=pascal,
        got=air.standard_pressure(float(metres)),
        unit="Pa",
        rel=5e-4,
        status="memory",
    )
