"""The air in the ducts: density and viscosity by temperature, humidity and altitude; its heat.

Humid-air density, heat capacity and the standard atmosphere are those of the ASHRAE Handbook
Fundamentals 2017, chapter 1 (psychrolib); viscosity is Sutherland's formula with the constants of
the US Standard Atmosphere 1976.
"""

from __future__ import annotations

import builtins
from dataclasses import dataclass
from functools import cache
from importlib.abc import InspectLoader
from importlib.util import find_spec
from types import CodeType, ModuleType
from typing import Any, TypeAlias, cast

import numpy as np
from numpy.typing import NDArray

from inchwater.errors import InputError

# A number or an array of them; scalar in, scalar out.
Values: TypeAlias = float | NDArray[np.float64]

FREEZING = 273.15  # of water, the zero of the Celsius scale [K]
SUTHERLAND_FACTOR = 1.458e-6  # [kg/(m s K^0.5)]
SUTHERLAND_TEMPERATURE = 110.4  # [K]
HEAT_OF_DRY_AIR = 1006.0  # [J/(kg K)]
HEAT_OF_VAPOUR = 1860.0  # [J/(kg K)]


@dataclass(frozen=True, slots=True)
class Air:
    """What a duct needs to know of its air: density [kg/m3] and dynamic viscosity [Pa s]."""

    density: float
    viscosity: float

    @property
    def density_ratio(self) -> float:
        """Density over that of standard air: what blower pressures scale with. [-]"""
        return self.density / STANDARD.density


# 0.075 lb/ft3, the air that blower tables and friction charts are printed for (AMCA 210 and ASHRAE
# convention, memory); the viscosity is the one of the friction check values.
STANDARD = Air(1.2013847, 1.82e-5)
INDOORS = 294.26  # air of a house where nobody has said, 70 F [K]


@cache
def _psychrolib() -> Any:
    """Psychrolib as plain Python, set to SI, an instance of our own.

    Where numba is installed psychrolib has itself compiled, which takes ten seconds at each start
    and gains nothing for a handful of states; so its code runs where numba cannot be imported.
    Only that code is concerned: other threads may import what they like meanwhile.
    """
    spec = find_spec("psychrolib")
    if spec is None or not isinstance(spec.loader, InspectLoader):
        raise ModuleNotFoundError("psychrolib is not installed")
    code = spec.loader.get_code("psychrolib")
    module = ModuleType("psychrolib")
    vars(module)["__builtins__"] = {**vars(builtins), "__import__": _without_numba}
    exec(cast(CodeType, code), vars(module))
    module.SetUnitSystem(module.SI)
    return module


def _without_numba(name: str, *more: Any, **named: Any) -> Any:
    if name == "numba":
        raise ImportError("psychrolib is to stay plain Python")
    return builtins.__import__(name, *more, **named)


def _each(function: Any, *values: Values) -> Values:
    """``function`` of scalars over broadcast arrays; for a handful of states, not for samples."""
    if all(np.ndim(value) == 0 for value in values):
        return float(function(*(float(value) for value in values)))
    result: NDArray[np.float64] = np.vectorize(function, otypes=[np.float64])(*values)
    return result


def standard_pressure(altitude: Values) -> Values:
    """Barometric pressure of the standard atmosphere at an altitude.

    Parameters
    ----------
    altitude : float or array
        Height above sea level. [m]

    Returns
    -------
    float or array
        Absolute pressure. [Pa]

    References
    ----------
    ASHRAE Handbook Fundamentals 2017, chapter 1, equation 3 (psychrolib, GetStandardAtmPressure;
    read in its source).

    Examples
    --------
    >>> round(standard_pressure(1524.0))
    84307
    """
    return _each(_psychrolib().GetStandardAtmPressure, altitude)


def density(temperature: Values, pressure: Values, relative_humidity: Values = 0.0) -> Values:
    """Density of humid air.

    Parameters
    ----------
    temperature : float or array
        Dry-bulb temperature, 173 to 473 K. [K]
    pressure : float or array
        Absolute pressure. [Pa]
    relative_humidity : float or array
        Between 0 and 1. [-]

    Returns
    -------
    float or array
        Mass of the mixture per volume. [kg/m3]

    Raises
    ------
    InputError
        at ``relative_humidity`` or ``temperature`` if one is outside its range.

    References
    ----------
    ASHRAE Handbook Fundamentals 2017, chapter 1, equations 11, 20 and 26 (psychrolib,
    GetMoistAirDensity; read in its source).

    Examples
    --------
    >>> round(density(294.26, 101325.0, 0.5), 3)
    1.194
    """
    humidity = np.asarray(relative_humidity)
    if not np.all((humidity >= 0.0) & (humidity <= 1.0)):
        raise InputError(
            where="relative_humidity",
            came=f"{_worst(humidity, 0.0, 1.0):g}",
            right="relative humidity runs from 0 to 1",
        )
    kelvin = np.asarray(temperature)
    if not np.all((kelvin >= 173.15) & (kelvin <= 473.15)):
        raise InputError(
            where="temperature",
            came=f"{_worst(kelvin, 173.15, 473.15):g} K",
            right="air is known here from 173.15 to 473.15 K (−100 to 200 °C)",
            do="Temperatures are in kelvin inside the program.",
        )
    psychrolib = _psychrolib()

    def one(kelvin: float, pascal: float, humid: float) -> float:
        celsius = kelvin - FREEZING
        ratio = psychrolib.GetHumRatioFromRelHum(celsius, humid, pascal)
        return float(psychrolib.GetMoistAirDensity(celsius, ratio, pascal))

    return _each(one, temperature, pressure, relative_humidity)


