"""CoolProp 8.0.0: dry and humid air at the temperatures and humidities of a duct system (computed).

A library of its own (Lemmon's equation of state; HAPropsSI for humid air), where the project uses
psychrolib's ideal gas, Sutherland's viscosity and a constant heat capacity.
"""

from __future__ import annotations

import pytest

from inchwater import air
from inchwater.units import to_si

# Dry air at 101,325 Pa: t [°F], density [kg/m3], viscosity [1e-6 Pa s].
DRY = [
    (-20, 1.4467, 15.739),
    (0, 1.3834, 16.316),
    (32, 1.2931, 17.218),
    (50, 1.2472, 17.716),
    (55, 1.2351, 17.852),
    (70, 1.2000, 18.260),
    (75, 1.1888, 18.394),
    (90, 1.1562, 18.795),
    (100, 1.1355, 19.060),
    (120, 1.0963, 19.583),
    (140, 1.0596, 20.099),
    (160, 1.0254, 20.607),
]


@pytest.mark.parametrize(("degf", "density", "viscosity"), DRY)
def test_dry_air(check, degf, density, viscosity):
    """Density within 0.2 %, viscosity within 0.6 %."""
    kelvin = to_si(degf, "degf")
    check(
        formula="density dry",
        source="coolprop",
        place="Air, 101,325 Pa",
        case=f"{degf} °F",
        says=density,
        got=air.density(kelvin, 101_325.0),
        unit="kg/m³",
        rel=2e-3,
        status="computed",
    )
    check(
        formula="viscosity",
        source="coolprop",
        place="Air, 101,325 Pa",
        case=f"{degf} °F",
        says=viscosity,
        got=1e6 * air.viscosity(kelvin),
        unit="µPa s",
        rel=6e-3,
        status="computed",
    )


# t [°F], relative humidity, pressure [Pa], humidity ratio, density [kg/m3], heat [J/(kg K)].
HUMID = [
    (70, 0.50, 101_325, 0.00778, 1.1944, 1013),
    (75, 0.50, 101_325, 0.00924, 1.1822, 1014),
    (80, 0.50, 101_325, 0.01092, 1.1701, 1016),
    (55, 0.95, 101_325, 0.00873, 1.2287, 1014),
    (95, 0.40, 101_325, 0.01413, 1.1362, 1019),
    (105, 0.15, 101_325, 0.00708, 1.1207, 1013),
    (75, 0.50, 83_428, 0.01125, 0.9722, 1016),
    (55, 0.90, 83_428, 0.01006, 1.0108, 1014),
    (120, 0.10, 83_428, 0.00883, 0.8978, 1015),
    (75, 0.50, 78_185, 0.01202, 0.9107, 1016),
]


@pytest.mark.parametrize(("degf", "humidity", "pascal", "ratio", "density", "heat"), HUMID)
def test_humid_air(check, degf, humidity, pascal, ratio, density, heat):
    """Density within 0.1 %, heat capacity within 0.2 %, at sea level and in the mountains."""
    case = f"{degf} °F, {100 * humidity:.0f} %, {pascal:,} Pa"
    check(
        formula="density humid",
        source="coolprop",
        place="HAPropsSI",
        case=case,
        says=density,
        got=air.density(to_si(degf, "degf"), pascal, humidity),
        unit="kg/m³",
        rel=1e-3,
        status="computed",
    )
    one = air.Air(1.0, 1.8e-5)
    check(
        formula="heat capacity",
        source="coolprop",
        place="HAPropsSI, C",
        case=f"{case}, humidity ratio {ratio}",
        says=heat,
        got=air.sensible_heat(1.0, 1.0, one, ratio),
        unit="J/(kg K)",
        rel=2e-3,
        status="computed",
    )


def test_the_air_of_two_seasons(check):
    """Cold supply air of cooling is 12 % denser than warm supply air of heating."""
    cold = air.density(to_si(55.0, "degf"), 101_325.0, 0.95)
    warm = air.density(to_si(120.0, "degf"), 101_325.0, 0.10)
    check(
        formula="density humid",
        source="coolprop",
        place="HAPropsSI",
        case="55 °F at 95 % over 120 °F at 10 %",
        says=1.228 / 1.09,
        got=cold / warm,
        rel=0.01,
        status="computed",
    )
