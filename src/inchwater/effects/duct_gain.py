"""Heat that ducts take up from a hot attic on the way, and whether their jackets sweat.

One wall of insulation between two films of air; along the duct the air comes nearer to what is
around it as in a heat exchanger.  Gaps, thermal bridges and wet insulation are not in it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from inchwater.air import HEAT_OF_DRY_AIR, STANDARD, Values
from inchwater.effects.checks import as_given
from inchwater.effects.data_rows import value
from inchwater.effects.humid_air import COLDEST, WARMEST
from inchwater.parts.checks import positive, within

_TEMPERATURES = f"air around ducts has {COLDEST:.0f} to {WARMEST:.0f} K"
_INSULATION = "insulation is 0 to 10 m²·K/W (R-0 to R-57)"


def film_inside(velocity: Values) -> Values:
    """Film of the moving air on the inside of a duct.

    Parameters
    ----------
    velocity : float or array
        Of the air in the duct. [m/s]

    Returns
    -------
    float or array
        [W/(m2 K)]

    Raises
    ------
    PartError
        at ``velocity`` if it is not above zero.

    References
    ----------
    CIBSE Guide C, table 3.25 at 3 m/s (read as coded in a public model), with speed to the power of
    0.8 (Dittus and Boelter; memory).

    Examples
    --------
    >>> round(film_inside(3.0), 1)
    15.5
    """
    positive("velocity", velocity, unit="m/s")
    ratio = velocity / value("duct_gain", "film inside speed")
    found = value("duct_gain", "film inside") * ratio ** value("duct_gain", "film inside exponent")
    return as_given(found, velocity)


def film_outside(reflective: bool | None, scatter: Values = 0.0) -> Values:
    """Film of still air, with radiation, on the outside of a duct's jacket.

    Parameters
    ----------
    reflective : bool or None
        Whether the jacket is of foil; None is between the two.
    scatter : float or array
        As a standard normal. [-]

    Returns
    -------
    float or array
        [W/(m2 K)]

    References
    ----------
    CIBSE Guide C, table 3.25; status: read as coded in a public model.

    Examples
    --------
    >>> film_outside(True), round(film_outside(None), 2)
    (5.7, 7.55)
    """
    plain, foil = value("duct_gain", "film plain"), value("duct_gain", "film foil")
    middle = {True: foil, False: plain, None: (plain * foil) ** 0.5}[reflective]
    sigma = value("duct_gain", "film sigma_ln")
    if reflective is None:
        sigma = float(np.hypot(sigma, 0.5 * np.log(plain / foil)))
    return as_given(middle * np.exp(sigma * scatter), scatter)


def conductance(insulation: Values, inside: Values, outside: Values) -> Values:
    """Heat through a duct's wall for its area and each kelvin.

    Parameters
    ----------
    insulation : float or array
        Thermal resistance; zero is bare metal. [m2 K/W]
    inside, outside : float or array
        Films. [W/(m2 K)]

    Returns
    -------
    float or array
        [W/(m2 K)]

    Raises
    ------
    PartError
        at ``insulation`` or ``film`` if it cannot be.

    References
    ----------
    Resistances in series.

    Examples
    --------
    R-6 between usual films:

    >>> round(conductance(1.057, 15.5, 7.55), 2)
    0.8
    """
    within("insulation", insulation, 0.0, 10.0, _INSULATION, "m2 K/W")
    positive("film", inside, unit="W/(m2 K)")
    positive("film", outside, unit="W/(m2 K)")
    found = 1.0 / (1.0 / inside + insulation + 1.0 / outside)
    return as_given(found, insulation, inside, outside)


def leaving_temperature(
    entering: Values,
    around: Values,
    wall: Values,
    area: Values,
    airflow: Values,
    density: float = STANDARD.density,
) -> Values:
    """Temperature of air at the end of a duct.

    Parameters
    ----------
    entering, around : float or array
        Of the air that enters, and of the air around the duct. [K]
    wall : float or array
        Conductance of the wall. [W/(m2 K)]
    area : float or array
        Of the duct's wall: perimeter times length. [m2]
    airflow : float or array
        At ``density``. [m3/s]
    density : float
        [kg/m3]

    Returns
    -------
    float or array
        Between the two temperatures. [K]

    Raises
    ------
    PartError
        at ``entering``, ``around``, ``wall``, ``area`` or ``airflow`` if it cannot be.

    References
    ----------
    ASHRAE Handbook Fundamentals 2009, chapter 4, equation 48 (as named by a public insulation
    guide; the form is that of any exchanger in one ambient); status: memory.

    Examples
    --------
    20 ft of 8-inch duct with R-6, 150 cfm of 55 °F air in an attic of 130 °F:

    >>> from inchwater.units import from_si, to_si
    >>> area = np.pi * 0.2032 * to_si(20.0, "ft")
    >>> hot, cold = to_si(130.0, "degf"), to_si(55.0, "degf")
    >>> end = leaving_temperature(cold, hot, 0.8, area, to_si(150.0, "cfm"))
    >>> round(from_si(end, "degf") - 55.0, 1)
    2.7
    """
    within("entering", entering, COLDEST, 500.0, "air in a duct has 213 to 500 K", "K")
    within("around", around, COLDEST, WARMEST, _TEMPERATURES, "K")
    positive("wall", wall, unit="W/(m2 K)")
    positive("area", area, unit="m2")
    positive("airflow", airflow, unit="m3/s")
    stays = np.exp(-wall * area / (airflow * density * HEAT_OF_DRY_AIR))
    found = around + (entering - around) * stays
    return as_given(found, entering, around, wall, area, airflow)


def jacket_temperature(inside_air: Values, around: Values, wall: Values, outside: Values) -> Values:
    """Temperature of the outer face of a duct.

    Parameters
    ----------
    inside_air, around : float or array
        Of the air in the duct, and of that around it. [K]
    wall : float or array
        Conductance of the wall, films included. [W/(m2 K)]
    outside : float or array
        The outer film. [W/(m2 K)]

    Returns
    -------
    float or array
        Water condenses on it where it is below the dew point of the air around. [K]

    Raises
    ------
    PartError
        at ``inside_air``, ``around``, ``wall`` or ``film`` if it cannot be.

    References
    ----------
    Resistances in series.

    Examples
    --------
    40 °F air, R-8 and a shiny jacket in 90 °F:

    >>> from inchwater.units import from_si, to_si
    >>> outside, inside = 1.0 / to_si(1.67, "rvalue"), 1.0 / to_si(0.2, "rvalue")
    >>> wall = conductance(to_si(8.0, "rvalue"), inside, outside)
    >>> face = jacket_temperature(to_si(40.0, "degf"), to_si(90.0, "degf"), wall, outside)
    >>> round(from_si(face, "degf"), 2)
    81.54
    """
    within("inside_air", inside_air, COLDEST, 500.0, "air in a duct has 213 to 500 K", "K")
    within("around", around, COLDEST, WARMEST, _TEMPERATURES, "K")
    positive("wall", wall, unit="W/(m2 K)")
    positive("film", outside, unit="W/(m2 K)")
    found = around - (around - inside_air) * wall / outside
    return as_given(found, inside_air, around, wall, outside)


def sweats(jacket: Values, dew_point: Values) -> NDArray[np.bool_]:
    """Whether water condenses on a jacket [K] in air of a dew point [K]."""
    return np.asarray(np.asarray(jacket) < dew_point)
