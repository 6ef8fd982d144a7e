"""Fittings as loss coefficients: take-offs, tees, elbows, bends, boots, boxes, changes of section.

Each fitting has a typical coefficient and, where size, shape, the neighbouring section or the speed
of the air matter, a law (``fitting_forms``).  They come from open code (``fluids``: Rennels, Crane;
Idelchik's diagrams as in public repositories) or a public report; ``data/fittings.csv`` says which.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from inchwater.parts import fitting_forms, fitting_ranges
from inchwater.parts.fitting_table import (
    FITTINGS,
    GROUP_DEFAULTS,
    Fitting,
    Group,
    fitting,
    groups,
)
from inchwater.parts.sections import Section

__all__ = [
    "FITTINGS",
    "GROUP_DEFAULTS",
    "Fitting",
    "Group",
    "Loss",
    "fitting",
    "groups",
    "loss",
    "total_loss_coefficient",
]

# Areas that the table's boots are computed for: 6 in round into 4 x 10 in. [m2]
_BOOT = (math.pi / 4.0 * 0.1524**2, 0.1016 * 0.254)


@dataclass(frozen=True, slots=True)
class Loss:
    """A fitting's loss on a certain duct.

    ``coefficient`` [-] on the velocity pressure of that duct's own section; ``median`` and
    ``sigma_ln`` [-] of what houses have over it; ``beyond`` a sentence when the fitting is outside
    what it is known for, else None.
    """

    coefficient: float
    median: float
    sigma_ln: float
    beyond: str | None


def loss(
    key: str,
    section: Section,
    other: Section | None = None,
    reynolds: float | None = None,
) -> Loss:
    """Loss of a fitting on a duct of this section.

    Parameters
    ----------
    key : str
        Of ``FITTINGS``.
    section : Section
        Of the duct that it sits on; the coefficient is on its velocity pressure.  A rectangular
        elbow turns in the plane of the width. [m]
    other : Section or None
        The neighbour where there is one: the plenum of a take-off, the duct at the other end of a
        change of section, the register's box of a boot.  None takes a typical one. [m]
    reynolds : float or None
        Of the air in the duct, on its hydraulic diameter; None takes a usual speed. [-]

    Returns
    -------
    Loss
        With a sentence in ``beyond`` when the fitting is outside what it is known for. [-]

    Raises
    ------
    UnknownNameError
        at ``fitting`` with the choices.

    Notes
    -----
    A tee's coefficient here is that at equal velocities; by flow ratio it is in ``tees``.

    References
    ----------
    ``data/fittings.csv`` and ``data/fittings_forms.csv``; see ``fitting_forms``.

    Examples
    --------
    >>> round(loss("enlarger-sharp", Section.round(0.2), Section.round(0.15)).coefficient, 3)
    0.605
    """
    return _loss(key, section, other, reynolds)


@lru_cache(maxsize=4096)
def _loss(key: str, section: Section, other: Section | None, reynolds: float | None) -> Loss:
    """The loss, kept because a house has the same few fittings in every variant of it."""
    found = fitting(key)
    speed = reynolds
    if speed is None:
        speed = fitting_forms.typical_reynolds(section.hydraulic_diameter)
    coefficient = _coefficient(found, section, other, speed)
    return Loss(
        coefficient,
        found.median,
        found.sigma_ln,
        fitting_ranges.beyond(found, section, other, reynolds),
    )


def _coefficient(found: Fitting, section: Section, other: Section | None, reynolds: float) -> float:
    sides = section.height / section.width
    if found.form == "bend":
        return found.factor * fitting_forms.bend(
            found.angle, found.radius, section.equivalent_diameter, found.wall, reynolds
        )
    if found.form == "square":
        return found.factor * fitting_forms.mitre(found.angle, sides)
    if found.form == "radius":
        return found.factor * fitting_forms.rounded_elbow(
            found.angle, found.radius, sides, reynolds
        )
    if other is None:
        return found.loss_coefficient
    if found.form in ("contraction", "enlargement"):
        # The air comes out of the other section: what is lost there, turned to this one.
        turned = (section.area / other.area) ** 2
        return turned * fitting_forms.change_of_section(other.area, section.area, found.angle)
    if found.form == "boot":
        return (
            found.loss_coefficient
            - fitting_forms.change_of_section(*_BOOT, math.pi)
            + fitting_forms.change_of_section(section.area, other.area, math.pi)
        )
    return found.loss_coefficient


def total_loss_coefficient(keys: Iterable[str]) -> float:
    """Sum of the typical loss coefficients of fittings on one run. [-]

    Examples
    --------
    >>> round(total_loss_coefficient(["take-off-straight", "elbow-90-mitred"]), 3)
    1.772
    """
    return sum(fitting(key).loss_coefficient for key in keys)
