"""A duct's cross-section: area, perimeter, and the round duct that costs the same friction.

Round, rectangular and flat oval.  Velocity pressure goes by the true area, friction by the
equivalent diameter and the true flow (Huebscher; Heyt and Diaz); the two are never mixed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from inchwater.air import Values
from inchwater.errors import PartError
from inchwater.parts import coefficients
from inchwater.parts.checks import positive

Shape = Literal["round", "rectangular", "oval"]
SHAPES: tuple[Shape, ...] = ("round", "rectangular", "oval")


@dataclass(frozen=True, slots=True)
class Section:
    """The inside of a duct: ``width`` and ``height`` [m]; both are the diameter of a round one.

    Of a flat oval the longer of the two is the major dimension, the shorter the diameter of its
    round ends.  Build round ones with :meth:`round`, unsure ones with :func:`section_of`.

    Raises
    ------
    PartError
        at ``width`` or ``height`` if it is not a positive number.

    Examples
    --------
    >>> Section("rectangular", 0.3048, 0.2032).area
    0.06193536
    """

    shape: Shape
    width: float
    height: float

    def __post_init__(self) -> None:
        for name in ("width", "height"):
            positive(name if self.shape != "round" else "diameter", getattr(self, name))

    @classmethod
    def round(cls, diameter: float) -> Section:
        """The section of a round duct of this inside diameter [m]."""
        return cls("round", diameter, diameter)

    @property
    def area(self) -> float:
        """Free area, that of the velocity pressure. [m2]"""
        if self.shape == "rectangular":
            return self.width * self.height
        return math.pi / 4.0 * self.minor**2 + self.minor * (self.major - self.minor)

    @property
    def perimeter(self) -> float:
        """Wetted perimeter. [m]"""
        if self.shape == "rectangular":
            return 2.0 * (self.width + self.height)
        return math.pi * self.minor + 2.0 * (self.major - self.minor)

    @property
    def hydraulic_diameter(self) -> float:
        """Four areas over the perimeter; goes with the true velocity. [m]"""
        return 4.0 * self.area / self.perimeter

    @property
    def equivalent_diameter(self) -> float:
        """Diameter of the round duct with the same friction at the same flow. [m]

        Notes
        -----
        Range: up to eight to one, see :meth:`beyond`.

        References
        ----------
        Huebscher 1948 (SMACNA HVAC Systems Duct Design, table 14-2, caption read in a reprint);
        Heyt and Diaz 1975 (ASHRAE Handbook Fundamentals, read in a reprint); ``data/sections.csv``.

        Examples
        --------
        >>> round(Section("rectangular", 0.3048, 0.2032).equivalent_diameter / 0.0254, 1)
        10.7
        """
        if self.shape == "round":
            return self.width
        return float(same_friction_diameter(self.shape, self.area, self.perimeter))

    @property
    def major(self) -> float:
        """The longer side, or the diameter. [m]"""
        return max(self.width, self.height)

    @property
    def minor(self) -> float:
        """The shorter side, or the diameter. [m]"""
        return min(self.width, self.height)

    @property
    def aspect(self) -> float:
        """Longer over shorter side; 1 for round. [-]"""
        return self.major / self.minor

    def beyond(self) -> str | None:
        """A sentence when the section lies outside what its friction is known for, else None."""
        aspect = coefficients.value("sections", "largest aspect")
        if self.aspect > aspect:
            return (
                f"A duct {self.aspect:.1f} times as wide as high is flatter than the tables of "
                f"equivalent diameters go ({aspect:.0f} to 1); its friction is a guess."
            )
        smallest = coefficients.value("sections", "smallest diameter")
        largest = coefficients.value("sections", "largest diameter")
        size = self.equivalent_diameter
        if not smallest <= size <= largest:
            than = "smaller" if size < smallest else "larger"
            return (
                f"A duct that acts as one of {size / 0.0254:.1f} in is {than} than house duct "
                f"({smallest / 0.0254:.0f} to {largest / 0.0254:.0f} in); its losses are a guess."
            )
        return None


def same_friction_diameter(shape: Shape, area: Values, perimeter: Values) -> Values:
    """Diameter of the round duct with the same friction at the same flow. [m]

    Parameters
    ----------
    shape : {"rectangular", "oval"}
        Which of the two equations holds.
    area, perimeter : float or array
        Of the section. [m2, m]

    References
    ----------
    As for :attr:`Section.equivalent_diameter`; ``data/sections.csv``.

    Examples
    --------
    >>> round(same_friction_diameter("rectangular", 0.06193536, 1.016) / 0.0254, 1)
    10.7
    """
    power = coefficients.value("sections", "area exponent")
    root = coefficients.value("sections", "perimeter exponent")
    constant = coefficients.value("sections", f"{shape}.constant")
    # Huebscher's sum of the sides is half the perimeter.
    around = 0.5 * perimeter if shape == "rectangular" else perimeter
    return constant * area**power / around**root


def section_of(
    shape: Shape | None,
    diameter: float | None = None,
    width: float | None = None,
    height: float | None = None,
) -> Section:
    """The section of a duct as it was described.

    Parameters
    ----------
    shape : str or None
        round, rectangular, oval; None is round where a diameter is given, else rectangular.
    diameter, width, height : float or None
        Inside sizes; of an oval ``width`` and ``height`` are the outer ends of the inside. [m]

    Returns
    -------
    Section
        Sizes as given.

    Raises
    ------
    PartError
        at ``diameter``, ``width`` or ``height`` if what the shape needs is missing or not above
        zero; at ``shape`` if there is no such shape.

    References
    ----------
    Geometry only.

    Examples
    --------
    >>> section_of(None, diameter=0.2).shape
    'round'
    """
    if shape is None:
        shape = "round" if diameter is not None else "rectangular"
    if shape not in SHAPES:
        raise PartError(where="shape", came=repr(shape), right=f"choices are {', '.join(SHAPES)}")
    if shape == "round":
        return Section.round(_wanted("diameter", diameter, shape))
    return Section(shape, _wanted("width", width, shape), _wanted("height", height, shape))


def _wanted(name: str, size: float | None, shape: Shape) -> float:
    if size is None:
        raise PartError(
            where=name,
            came="nothing",
            right=f"its {name} is needed for {shape} duct",
            do="Measure it, or describe the duct by another shape.",
        )
    return size
