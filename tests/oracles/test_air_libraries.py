"""Air against CoolProp 8.0.0, values recorded: reference equations of state, not psychrolib's own.

Density within 0.1 % humid and 0.3 % dry, viscosity within 1.5 %, so that Sutherland passes.
"""

from __future__ import annotations

import pytest

from inchwater import air
from inchwater.units import from_si, to_si

# Dry air at 101 325 Pa: °F, kg/m3, 1e-6 Pa s.
DRY = [
    (-20, 1.4467, 15.739),
    (0, 1.3834, 16.316),
    (32, 1.2931, 17.218),
    (55, 1.2351, 17.852),
    (68, 1.2046, 18.206),
    (70, 1.2000, 18.260),
    (80, 1.1777, 18.529),
    (100, 1.1355, 19.060),
    (120, 1.0963, 19.583),
    (140, 1.0596, 20.099),
    (160, 1.0254, 20.607),
]
# Humid air: °F, relative humidity, Pa, kg/m3.
HUMID = [
    (70, 0.50, 101325, 1.1944),
    (75, 0.50, 101325, 1.1822),
    (80, 0.50, 101325, 1.1701),
    (55, 0.95, 101325, 1.2287),
    (95, 0.40, 101325, 1.1362),
    (105, 0.15, 101325, 1.1207),
    (75, 0.50, 83428, 0.9722),
    (55, 0.90, 83428, 1.0108),
    (120, 0.10, 83428, 0.8978),
    (75, 0.50, 78185, 0.9107),
]


@pytest.mark.parametrize(("degf", "density", "viscosity"), DRY)
def test_dry_air(degf, density, viscosity):
    """Density and viscosity of dry air from −20 to 160 °F."""
    kelvin = to_si(degf, "degf")
    assert air.density(kelvin, 101_325.0) == pytest.approx(density, rel=3e-3)
    assert air.viscosity(kelvin) * 1e6 == pytest.approx(viscosity, rel=0.015)


@pytest.mark.parametrize(("degf", "humidity", "pascal", "density"), HUMID)
def test_humid_air(degf, humidity, pascal, density):
    """Density of humid air at sea level, 5280 and 7000 ft."""
    assert air.density(to_si(degf, "degf"), pascal, humidity) == pytest.approx(density, rel=1e-3)


def test_a_city_a_mile_high():
    """5280 ft and 70 °F: 0.0617 lb/ft3, ratio 0.823 (Olson, trade article on altitude, read)."""
    found = air.air_at(to_si(5280.0, "ft"), to_si(70.0, "degf"))
    assert from_si(found.density, "lbft3") == pytest.approx(0.0617, rel=2e-3)
    sea = air.air_at(0.0, to_si(70.0, "degf"))
    assert found.density / sea.density == pytest.approx(0.823, rel=2e-3)


def test_one_system_between_cooling_and_heating():
    """55 °F at 95 % against 120 °F at 10 %: 1.228 and about 1.09 kg/m3, 12 % apart."""
    cold = air.density(to_si(55.0, "degf"), 101_325.0, 0.95)
    warm = air.density(to_si(120.0, "degf"), 101_325.0, 0.10)
    assert cold == pytest.approx(1.228, rel=1e-3)
    assert warm == pytest.approx(1.09, rel=5e-3)
