"""What straight duct costs: Darcy–Weisbach friction with Colebrook's friction factor.

Friction is computed as a signed pressure drop with its slope over flow, so that a Newton solver
can use it at any flow; laminar flow is blended into turbulent between Re 2000 and 4000.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from inchwater.air import Air, Values
from inchwater.parts import coefficients
from inchwater.parts.checks import positive
from inchwater.parts.sections import same_friction_diameter

LAMINAR_END = 2000.0  # Reynolds numbers between which the two regimes are blended [-]
TURBULENT_START = 4000.0
LAMINAR_DRAG = 64.0  # Darcy factor times Re in laminar flow [-]


def materials() -> Mapping[str, coefficients.Coefficient]:
    """The duct materials with their absolute roughness [m]."""
    return coefficients.table("roughness")


def roughness(material: str) -> float:
    """Absolute roughness of a duct material [m]; UnknownNameError with the choices if unknown.

    References
    ----------
    ASHRAE Handbook Fundamentals 2021, Duct Design, table 1 (read in a reprint); see
    ``data/roughness.csv``.

    Examples
    --------
    >>> round(roughness("flex") * 1000, 2)
    0.91
    """
    choices = materials()
    coefficients.choose(material, choices, "material")
    return choices[material].value


def friction_factor(reynolds: Values, relative_roughness: Values) -> Values:
    """Darcy friction factor of round duct.

    Parameters
    ----------
    reynolds : float or array
        Positive. [-]
    relative_roughness : float or array
        Roughness over diameter, 0 to 0.05. [-]

    Returns
    -------
    float or array
        64/Re below 2000; Colebrook above 4000, solved to 1e-9; in between a blend without a jump
        in value or slope. [-]

    Notes
    -----
    Starts from Haaland's explicit formula; two Newton steps on 1/√f follow.

    References
    ----------
    Colebrook 1939 and Haaland 1983, forms as in ``fluids.friction`` (computed there as a check).

    Examples
    --------
    >>> round(float(friction_factor(1e5, 0.001)), 5)
    0.02217
    """
    positive("reynolds", reynolds)
    return _drag(reynolds, relative_roughness)[0] / reynolds


def _drag(reynolds: Values, relative_roughness: Values) -> tuple[Values, Values]:
    """Darcy factor times Re, which is finite at zero flow, and its slope over Re."""
    # Colebrook from where it is blended in; below, any finite value serves, its weight is zero.
    turbulent = np.maximum(reynolds, LAMINAR_END)
    rough = relative_roughness / 3.7
    x = -1.8 * np.log10(rough**1.11 + 6.9 / turbulent)
    b = 2.51 / turbulent
    decade = 2.0 / np.log(10.0)
    for _ in range(2):
        inside = rough + b * x
        x -= (x + decade * np.log(inside)) / (1.0 + decade * b / inside)
    inside = rough + b * x
    factor = x**-2.0
    drag = factor * turbulent
    # From the derivative of Colebrook's equation: d ln f / d ln Re.
    elasticity = -2.0 * (decade * b / inside) / (1.0 + decade * b / inside)
    slope = factor * (1.0 + elasticity)
    if np.all(reynolds >= TURBULENT_START):
        return drag, slope
    t = np.clip((reynolds - LAMINAR_END) / (TURBULENT_START - LAMINAR_END), 0.0, 1.0)
    weight = t * t * (3.0 - 2.0 * t)
    weight_slope = 6.0 * t * (1.0 - t) / (TURBULENT_START - LAMINAR_END)
    return (
        LAMINAR_DRAG + weight * (drag - LAMINAR_DRAG),
        weight * slope + weight_slope * (drag - LAMINAR_DRAG),
    )


def friction_drop(
    flow: Values, diameter: Values, length: Values, roughness: Values, air: Air
) -> tuple[Values, Values]:
    """Friction of a round duct: pressure drop along the flow and its slope.

    Parameters
    ----------
    flow : float or array
        Volume flow; negative is backward. [m3/s]
    diameter, length, roughness : float or array
        Inside diameter, length along the axis, absolute roughness. [m]
    air : Air
        The air in the duct.

    Returns
    -------
    drop : float or array
        Of total pressure, positive along the flow. [Pa]
    slope : float or array
        d drop / d flow, finite and positive at zero flow. [Pa s/m3]

    Raises
    ------
    PartError
        at ``diameter`` or ``length`` if one is not positive.

    References
    ----------
    Darcy–Weisbach; ASHRAE Handbook Fundamentals, Duct Design (form from memory).

    Examples
    --------
    >>> from inchwater.air import STANDARD
    >>> drop, slope = friction_drop(0.05191, 0.1524, 30.48, 9.144e-5, STANDARD)
    >>> round(float(drop), 1)
    24.6
    """
    positive("diameter", diameter)
    positive("length", length)
    # With Re for flow, drop = f(Re) Re² · L μ²/(2 ρ D³): no division by the flow anywhere.
    per_flow = 4.0 * air.density / (np.pi * diameter * air.viscosity)
    scale = length * air.viscosity**2 / (2.0 * air.density * diameter**3)
    reynolds = np.abs(flow) * per_flow
    drag, drag_slope = _drag(reynolds, roughness / diameter)
    drop = np.sign(flow) * scale * drag * reynolds
    return drop, scale * per_flow * (drag + reynolds * drag_slope)


def velocity_pressure(flow: Values, area: Values, air: Air) -> Values:
    """Velocity pressure [Pa] of a flow [m3/s] through an area [m2]; never negative.

    Examples
    --------
    >>> from inchwater.air import STANDARD
    >>> round(velocity_pressure(5.08 * 0.1, 0.1, STANDARD), 2)
    15.5
    """
    positive("area", area)
    return 0.5 * air.density * (flow / area) ** 2


def local_drop(
    flow: Values, area: Values, loss_coefficient: Values, air: Air
) -> tuple[Values, Values]:
    """Local loss, signed along the flow [Pa], and its slope over flow [Pa s/m3].

    Parameters
    ----------
    flow : float or array
        Volume flow; negative is backward. [m3/s]
    area : float or array
        Of the section that the coefficient refers to. [m2]
    loss_coefficient : float or array
        On that section's velocity pressure. [-]
    """
    positive("area", area)
    scale = 0.5 * air.density * loss_coefficient / area**2
    size = np.abs(flow)
    return scale * size * flow, 2.0 * scale * size


def circle_area(diameter: Values) -> Values:
    """Area of a round section [m2] from its diameter [m]."""
    return np.pi / 4.0 * diameter**2


def equivalent_diameter_rectangular(a: Values, b: Values) -> Values:
    """Diameter of the round duct with the same friction at the same *flow* as a rectangular one.

    Parameters
    ----------
    a, b : float or array
        Inside width and height. [m]

    Returns
    -------
    float or array
        Its mean velocity is not that of the rectangular duct. [m]

    References
    ----------
    Huebscher 1948, as in SMACNA HVAC Systems Duct Design, table 14-2 (caption read in a reprint).

    Examples
    --------
    >>> round(equivalent_diameter_rectangular(0.2032, 0.3048) / 0.0254, 1)
    10.7
    """
    positive("a", a)
    positive("b", b)
    return same_friction_diameter("rectangular", a * b, 2.0 * (a + b))


def equivalent_diameter_oval(major: Values, minor: Values) -> Values:
    """Diameter of the round duct with the same friction at the same flow as a flat oval one.

    Parameters
    ----------
    major, minor : float or array
        Outer dimensions of the section; the minor is the diameter of its round ends. [m]

    References
    ----------
    Heyt and Diaz 1975 (form read in a reprint of the ASHRAE Handbook; area and perimeter memory).
    """
    positive("minor", minor)
    positive("major − minor", np.asarray(major) - minor, "it is a number not below zero", zero=True)
    area = np.pi * minor**2 / 4.0 + minor * (major - minor)
    perimeter = np.pi * minor + 2.0 * (major - minor)
    return same_friction_diameter("oval", area, perimeter)


def hydraulic_diameter(a: Values, b: Values) -> Values:
    """Hydraulic diameter of a rectangular section [m]: to be used with its real velocity."""
    positive("a", a)
    positive("b", b)
    return 2.0 * a * b / (a + b)
