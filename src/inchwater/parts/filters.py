"""Filters: pressure drop as a power of the face velocity, by class or by rating, clean or used.

Coefficients by class stand in ``data/filters.csv``; a measured or printed drop always replaces
them, and dust multiplies them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from inchwater import units
from inchwater.air import Values
from inchwater.errors import PartError
from inchwater.parts import coefficients
from inchwater.parts.laws import PowerLaw

# Gross face velocity that the drops of data/filters.csv are given at. [m/s]
REFERENCE_VELOCITY = units.to_si(300.0, "fpm")
UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Grade:
    """A class of filters: clean drop [Pa] at 300 fpm of gross face, exponent [-], spread [-]."""

    key: str
    label: str
    drop: float
    exponent: float
    sigma_ln: float
    source: str
    place: str
    status: str


def _read() -> Mapping[str, Grade]:
    return MappingProxyType(
        {
            key: Grade(
                key=key,
                label=row.more["label"],
                drop=row.value,
                exponent=row.number("exponent"),
                sigma_ln=row.number("sigma_ln"),
                source=row.source,
                place=row.place,
                status=row.status,
            )
            for key, row in coefficients.table("filters").items()
        }
    )


GRADES: Mapping[str, Grade] = _read()


def grade(key: str | None) -> Grade:
    """The class of this key, None for a filter that nobody looked at.

    Raises
    ------
    UnknownNameError
        at ``filter.grade`` with the choices.
    """
    name = UNKNOWN if key is None else key
    coefficients.choose(name, GRADES, "filter.grade")
    return GRADES[name]


def face_velocity(flow: Values, width: Values, height: Values, count: int = 1) -> Values:
    """Velocity on the gross face of a filter [m/s]; several equal ones share the flow.

    Parameters
    ----------
    flow : float or array
        Through all of them. [m3/s]
    width, height : float or array
        Nominal size of one. [m]
    count : int
        How many stand side by side.

    Examples
    --------
    >>> from inchwater.units import from_si, to_si
    >>> round(from_si(face_velocity(to_si(1200, "cfm"), 0.508, 0.635), "fpm"))
    346
    """
    return flow / (_area(width, height) * count)


def filter_law(
    width: Values, height: Values, grade_key: str | None = None, count: int = 1
) -> tuple[PowerLaw, float]:
    """Pressure law of a clean filter of a class, and the spread of products within it.

    Parameters
    ----------
    width, height : float or array
        Nominal size of one filter. [m]
    grade_key : str, optional
        Key of ``data/filters.csv``; None for a filter that nobody looked at.
    count : int
        Equal filters side by side.

    Returns
    -------
    law : PowerLaw
        In standard air.
    sigma_ln : float
        Of the lognormal spread of the drop. [-]

    Raises
    ------
    PartError
        at ``filter.width`` or ``filter.height`` if one is not positive.
    UnknownNameError
        at ``filter.grade``.

    References
    ----------
    ``data/filters.csv``: anchored on a fan-coil maker's engineering bulletin of December 2018 (six
    velocities for 0.10 in. w.c., read in a re-post), exponents from memory.

    Examples
    --------
    >>> law, sigma_ln = filter_law(0.508, 0.635, "media-4in-merv11")
    >>> from inchwater.units import from_si, to_si
    >>> round(from_si(float(law.drop(to_si(1042, "cfm"))), "inwc"), 3)
    0.1
    """
    kind = grade(grade_key)
    reference = REFERENCE_VELOCITY * _area(width, height) * count
    return PowerLaw(kind.drop / reference**kind.exponent, kind.exponent), kind.sigma_ln


def filter_law_from_rating(
    drop: Values, airflow: Values, exponent: Values | None = None
) -> tuple[PowerLaw, float]:
    """Pressure law of a filter through its printed or measured clean drop, and its spread.

    Parameters
    ----------
    drop : float or array
        Clean drop [Pa] ...
    airflow : float or array
        ... at this airflow. [m3/s]
    exponent : float or array, optional
        1 to 2; the one of the unknown class if None. [-]
    """
    power = GRADES[UNKNOWN].exponent if exponent is None else exponent
    return PowerLaw.through(drop, airflow, power), coefficients.value("ratings", "filter sigma_ln")


def condition_factor(word: str | None) -> tuple[float, float]:
    """How many times its clean drop a filter has in this condition: median and sigma of ln. [-]

    Parameters
    ----------
    word : {"clean", "used", "loaded"} or None
        None is not looked at.

    References
    ----------
    ``data/conditions.csv``: proposed from field mean drops (34 California systems, secondary) and
    the end points of ASHRAE Standard 52.2 (read in a re-post).
    """
    return condition("filter", word)


def condition(part: str, word: str | None) -> tuple[float, float]:
    """Median and sigma of ln of ``data/conditions.csv`` for a part's condition."""
    rows = coefficients.table("conditions")
    words = {key.partition(".")[2]: row for key, row in rows.items() if key.startswith(f"{part}.")}
    name = UNKNOWN if word is None else word
    coefficients.choose(name, words, f"{part}.condition")
    return words[name].value, words[name].number("sigma_ln")


def _area(width: Values, height: Values) -> Values:
    for where, size in (("filter.width", width), ("filter.height", height)):
        if not np.all(np.asarray(size) > 0.0):
            raise PartError(
                where=where, came=f"{np.min(size):g} m", right="a filter has a face to breathe"
            )
    return width * height
