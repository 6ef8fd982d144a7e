"""The air behind a cooling coil, how cold the coil is, whether it ices, how much water it takes.

Part of the air is thought to leave saturated at the coil's own temperature, its apparatus dew
point, the rest as it came: the bypass-factor model of the EnergyPlus engineering reference.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from inchwater.air import STANDARD, Values
from inchwater.effects.capacity import temperature_factor
from inchwater.effects.checks import as_given
from inchwater.effects.conditions import Conditions, conditions
from inchwater.effects.data_rows import value
from inchwater.effects.humid_air import (
    dew_point,
    enthalpy,
    humidity_ratio,
    saturated_temperature,
    temperature_of,
)
from inchwater.parts.checks import positive, within

Array = NDArray[np.float64]
# Bypass factors at the rated airflow that a table of rated sensible shares is made for. [-]
_RATED = np.linspace(0.005, 0.60, 120)


@dataclass(frozen=True, slots=True)
class CoilAir:
    """What a cooling coil does to its air.

    ``leaving`` : dry bulb behind the coil, the blower's heat apart [K]; ``humidity`` : water over
    dry air there [-]; ``dew_point`` : apparatus dew point, or the surface of a coil that stays dry
    [K]; ``sensible_share`` : sensible over total [-]; ``water`` : that runs off [kg/s].
    """

    leaving: Values
    humidity: Values
    dew_point: Values
    sensible_share: Values
    water: Values


def coil_air(
    airflow: Values,
    total: Values,
    nominal: Values,
    entering: Conditions,
    rated_share: Values | None = None,
    density: float = STANDARD.density,
) -> CoilAir:
    """The state behind a cooling coil.

    Parameters
    ----------
    airflow : float or array
        Through the coil, at ``density``. [m3/s]
    total : float or array
        Total capacity as it runs, sensible and latent, the blower's heat apart. [W]
    nominal : float or array
        Nominal capacity of the stage that runs. [W]
    entering : Conditions
        The air that enters.
    rated_share : float or array, optional
        Sensible heat ratio of the rating test; 0.75 if None. [-]
    density : float
        Of the air that ``airflow`` is of. [kg/m3]

    Returns
    -------
    CoilAir
        All of the shape of the inputs.

    Raises
    ------
    PartError
        at ``airflow``, ``total`` or ``nominal`` if one is not above zero; at ``rated_share``
        outside what a coil can have; at ``enthalpy`` where the coil would be below −60 °C.

    References
    ----------
    EnergyPlus, Engineering Reference, DX coils: bypass factor; status: memory.

    Examples
    --------
    A three-ton coil at its rated air, in the rating test:

    >>> from inchwater.units import from_si, to_si
    >>> three = to_si(3.0, "ton")
    >>> found = coil_air(to_si(1182.6, "cfm"), three, three, conditions("rating"))
    >>> round(from_si(found.dew_point, "degf"), 1), round(found.sensible_share, 2)
    (55.4, 0.75)
    """
    for where, given, unit in (
        ("airflow", airflow, "m3/s"),
        ("total", total, "W"),
        ("nominal", nominal, "W"),
    ):
        positive(where, given, unit=unit)
    share = value("coil_air", "rated sensible share") if rated_share is None else rated_share
    ratio = entering.humidity_ratio
    dry = airflow * density / (1.0 + ratio)
    bypass = bypass_factor(airflow * density / STANDARD.density / nominal, share)
    taken = total / dry
    h_in = float(enthalpy(entering.temperature, ratio))
    h_coil = h_in - taken / (1.0 - bypass)
    surface = np.asarray(saturated_temperature(h_coil, entering.pressure))
    at_surface = np.asarray(humidity_ratio(surface, 1.0, entering.pressure))
    wet = at_surface < ratio
    # A coil warmer than the air's dew point takes no water: all its work is sensible.
    sensible = (np.asarray(enthalpy(entering.temperature, at_surface)) - h_coil) / (h_in - h_coil)
    sensible = np.where(wet, sensible, 1.0)
    humidity = np.where(wet, ratio - (1.0 - bypass) * (ratio - at_surface), ratio)
    leaving = np.asarray(temperature_of(h_in - taken, humidity))
    bare = entering.temperature - (entering.temperature - leaving) / (1.0 - bypass)
    like = (airflow, total, nominal, share)
    return CoilAir(
        leaving=as_given(leaving, *like),
        humidity=as_given(humidity, *like),
        dew_point=as_given(np.where(wet, surface, bare), *like),
        sensible_share=as_given(sensible, *like),
        water=as_given(dry * (ratio - humidity), *like),
    )


def bypass_factor(airflow_per_capacity: Values, rated_share: Values) -> Values:
    """Share of the air that passes a coil as it came.

    Parameters
    ----------
    airflow_per_capacity : float or array
        Standard air for each watt of nominal capacity. [m3/s per W]
    rated_share : float or array
        Sensible heat ratio of the rating test. [-]

    Returns
    -------
    float or array
        Falls with less air, which then stays longer in the coil. [-]

    Raises
    ------
    PartError
        at ``airflow_per_capacity`` or ``rated_share`` if it cannot be.

    References
    ----------
    EnergyPlus, Engineering Reference, DX coils: exp(−A/airflow), A from the rated state; status:
    memory.

    Examples
    --------
    >>> from inchwater.units import to_si
    >>> round(bypass_factor(to_si(394.2, "cfm_ton"), 0.75), 2)
    0.15
    """
    positive("airflow_per_capacity", airflow_per_capacity, unit="m3/s per W")
    shares, factors = _rated_factors()
    low, high = float(shares[0]), float(shares[-1])
    right = f"the rating test leaves {low:.2f} to {high:.2f} sensible"
    within("rated_share", rated_share, low, high, right)
    rated = np.interp(rated_share, shares, factors)
    units_of_transfer = -np.log(rated) * value("coil_air", "rated set airflow")
    found = np.exp(-units_of_transfer / airflow_per_capacity)
    return as_given(found, airflow_per_capacity, rated_share)


def refrigerant_temperature(surface: Values, scatter: Values = 0.0) -> Values:
    """Saturated refrigerant in a cooling coil of an apparatus dew point.

    Parameters
    ----------
    surface : float or array
        Apparatus dew point. [K]
    scatter : float or array
        How far this coil lies from the usual one, as a standard normal. [-]

    Returns
    -------
    float or array
        Below freezing the coil ices in comfort cooling. [K]

    References
    ----------
    ``data/coil_air.csv``; status: proposed, between read and remembered figures.

    Examples
    --------
    >>> round(283.15 - refrigerant_temperature(283.15), 2)
    4.44
    """
    apart = value("coil_air", "approach") * np.exp(value("coil_air", "approach sigma_ln") * scatter)
    return as_given(surface - apart, surface, scatter)


def ices(refrigerant: Values) -> NDArray[np.bool_]:
    """Whether a coil ices in comfort cooling, by its saturated refrigerant [K]."""
    return np.asarray(np.asarray(refrigerant) < value("coil_air", "freezing"))


def total_capacity(nominal: Values, ratio: Values, family: str, entering: Conditions) -> Values:
    """Total cooling capacity as a unit runs. [W]

    Parameters
    ----------
    nominal : float or array
        Of the stage that runs. [W]
    ratio : float or array
        By airflow; see :func:`inchwater.effects.capacity.capacity_ratio`. [-]
    family : {"ac", "hp"}
        Which temperature curve.
    entering : Conditions
        What comes in, and the outdoors.

    Examples
    --------
    >>> round(total_capacity(10_000.0, 0.954, "ac", conditions("hot")))
    8983
    """
    factor = temperature_factor(family, entering.wet_bulb, entering.outdoor)
    return as_given(nominal * ratio * factor, nominal, ratio)


@cache
def _rated_factors() -> tuple[Array, Array]:
    """Sensible shares of the rating test, rising, with the bypass factor that gives each."""
    rating = conditions("rating")
    ratio = rating.humidity_ratio
    per_watt = value("coil_air", "rated set airflow") * STANDARD.density / (1.0 + ratio)
    h_in = float(enthalpy(rating.temperature, ratio))
    # More bypass is a colder coil; from some point on the air could not give up so much.
    h_coil = h_in - 1.0 / per_watt / (1.0 - _RATED)
    surface = np.asarray(saturated_temperature(h_coil))
    at_surface = np.asarray(humidity_ratio(surface, 1.0))
    share = (np.asarray(enthalpy(rating.temperature, at_surface)) - h_coil) / (h_in - h_coil)
    falls = np.flatnonzero(np.diff(share) >= 0.0)
    last = int(falls[0]) + 1 if len(falls) else len(share)
    return share[:last][::-1].copy(), _RATED[:last][::-1].copy()


def dew_point_of(entering: Conditions) -> float:
    """Dew point of the air that enters, which a register colder than it sweats in. [K]"""
    return float(dew_point(entering.humidity_ratio, entering.pressure))
