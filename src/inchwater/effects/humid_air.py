"""Water in the air, for thousands of samples at once: saturation, humidity, enthalpy, dew point.

The formulas are those of the ASHRAE Handbook Fundamentals 2017, chapter 1, as in ``air.py``; here
they take arrays, which a coil under every sample of a forecast needs.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from inchwater.air import FREEZING, HEAT_OF_DRY_AIR, HEAT_OF_VAPOUR, Values
from inchwater.effects.checks import as_given
from inchwater.effects.data_rows import value
from inchwater.parts.checks import within

# Where the formulas hold and the tables of their inverses run. [K]
COLDEST, WARMEST = FREEZING - 60.0, FREEZING + 90.0
_STEP = 0.05
_TEMPERATURE = f"air is known here from {COLDEST:g} to {WARMEST:g} K (−60 to 90 °C)"


def saturation_pressure(temperature: Values) -> Values:
    """Pressure of water vapour over water, or over ice below freezing.

    Parameters
    ----------
    temperature : float or array
        Between 213 and 363 K. [K]

    Returns
    -------
    float or array
        [Pa]

    Raises
    ------
    PartError
        at ``temperature`` outside that range.

    References
    ----------
    ASHRAE Handbook Fundamentals 2017, chapter 1, equations 5 and 6 (``data/humid_air.csv``).

    Examples
    --------
    >>> round(saturation_pressure(293.15))
    2339
    """
    within("temperature", temperature, COLDEST, WARMEST, _TEMPERATURE, "K")
    t = np.asarray(temperature, dtype=np.float64)
    over = np.where(t >= FREEZING, _exponent(t, "water"), _exponent(t, "ice"))
    return as_given(np.exp(over), temperature)


def humidity_ratio(
    temperature: Values, relative_humidity: Values, pressure: Values = 101325.0
) -> Values:
    """Water over dry air, by mass.

    Parameters
    ----------
    temperature : float or array
        Dry bulb. [K]
    relative_humidity : float or array
        Between 0 and 1; 1 is saturated. [-]
    pressure : float or array
        Absolute. [Pa]

    Raises
    ------
    PartError
        at ``relative_humidity`` or ``temperature`` outside its range.

    References
    ----------
    ASHRAE Handbook Fundamentals 2017, chapter 1, equations 20 and 22.

    Examples
    --------
    >>> round(humidity_ratio(299.817, 0.5), 5)
    0.01092
    """
    within(
        "relative_humidity", relative_humidity, 0.0, 1.0, "relative humidity runs from 0 to 1", ""
    )
    vapour = relative_humidity * saturation_pressure(temperature)
    found = _row("mass ratio") * vapour / (pressure - vapour)
    return as_given(found, temperature, relative_humidity, pressure)


def enthalpy(temperature: Values, ratio: Values) -> Values:
    """Enthalpy of moist air per mass of dry air, above dry air and water at 0 °C.

    Parameters
    ----------
    temperature : float or array
        [K]
    ratio : float or array
        Water over dry air, by mass. [-]

    Returns
    -------
    float or array
        [J/kg]

    References
    ----------
    ASHRAE Handbook Fundamentals 2017, chapter 1, equation 30.

    Examples
    --------
    >>> round(enthalpy(299.817, 0.01093))
    54705
    """
    celsius = temperature - FREEZING
    return HEAT_OF_DRY_AIR * celsius + ratio * (_row("evaporation") + HEAT_OF_VAPOUR * celsius)


def temperature_of(heat: Values, ratio: Values) -> Values:
    """Temperature of moist air of an enthalpy [J/kg] and humidity ratio [-]: the inverse. [K]"""
    per_kelvin = HEAT_OF_DRY_AIR + HEAT_OF_VAPOUR * ratio
    return FREEZING + (heat - _row("evaporation") * ratio) / per_kelvin


def saturated_temperature(heat: Values, pressure: float = 101325.0) -> Values:
    """Temperature at which saturated air has an enthalpy.

    Parameters
    ----------
    heat : float or array
        Enthalpy per mass of dry air. [J/kg]
    pressure : float
        Absolute. [Pa]

    Returns
    -------
    float or array
        [K]

    Raises
    ------
    PartError
        at ``enthalpy`` outside what saturated air can have from −60 to 60 °C.
    """
    temperatures, enthalpies, _ = _saturated(pressure)
    low, high = float(enthalpies[0]), float(enthalpies[-1])
    right = f"saturated air of −60 to 60 °C has {low:.0f} to {high:.0f} J/kg"
    within("enthalpy", heat, low, high, right, "J/kg")
    return as_given(np.interp(heat, enthalpies, temperatures), heat)


def dew_point(ratio: Values, pressure: float = 101325.0) -> Values:
    """Temperature at which air of a humidity ratio begins to lose water.

    Parameters
    ----------
    ratio : float or array
        Water over dry air, by mass. [-]
    pressure : float
        Absolute. [Pa]

    Returns
    -------
    float or array
        Dew point, or frost point below freezing. [K]

    Raises
    ------
    PartError
        at ``humidity_ratio`` outside what saturated air can hold from −60 to 60 °C.

    Examples
    --------
    >>> round(dew_point(0.01093) - 273.15, 1)
    15.4
    """
    temperatures, _, ratios = _saturated(pressure)
    low, high = float(ratios[0]), float(ratios[-1])
    right = f"air of a dew point of −60 to 60 °C holds {low:.2g} to {high:.2g}"
    within("humidity_ratio", ratio, low, high, right, "")
    return as_given(np.interp(ratio, ratios, temperatures), ratio)


def wet_bulb(temperature: float, ratio: float, pressure: float = 101325.0) -> float:
    """Wet bulb of air: where evaporating water would cool it to. [K]

    Parameters
    ----------
    temperature : float
        Dry bulb. [K]
    ratio : float
        Water over dry air, by mass. [-]
    pressure : float
        Absolute. [Pa]

    References
    ----------
    ASHRAE Handbook Fundamentals 2017, chapter 1, equation 33 (above freezing), solved by halving.

    Examples
    --------
    >>> round(wet_bulb(299.817, 0.01093) - 273.15, 1)
    19.3
    """
    low, high = COLDEST, temperature
    for _ in range(60):
        middle = 0.5 * (low + high)
        at_wet = float(humidity_ratio(middle, 1.0, pressure))
        cold, warm = middle - FREEZING, temperature - FREEZING
        vapour = _row("evaporation") * 1e-3 - 2.326 * cold
        held = (vapour * at_wet - 1.006 * (warm - cold)) / (
            _row("evaporation") * 1e-3 + 1.86 * warm - 4.186 * cold
        )
        low, high = (middle, high) if held < ratio else (low, middle)
    return 0.5 * (low + high)


def _exponent(t: NDArray[np.float64], over: str) -> NDArray[np.float64]:
    c = [_row(f"{over} {n}") for n in range(1, 7)]
    if over == "water":
        powers = c[0] / t + c[1] + c[2] * t + c[3] * t**2 + c[4] * t**3 + c[5] * np.log(t)
    else:
        powers = c[0] / t + c[1] + c[2] * t + c[3] * t**2 + c[4] * t**3 + c[5] * t**4
        powers = powers + _row("ice 7") * np.log(t)
    return np.asarray(powers)


@cache
def _saturated(
    pressure: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Temperatures in small steps, with enthalpy and humidity ratio of saturated air there."""
    temperatures = np.arange(COLDEST, FREEZING + 60.0 + _STEP, _STEP)
    ratios = np.asarray(humidity_ratio(temperatures, 1.0, pressure))
    return temperatures, np.asarray(enthalpy(temperatures, ratios)), ratios


@cache
def _row(key: str) -> float:
    return value("humid_air", key)
