"""Dampers by the angle of their blade: balancing dampers, several blades, zone dampers.

Over the tested angles the logarithm of the loss is a straight line of the angle; towards open and
towards shut it bends to the loss of the open frame and of the gap round the blade.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from inchwater.air import Values
from inchwater.errors import PartError
from inchwater.parts import coefficients

OPEN = 0.0  # angle of the blade along the air [rad]
SHUT = 0.5 * math.pi  # and across it [rad]
UNKNOWN = "round"


@dataclass(frozen=True, slots=True)
class Point:
    """One known loss of a damper: ``angle`` from open [rad], loss and its spread [-]."""

    angle: float
    loss_coefficient: float
    sigma_ln: float
    source: str
    place: str
    status: str


@dataclass(frozen=True, slots=True)
class Damper:
    """A kind of damper: its loss open, at both ends of the tested angles, and shut.

    The coefficients are on the velocity pressure of the duct it stands in.
    """

    key: str
    label: str
    open: Point
    low: Point
    high: Point
    shut: Point

    @property
    def slope(self) -> float:
        """Change of ln of the loss with the angle between the tested angles. [1/rad]"""
        ratio = self.high.loss_coefficient / self.low.loss_coefficient
        return math.log(ratio) / (self.high.angle - self.low.angle)


def _read() -> Mapping[str, Damper]:
    rows = coefficients.table("dampers")
    found: dict[str, Damper] = {}
    for key in dict.fromkeys(name.partition(".")[0] for name in rows):
        points = {
            name: Point(
                math.radians(row.number("angle_deg")),
                row.value,
                row.number("sigma_ln"),
                row.source,
                row.place,
                row.status,
            )
            for name in ("open", "low", "high", "shut")
            for row in (rows[f"{key}.{name}"],)
        }
        found[key] = Damper(key=key, label=rows[f"{key}.open"].more["label"], **points)
    return MappingProxyType(found)


DAMPERS: Mapping[str, Damper] = _read()


def damper(kind: str | None) -> Damper:
    """The damper of a kind; None is the usual one, a single blade in a round duct.

    Raises
    ------
    UnknownNameError
        at ``damper.kind`` with the choices.
    """
    key = UNKNOWN if kind is None else kind
    coefficients.choose(key, DAMPERS, "damper.kind")
    return DAMPERS[key]


def reading() -> float:
    """How closely a blade's angle is read off its handle. [rad]"""
    return coefficients.value("ratings", "damper reading")


def usual_kind(shape: str | None) -> str:
    """Key of the damper that usually stands in a duct of this shape.

    Parameters
    ----------
    shape : {"round", "rectangular", "oval"} or None
        None is taken as round.

    Examples
    --------
    >>> usual_kind("rectangular")
    'single'
    """
    return "single" if shape == "rectangular" else UNKNOWN


def damper_loss(kind: str | None, angle: Values) -> tuple[Values, Values]:
    """Loss of a damper by the angle of its blade, and its spread.

    Parameters
    ----------
    kind : str or None
        Key of ``data/dampers.csv``; None is a single blade in a round duct.
    angle : float or array
        Of the blade from open: 0 along the air, π/2 shut. [rad]

    Returns
    -------
    coefficient : float or array
        On the velocity pressure of the duct. [-]
    sigma_ln : float or array
        Of the lognormal spread: from make to make, and of an angle read off a handle to 4°. [-]

    Raises
    ------
    UnknownNameError
        at ``damper.kind``.
    PartError
        at ``damper`` if an angle is not between open and shut.

    Notes
    -----
    Tested from 25° or 35° to 75° (825-RP), 10° to 60° (round blade); between shut and the tested
    angles it is a guess that :func:`beyond` says. The joining parabolas keep value and slope.

    References
    ----------
    Haves, Norford, DeSimone and Mei, ASHRAE 825-RP: ln C linear in the angle (read as quoted in the
    Modelica Buildings library); Legg, Building Serv. Eng. Res. Technol. 7 (1986): the same for many
    blades (abstract read, author from memory); Idelchik's round blade (memory).
    ``data/dampers.csv``.

    Examples
    --------
    >>> import math
    >>> loss, sigma_ln = damper_loss("round", math.radians(60.0))
    >>> round(float(loss))
    108
    """
    one = damper(kind)
    turned = np.asarray(angle, dtype=np.float64)
    if not np.all((turned >= OPEN) & (turned <= SHUT)):
        flat = np.atleast_1d(turned)
        worst = float(flat[~((flat >= OPEN) & (flat <= SHUT))][0])
        raise PartError(
            where="damper",
            came=f"{math.degrees(worst):.0f}°",
            right="a blade turns from open, 0°, to shut, 90°",
        )
    low, high = one.low, one.high
    # Between the tested angles, and on to both ends along parabolas that keep value and slope.
    line = math.log(low.loss_coefficient) + one.slope * (turned - low.angle)
    logarithm = (
        line
        + _bend(one, one.open, low) * np.maximum(low.angle - turned, 0.0) ** 2
        + _bend(one, one.shut, high) * np.maximum(turned - high.angle, 0.0) ** 2
    )
    spread = np.interp(
        turned,
        [one.open.angle, low.angle, high.angle, one.shut.angle],
        [one.open.sigma_ln, low.sigma_ln, high.sigma_ln, one.shut.sigma_ln],
    )
    slope = (
        one.slope
        - 2.0 * _bend(one, one.open, low) * np.maximum(low.angle - turned, 0.0)
        + 2.0 * _bend(one, one.shut, high) * np.maximum(turned - high.angle, 0.0)
    )
    # A stop holds the blade at both ends; between them its angle is read off the handle.
    read = np.where((turned > OPEN) & (turned < SHUT), slope * reading(), 0.0)
    return np.exp(logarithm)[()], np.hypot(spread, read)[()]


def _bend(one: Damper, end: Point, joint: Point) -> float:
    """Curvature that takes the line from a tested angle to the loss at an end. [1/rad2]"""
    away = end.angle - joint.angle
    rise = math.log(end.loss_coefficient / joint.loss_coefficient)
    return (rise - one.slope * away) / away**2


def beyond(kind: str | None, angle: float) -> str | None:
    """What to say when a blade stands where no test has been; None where one has.

    Parameters
    ----------
    kind : str or None
        As in :func:`damper_loss`.
    angle : float
        [rad]
    """
    one = damper(kind)
    if one.high.angle < angle < SHUT:
        return (
            f"A damper at {math.degrees(angle):.0f}° is almost shut: above "
            f"{math.degrees(one.high.angle):.0f}° the gap round its blade decides, "
            "and its loss is a guess."
        )
    return None
