"""Leaks: flow through the seams of ducts as a power of the pressure behind them."""

from __future__ import annotations

import numpy as np

from inchwater.air import Values
from inchwater.errors import PartError
from inchwater.parts import coefficients
from inchwater.units import to_si

# Below this pressure the power law is replaced by a cubic that meets it in value and slope:
# a power below 1 has an infinite slope at zero, and so small a crack flow is laminar anyway. [Pa]
LINEAR_BELOW = 0.05


def exponent() -> float:
    """The pressure exponent of residential duct leakage. [-]"""
    return coefficients.value("leaks", "exponent")


def leak_flow(pressure: Values, coefficient: Values, exponent: Values) -> Values:
    """Leakage flow out of a duct at a pressure; negative pressure draws air in.

    Parameters
    ----------
    pressure : float or array
        In the duct against its surroundings. [Pa]
    coefficient : float or array
        [m3/s per Pa^exponent]
    exponent : float or array
        0.5 (holes) to 1 (cracks). [-]

    Returns
    -------
    float or array
        Volume flow, of the sign of the pressure. [m3/s]

    Notes
    -----
    Below 0.05 Pa a cubic keeps the slope finite.

    References
    ----------
    SMACNA HVAC Air Duct Leakage Test Manual, F = CL·p^0.65 (read in reprints); residential n = 0.60
    after ASHRAE Standard 152 and ASTM E1554 (memory).

    Examples
    --------
    >>> round(float(leak_flow(100.0, 0.01, 0.5)), 3)
    0.1
    """
    return leak_flow_and_slope(pressure, coefficient, exponent)[0]


def leak_flow_and_slope(
    pressure: Values, coefficient: Values, exponent: Values
) -> tuple[Values, Values]:
    """Leakage flow [m3/s] and its slope over pressure [m3/(s Pa)]; see :func:`leak_flow`."""
    size = np.abs(pressure)
    large = np.maximum(size, LINEAR_BELOW)
    powered = coefficient * large**exponent
    s = size / LINEAR_BELOW
    cubic = 0.5 * (exponent - 1.0)
    edge = coefficient * LINEAR_BELOW**exponent
    inside = size < LINEAR_BELOW
    flow = np.where(inside, edge * (s * (1.0 - cubic) + cubic * s**3), powered)
    slope = np.where(
        inside,
        edge / LINEAR_BELOW * (1.0 - cubic + 3.0 * cubic * s**2),
        exponent * powered / large,
    )
    return np.sign(pressure) * flow, 1.0 * slope


def leak_coefficient(
    fraction: Values, airflow: Values, pressure: Values, exponent: Values
) -> Values:
    """Coefficient of the leak that loses a fraction of an airflow at a pressure.

    Parameters
    ----------
    fraction : float or array
        Leakage over ``airflow``. [-]
    airflow : float or array
        Of the blower. [m3/s]
    pressure : float or array
        Size of the pressure that the leak sees; its sign does not matter. [Pa]
    exponent : float or array
        [-]

    Raises
    ------
    PartError
        at ``leak.pressure`` if it is zero.
    """
    size = np.abs(pressure)
    if not np.all(size > 0.0):
        raise PartError(
            where="leak.pressure",
            came="0 Pa",
            right="a leak's flow is known at a pressure that drives it",
        )
    return fraction * airflow / size**exponent


def leakage_class_flow(leakage_class: Values, pressure: Values, surface: Values) -> Values:
    """Leakage [m3/s] of sheet-metal duct of a leakage class at a static pressure [Pa].

    Parameters
    ----------
    leakage_class : float or array
        cfm per 100 ft2 of duct surface at 1 in. w.c., as the manual numbers it. [cfm/100 ft2]
    pressure : float or array
        [Pa]
    surface : float or array
        Of the duct. [m2]

    References
    ----------
    SMACNA HVAC Air Duct Leakage Test Manual, F = CL·p^0.65 (read in several reprints).
    """
    power = coefficients.value("leaks", "sheet-metal exponent")
    per_area = leakage_class * to_si(1.0, "cfm") / to_si(100.0, "ft2")
    return leak_flow(pressure, per_area * surface / to_si(1.0, "inwc") ** power, power)
