"""What voltage under load does to a blower: PSC motors slip more, electronic ones hold.

A table is printed for one voltage; a unit on a 208 V service runs below its 230 V table.
"""

from __future__ import annotations

import numpy as np

from inchwater.air import Values
from inchwater.parts import coefficients
from inchwater.parts.checks import positive


def voltage_factor(
    motor: str | None, volts: Values, nominal: Values, along: Values = 0.0
) -> tuple[Values, Values]:
    """What voltage under load does to airflow: a factor and its sigma of ln. [-]

    Parameters
    ----------
    motor : str or None
        Electronic motors hold their airflow; None counts the share of PSC motors in houses.
    volts, nominal : float or array
        Measured under load, and the voltage of the table. [V]
    along : float or array
        Where the tap stands from the fastest (0) to the slowest (1): a low tap has less torque to
        spare. [-]

    Raises
    ------
    PartError
        at ``volts`` or ``nominal`` if one is not positive.

    References
    ----------
    208 V tables of PSC air handlers give 0.94 ± 0.03 of the airflow at 230 V on the top tap and
    0.86 ± 0.04 on the lowest (memory); in between as a power of the voltage, and from tap to tap
    evenly.  ``data/blowers.csv``.

    Examples
    --------
    >>> factor, sigma = voltage_factor("psc", 208.0, 230.0)
    >>> round(float(factor), 2), round(float(sigma), 2)
    (0.94, 0.03)
    """
    top, lowest = _of("low voltage factor"), _of("low voltage factor lowest")
    sigma = (1.0 - along) * _of("low voltage sigma") + along * _of("low voltage sigma lowest")
    effect = (1.0 - along) * np.log(top) + along * np.log(lowest)
    return _factor(motor, volts, nominal, effect, sigma)


def voltage_power_factor(
    motor: str | None, volts: Values, nominal: Values
) -> tuple[Values, Values]:
    """What voltage under load does to the watts: a factor and its sigma of ln. [-]

    Parameters and errors as for :func:`voltage_factor`.

    References
    ----------
    208 V tables of PSC air handlers give 0.80–0.88 of the watts at 230 V (memory).

    Examples
    --------
    >>> factor, _ = voltage_power_factor("psc", 208.0, 230.0)
    >>> round(float(factor), 2)
    0.84
    """
    effect = np.log(_of("low voltage power"))
    return _factor(motor, volts, nominal, effect, _of("low voltage power sigma"))


def voltage_beyond(motor: str | None, volts: float, nominal: float) -> str | None:
    """What to say of a voltage far from the table's; None of a usual one, or an electronic motor.

    Parameters
    ----------
    motor : str or None
        None is not known: then it may be a PSC motor.
    volts, nominal : float
        Measured under load, and the voltage of the table. [V]
    """
    ratio = volts / nominal
    low, high = _of("voltage low"), _of("voltage high")
    if motor not in ("psc", None) or low <= ratio <= high:
        return None
    return (
        f"{volts:g} V under load is far from the {nominal:g} V of the table; what that does to the "
        "airflow is a guess. Read the voltage again at the unit, and look which supply it has."
    )


def _factor(
    motor: str | None, volts: Values, nominal: Values, effect: Values, sigma: Values
) -> tuple[Values, Values]:
    """An effect [ln, at the low voltage of the tables] at the voltage that was measured."""
    for where, given in (("volts", volts), ("nominal_volts", nominal)):
        positive(where, given, "a voltage is a number above zero", "V")
    share = {"psc": 1.0, None: _of("share psc")}.get(motor, 0.0)
    relative = np.log(volts / nominal) / np.log(_of("low voltage ratio"))
    factor = np.exp(share * effect * relative)
    # Not knowing the motor adds the spread between having the effect and not having it.
    between = np.sqrt(share * (1.0 - share)) * effect
    spread = np.hypot(np.sqrt(share) * sigma, between)
    return factor, np.abs(relative) * spread


def _of(key: str) -> float:
    return coefficients.value("blowers", key)
