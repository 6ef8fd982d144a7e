"""How a fitting's loss depends on its size, its shape and the speed of the air.

The equations behind ``fittings``: bends after Rennels, square and rounded rectangular elbows after
Idelchik, changes of section after Rennels and Crane.  Angles in rad, coefficients on the velocity
pressure of the section that each function names.
"""

from __future__ import annotations

import math

from inchwater.air import STANDARD
from inchwater.parts import coefficients, ducts


def _value(key: str) -> float:
    return coefficients.value("fittings_forms", key)


def typical_reynolds(diameter: float) -> float:
    """Reynolds number in a duct of this hydraulic diameter [m] at a house's usual speed. [-]

    References
    ----------
    ``data/fittings_forms.csv``: 700 ft/min, proposed.

    Examples
    --------
    >>> round(typical_reynolds(0.2032), -2)
    47700.0
    """
    return STANDARD.density * _value("typical velocity") * diameter / STANDARD.viscosity


def bend(angle: float, radius: float, diameter: float, wall: float, reynolds: float) -> float:
    """Loss coefficient of a round bend, wall friction along it included. [-]

    Parameters
    ----------
    angle : float
        By which the air turns. [rad]
    radius : float
        Centre radius over diameter, 0.5 to 3. [-]
    diameter, wall : float
        Inside diameter and roughness. [m]
    reynolds : float
        Of the air in it. [-]

    References
    ----------
    Rennels and Hudson 2012, as in fluids 1.3.1 ``bend_rounded``; friction of Colebrook.

    Examples
    --------
    >>> round(bend(math.pi / 2, 1.5, 0.2, 0.0, 5e4), 2)
    0.25
    """
    friction = float(ducts.friction_factor(reynolds, wall / diameter))
    half = math.sin(0.5 * angle)
    turn = _value("bend.turn") * friction * (math.sqrt(half) + half)
    return (
        friction * angle * radius
        + (_value("bend.base") + _value("bend.friction") * friction) * half
        + turn / math.pow(radius, _value("bend.power") * angle / math.pi)
    )


def mitre(angle: float, side_ratio: float) -> float:
    """Loss coefficient of a square elbow without vanes. [-]

    Parameters
    ----------
    angle : float
        By which the air turns. [rad]
    side_ratio : float
        Height (along the crease) over width (in the plane of the turn), 0.25 to 8. [-]

    References
    ----------
    Idelchik, diagrams 6-5 (side ratio, memory) and 6-7 (as in FluidDissipation).

    Examples
    --------
    >>> round(mitre(math.pi / 2, 1.0), 2)
    1.27
    """
    square = math.sin(0.5 * angle) ** 2
    turn = _value("mitre.second") * square + _value("mitre.fourth") * square**2
    sides = _value("mitre.square") - _value("mitre.side") * math.log(side_ratio)
    return (_value("mitre.base") + _value("mitre.angle") / math.degrees(angle)) * turn * sides


def rounded_elbow(angle: float, radius: float, side_ratio: float, reynolds: float) -> float:
    """Loss coefficient of a rounded rectangular elbow. [-]

    Parameters
    ----------
    angle : float
        By which the air turns, to 90°. [rad]
    radius : float
        Centre radius over width, 0.7 to 3. [-]
    side_ratio : float
        Height over width (in the plane of the turn), 0.25 to 8. [-]
    reynolds : float
        Of the air in it, on the hydraulic diameter. [-]

    References
    ----------
    Idelchik, diagram 6-1 (as in FluidDissipation and HydraulicResistance); the two laws of the side
    ratio are joined where they meet.

    Examples
    --------
    >>> round(rounded_elbow(math.pi / 2, 1.0, 1.0, 1e6), 2)
    0.2
    """
    power = _value("radius.tight power") if radius <= 1.0 else _value("radius.wide power")
    # 0.9 sin α is printed up to 70°; at 90° the factor is one, between them a straight line.
    seventy = math.radians(70.0)
    if angle <= seventy:
        turned = _value("radius.angle") * math.sin(angle)
    else:
        start = _value("radius.angle") * math.sin(seventy)
        turned = start + (1.0 - start) * (angle - seventy) / (0.5 * math.pi - seventy)
    sides = max(
        _value("radius.high base") + _value("radius.high side") / side_ratio,
        _value("radius.very high base") - _value("radius.very high side") / side_ratio,
    )
    slow = _value("radius.reynolds") / math.pow(reynolds, _value("radius.reynolds power"))
    return _value("radius.turn") / math.pow(radius, power) * turned * sides * max(slow, 1.0)


def contraction(area_ratio: float, angle: float) -> float:
    """Loss coefficient of a contraction, on the *small* section. [-]

    Parameters
    ----------
    area_ratio : float
        Small over large area, 0 to 1. [-]
    angle : float
        Between its opposite walls; π is abrupt. [rad]

    References
    ----------
    Rennels and Hudson 2012, as in fluids 1.3.1 ``contraction_conical`` without wall friction.

    Examples
    --------
    >>> round(contraction(0.0, math.pi), 2)
    0.57
    """
    fifth = math.pow(area_ratio, 2.5)
    free = 1.0 - _value("contraction.square") * area_ratio - _value("contraction.fifth") * fifth
    opened = math.pow(angle / math.pi, _value("contraction.angle power"))
    jet = 1.0 + _value("contraction.jet") * opened * free
    mixing = _value("contraction.loss") * math.sin(0.5 * angle) * (1.0 - fifth)
    return mixing * jet**2 + (jet - 1.0) ** 2


def enlargement(area_ratio: float, angle: float) -> float:
    """Loss coefficient of an enlargement, on the *small* section. [-]

    Parameters
    ----------
    area_ratio : float
        Small over large area, 0 to 1. [-]
    angle : float
        Between its opposite walls; from 45° on it is as abrupt. [rad]

    References
    ----------
    Borda and Carnot, softened by the angle: Crane TP-410, as in fluids 1.3.1 ``diffuser_conical``.

    Examples
    --------
    >>> enlargement(0.5, math.pi)
    0.25
    """
    soft = min(_value("enlargement.angle") * math.sin(0.5 * angle), 1.0)
    return soft * (1.0 - area_ratio) ** 2


def change_of_section(area: float, next_area: float, angle: float) -> float:
    """Loss from one section into the next, whichever is larger, on the *first* one. [-]

    Examples
    --------
    >>> change_of_section(1.0, 2.0, math.pi)
    0.25
    """
    if next_area >= area:
        return enlargement(area / next_area, angle)
    return contraction(next_area / area, angle) * (area / next_area) ** 2
