"""A quick guess at what many combinations bring, from what single changes and pairs truly do.

On a logarithmic scale the effects of changes nearly add, and what two of them do to each other is
told by their pair, or by that of two that are alike.  What three and more do to each other is told
by the solved set that a combination has most of.  The guess is good enough to say which few of
a hundred thousand combinations are worth solving, and no number that anybody sees comes from it.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from inchwater.network.elements import Array
from inchwater.planning.evaluate import THREADS, Outcome
from inchwater.planning.screen_kernel import weigh

Ints = NDArray[np.int64]

# Where a quantity is that a set does not have: so far inside its bound, on any scale.
_ABSENT = 30.0
# Nothing near enough is worth this much of the odds, so that of two that miss the nearer is tried.
NEAR = 0.05
# Two changes are alike whose effects differ in direction by less than this share of their squares,
# and in size by less than so many times.
_LIKE, _TIMES = 0.15, 4.0
_ALIKE = 0.9  # how much of a change one that is alike stands for [-]
_SOME = 24  # samples that tell what is alike
_BESIDE = 32  # rows that are weighed side by side
FALL = 4.0  # how fast nearness falls with the share of the bounds that is missing [-]


@dataclass(frozen=True)
class Scale:
    """The quantities of all outcomes in one order, each on the scale on which its effects add.

    low, high : array (quantity,), on that scale; logs : array (quantity,), which are logarithms.
    """

    keys: tuple[str, ...]
    low: Array
    high: Array
    logs: NDArray[np.bool_]

    @classmethod
    def of(cls, outcomes: Sequence[Outcome]) -> Scale:
        """The scale of all quantities that any of the outcomes has."""
        bounds = {one.key: (one.low, one.high) for out in outcomes for one in out.asked}
        least = dict.fromkeys(bounds, np.inf)
        for out in outcomes:
            for k, one in enumerate(out.asked):
                smallest = np.nanmin(out.values[:, k], initial=np.inf)
                least[one.key] = min(least[one.key], float(smallest))
        linear = {one.key for out in outcomes for one in out.asked if one.linear}
        logs = np.array([least[key] > 0.0 and key not in linear for key in bounds], dtype=np.bool_)
        low = np.array([one[0] for one in bounds.values()])
        high = np.array([one[1] for one in bounds.values()])
        with np.errstate(divide="ignore", invalid="ignore"):
            low = np.where(logs, np.where(low > 0.0, np.log(low), -np.inf), low)
            high = np.where(logs, np.where(high > 0.0, np.log(high), -np.inf), high)
        return cls(tuple(bounds), low, high, logs)

    @cached_property
    def absent(self) -> Array:
        """Where a quantity stands that is not there, so that it is met (quantity,)."""
        both = np.isfinite(self.low) & np.isfinite(self.high)
        low = np.where(np.isfinite(self.low), self.low + _ABSENT, 0.0)
        one = np.where(np.isfinite(self.high), self.high - _ABSENT, low)
        with np.errstate(invalid="ignore"):
            return np.where(both, 0.5 * (self.low + self.high), one)

    def of_outcome(self, outcome: Outcome) -> Array:
        """An outcome's values on the scale (sample, quantity); inside for what it does not have."""
        at = {one.key: k for k, one in enumerate(outcome.asked)}
        result = np.tile(self.absent, (len(outcome.values), 1))
        for k, key in enumerate(self.keys):
            if key in at:
                column = outcome.values[:, at[key]]
                result[:, k] = np.log(np.maximum(column, 1e-12)) if self.logs[k] else column
        return result


