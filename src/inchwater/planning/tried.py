"""What was solved in a search, a set of changes with price and outcome; the frontier of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from inchwater.parts.coefficients import table
from inchwater.planning.evaluate import Outcome
from inchwater.planning.proposals import NOTHING, Proposal
from inchwater.planning.screen import FALL, NEAR
from inchwater.survey import Change

Bools = NDArray[np.bool_]
_DATA = "inchwater.planning.data"
# Odds that an option must have more than all cheaper ones: less is within what the samples tell.
LEAST_GAIN = 0.01


@dataclass(frozen=True)
class Tried:
    """A set of proposals that was solved: what it costs and what it brings.

    ``slower`` is whether it stands for one as good with a faster speed.
    """

    keys: frozenset[str]
    members: tuple[Proposal, ...]
    cost: float
    outcome: Outcome
    slower: bool = False

    @property
    def label(self) -> str:
        """What is done, in words."""
        return "; ".join(one.label for one in self.members or (NOTHING,))

    @property
    def odds(self) -> float:
        """The share of the samples in which everything wanted is met. [-]"""
        return self.outcome.odds

    @cached_property
    def score(self) -> float:
        """The odds, and a little for nearness where they are missed. [-]"""
        near = np.exp(-FALL * self.outcome.off.sum(axis=1)).mean()
        return self.odds + NEAR * float(near)

    @cached_property
    def short(self) -> float:
        """How far off it ends on average, all quantities together, as shares of their bounds."""
        return float(self.outcome.off.sum(axis=1).mean())

    @property
    def changes(self) -> tuple[Change, ...]:
        """All changes, in the order in which they are made."""
        return tuple(change for one in self.members for change in one.changes)


def frontier(tried: Sequence[Tried], least: float = LEAST_GAIN) -> list[Tried]:
    """Those that no other beats in price and odds, by rising price; doing nothing is the first.

    Parameters
    ----------
    least : float
        How much more odds than all cheaper ones an option needs. [-]
    """
    kept: list[Tried] = []
    for one in sorted(tried, key=lambda t: (t.cost, -t.odds, t.short, len(t.keys))):
        if not kept or one.odds >= kept[-1].odds + least:
            kept.append(one)
    return kept


def reasons(outcome: Outcome) -> list[Bools]:
    """The samples in which an option fails, those together that fail for one reason.

    A reason is the kind of quantity that is missed most, and on which side: too little air is
    another one than too much.  Rare ones are put together.

    Returns
    -------
    list of array (sample,) of bool
        They hold each sample that is not met once.
    """
    fails = ~outcome.met
    names = [one.target_key for one in outcome.asked]
    number = {name: k for k, name in enumerate(dict.fromkeys(names))}
    worst = np.argmax(outcome.off, axis=1)
    low = np.array([one.low for one in outcome.asked])[worst]
    below = outcome.values[np.arange(worst.size), worst] < low
    reason = 2 * np.array([number[name] for name in names])[worst] + below
    return rare_together([fails & (reason == one) for one in np.unique(reason[fails])])


def rare_together(each: Sequence[Bools]) -> list[Bools]:
    """Parts of the samples (sample,), the rare ones put together and the empty ones left out."""
    least = table("search", _DATA)["reason"].value
    found = [one for one in each if one.mean() >= least]
    rare = [one for one in each if one.mean() < least and one.any()]
    return [*found, np.any(rare, axis=0)] if rare else found
