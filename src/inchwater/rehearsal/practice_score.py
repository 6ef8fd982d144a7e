"""The score of a practice round: what it cost and what truly came of it, beside the cheapest fix.

The cheapest fix is found with the house's own physics among all sets of as many changes as may
stand at once, in the order of their price.  Where none meets the goal, the right end is to say so.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from typing import Literal

from inchwater.errors import NotPossibleError
from inchwater.rehearsal.practice import Round, Terms
from inchwater.rehearsal.practice_figures import practice
from inchwater.rehearsal.practice_house import truth
from inchwater.rehearsal.state import State
from inchwater.rehearsal.visits import COOLING

Verdict = Literal[
    "met-cheapest", "met", "missed", "missed-out-of-reach", "cannot-right", "cannot-wrong"
]


@dataclass(frozen=True)
class Fix:
    """A set of changes, what it costs [USD], and what then truly is in the cooling call."""

    changes: tuple[str, ...]
    price: float
    state: State


@dataclass(frozen=True)
class Score:
    """What a round came to.

    ``found`` and ``left`` are the truth at the start and at the end, in the cooling call;
    ``cheapest`` is None where no set of changes meets the goal.  ``standing`` is the price of what
    stands, ``money`` what went into changes, ``time`` what the minutes cost, ``miss`` what follows
    a goal that is missed or wrongly given up; ``total`` is all of the last three, ``least`` what
    the cheapest fix would have cost, ``over`` the rest [USD].
    """

    verdict: Verdict
    airflow_met: bool
    plate_met: bool
    found: State
    left: State
    cheapest: Fix | None
    standing: float
    money: float
    time: float
    miss: float

    @property
    def met(self) -> bool:
        """Whether the goal is truly met at the end."""
        return self.airflow_met and self.plate_met

    @property
    def total(self) -> float:
        """Everything that the round cost. [USD]"""
        return self.money + self.time + self.miss

    @property
    def least(self) -> float:
        """What knowing everything would have cost. [USD]"""
        return 0.0 if self.cheapest is None else self.cheapest.price

    @property
    def over(self) -> float:
        """How much more the round cost than that. [USD]"""
        return self.total - self.least


def score(now: Round) -> Score:
    """The score of a round that is over.

    Raises
    ------
    NotPossibleError
        If it is not over yet.
    """
    if not now.ended:
        raise NotPossibleError(
            where="score",
            came="a round that goes on",
            right="a round is scored when it is over",
            do="Say that you are done, or that the goal cannot be reached with these changes.",
        )
    terms, plate = now.terms, now.plate
    left = truth(now.seed, now.in_force, COOLING)
    airflow_met, plate_met = terms.low <= left.airflow <= terms.high, left.tesp <= plate
    met = airflow_met and plate_met
    cheapest = cheapest_fix(now.seed, terms, plate)
    standing = sum(terms.prices[id_] for id_ in now.in_force)
    if met and (cheapest is None or standing < cheapest.price):
        # The same changes made in another order can be another house: two filters, say.
        cheapest = Fix(now.in_force, standing, left)
    verdict: Verdict
    if now.ended == "cannot":
        verdict = "cannot-right" if cheapest is None else "cannot-wrong"
    elif met:
        assert cheapest is not None
        # Dollars and cents: what differs by less is the same price.
        verdict = "met-cheapest" if now.money < cheapest.price + 0.005 else "met"
    else:
        verdict = "missed-out-of-reach" if cheapest is None else "missed"
    miss = 0.0
    if verdict in ("missed", "missed-out-of-reach", "cannot-wrong"):
        # Somebody comes once more, and does the cheapest fix if there is one.
        miss = terms.visit + (0.0 if cheapest is None else cheapest.price)
    return Score(
        verdict=verdict,
        airflow_met=airflow_met,
        plate_met=plate_met,
        found=truth(now.seed, (), COOLING),
        left=left,
        cheapest=cheapest,
        standing=standing,
        money=now.money,
        time=now.minutes * terms.per_minute,
        miss=miss,
    )


def cheapest_fix(seed: int, terms: Terms, plate: float) -> Fix | None:
    """The cheapest set of changes that truly meets the goal; None if there is none.

    Doing nothing is a set of its own.  Of two at one price the smaller one is taken.
    """
    return _cheapest(seed, terms.low, terms.high, plate, tuple(sorted(terms.prices.items())))


@lru_cache(maxsize=32)
def _cheapest(
    seed: int, low: float, high: float, plate: float, prices: tuple[tuple[str, float], ...]
) -> Fix | None:
    for price, ids in sorted(_sets(dict(prices)), key=lambda one: (one[0], len(one[1]))):
        there = truth(seed, ids, COOLING)
        if low <= there.airflow <= high and there.tesp <= plate:
            return Fix(ids, price, there)
    return None


def _sets(prices: Mapping[str, float]) -> Iterator[tuple[float, tuple[str, ...]]]:
    """Every set of changes that may stand at once with its price, in the order of their numbers."""
    ids = sorted(prices, key=lambda id_: (len(id_), id_))
    for size in range(int(practice("changes most")) + 1):
        for chosen in combinations(ids, size):
            yield sum(prices[id_] for id_ in chosen), chosen
