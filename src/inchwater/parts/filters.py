"""Filters: pressure drop as a power of the face velocity, by class or by rating, clean or used.

Coefficients by class stand in ``data/filters.csv``; a measured or printed drop always replaces
them, and dust multiplies them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from inchwater import units
from inchwater.air import Values
from inchwater.errors import PartError
from inchwater.parts import coefficients
from inchwater.parts.checks import positive
from inchwater.parts.laws import PowerLaw
from inchwater.parts.ratings import law_from_points

# Gross face velocity that the drops of data/filters.csv are given at. [m/s]
REFERENCE_VELOCITY = units.to_si(300.0, "fpm")
UNKNOWN = "unknown"
_MERV_MAX = 16


@dataclass(frozen=True, slots=True)
class Grade:
    """A class of filters: clean drop [Pa] at 300 fpm of gross face, exponent [-], spread [-].

    ``depth`` [m] and ``merv`` [-] are the nominal ones; None where a class has none.
    """

    key: str
    label: str
    drop: float
    exponent: float
    sigma_ln: float
    source: str
    place: str
    status: str
    depth: float | None = None
    merv: int | None = None


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
                depth=units.to_si(row.number("depth_in"), "in") if row.more["depth_in"] else None,
                merv=int(row.more["merv"]) if row.more["merv"] else None,
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


def grade_by_class(merv: int, depth: float) -> Grade:
    """The class of filters nearest to a MERV and a nominal depth.

    Parameters
    ----------
    merv : int
        1 to 16, as printed on the frame.
    depth : float
        Nominal. [m]

    Returns
    -------
    Grade
        Nearest in depth, by its ratio, and then in MERV; see :func:`class_beyond`.

    Raises
    ------
    PartError
        at ``filter.merv`` outside 1 to 16, at ``filter.depth`` if it is not positive.

    Examples
    --------
    >>> grade_by_class(13, 0.0254).key
    'pleat-1in-merv13'
    """
    if not 1 <= merv <= _MERV_MAX:
        raise PartError(
            where="filter.merv", came=f"{merv:g}", right=f"classes run from 1 to {_MERV_MAX}"
        )
    positive("filter.depth", depth, "a filter has a depth above zero", "m")
    _, _, nearest = min(
        (round(abs(math.log(one.depth / depth)), 6), abs(one.merv - merv), one.key)
        for one in GRADES.values()
        if one.depth is not None and one.merv is not None
    )
    return GRADES[nearest]


def class_beyond(merv: int, depth: float) -> str | None:
    """What to say of a class that none of ours is near to; None where one is.

    Parameters
    ----------
    merv : int
        [-]
    depth : float
        Nominal. [m]
    """
    near = grade_by_class(merv, depth)
    if near.depth is not None and near.merv is not None:
        ratio = coefficients.value("ratings", "filter depth ratio")
        as_deep = 1.0 / ratio <= near.depth / depth <= ratio
        if as_deep and abs(near.merv - merv) <= coefficients.value("ratings", "filter merv steps"):
            return None
    return (
        f"No filter of MERV {merv} and {units.from_si(depth, 'in'):.2g} in depth is in the tables; "
        f"the nearest is taken, {near.label}. Its label's drop would be better."
    )


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


def filter_law_from_points(
    drops: Sequence[float], airflows: Sequence[float]
) -> tuple[PowerLaw, float]:
    """Pressure law of a filter through several printed points, and its spread.

    Parameters
    ----------
    drops : sequence of float
        Clean drops of a label, at least two ... [Pa]
    airflows : sequence of float
        ... at these airflows. [m3/s]

    Returns
    -------
    law : PowerLaw
        In standard air; its exponent is the label's, from 1 to 2.
    sigma_ln : float
        [-]

    Raises
    ------
    PartError
        at ``filter.rated_drop`` if no law of a filter goes through the points, or if they are
        given at one airflow only.

    References
    ----------
    Labels with the clean drop at several airflows: AHRI 680 and California Title 20 (titles and
    contents read, secondary).

    Examples
    --------
    >>> from inchwater.units import to_si
    >>> drops = [to_si(drop, "inwc") for drop in (0.08, 0.14, 0.21)]
    >>> law, _ = filter_law_from_points(drops, [to_si(q, "cfm") for q in (600, 900, 1200)])
    >>> round(float(law.exponent), 2)
    1.39
    """
    return law_from_points("filter", drops, airflows)


def beyond(flow: float, width: float, height: float, count: int = 1) -> str | None:
    """What to say of a filter that the air passes faster or slower than any is tested; or None.

    Parameters
    ----------
    flow : float
        Through all of them; its sign does not matter. [m3/s]
    width, height : float
        Nominal size of one. [m]
    count : int
        How many stand side by side.
    """
    speed = abs(float(face_velocity(flow, width, height, count)))
    low, high = (coefficients.value("ratings", f"filter velocity {e}") for e in ("low", "high"))
    if low <= speed <= high:
        return None
    word = "slower" if speed < low else "faster"
    limit = low if speed < low else high
    return (
        f"Air passes the filter at {units.from_si(speed, 'fpm'):.0f} fpm of its face: {word} than "
        f"the {units.from_si(limit, 'fpm'):.0f} fpm to which filters are tested."
    )


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
        positive(where, size, "a filter has a face to breathe", "m")
    return width * height
