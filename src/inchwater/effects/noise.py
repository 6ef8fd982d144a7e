"""How loud air is: registers, grilles, ducts and the blower against before, and a room's guidance.

Differences in decibels rest on laws of velocity, pressure and shaft speed; what a register comes
to in a room (NC) on a table of air speeds through its free openings.  Rattles, whistles and how a
room swallows sound are not in them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from inchwater.air import Values
from inchwater.effects.checks import as_given
from inchwater.effects.data_rows import rows, value
from inchwater.parts import coefficients
from inchwater.parts.checks import positive

Side = Literal["supply", "return"]


@dataclass(frozen=True, slots=True)
class Guidance:
    """The noise criterion that a room is usually held to [NC], and who says so."""

    low: float
    high: float
    source: str
    status: str


def velocity_change(before: Values, after: Values, exponent: Values | None = None) -> Values:
    """Change of flow noise in a duct or opening that stays as it is.

    Parameters
    ----------
    before, after : float or array
        Velocity or airflow through it. [m/s or m3/s, both alike]
    exponent : float or array, optional
        What the logarithm of the ratio is multiplied by; 60 if None. [-]

    Returns
    -------
    float or array
        Positive is louder. [dB]

    Raises
    ------
    PartError
        at ``before`` or ``after`` if one is not above zero.

    References
    ----------
    Long, Architectural Acoustics, section 13.4; status: read (re-post).

    Examples
    --------
    >>> round(velocity_change(3.0, 6.0), 1)
    18.1
    """
    _all_positive(before=(before,), after=(after,))
    by = value("noise", "velocity exponent") if exponent is None else exponent
    return as_given(by * np.log10(after / before), before, after, by)


def terminal_change(
    velocities: tuple[Values, Values],
    areas: tuple[Values, Values],
    losses: tuple[Values, Values],
    exponent: Values | None = None,
) -> Values:
    """Change of a register's or grille's noise when it is replaced, before to after.

    Parameters
    ----------
    velocities : (float or array, float or array)
        On the gross face. [m/s]
    areas : (float or array, float or array)
        Gross faces. [m2]
    losses : (float or array, float or array)
        Coefficients on the velocity pressure of the gross face. [-]
    exponent : float or array, optional
        As of :func:`velocity_change`; the pressure drop counts with half of it. [-]

    Returns
    -------
    float or array
        [dB]

    Raises
    ------
    PartError
        at ``velocity``, ``area`` or ``loss`` if one is not above zero.

    References
    ----------
    CIBSE Guide B 2005, appendix 5.A2.5: 10 lg A + 30 lg drop; status: read (engineering page).

    Examples
    --------
    The same air through a face of twice the area is 15 dB softer:

    >>> round(terminal_change((2.0, 1.0), (0.05, 0.1), (3.0, 3.0)), 1)
    -15.1
    """
    _all_positive(velocity=velocities, area=areas, loss=losses)
    by = 2.0 * value("noise", "drop factor") if exponent is None else exponent
    area = value("noise", "area factor") * np.log10(areas[1] / areas[0])
    drop = by * np.log10(velocities[1] / velocities[0])
    found = area + drop + 0.5 * by * np.log10(losses[1] / losses[0])
    return as_given(found, *velocities, *areas, *losses, by)


def blower_change(speeds: tuple[Values, Values], exponent: Values | None = None) -> Values:
    """Change of a blower's noise with its shaft speed, before to after.

    Parameters
    ----------
    speeds : (float or array, float or array)
        [rad/s or any other, both alike]
    exponent : float or array, optional
        What the logarithm of the ratio is multiplied by; 50 if None. [-]

    Returns
    -------
    float or array
        [dB]

    Raises
    ------
    PartError
        at ``speed`` if one is not above zero.

    References
    ----------
    ASHRAE Handbook HVAC Applications, sound and vibration control; status: memory.

    Examples
    --------
    >>> round(blower_change((100.0, 110.0)), 1)
    2.1
    """
    _all_positive(speed=speeds)
    by = value("noise", "speed exponent") if exponent is None else exponent
    return as_given(by * np.log10(speeds[1] / speeds[0]), *speeds, by)


def blower_change_by_point(
    airflows: tuple[Values, Values], pressures: tuple[Values, Values]
) -> Values:
    """Change of a blower's noise with its airflow [m3/s] and pressure [Pa], before to after. [dB]

    Raises
    ------
    PartError
        at ``airflow`` or ``pressure`` if one is not above zero.

    References
    ----------
    ASHRAE Handbook HVAC Applications, sound and vibration control: 10 lg airflow + 20 lg pressure;
    status: memory.

    Examples
    --------
    >>> round(blower_change_by_point((0.5, 0.55), (120.0, 145.2)), 1)
    2.1
    """
    _all_positive(airflow=airflows, pressure=pressures)
    flow = value("noise", "fan airflow factor") * np.log10(airflows[1] / airflows[0])
    pressure = value("noise", "fan pressure factor") * np.log10(pressures[1] / pressures[0])
    return as_given(flow + pressure, *airflows, *pressures)


def criterion(velocity: Values, side: Side) -> Values:
    """Noise criterion that a register or grille comes to in a room, by its free velocity.

    Parameters
    ----------
    velocity : float or array
        Airflow over the free opening. [m/s]
    side : {"supply", "return"}
        Supply register or return grille.

    Returns
    -------
    float or array
        Between the table's ends straight lines over the logarithm of the velocity; beyond them the
        velocity law goes on. [NC]

    Raises
    ------
    PartError
        at ``velocity`` if it is not above zero.
    UnknownNameError
        at ``side``.

    Notes
    -----
    From 250 to 650 fpm (supply) and 300 to 780 fpm (return). Below NC 15 nobody hears it in a home.

    References
    ----------
    ``data/noise.csv``: table of an architectural acoustics text; status: read (re-post).

    Examples
    --------
    >>> round(criterion(425.0 * 0.00508, "supply"))
    30
    """
    coefficients.choose(side, {"supply": None, "return": None}, "side")
    positive("velocity", velocity, unit="m/s")
    speeds, levels = _table(side)
    over = np.log10(velocity)
    inside = np.interp(over, speeds, levels)
    by = value("noise", "velocity exponent")
    below = np.minimum(over - speeds[0], 0.0)
    above = np.maximum(over - speeds[-1], 0.0)
    return as_given(inside + by * (below + above), velocity)


def beyond(velocity: float, side: Side) -> str | None:
    """What to say of a free velocity [m/s] outside the table of noise; None inside it."""
    speeds, levels = _table(side)
    if np.log10(velocity) < speeds[0]:
        return f"Slower than the table of noise begins: below NC {levels[0]:.0f}."
    if np.log10(velocity) > speeds[-1]:
        return f"Faster than the table of noise ends: above NC {levels[-1]:.0f}, by the law."
    return None


def room_guidance(room: str | None, purpose: str | None = None) -> Guidance:
    """What a room is usually held to, by what it is for, or else by the words in its name.

    Parameters
    ----------
    room : str or None
        Its name; any room of a home without one.
    purpose : {"sleep", "living", "other"} or None
        What the survey says that it is for.

    Examples
    --------
    >>> room_guidance("Master bedroom").high, room_guidance("Kitchen").high
    (30.0, 35.0)
    """
    table = rows("noise")
    low, high = table["room low"], table["room high"]
    sleeps = table["bedroom high"]
    words = sleeps.more["more"].split("|")
    named = purpose is None and room is not None and any(word in room.lower() for word in words)
    if named or purpose == "sleep":
        high = sleeps
    return Guidance(low.value, high.value, high.source, high.status)


def _all_positive(**given: tuple[Values, ...]) -> None:
    for where, numbers in given.items():
        for one in numbers:
            positive(where, one)


@cache
def _table(side: str) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Logarithms of the table's free velocities, and the criterion at each."""
    found = [row for key, row in rows("noise").items() if key.startswith(f"{side} ")]
    speeds = np.log10([row.value for row in found])
    return speeds, np.array([float(row.more["more"]) for row in found])
