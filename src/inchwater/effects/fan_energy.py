"""What the blower takes: watts for its air, a year's energy, and money by hours and tariff.

The same heat has to be moved before and after, so a circuit that carries more runs less.
"""

from __future__ import annotations

import numpy as np

from inchwater.air import Values
from inchwater.effects.checks import as_given
from inchwater.parts.checks import positive, within


def yearly_energy(power: Values, running: Values) -> Values:
    """Energy of a year.

    Parameters
    ----------
    power : float or array
        While it runs. [W]
    running : float or array
        Time that it runs in a year. [s]

    Returns
    -------
    float or array
        [J]

    Raises
    ------
    PartError
        at ``power`` or ``running`` below zero.

    References
    ----------
    Definition.

    Examples
    --------
    500 W for 1,000 h are 500 kWh:

    >>> yearly_energy(500.0, 3.6e6) / 3.6e6
    500.0
    """
    within("power", power, 0.0, np.inf, "watts are not negative", "W")
    within("running", running, 0.0, np.inf, "a time is not negative", "s")
    return as_given(power * running, power, running)


def running_after(running: Values, capacity_before: Values, capacity_after: Values) -> Values:
    """Time that a system runs to move the same heat with another capacity.

    Parameters
    ----------
    running : float or array
        Before. [s]
    capacity_before, capacity_after : float or array
        [W or any other, both alike]

    Returns
    -------
    float or array
        [s]

    Raises
    ------
    PartError
        at ``running`` below zero, at ``capacity`` not above zero.

    References
    ----------
    Balance of energy.

    Examples
    --------
    >>> round(running_after(1000.0, 0.95, 1.0))
    950
    """
    within("running", running, 0.0, np.inf, "a time is not negative", "s")
    positive("capacity", capacity_before)
    positive("capacity", capacity_after)
    found = running * capacity_before / capacity_after
    return as_given(found, running, capacity_before, capacity_after)


def cost(energy: Values, price: Values) -> Values:
    """Money for energy.

    Parameters
    ----------
    energy : float or array
        [J]
    price : float or array
        [USD/J]

    Returns
    -------
    float or array
        [USD]

    Raises
    ------
    PartError
        at ``price`` below zero, or at ``energy`` that is no number.

    References
    ----------
    Definition.

    Examples
    --------
    >>> round(cost(500.0 * 3.6e6, 0.15 / 3.6e6), 2)
    75.0
    """
    within("energy", energy, -np.inf, np.inf, "it is a number", "J")
    within("price", price, 0.0, np.inf, "a price is not negative", "USD/J")
    return as_given(energy * price, energy, price)


def air_power_share(airflow: Values, pressure: Values, power: Values) -> Values:
    """Power that the air gets over what the blower takes: its overall efficiency.

    Parameters
    ----------
    airflow : float or array
        [m3/s]
    pressure : float or array
        External static. [Pa]
    power : float or array
        [W]

    Returns
    -------
    float or array
        [-]

    Raises
    ------
    PartError
        at ``airflow`` or ``power`` not above zero.

    References
    ----------
    AMCA 210, air power; status: memory.

    Examples
    --------
    >>> from inchwater.units import to_si
    >>> share = air_power_share(to_si(1200.0, "cfm"), to_si(0.5, "inwc"), 600.0)
    >>> round(share, 3)
    0.118
    """
    positive("airflow", airflow, unit="m3/s")
    positive("power", power, unit="W")
    within("pressure", pressure, -np.inf, np.inf, "it is a number", "Pa")
    return as_given(airflow * pressure / power, airflow, pressure, power)
