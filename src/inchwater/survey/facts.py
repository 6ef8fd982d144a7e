"""A fact: one quantity of the survey, with the unit it was given in and how it is known."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from inchwater import units


class How(StrEnum):
    """How a fact is known; calibration widens its prior by it."""

    MEASURED = "measured"
    SEEN = "seen"
    STATED = "stated"
    TYPICAL = "typical"


@dataclass(frozen=True, slots=True)
class Fact:
    """A number, its unit, and how it is known; ``typical`` is a default of ours, never observed."""

    value: float
    unit: str
    how: How = How.SEEN

    @property
    def si(self) -> float:
        """The value in the base SI unit of its kind."""
        return units.to_si(self.value, self.unit)
