"""CoolProp 8.0.0: water's saturation (IAPWS) and states of humid air (real gas), computed."""

from __future__ import annotations

import pytest

from inchwater.effects import humid_air
from inchwater.units import to_si

# °C, Pa.
SATURATION = [
    (0.01, 611.655),
    (5.0, 872.575),
    (10.0, 1228.199),
    (15.0, 1705.793),
    (20.0, 2339.318),
    (30.0, 4246.971),
    (40.0, 7384.938),
]


@pytest.mark.parametrize(("celsius", "pascal"), SATURATION)
def test_saturation_pressure(check, celsius, pascal):
    """Within 0.1 %."""
    check(
        formula="saturation pressure",
        source="coolprop",
        place="water, saturated",
        case=f"{celsius:g} °C",
        says=pascal,
        got=humid_air.saturation_pressure(to_si(celsius, "degc")),
        unit="Pa",
        rel=1e-3,
        status="computed",
    )


# °C, relative humidity; humidity ratio, dew point [°C], wet bulb [°C], at 101 325 Pa.
STATES = [
    (26.6667, 0.50, 0.0109744, 15.3958, 19.2542),
    (23.8889, 0.50, 0.0092772, 12.8471, 16.9704),
    (12.7778, 0.95, 0.0087663, 11.9977, 12.3187),
    (21.1, 0.50, 0.0078123, 10.2855, 14.6798),
]


@pytest.mark.parametrize(("celsius", "relative", "ratio", "dew", "wet"), STATES)
def test_states_of_humid_air(check, celsius, relative, ratio, dew, wet):
    """Ratio within 0.6 % (ours is of ideal gases), dew point and wet bulb within 0.1 K."""
    kelvin = to_si(celsius, "degc")
    found = humid_air.humidity_ratio(kelvin, relative)
    for what, says, got, tolerance in (
        ("humidity ratio", ratio, found, {"rel": 6e-3}),
        ("dew point, °C", dew, humid_air.dew_point(found) - 273.15, {"abs": 0.1}),
        ("wet bulb, °C", wet, humid_air.wet_bulb(kelvin, found) - 273.15, {"abs": 0.1}),
    ):
        check(
            formula="humid air states",
            source="coolprop",
            place=f"humid air, {what}",
            case=f"{celsius:.1f} °C, {100 * relative:.0f} %",
            says=says,
            got=got,
            status="computed",
            **tolerance,
        )


@pytest.mark.parametrize(
    ("celsius", "relative", "joule"),
    [(26.6667, 0.50, 54_804.7), (23.8889, 0.50, 47_634.9), (12.7778, 0.95, 34_973.1)],
)
def test_enthalpy(check, celsius, relative, joule):
    """Above dry air and water at 0 °C, within 0.6 %."""
    kelvin = to_si(celsius, "degc")
    check(
        formula="humid air states",
        source="coolprop",
        place="humid air, enthalpy",
        case=f"{celsius:.1f} °C, {100 * relative:.0f} %",
        says=joule,
        got=humid_air.enthalpy(kelvin, humid_air.humidity_ratio(kelvin, relative)),
        unit="J/kg",
        rel=6e-3,
        status="computed",
    )
