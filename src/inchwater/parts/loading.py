"""What dust does to a filter: how its drop grows with the blower's hours or with the dust on it.

The cake of dust resists in proportion to the airflow, so a loaded filter's law is flatter than a
clean one's.
"""

from __future__ import annotations

from inchwater.air import Values
from inchwater.errors import PartError
from inchwater.parts import coefficients
from inchwater.parts.checks import positive
from inchwater.parts.filters import grade
from inchwater.parts.laws import PowerLaw
from inchwater.units import from_si

PANELS = ("fiberglass-1in", "washable-1in")


def hours_factor(hours: Values, grade_key: str | None = None) -> tuple[Values, float]:
    """How many times its clean drop a filter has after so many hours of blower, and its spread.

    Parameters
    ----------
    hours : float or array
        Of the blower since the filter was new. [h]
    grade_key : str, optional
        Key of ``data/filters.csv``; None for one that nobody looked at.

    Returns
    -------
    factor : float or array
        Median. [-]
    sigma_ln : float
        Of the growth above one, taken as that of the whole. [-]

    Raises
    ------
    PartError
        at ``filter.hours`` if they are negative.
    UnknownNameError
        at ``filter.grade``.

    Notes
    -----
    Straight in time; past four times the clean drop see :func:`beyond`.

    References
    ----------
    ``data/filter_loading.csv``: proposed, from memory of dust-holding in ASHRAE Standard 52.2
    tests; houses differ by more than filters.

    Examples
    --------
    >>> hours_factor(1100.0, "pleat-1in-merv8")[0]
    2.0
    """
    return _factor("hours", hours, grade_key, 1.0)


def dust_factor(
    dust: Values, width: float, height: float, grade_key: str | None = None, count: int = 1
) -> tuple[Values, float]:
    """How many times its clean drop a filter has with so much dust on it, and its spread.

    Parameters
    ----------
    dust : float or array
        On all of them together. [kg]
    width, height : float
        Nominal size of one filter. [m]
    grade_key : str, optional
        Key of ``data/filters.csv``; None for one that nobody looked at.
    count : int
        Equal filters side by side.

    Returns
    -------
    factor : float or array
        Median. [-]
    sigma_ln : float
        [-]

    Raises
    ------
    PartError
        at ``filter.dust`` if it is negative, at ``filter.width`` if there is no face.
    UnknownNameError
        at ``filter.grade``.

    References
    ----------
    ``data/filter_loading.csv``: proposed, from memory of dust-holding.

    Examples
    --------
    >>> round(dust_factor(0.0387, 0.508, 0.635, "pleat-1in-merv8")[0], 2)
    2.0
    """
    face = width * height * count
    if not face > 0.0:
        raise PartError(
            where="filter.width", came=f"{width:g} m", right="a filter has a face to breathe"
        )
    return _factor("dust", dust, grade_key, face)


def loaded_law(clean: PowerLaw, factor: float, airflow: float) -> PowerLaw:
    """Law of a filter whose drop has grown by a factor, around an airflow.

    Parameters
    ----------
    clean : PowerLaw
        Of the filter when it was new.
    factor : float
        Drop over clean drop at the airflow, 1 or more. [-]
    airflow : float
        Where the factor was found. [m3/s]

    Returns
    -------
    PowerLaw
        Through the grown drop; its exponent is that of the clean filter's drop and of the cake's,
        each by its share.

    Raises
    ------
    PartError
        at ``filter.condition`` if the factor is below one.

    References
    ----------
    Darcy's law for the cake; exponents of loaded filters 1.0 to 1.2 (memory).

    Examples
    --------
    >>> round(loaded_law(PowerLaw(80.0, 1.4), 2.0, 0.5).exponent, 2)
    1.2
    """
    if not factor >= 1.0:
        raise PartError(
            where="filter.condition",
            came=f"{factor:g} times the clean drop",
            right="dust never makes a filter easier to breathe through",
        )
    cake = coefficients.value("filter_loading", "exponent.cake")
    exponent = (clean.exponent + (factor - 1.0) * cake) / factor
    return PowerLaw.through(factor * clean.drop(airflow), airflow, exponent)


def beyond(factor: float) -> str | None:
    """What to say of a filter that is loaded past what it is built for; None of a usual one.

    Parameters
    ----------
    factor : float
        Drop over clean drop. [-]
    """
    most = coefficients.value("filter_loading", "most")
    if factor <= most:
        return None
    return (
        f"A filter at {factor:.1f} times its clean drop is past the {most:.0f} times to which "
        "loading is known: it bows, leaks round its frame or tears. Change it and read again."
    )


def _factor(what: str, amount: Values, grade_key: str | None, face: float) -> tuple[Values, float]:
    right = "what a filter has behind it since it was new is zero or more"
    positive(f"filter.{what}", amount, right, zero=True)
    row = coefficients.table("filter_loading")[f"{what}.{_row(grade_key)}"]
    return 1.0 + amount / (row.value * face), row.number("sigma_ln")


def _row(grade_key: str | None) -> str:
    """Row of the loading table for a class: its depth in inches, or ``panel``."""
    found = grade(grade_key)
    if found.key in PANELS:
        return "panel"
    return "unknown" if found.depth is None else f"{from_si(found.depth, 'in'):.0f}"