def viscosity(temperature: Values) -> Values:
    """Dynamic viscosity of air at a temperature.

    Parameters
    ----------
    temperature : float or array
        [K]

    Returns
    -------
    float or array
        [Pa s]

    References
    ----------
    US Standard Atmosphere 1976, equation 51 (memory); checked against computed CoolProp values.

    Examples
    --------
    >>> round(viscosity(294.26) * 1e6, 2)
    18.19
    """
    result = SUTHERLAND_FACTOR * temperature**1.5 / (temperature + SUTHERLAND_TEMPERATURE)
    return result


def air_at(
    altitude: float = 0.0, temperature: float = INDOORS, relative_humidity: float = 0.0
) -> Air:
    """The air at an altitude [m], a temperature [K] and a relative humidity [-].

    Examples
    --------
    >>> round(air_at(altitude=1609.3).density_ratio, 3)
    0.822
    """
    return Air(
        density=float(density(temperature, standard_pressure(altitude), relative_humidity)),
        viscosity=float(viscosity(temperature)),
    )


def sensible_heat(
    flow: Values, rise: Values, air: Air | None = None, humidity_ratio: Values = 0.0
) -> Values:
    """Heat that a flow of air takes up when its temperature rises.

    Parameters
    ----------
    flow : float or array
        Volume flow where the air has the density of ``air``. [m3/s]
    rise : float or array
        Temperature after less before; negative where the air is cooled. [K]
    air : Air, optional
        None is standard air.
    humidity_ratio : float or array
        Water over dry air, by mass. [-]

    Returns
    -------
    float or array
        Sensible heat only: nothing condenses. [W]

    Notes
    -----
    The trade's 1.08 Btu/h per cfm and °F is this of dry standard air.

    References
    ----------
    ASHRAE Handbook Fundamentals 2017, chapter 1, equation 30 (enthalpy of moist air; memory).

    Examples
    --------
    >>> round(sensible_heat(1.0, 1.0))
    1209
    """
    return flow * rise * _heat_capacity(air, humidity_ratio)


def airflow_from_rise(
    heat: Values, rise: Values, air: Air | None = None, humidity_ratio: Values = 0.0
) -> Values:
    """Airflow from the heat put into it and the rise of its temperature: the same, backward.

    Parameters
    ----------
    heat : float or array
        All heat between the two thermometers, the blower's own watts too. [W]
    rise : float or array
        Temperature after less before. [K]
    air : Air, optional
        Where the flow is wanted; None is standard air.
    humidity_ratio : float or array
        Water over dry air, by mass. [-]

    Returns
    -------
    float or array
        Volume flow at the density of ``air``. [m3/s]

    Raises
    ------
    InputError
        at ``rise`` if there is none.

    References
    ----------
    As :func:`sensible_heat`.

    Examples
    --------
    >>> round(airflow_from_rise(10_000.0, 22.2), 3)
    0.373
    """
    if np.any(np.asarray(rise) == 0.0):
        raise InputError(
            where="rise",
            came="0 K",
            right="heat warms the air",
            do="Wait until heat is on and the temperatures stand still.",
        )
    return heat / (rise * _heat_capacity(air, humidity_ratio))


def electric_heat(voltage: Values, current: Values) -> Values:
    """Heat of electric elements [W] from the volts [V] and amperes [A] measured at the kit.

    All of it goes into the air. One phase; elements are resistances, so that volts times amperes
    are watts.

    References
    ----------
    Joule; common practice of measuring airflow by electric heat.

    Examples
    --------
    >>> electric_heat(240.0, 40.0)
    9600.0
    """
    return voltage * current


def _heat_capacity(air: Air | None, humidity_ratio: Values) -> Values:
    """Heat that a volume of moist air takes up. [J/(m3 K)]"""
    # Of each kilogram of mixture 1/(1 + W) is dry air.
    per_mass = (HEAT_OF_DRY_AIR + HEAT_OF_VAPOUR * humidity_ratio) / (1.0 + humidity_ratio)
    return (STANDARD if air is None else air).density * per_mass


def _worst(values: NDArray[np.float64], low: float, high: float) -> float:
    """The first value that is not inside [low, high]."""
    flat = np.atleast_1d(values).ravel()
    return float(flat[~((flat >= low) & (flat <= high))][0])
