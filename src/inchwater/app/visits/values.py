"""Values as they are typed: a number with the unit it came in, and a size of two numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from inchwater import units
from inchwater.errors import InputError
from inchwater.units import System


class NotYetError(InputError):
    """What was typed is right but counts only with something else, which the text names."""


@dataclass(frozen=True, slots=True)
class Typed:
    """One number in the unit in which it was typed; ``about`` was said with it or not."""

    value: float
    unit: str
    about: bool = False

    @property
    def si(self) -> float:
        """The value in the base SI unit."""
        return units.to_si(self.value, self.unit)

    @property
    def text(self) -> str:
        """The number with its unit's label."""
        return f"{number_text(self.value)} {units.unit(self.unit).label}".strip()

    def fact(self, how: str) -> dict[str, Any]:
        """The fact of it, as a job file holds it."""
        return {"value": self.value, "unit": self.unit, "how": "stated" if self.about else how}


@dataclass(frozen=True, slots=True)
class Size:
    """Width and height of a face, in one unit."""

    width: float
    height: float
    unit: str

    def fact(self, side: str) -> dict[str, Any]:
        """The fact of ``width`` or ``height``."""
        value = self.width if side == "width" else self.height
        return {"value": value, "unit": self.unit, "how": "seen"}


def number_text(value: float) -> str:
    """A number as a person types it: ``0.7``, ``750``, ``1200``."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def fact_text(fact: dict[str, Any], quantity: str, system: System) -> str:
    """A fact as it stands in a field: as it came if it is in the page's unit, else converted.

    Parameters
    ----------
    fact : dict
        ``{value, unit, how}``.
    quantity : str
        Key of ``units.SHOWN``.
    system : str
        The page's units.
    """
    return in_system(fact["value"], fact["unit"], quantity, system)


def in_system(value: float, unit: str, quantity: str, system: System) -> str:
    """A number of any unit as it stands in a field of this quantity."""
    name, decimals = units.SHOWN[quantity][system]
    if unit == name:
        return number_text(value)
    number = units.from_si(units.to_si(value, unit), name)
    return number_text(round(number, decimals))


def size_text(face: dict[str, Any], system: System) -> str:
    """Width and height as they stand in a field: ``16 × 25``; empty if either is unknown."""
    if "width" not in face or "height" not in face:
        return ""
    return " × ".join(fact_text(face[side], "length", system) for side in ("width", "height"))
