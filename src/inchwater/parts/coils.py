"""Cooling coils: pressure drop as a power of the airflow, dry and wet, by capacity or by rating."""

from __future__ import annotations

from collections.abc import Sequence

from inchwater.air import Values
from inchwater.errors import NotPossibleError
from inchwater.parts import coefficients
from inchwater.parts.checks import positive
from inchwater.parts.filters import condition
from inchwater.parts.laws import PowerLaw
from inchwater.parts.ratings import law_from_points
from inchwater.units import from_si


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
    positive("capacity", capacity, "a coil's capacity is above zero", "W")
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
    law = PowerLaw.through(drop, airflow, rows["exponent"].value).times(_wetting(wet, rated_wet))
    return law, coefficients.value("ratings", "coil sigma_ln")


def coil_law_from_points(
    drops: Sequence[float], airflows: Sequence[float], wet: bool = False, rated_wet: bool = False
) -> tuple[PowerLaw, float]:
    """Pressure law of a clean coil through several printed points, and its spread.

    Parameters
    ----------
    drops : sequence of float
        Drops of its table, at least two ... [Pa]
    airflows : sequence of float
        ... at these airflows. [m3/s]
    wet : bool
        Whether the law is wanted for a wet coil.
    rated_wet : bool
        Whether the table is that of the wet coil.

    Raises
    ------
    PartError
        at ``coil.rated_drop`` if no law of a coil goes through the points.

    Examples
    --------
    >>> from inchwater.units import to_si
    >>> drops = [to_si(drop, "inwc") for drop in (0.09, 0.14, 0.21)]
    >>> law, _ = coil_law_from_points(drops, [to_si(q, "cfm") for q in (800, 1050, 1400)])
    >>> round(float(law.exponent), 2)
    1.51
    """
    law, sigma = law_from_points("coil", drops, airflows)
    return law.times(_wetting(wet, rated_wet)), sigma


def fouling_factor(years: Values) -> tuple[Values, float]:
    """How many times its clean drop a coil has after years behind a usual filter, and its spread.

    Parameters
    ----------
    years : float or array
        Since it was new or cleaned. [a]

    Returns
    -------
    factor : float or array
        Median. [-]
    sigma_ln : float
        [-]

    Raises
    ------
    PartError
        at ``coil.years`` if they are negative.

    References
    ----------
    Siegel, Walker and Sherman, ACEEE Summer Study 2002 (abstract read): doubled in about 7.5 years;
    straight in time is ours. ``data/coils.csv``.

    Examples
    --------
    >>> fouling_factor(7.5)[0]
    2.0
    """
    positive("coil.years", years, "a coil's age is zero or more", zero=True)
    row = coefficients.table("coils")["doubling"]
    return 1.0 + years / row.value, row.number("sigma_ln")


def beyond(flow: float, capacity: float, wet: bool) -> str | None:
    """What to say of a coil at an airflow that no coil is printed at; None of a usual one.

    Parameters
    ----------
    flow : float
        Through it; its sign does not matter. [m3/s]
    capacity : float
        Nominal cooling capacity. [W]
    wet : bool
        Whether water stands on its fins.
    """
    found = abs(flow) / capacity
    low, high, blown = (
        coefficients.value("ratings", f"coil airflow {end}") for end in ("low", "high", "wet")
    )
    per_ton = f"{from_si(found, 'cfm_ton'):.0f} cfm per ton"
    if low <= found <= high and not (wet and found > blown):
        return None
    if wet and blown < found <= high:
        return (
            f"A wet coil at {per_ton} is above the {from_si(blown, 'cfm_ton'):.0f} where water may "
            "blow off its fins: its drop is less certain."
        )
    word, end = ("less", low) if found < low else ("more", high)
    return (
        f"A coil at {per_ton} has {word} air than the {from_si(end, 'cfm_ton'):.0f} to which its "
        "drop is known."
    )


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


def _wetting(wet: bool, rated_wet: bool) -> float:
    """What takes a drop of the rated state to the wanted one: the default coil's ratio. [-]"""
    rows = coefficients.table("coils")
    ratio = rows["wet"].value / rows["dry"].value
    return 1.0 if wet == rated_wet else ratio if wet else 1.0 / ratio
