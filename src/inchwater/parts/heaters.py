"""Electric heat kits: what their elements cost the air, by power and size of unit or by rating.

The kit's plate and table decide how much air it needs; nothing here says that it has enough.
"""

from __future__ import annotations

import numpy as np

from inchwater.air import Values
from inchwater.parts import coefficients
from inchwater.parts.checks import positive
from inchwater.parts.laws import PowerLaw
from inchwater.units import from_si

_ABOVE = "a power is a number above zero"


def heater_law(power: Values | None, capacity: Values) -> tuple[PowerLaw, float]:
    """Pressure law of an electric heat kit, and its spread.

    Parameters
    ----------
    power : float or array, optional
        Of the kit; None where nobody read its plate. [W]
    capacity : float or array
        Nominal cooling capacity of the unit, which sets the section the kit stands in. [W]

    Returns
    -------
    law : PowerLaw
        In standard air.
    sigma_ln : float
        Of the lognormal spread of the drop. [-]

    Raises
    ------
    PartError
        at ``heat_kit.power`` or ``capacity`` if one is not positive.

    Notes
    -----
    Kits of 0.15 to 2 W per W of cooling; see :func:`beyond`.

    References
    ----------
    ``data/heaters.csv``: proposed, between printed deductions of air handlers (memory).

    Examples
    --------
    >>> from inchwater.units import from_si, to_si
    >>> law, sigma_ln = heater_law(10_000.0, to_si(3.0, "ton"))
    >>> round(from_si(float(law.drop(to_si(1200.0, "cfm"))), "inwc"), 2)
    0.05
    """
    positive("capacity", capacity, _ABOVE, "W")
    rows = coefficients.table("heaters")
    usual = rows["power per capacity"]
    elements = rows["elements"]
    spread = elements.number("sigma_ln")
    if power is None:
        ratio: Values = usual.value
        spread = float(np.hypot(spread, usual.number("sigma_ln")))
    else:
        positive("heat_kit.power", power, _ABOVE, "W")
        ratio = power / capacity
    drop = rows["frame"].value + elements.value * ratio
    airflow = rows["airflow per capacity"].value * capacity
    return PowerLaw.through(drop, airflow, rows["exponent"].value), spread


def heater_law_from_rating(drop: Values, airflow: Values) -> tuple[PowerLaw, float]:
    """Pressure law of a heat kit through its printed drop, and its spread.

    Parameters
    ----------
    drop : float or array
        Printed drop [Pa] ...
    airflow : float or array
        ... at this airflow. [m3/s]
    """
    rows = coefficients.table("heaters")
    law = PowerLaw.through(drop, airflow, rows["exponent"].value)
    return law, rows["rating sigma_ln"].value


def beyond(power: float, capacity: float) -> str | None:
    """What to say of a kit that is too small or too large for its unit; None of a usual one.

    Parameters
    ----------
    power, capacity : float
        Of the kit, and the unit's nominal cooling. [W]
    """
    rows = coefficients.table("heaters")
    ratio = power / capacity
    if ratio < rows["power per capacity low"].value:
        size = "less"
    elif ratio > rows["power per capacity high"].value:
        size = "more"
    else:
        return None
    return (
        f"{from_si(power, 'kw'):.3g} kW of electric heat is {size} than units of "
        f"{from_si(capacity, 'ton'):.2g} ton are sold with; its drop is a guess. Read the kit's "
        "plate again."
    )
