"""What an option costs in the end: its price, and what is done where it fails.

Readings after work show for which reason it fails, so that what is next is chosen for that reason,
and what comes after that once more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from inchwater.network.elements import Array
from inchwater.parts.coefficients import table
from inchwater.planning.price_book import PriceBook
from inchwater.planning.tried import Bools, Tried, rare_together, reasons


def expected_costs(
    kept: Sequence[Tried], tried: Sequence[Tried], book: PriceBook, at_last: float
) -> Array:
    """The expected total cost of each option (option,). [USD]

    Where it fails there is another visit, and then the best of: any other option, chosen for the
    samples in which this one fails for one reason and paid less what was done already; or giving
    up, which costs ``at_last`` [USD].  Where the other one fails, there is one more choice like it
    (``next_works`` in search.csv), three works in all, and at last giving up.
    """
    rows = table("search", "inchwater.planning.data")
    works, width = int(rows["next_works"].value), int(rows["next_tried"].value)
    ends = _Ends(tuple(tried), book, at_last, works, width, rows["next_hope"].value)
    return np.array([ends.of(one) for one in kept])


@dataclass
class _Ends:
    """All that was tried, and what is next where some of it fails."""

    tried: tuple[Tried, ...]
    book: PriceBook
    at_last: float
    works: int
    width: int
    hope: float
    _reasons: dict[frozenset[str], list[Bools]] = field(default_factory=dict)
    _known: dict[tuple[bytes, frozenset[str], int], float] = field(default_factory=dict)

    @cached_property
    def failed(self) -> NDArray[np.float32]:
        """1 where each fails, else 0 (option, sample)."""
        return (~np.stack([one.outcome.met for one in self.tried])).astype(np.float32)

    @cached_property
    def cost(self) -> Array:
        """The price of each (option,). [USD]"""
        return np.array([one.cost for one in self.tried])

    @cached_property
    def _number(self) -> dict[str, int]:
        keys = (member.key for one in self.tried for member in one.members)
        return {key: k for k, key in enumerate(dict.fromkeys(keys))}

    @cached_property
    def _prices(self) -> Array:
        """Of each change what it costs in each option (option, change). [USD]"""
        found = np.zeros((len(self.tried), len(self._number)))
        for row, one in zip(found, self.tried, strict=True):
            for member in one.members:
                row[self._number[member.key]] = member.price.value
        return found

    def of(self, one: Tried) -> float:
        """The expected total cost of one option. [USD]"""
        samples = np.ones(self.failed.shape[1], dtype=bool)
        return one.cost + self._after(one, samples, frozenset(), self.works)

    def _after(self, one: Tried, some: Bools, done: frozenset[str], works: int) -> float:
        """What follows where an option fails, as a share of ``some`` samples (sample,). [USD]"""
        done = done | one.keys
        return sum(
            float(failing.sum() / some.sum()) * (self.book.visit + self._next(failing, done, works))
            for failing in self._failing(one, some)
        )

    def _failing(self, one: Tried, some: Bools) -> list[Bools]:
        """The samples in which it fails, parted by reason; few of one reason stay together."""
        if one.keys not in self._reasons:
            self._reasons[one.keys] = reasons(one.outcome)
        return rare_together([reason & some for reason in self._reasons[one.keys]])

    def _next(self, some: Bools, done: frozenset[str], works: int) -> float:
        """The best that can follow in some samples, with what is done already. [USD]"""
        asked = (some.tobytes(), done, works)
        if asked not in self._known:
            self._known[asked] = self._best(some, done, works)
        return self._known[asked]

    def _best(self, some: Bools, done: frozenset[str], works: int) -> float:
        book = self.book
        paid = np.array([key in done for key in self._number], dtype=float)
        left = self.cost - self._prices @ paid
        left = np.maximum(left, np.where(self.cost > 0.0, book.trip, 0.0))
        share = self.failed @ some.astype(np.float32) / some.sum()
        then = left + share * (book.visit + self.at_last)
        best = min(float(then.min()), self.at_last)
        if works <= 1:
            return best
        # Only what could cost less is looked at further, the most hopeful first; fewer later on.
        hopeful = left + share * (book.visit + self.at_last / self.hope)
        width = max(self.width >> (self.works - works), 1)
        for k in np.argsort(hopeful, kind="stable")[:width]:
            if left[k] + share[k] * book.visit < best:
                further = self._after(self.tried[k], some, done, works - 1)
                best = min(best, float(left[k]) + further)
        return best
