"""Cooling coils: pressure drop as a power of the airflow, dry and wet, by capacity or by rating."""

from __future__ import annotations

import numpy as np

from inchwater.air import Values
from inchwater.errors import NotPossibleError, PartError
from inchwater.parts import coefficients
from inchwater.parts.filters import condition
from inchwater.parts.laws import PowerLaw


def coil_law(capacity: Values, wet: bool) -> tuple[PowerLaw, float]:
    """Pressure law of a clean cased coil of which only the capacity is known, and its spread.

    Parameters
    ----------
    capacity : float or array
        Nominal cooling capacity. [W]
    wet : bool
        Whether water stands on its fins.

    Returns
    -------
    law : PowerLaw
        In standard air.
    sigma_ln : float
        Of the lognormal spread of the drop. [-]

    Raises
    ------
    PartError
        at ``capacity`` if it is not positive.

    References
    ----------
    ``data/coils.csv``: proposed; wet over dry 1.35 lies in the 1.2–1.5 of published coil tables
    (memory) and below the bound of about 2 of research on fins that hold water (Wang and Liaw
    2012, abstract).

    Examples
    --------
    >>> from inchwater.units import from_si, to_si
    >>> law, sigma_ln = coil_law(to_si(3.0, "ton"), wet=True)
    >>> round(from_si(float(law.drop(to_si(1200.0, "cfm"))), "inwc"), 2)
    0.27
    """
    if not np.all(np.asarray(capacity) > 0.0):
        raise PartError(
            where="capacity",
            came=f"{np.min(capacity):g} W",
            right="a coil's capacity is above zero",
        )
    rows = coefficients.table("coils")
    at = rows["wet" if wet else "dry"]
    airflow = rows["airflow per capacity"].value * capacity
    return PowerLaw.through(at.value, airflow, rows["exponent"].value), at.number("sigma_ln")


def coil_law_from_rating(
    drop: Values, airflow: Values, wet: bool = False, rated_wet: bool = False
) -> tuple[PowerLaw, float]:
    """Pressure law of a clean coil through its printed drop, and its spread.

    Parameters
    ----------
    drop : float or array
        Printed drop [Pa] ...
    airflow : float or array
        ... at this airflow. [m3/s]
    wet : bool
        Whether the law is wanted for a wet coil.
    rated_wet : bool
        Whether the printed drop is that of the wet coil; where the two differ, the ratio of the
        default coil's wet and dry drop is used.
    """
    rows = coefficients.table("coils")
    wetting = rows["wet"].value / rows["dry"].value
    factor = 1.0 if wet == rated_wet else wetting if wet else 1.0 / wetting
    law = PowerLaw.through(drop, airflow, rows["exponent"].value).times(factor)
    return law, coefficients.value("ratings", "coil sigma_ln")


def condition_factor(word: str | None) -> tuple[float, float]:
    """How many times its clean drop a coil has in this condition: median and sigma of ln. [-]

    Parameters
    ----------
    word : {"clean", "dusty", "caked"} or None
        None is not looked at.

    Raises
    ------
    NotPossibleError
        at ``coil.condition`` for an iced coil: its resistance changes by the minute.

    References
    ----------
    Siegel, Walker and Sherman, ACEEE Summer Study 2002 (abstract read): a coil's drop doubles in
    about 7.5 years. ``data/conditions.csv``.
    """
    if word == "iced":
        raise NotPossibleError(
            where="coil.condition",
            came="iced",
            right="a coil with ice on it has no steady resistance",
            do="Thaw it with the blower alone, find out why it froze, and read the statics again.",
        )
    return condition("coil", word)
