"""The search for combinations of changes that meet what is wanted, at every price.

All single changes are solved on the samples, and a frontier of them is the first answer.  Of the
combinations of up to four, those that a guess from singles and pairs puts near the frontier are
solved as well, until no guess beats it any more or the work has its limit.  Every option that is
given was solved, and none is kept that another one beats in price and in odds.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from inchwater.network.elements import Array
from inchwater.planning.evaluate import Evaluator, Outcome
from inchwater.planning.price_book import PriceBook
from inchwater.planning.proposals import Proposal
from inchwater.planning.screen import Ints, Screen, combined
from inchwater.planning.slower import Speeds, slowest, speed_of
from inchwater.planning.tried import LEAST_GAIN, Tried, frontier
from inchwater.survey import Survey

SAMPLES = 500
MOST = 4
_FEW = 48  # samples of the first guess
_NEAR = 1500  # combinations that are guessed on all samples
_FIRST_PAIRS = 24  # pairs of what does most that are solved before any guess
# How often all is guessed anew, as another guess sees other combinations, and the pairs that are
# solved then to learn what changes do to each other.
_GOES, _PAIRS = 3, 12
_LEADING = 20.0  # sets in front that count about alike when pairs are chosen
_ROUND = 12  # combinations that are solved before guesses are weighed again
_ROUNDS = 2  # in each go
_ERR = 0.06  # odds by which a guess may be too low
_NONE = 0.005  # guessed odds up to which there are none


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a search is: solved so far, at most, and the frontier of what was solved."""

    done: int
    most: int
    tried: tuple[Tried, ...]


@dataclass
class Costs:
    """What sets of proposals cost, quickly: work by itself, getting ready once, the trip's least.

    work : array (single,) [USD]; ready : array (single,), what getting the place ready costs [USD].
    """

    work: Array
    ready: Array
    trip: float

    @classmethod
    def of(cls, members: Sequence[Proposal], survey: Survey, book: PriceBook) -> Costs:
        """From the book, for the proposals of one system."""
        each = np.array([book.apart(one.changes, survey) for one in members]).reshape(-1, 2)
        return cls(each[:, 0], each[:, 1], book.trip)

    def of_sets(self, sets: Ints) -> Array:
        """What sets cost (set,), numbers of the singles, -1 for none. [USD]"""
        there = sets >= 0
        work = np.where(there, self.work[sets], 0.0).sum(axis=1)
        ready = np.where(there, self.ready[sets], 0.0).max(axis=1, initial=0.0)
        total = np.maximum(work + ready, self.trip)
        return np.asarray(np.where(there.any(axis=1), total, 0.0))


