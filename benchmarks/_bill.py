"""What one visit's work costs: the same for the program and for the rule of thumb."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inchwater.planning import price_book
from inchwater.survey import Change, Survey


@dataclass
class Bill:
    """The work of one visit: the place is made ready once, and the trip's least is of all of it."""

    work: float = 0.0
    ready: float = 0.0

    def add(self, changes: Sequence[Change], survey: Survey) -> None:
        """Put work on it, after what is there already."""
        work, ready = price_book().apart(changes, survey)
        self.work += work
        self.ready = max(self.ready, ready)

    @property
    def total(self) -> float:
        """What it comes to; nothing where nothing was done. [USD]"""
        whole = self.work + self.ready
        return max(whole, price_book().trip) if whole > 0.0 else 0.0
