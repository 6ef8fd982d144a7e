"""How much warmer the air leaves: furnace stages, electric heat kits, heat pumps, and their limits.

The rating plate's range of rise and the kit's own table of least air decide; nothing here replaces
them.  A rise above the plate overheats the exchanger, one below it can make flue gas condense.
"""

from __future__ import annotations

import numpy as np

from inchwater.air import Air, Values, airflow_from_rise, sensible_heat
from inchwater.effects.checks import as_given
from inchwater.effects.data_rows import value
from inchwater.errors import InputError
from inchwater.parts.checks import positive, within
from inchwater.units import from_si, to_si

# A rise beyond this is a slip of units, not a furnace. [K]
_HIGHEST = to_si(200.0, "degf_rise")


def temperature_rise(
    heat: Values,
    airflow: Values,
    air: Air | None = None,
    fan_power: Values = 0.0,
    humidity_ratio: Values = 0.0,
) -> Values:
    """Supply temperature less return temperature while heat runs.

    Parameters
    ----------
    heat : float or array
        That the air gets from burner, elements or condenser. [W]
    airflow : float or array
        Through the unit, at the density of ``air``. [m3/s]
    air : Air, optional
        None is standard air.
    fan_power : float or array
        Watts of the blower, which all end in the air. [W]
    humidity_ratio : float or array
        Water over dry air, by mass. [-]

    Returns
    -------
    float or array
        [K]

    Raises
    ------
    PartError
        at ``heat`` or ``airflow`` if one is not above zero, at ``fan_power`` below zero.

    References
    ----------
    ASHRAE Handbook Fundamentals 2017, chapter 1, equation 30, by ``air.sensible_heat``.

    Examples
    --------
    64,000 Btu/h in 1,000 cfm:

    >>> rise = temperature_rise(to_si(64_000.0, "btuh"), to_si(1000.0, "cfm"))
    >>> round(from_si(rise, "degf_rise"))
    59
    """
    positive("heat", heat, unit="W")
    positive("airflow", airflow, unit="m3/s")
    within("fan_power", fan_power, 0.0, np.inf, "watts of a blower are not negative", "W")
    found = (heat + fan_power) / sensible_heat(airflow, 1.0, air, humidity_ratio)
    return as_given(found, heat, airflow, fan_power, humidity_ratio)


def least_airflow(heat: Values, highest_rise: Values, air: Air | None = None) -> Values:
    """Airflow at which heat makes a rise that must not be passed.

    Parameters
    ----------
    heat : float or array
        [W]
    highest_rise : float or array
        Upper end of the plate's range, or what a kit's outlet may have. [K]
    air : Air, optional
        None is standard air.

    Returns
    -------
    float or array
        At the density of ``air``. [m3/s]

    Raises
    ------
    PartError
        at ``heat`` or ``highest_rise`` if it cannot be.

    References
    ----------
    As :func:`temperature_rise`, backward.

    Examples
    --------
    10 kW at 50 °F:

    >>> found = least_airflow(10_000.0, to_si(50.0, "degf_rise"))
    >>> round(from_si(found, "cfm"))
    631
    """
    positive("heat", heat, unit="W")
    within("highest_rise", highest_rise, 1e-6, _HIGHEST, _RISES, "K")
    return as_given(airflow_from_rise(heat, highest_rise, air), heat, highest_rise)


def kit_heat(power: Values, volts: Values, rated: Values) -> Values:
    """Heat of electric elements at the voltage they get.

    Parameters
    ----------
    power : float or array
        At the rated voltage. [W]
    volts, rated : float or array
        Under load, and of the rating. [V]

    Returns
    -------
    float or array
        Resistances: with the square of the voltage. [W]

    Raises
    ------
    PartError
        at ``power``, ``volts`` or ``rated`` if one is not above zero.

    References
    ----------
    Joule and Ohm.

    Examples
    --------
    >>> round(kit_heat(10_000.0, 208.0, 240.0))
    7511
    """
    for where, given, unit in (("power", power, "W"), ("volts", volts, "V"), ("rated", rated, "V")):
        positive(where, given, unit=unit)
    return as_given(power * np.square(volts / rated), power, volts, rated)


def usual_kit_airflow(power: float) -> tuple[float, float]:
    """Range of least air that tables of kits ask for at a power [W]; no rule. [m3/s]

    Raises
    ------
    PartError
        at ``power`` if it is not above zero.

    References
    ----------
    ``data/heating.csv``; status: memory. The kit's own table decides.

    Examples
    --------
    >>> [round(from_si(end, "cfm")) for end in usual_kit_airflow(10_000.0)]
    [500, 900]
    """
    positive("power", power, unit="W")
    kilowatts = from_si(power, "kw")
    low, high = (value("heating", f"kit airflow {end}") for end in ("low", "high"))
    return low * kilowatts, high * kilowatts


def check_range(call: str, rise: tuple[float, float]) -> tuple[float, float]:
    """A plate's range of temperature rise, as it was typed [K].

    Raises
    ------
    PartError
        at ``plate.rise.<call>`` if an end is none of a plate's.
    InputError
        at ``plate.rise.<call>`` if the low end is not below the high one.
    """
    for end in rise:
        within(f"plate.rise.{call}", end, 1e-6, _HIGHEST, _RISES, "K")
    if not rise[0] < rise[1]:
        raise InputError(
            where=f"plate.rise.{call}",
            came=f"{rise[0]:g} to {rise[1]:g} K",
            right="the low end is below the high one",
            do="Read the rating plate again.",
        )
    return rise


_RISES = f"a rise is above 0 and at most {_HIGHEST:.0f} K (200 °F)"