@dataclass
class Search:
    """One search on one system; ``tried`` is all that was solved."""

    evaluator: Evaluator
    singles: tuple[Proposal, ...]
    book: PriceBook
    most: int = MOST
    progress: Callable[[Progress], None] | None = None
    tried: list[Tried] = field(default_factory=list)
    costs: Costs = field(init=False)
    base: Outcome = field(init=False)
    left_out: dict[str, Proposal] = field(default_factory=dict)

    def run(self) -> list[Tried]:
        """All that was solved, the frontier among it.

        Raises
        ------
        InchwaterError
            If the system as found cannot be solved: outside its table.
        """
        self.base = self.evaluator.base
        self.tried = [Tried(frozenset(), (), 0.0, self.base)]
        self._solve_singles()
        self._tell()
        if len(self.singles) > 1 and self.most > 1:
            self._combine()
        return self.tried

    def offered(self) -> list[Tried]:
        """The frontier of what was tried, each option at the slowest speed that is as good."""
        evaluator = self.evaluator
        speeds = Speeds.of(evaluator.survey, evaluator.state, evaluator.calls, self.singles)
        kept = frontier(self.tried)
        done = {one.keys for one in self.tried} | set(evaluator.refused)
        at = {one.key: k for k, one in enumerate(self.singles)}
        rows: list[list[int]] = []
        for one in kept:
            for members in speeds.slower(one, self.most) if one.members else ():
                keys = frozenset(m.key for m in members)
                if keys not in done and keys <= at.keys() and len(rows) < _ROUND:
                    done.add(keys)
                    rows.append([at[m.key] for m in members])
        if rows:
            self._solve(_padded(rows, self.most))
        return slowest(kept, self.tried, speeds)

    def _solve_singles(self) -> None:
        found = self.evaluator.each((frozenset([one.key]), one.changes) for one in self.singles)
        kept = [(one, out) for one, out in zip(self.singles, found, strict=True) if out is not None]
        self.left_out = {
            one.key: one for one, out in zip(self.singles, found, strict=True) if out is None
        }
        self.singles = tuple(one for one, _ in kept)
        self.costs = Costs.of(self.singles, self.evaluator.survey, self.book)
        alone = self.costs.of_sets(np.arange(len(kept))[:, None])
        for k, (one, out) in enumerate(kept):
            self.tried.append(Tried(frozenset([one.key]), (one,), float(alone[k]), out))

    def _combine(self) -> None:
        screen = Screen.of(self.base, [one.outcome for one in self.tried[1:]])
        exclude = excluding(self.singles)
        every = combined(len(self.singles), min(self.most, len(self.singles)), exclude)
        costs = self.costs.of_sets(every)
        few = _spaced(len(self.base.met), _FEW)
        self._solve_first_pairs(screen, exclude)
        for _ in range(_GOES):
            near = self._near(costs, screen.guess(every, few), _NEAR)
            sets, cost = every[near], costs[near]
            self._solve_pairs(screen, sets, _PAIRS)
            guess = self._solve_promising(screen, sets, cost)
        self._solve(sets[self._left(sets, cost, guess)])

    def _solve_promising(self, screen: Screen, sets: Ints, cost: Array) -> Array:
        """Solve sets in rounds as long as a guess puts some in front; the guess after them."""
        rows = np.arange(len(self.base.met))
        guess = screen.guess(sets, rows)
        for _ in range(_ROUNDS):
            wanted = self._promising(sets, cost, guess)
            if not len(wanted):
                break
            self._solve(sets[wanted])
            if self._learn(screen, sets[wanted]):
                guess = screen.guess(sets, rows)
        return guess

    def _near(self, cost: Array, guess: Array, most: int) -> Ints:
        """The sets whose guess comes nearest to the best that anything cheaper is guessed at."""
        order = np.lexsort((-guess[1], cost))
        sorted_ = guess[:, order]
        before = np.maximum.accumulate(sorted_, axis=1)
        before = np.column_stack([[-np.inf, -np.inf], before[:, :-1]])
        behind = np.maximum(before, self._reached(cost[order])) - sorted_
        return np.asarray(order[np.argsort(behind.min(axis=0), kind="stable")[:most]])

    def _reached(self, cost: Array) -> Array:
        """The best odds and score of what was solved at no more than each cost (2, set). [-]"""
        at = sorted((one.cost, one.odds, one.score) for one in self.tried)
        costs = np.array([one[0] for one in at])
        best = np.maximum.accumulate([one[1:] for one in at], axis=0)
        return np.asarray(best[np.searchsorted(costs, cost, side="right") - 1]).T

    def _solve_first_pairs(self, screen: Screen, exclude: NDArray[np.bool_]) -> None:
        """Solve the pairs of what does most by itself: large changes do most to each other.

        Where all runs are larger, a return brings something else than as found, and as long as
        nobody knows what, no guess puts the two in front.  A pair that is like one of them is
        told by it.  Each speed of the blower counts as the one that does most: a lower one does
        nothing where the motor is at its end, and all once ducts are larger.
        """
        size = screen.sizes.copy()
        speeds = [k for k, one in enumerate(self.singles) if speed_of(one) is not None]
        if speeds:
            size[speeds] = size[speeds].max()
        pairs = [(i, j) for i, j in combinations(range(len(size)), 2) if not exclude[i, j]]
        pairs.sort(key=lambda pair: -size[pair[0]] * size[pair[1]])
        self._solve_and_learn(screen, screen.untold(pairs, _FIRST_PAIRS))

    def _solve_pairs(self, screen: Screen, sets: Ints, wanted: int) -> None:
        """Solve the pairs that stand most often in the nearest sets, and learn from them."""
        often: dict[tuple[int, int], float] = {}
        for rank, row in enumerate(sets):
            members = [int(k) for k in row if k >= 0]
            for pair in combinations(members, 2):
                if pair not in screen.pairs:
                    often[pair] = often.get(pair, 0.0) + 1.0 / (_LEADING + rank)
        self._solve_and_learn(screen, sorted(often, key=lambda pair: -often[pair])[:wanted])

    def _solve_and_learn(self, screen: Screen, pairs: Sequence[tuple[int, int]]) -> None:
        if pairs:
            sets = _padded(pairs, self.most)
            self._solve(sets)
            self._learn(screen, sets)

    def _learn(self, screen: Screen, sets: Ints) -> bool:
        """Keep what solved sets do to each other; whether there was any that was not known."""
        solved = {one.keys: one.outcome for one in self.tried}
        known = {*screen.pairs, *screen.larger}
        learned = False
        for row in sets:
            members = [int(k) for k in row if k >= 0]
            outcome = solved.get(self._keys(row))
            if outcome is not None and tuple(members) not in known:
                screen.learn(tuple(members), outcome)
                learned = True
        return learned

    def _promising(self, sets: Ints, cost: Array, guess: Array) -> Ints:
        """The next sets to solve: those whose guess beats what was solved at no more money."""
        reached = self._reached(cost)
        odds, score = guess - reached
        # A guess may be too low, but where it sees no odds at all only nearness counts.
        odds = np.where(guess[0] > _NONE, odds + _ERR, -1.0)
        gain = np.maximum(odds, score)
        return self._first_of(sets, gain, reached[0], gain > 0.0)

    def _left(self, sets: Ints, cost: Array, guess: Array) -> Ints:
        """The sets that come nearest of those that no guess puts in front.

        What three changes do to each other no guess knows: of what has odds at all, and could have
        more than what costs no more, the last round looks at the next best.
        """
        reached = self._reached(cost)[0]
        return self._first_of(sets, guess[0] - reached, reached, guess[0] > _NONE)

    def _first_of(self, sets: Ints, gain: Array, reached: Array, wanted: NDArray[np.bool_]) -> Ints:
        """Of the sets that are wanted those of the most gain, as many as one round has.

        Not what was solved, and not what is met in all samples by what costs no more: nothing beats
        that.
        """
        done = {one.keys for one in self.tried} | set(self.evaluator.refused)
        wanted = wanted & (reached <= 1.0 - LEAST_GAIN)
        found: list[int] = []
        for k in np.argsort(-gain, kind="stable"):
            if len(found) == _ROUND:
                break
            if wanted[k] and self._keys(sets[k]) not in done:
                found.append(int(k))
        return np.array(found, dtype=np.int64)

    def _keys(self, row: Ints) -> frozenset[str]:
        return frozenset(self.singles[k].key for k in row if k >= 0)

    def _solve(self, sets: Ints) -> None:
        members = [tuple(self.singles[k] for k in row if k >= 0) for row in sets]
        keys = [frozenset(one.key for one in some) for some in members]
        changes = [tuple(change for one in some for change in one.changes) for some in members]
        cost = self.costs.of_sets(sets) if len(sets) else np.empty(0)
        found = self.evaluator.each(zip(keys, changes, strict=True))
        for k, outcome in enumerate(found):
            if outcome is not None:
                self.tried.append(Tried(keys[k], members[k], float(cost[k]), outcome))
        self._tell()

    def _tell(self) -> None:
        if self.progress is not None:
            pairs = _FIRST_PAIRS + _GOES * _PAIRS
            rounds = _GOES * _ROUNDS + 2
            most = 1 + len(self.singles) + pairs + _ROUND * rounds
            self.progress(Progress(len(self.tried), most, tuple(frontier(self.tried))))


def excluding(singles: Sequence[Proposal]) -> NDArray[np.bool_]:
    """Which of the changes cannot be made together, as they replace the same (single, single)."""
    count = len(singles)
    result = np.zeros((count, count), dtype=np.bool_)
    for i, j in combinations(range(count), 2):
        result[i, j] = result[j, i] = bool(singles[i].replaces & singles[j].replaces)
    return result


def _padded(rows: Sequence[Sequence[int]], most: int) -> Ints:
    """Sets in rising order (set, most), -1 where they have fewer."""
    sets = np.full((len(rows), most), -1)
    for k, row in enumerate(rows):
        sets[k, : len(row)] = sorted(row)
    return sets


def _spaced(size: int, wanted: int) -> Ints:
    """At most ``wanted`` places spread evenly over ``size`` samples."""
    return np.unique(np.linspace(0, size - 1, min(wanted, size)).astype(np.int64))
