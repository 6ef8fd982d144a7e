"""Leaks: flow through the seams of ducts as a power of the pressure behind them."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from inchwater.air import STANDARD, Values
from inchwater.errors import PartError
from inchwater.parts import coefficients
from inchwater.parts.checks import positive
from inchwater.units import from_si, to_si

# Below this pressure the power law is replaced by a cubic that meets it in value and slope:
# a power below 1 has an infinite slope at zero, and so small a crack flow is laminar anyway. [Pa]
LINEAR_BELOW = 0.05
UNKNOWN = "unknown"
# How ducts were sealed, in the words of the trade, and what a page shows for each.
SEALING: Mapping[str, str] = MappingProxyType(
    {
        key.removeprefix("sealing."): row.more["label"]
        for key, row in coefficients.table("leaks").items()
        if key.startswith("sealing.")
    }
)


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
    return leak_flow(pressure, *class_coefficient(leakage_class, surface))


def measured_coefficient(
    airflow: Values, pressure: Values, exponent: Values | None = None
) -> Values:
    """Coefficient of the leak that a duct test found: so much flow at such a pressure.

    Parameters
    ----------
    airflow : float or array
        That the test blew in at the pressure. [m3/s]
    pressure : float or array
        In the ducts against their surroundings, usually 25 Pa; its sign does not matter. [Pa]
    exponent : float or array, optional
        That of residential ducts if None. [-]

    Returns
    -------
    float or array
        For :func:`leak_flow`. [m3/s per Pa^exponent]

    Raises
    ------
    PartError
        at ``leakage.airflow`` if it is negative, at ``leak.pressure`` if the pressure is zero.

    References
    ----------
    ASHRAE Standard 152 and ASTM E1554: n = 0.60 (memory). ``data/leaks.csv``.

    Examples
    --------
    >>> from inchwater.units import from_si, to_si
    >>> coefficient = measured_coefficient(to_si(100.0, "cfm"), 25.0)
    >>> round(from_si(float(leak_flow(62.27, coefficient, exponent())), "cfm"), 1)
    172.9
    """
    if not np.all(np.asarray(airflow) >= 0.0):
        raise PartError(
            where="leakage.airflow",
            came=f"{from_si(float(np.min(airflow)), 'cfm'):.0f} cfm",
            right="a test's airflow is zero or more",
        )
    power = coefficients.value("leaks", "exponent") if exponent is None else exponent
    return leak_coefficient(1.0, airflow, pressure, power)


def measured_sigma_ln() -> float:
    """Spread of a tested leak's flow as the system runs, of the logarithm. [-]

    A test says how large the leaks are, not at what pressure each of them sits.
    """
    return coefficients.value("leaks", "test sigma_ln")


def left_when_sealed() -> tuple[float, float]:
    """Share of a side's leak that is left when its joints are sealed by hand, and its spread. [-]

    References
    ----------
    ARIES, NREL/SR-5500-61432 (2014), abstract: 59 % removed by hand, 20 apartments.
    """
    row = coefficients.table("leaks")["left sealed"]
    return row.value, row.number("sigma_ln")


def sealing(word: str | None) -> tuple[float, float]:
    """Share of the airflow that one side loses when its ducts are sealed by this word, and spread.

    Parameters
    ----------
    word : {"sealed", "taped", "unsealed"} or None
        None is not looked at.

    Returns
    -------
    fraction : float
        Median of leakage over the blower's airflow as the system runs. [-]
    sigma_ln : float
        [-]

    Raises
    ------
    UnknownNameError
        at ``leakage.sealing`` with the choices.

    References
    ----------
    ``data/leaks.csv``: proposed, between field studies of Florida homes (FSEC-RR-138-03, abstract)
    and new homes that were tested.
    """
    return _word("sealing", word)


def sealing_class(word: str | None) -> tuple[float, float]:
    """Leakage class of ducts sealed by this word, and its spread; for :func:`leakage_class_flow`.

    Parameters
    ----------
    word : {"sealed", "taped", "unsealed"} or None
        None is not looked at.

    Returns
    -------
    leakage_class : float
        [cfm/100 ft2 at 1 in. w.c.]
    sigma_ln : float
        [-]

    Raises
    ------
    UnknownNameError
        at ``leakage.sealing`` with the choices.

    References
    ----------
    ``data/leaks.csv``: proposed; they hold boots, collars and cabinet, so they are far above the
    classes of tested sheet metal (3 to 48).
    """
    return _word("class", word)


def class_coefficient(leakage_class: Values, surface: Values) -> tuple[Values, float]:
    """Coefficient and exponent of the leak of a duct surface of a leakage class.

    Parameters
    ----------
    leakage_class : float or array
        [cfm/100 ft2 at 1 in. w.c.]
    surface : float or array
        Of the duct. [m2]

    Returns
    -------
    coefficient : float or array
        [m3/s per Pa^exponent]
    exponent : float
        [-]

    Raises
    ------
    PartError
        at ``leakage.surface`` if one is negative.

    References
    ----------
    SMACNA HVAC Air Duct Leakage Test Manual, F = CL·p^0.65 (read in several reprints).

    Examples
    --------
    >>> from inchwater.units import from_si, to_si
    >>> coefficient, power = class_coefficient(24.0, to_si(300.0, "ft2"))
    >>> round(from_si(float(leak_flow(to_si(0.25, "inwc"), coefficient, power)), "cfm"), 1)
    29.2
    """
    positive("leakage.surface", surface, "a duct's surface is zero or more", "m²", zero=True)
    power = coefficients.value("leaks", "sheet-metal exponent")
    per_area = leakage_class * to_si(1.0, "cfm") / to_si(100.0, "ft2")
    return per_area * surface / to_si(1.0, "inwc") ** power, power


def hole_area(airflow: Values, pressure: Values) -> Values:
    """Area of the one sharp-edged hole that leaks as much at a pressure. [m2]

    Parameters
    ----------
    airflow : float or array
        [m3/s]
    pressure : float or array
        [Pa]

    References
    ----------
    Discharge coefficient 0.6 (memory), standard air. ``data/leaks.csv``.

    Examples
    --------
    >>> from inchwater.units import from_si, to_si
    >>> round(from_si(float(hole_area(to_si(80.0, "cfm"), 25.0)), "in2"), 1)
    15.1
    """
    speed = np.sqrt(2.0 * np.abs(pressure) / STANDARD.density)
    return airflow / (coefficients.value("leaks", "hole discharge") * speed)


def beyond(pressure: float) -> str | None:
    """What to say of a duct test at a pressure where such tests are not done; None of a usual one.

    Parameters
    ----------
    pressure : float
        Of the test. [Pa]
    """
    low, high = (coefficients.value("leaks", f"test {end}") for end in ("low", "high"))
    if low <= abs(pressure) <= high:
        return None
    return (
        f"A duct test at {abs(pressure):.3g} Pa is outside the {low:.0f} to {high:.0f} Pa where "
        "such tests are done: the leak at working pressure is taken from it with doubt."
    )


def _word(what: str, word: str | None) -> tuple[float, float]:
    name = UNKNOWN if word is None else word
    coefficients.choose(name, SEALING, "leakage.sealing")
    row = coefficients.table("leaks")[f"{what}.{name}"]
    return row.value, row.number("sigma_ln")