@dataclass
class Screen:
    """Guesses of combinations of ``count`` single changes.

    base : array (sample, quantity) as found, on the scale; effect : (single, sample, quantity);
    pairs : what two do to each other beyond that, by their numbers; larger : what three and more
    do beyond their singles (sample, quantity), by theirs.
    """

    scale: Scale
    base: Array
    effect: Array
    pairs: dict[tuple[int, ...], Array] = field(default_factory=dict)
    larger: dict[tuple[int, ...], Array] = field(default_factory=dict)

    @classmethod
    def of(cls, base: Outcome, singles: Sequence[Outcome]) -> Screen:
        """From what the system is as found and after each single change."""
        scale = Scale.of([base, *singles])
        start = scale.of_outcome(base)
        # A part that a change brings or takes away brings or takes away its quantities: a return's
        # own air speed goes from where it is met to where it is, a filter's the other way.
        each = np.stack([scale.of_outcome(one) for one in singles])
        return cls(scale, start, each - start)

    def learn(self, members: tuple[int, ...], outcome: Outcome) -> None:
        """Keep what two changes, or three and more, do to each other."""
        moved = self.scale.of_outcome(outcome) - self.base
        kept = self.pairs if len(members) == 2 else self.larger
        kept[members] = moved - self.effect[list(members)].sum(axis=0)

    def guess(self, sets: Ints, rows: Ints) -> Array:
        """The odds that each combination meets everything, and its score (2, set). [-]

        The score has a little for nearness as well.

        Parameters
        ----------
        sets : array (set, most)
            Numbers of the singles, -1 where there are fewer.
        rows : array (row,)
            The samples to guess on.
        """
        seen = self._undecided(rows, sets.shape[1])
        at = np.ix_(rows, seen)
        bounds = np.stack([self.scale.low[seen], self.scale.high[seen]]).astype(np.float32)
        effect = self.effect[:, rows][:, :, seen].astype(np.float32)
        pair_of, times = self._told_by()
        pairs = [one[at] for one in self.pairs.values()]
        both = np.zeros((max(len(pairs), 1), len(rows), len(seen)), dtype=np.float32)
        for number, one in enumerate(pairs):
            both[number] = one
        like, share = self._like(sets)
        some, like = _places(like)
        beyond = self._beyond(at, some, pairs, pair_of, times)
        base = self.base[at].astype(np.float32)
        # Few rows at a time, so that what all sets need of them stays near the processor.
        spans = [slice(k, k + _BESIDE) for k in range(0, len(rows), _BESIDE)]
        blocks = [
            (_beside(base[k]), _beside(effect[:, k]), _beside(both[:, k]), _beside(beyond[:, k]))
            for k in spans
        ]
        result = np.zeros((2, len(sets)))

        def weighed(part: slice) -> None:
            out = np.zeros((2, part.stop - part.start))
            known = like[part], share[part]
            for found, moved, paired, more in blocks:
                told = pair_of, times, paired
                weigh(found, moved, *told, bounds, sets[part], *known, more, FALL, out)
            result[:, part] = out / len(rows)

        ends = np.linspace(0, len(sets), THREADS + 1).astype(int)
        with ThreadPoolExecutor(THREADS) as pool:
            list(pool.map(lambda k: weighed(slice(ends[k], ends[k + 1])), range(THREADS)))
        result[1] = result[0] + NEAR * result[1]
        return result

    @cached_property
    def sizes(self) -> Array:
        """How much each single change does (single,), parts that come or go left aside. [-]"""
        return np.asarray(np.sqrt(np.square(self._moved).mean(axis=1)))

    @cached_property
    def _moved(self) -> Array:
        """What singles do, on some samples, to what is there with and without (single, value)."""
        stays = np.abs(self.effect).max(axis=(0, 1)) < _ABSENT / 3.0
        some = slice(None, None, max(self.effect.shape[1] // _SOME, 1))
        return np.asarray(self.effect[:, some][:, :, stays].reshape(len(self.effect), -1))

    @cached_property
    def alike(self) -> Array:
        """How many times one does what another does (single, single), 0 where it is not alike."""
        inner = self._moved @ self._moved.T
        power = np.maximum(np.diag(inner), 1e-12)
        times = inner / power[None, :]
        rest = 1.0 - inner * inner / (power[:, None] * power[None, :])
        return np.where((rest < _LIKE) & (times > 1.0 / _TIMES) & (times < _TIMES), times, 0.0)

    def untold(self, pairs: Sequence[tuple[int, int]], most: int) -> list[tuple[int, int]]:
        """The first of these pairs of which no solved pair tells, nor one that stands before."""
        alike = self.alike > 0.0
        told = np.zeros(alike.shape, dtype=np.bool_)
        found: list[tuple[int, int]] = []

        def tell(i: int, j: int) -> None:
            here = np.outer(alike[:, i], alike[:, j])
            told[...] |= here | here.T

        for pair in self.pairs:
            tell(*pair)
        for i, j in pairs:
            if len(found) < most and not told[i, j]:
                found.append((i, j))
                tell(i, j)
        return found

    def _told_by(self) -> tuple[Ints, NDArray[np.float32]]:
        """Which solved pair tells what two do to each other, and how many times it is that.

        What all runs an inch larger do to a return tells of all runs two inches larger.

        Returns
        -------
        array (single, single) of int
            The pair's number, -1 where none tells.
        array (single, single)
            How many times.
        """
        count = len(self.effect)
        told, times = np.full((count, count), -1), np.zeros((count, count), dtype=np.float32)
        far = np.full((count, count), np.inf)
        off = np.abs(np.log(np.where(self.alike > 0.0, self.alike, np.nan)))
        for number, pair in enumerate(self.pairs):
            for a, b in (pair, pair[::-1]):
                here = off[:, a, None] + off[None, :, b]
                nearer = here < far
                far[nearer] = here[nearer]
                told[nearer] = number
                times[nearer] = np.outer(self.alike[:, a], self.alike[:, b])[nearer]
        for number, (i, j) in enumerate(self.pairs):
            told[i, j] = told[j, i] = number
            times[i, j] = times[j, i] = 1.0
        return told, times

    def _beyond(
        self,
        at: tuple[Ints, ...],
        some: Ints,
        pairs: Sequence[Array],
        pair_of: Ints,
        times: NDArray[np.float32],
    ) -> NDArray[np.float32]:
        """What some solved sets do beyond their singles and pairs (solved set, row, quantity)."""
        larger = list(self.larger.items())
        shape = max(len(some), 1), at[0].size, at[1].size
        found = np.zeros(shape, dtype=np.float32)
        for number, which in enumerate(some):
            members, moved = larger[which]
            rest = moved[at]
            for i, j in combinations(members, 2):
                if pair_of[i, j] >= 0:
                    rest -= times[i, j] * pairs[pair_of[i, j]]
            found[number] = rest
        return found

    def _like(self, sets: Ints) -> tuple[Ints, NDArray[np.float32]]:
        """Which solved set of three and more each set has most of, and least beside it not.

        A change counts by what it does; one that is alike stands for it nearly.

        Parameters
        ----------
        sets : array (set, most)

        Returns
        -------
        array (set,) of int
            Its number, -1 where there is none.
        array (set,)
            How much of it each has.
        """
        if not self.larger:
            return np.full(len(sets), -1), np.zeros(len(sets), dtype=np.float32)
        stands = np.where(self.alike > 0.0, _ALIKE, 0.0).astype(np.float32)
        np.fill_diagonal(stands, 1.0)
        # One row more for the -1 of sets that have fewer.
        stands = np.vstack([stands, np.zeros_like(stands[:1])])
        sizes = np.zeros((len(self.larger), len(self.effect)), dtype=np.float32)
        for number, members in enumerate(self.larger):
            sizes[number, list(members)] = self.sizes[list(members)]
        whole = np.maximum(sizes.sum(axis=1), 1e-12)  # changes that do nothing in this call
        has = stands[sets].max(axis=1) @ sizes.T
        best = np.argmax(2.0 * has - whole, axis=1)
        return best, has[np.arange(len(sets)), best] / whole[best]

    def _undecided(self, rows: Ints, most: int) -> Ints:
        """The quantities that some combination may leave unmet in some sample."""
        effect = np.sort(self.effect[:, rows], axis=0)
        down = np.minimum(effect[:most], 0.0).sum(axis=0)
        up = np.maximum(effect[-most:], 0.0).sum(axis=0)
        base = self.base[rows]
        # What pairs do to each other may go a little further than all singles together.
        room = 0.05 + 0.25 * (up - down)
        may = (base + down - room < self.scale.low) | (base + up + room > self.scale.high)
        return np.flatnonzero(may.any(axis=0))


def _places(numbers: Ints) -> tuple[Ints, Ints]:
    """Those numbers that there are, and the place of each among them, -1 for -1."""
    some = np.unique(numbers[numbers >= 0])
    return some, np.where(numbers >= 0, np.searchsorted(some, numbers), -1)


def _beside(values: NDArray[np.float32]) -> NDArray[np.float32]:
    """Arrays (..., row, quantity) as (..., quantity, row), in one piece."""
    return np.ascontiguousarray(np.swapaxes(values, -1, -2))


def combined(count: int, most: int, exclude: NDArray[np.bool_]) -> Ints:
    """All sets of two to ``most`` of ``count`` singles of which no two exclude each other.

    Parameters
    ----------
    exclude : array (single, single)
        Whether two exclude each other.

    Returns
    -------
    array (set, most) of int
        Numbers of the singles in rising order, -1 where there are fewer.
    """
    found = [np.empty((0, most), dtype=np.int64)]
    level = np.arange(count, dtype=np.int64)[:, None]
    for size in range(2, most + 1):
        longer = []
        for last in range(count):
            # Those that end before this one, and exclude it with none of theirs.
            before = level[level[:, -1] < last]
            before = before[~exclude[before, last].any(axis=1)]
            longer.append(np.column_stack([before, np.full(len(before), last)]))
        level = np.concatenate(longer) if longer else level[:0]
        padded = np.full((len(level), most), -1, dtype=np.int64)
        padded[:, :size] = level
        found.append(padded)
    return np.concatenate(found)
