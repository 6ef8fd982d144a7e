"""What sets of changes bring on the samples: every wanted quantity, and whether all are met.

What is wanted comes as a :class:`Wanted`, so that this holds for any list of targets: all of the
job's (:class:`wanted.AllTargets`), or the airflow window and external static alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from inchwater.errors import InchwaterError
from inchwater.network.elements import Array, Parameter
from inchwater.planning.wanted import (
    AllTargets,
    Asked,
    Forecasts,
    Wanted,
    call_untold,
    doors_shut,
    in_call,
    in_cooling,
    without_parts,
)
from inchwater.planning.wanted_floors import below_floor
from inchwater.quantity import Said, said
from inchwater.survey import Change, Survey, standing_trial

if TYPE_CHECKING:
    from inchwater.calibration import Posterior
    from inchwater.forecast import Prediction

# Evaluations that run side by side; the solver lets go of Python's lock while it works.
THREADS = 2


@dataclass(frozen=True)
class Outcome:
    """What a set of changes brings.

    values : array (sample, quantity), NaN where it cannot be told [SI]; met : array (sample,).
    """

    asked: tuple[Asked, ...]
    values: Array
    met: NDArray[np.bool_]

    @cached_property
    def odds(self) -> float:
        """The share of the samples in which everything wanted is met. [-]"""
        return float(self.met.mean())

    @cached_property
    def off(self) -> Array:
        """How far off each is as a share of its bound, 0 where met (sample, quantity)."""
        low = np.array([one.low for one in self.asked])
        high = np.array([one.high for one in self.asked])
        off = np.zeros_like(self.values)
        for bound, sign in ((low, -1.0), (high, 1.0)):
            there = np.isfinite(bound)
            beyond = sign * (self.values[:, there] - bound[there])
            off[:, there] = np.fmax(off[:, there], beyond / np.maximum(np.abs(bound[there]), 1e-9))
        return off


@dataclass
class Evaluator:
    """Evaluates sets of changes on the same few samples, each set once.

    ``refused`` keeps the reason of each set that cannot be: outside the table, or not buildable;
    ``forbidden`` those of them that leave less air than heat or a leak of refrigerant needs.
    ``silent`` are wanted calls that cannot be forecast as found, with the reason: they are left
    out everywhere.
    """

    posterior: Posterior
    survey: Survey
    state: Mapping[str, str]
    wanted: Wanted
    done: dict[frozenset[str], Outcome] = field(default_factory=dict)
    refused: dict[frozenset[str], Said] = field(default_factory=dict)
    forbidden: set[frozenset[str]] = field(default_factory=set)
    silent: dict[str, Said] = field(default_factory=dict)
    _now: dict[str, Prediction] = field(default_factory=dict)
    _first: dict[str, Prediction | None] = field(default_factory=dict)
    _values: dict[Parameter, Array] = field(default_factory=dict)

    @classmethod
    def of(cls, posterior: Posterior, size: int, wanted: Wanted | None = None) -> Evaluator:
        """An evaluator of the system as it stands, in the calls that the targets are for.

        Raises
        ------
        InputError
            If targets of the job exclude each other.
        """
        from inchwater.forecast import standing

        few = posterior.thinned(min(size, posterior.size))
        survey, state = standing(few)
        state = in_cooling(survey, state)
        if wanted is None:
            wanted = AllTargets.of(few.job, survey, state.get("call", "cooling"))
        return cls(few, survey, state, wanted)

    @property
    def calls(self) -> tuple[str, ...]:
        """The wanted calls that can be forecast as found.

        Raises
        ------
        InchwaterError
            If the first of them cannot be.
        """
        return tuple(call for call in self.wanted.calls if self.now(call) is not None)

    def now(self, call: str) -> Prediction | None:
        """The system as found in a call; None where it cannot be told, with the reason kept."""
        if call in self.silent:
            return None
        if call not in self._now:
            try:
                self._now[call] = self.predict((), call)
            except InchwaterError as error:
                if call == self.wanted.calls[0]:
                    raise
                self.silent[call] = call_untold(call, error)
                return None
        return self._now[call]

    def predict(
        self,
        changes: Sequence[Change],
        call: str | None = None,
        more: Mapping[str, str] | None = None,
    ) -> Prediction:
        """The forecast of one call after changes; of the first wanted call if None.

        Parameters
        ----------
        more : mapping, optional
            What else holds in this condition: doors that are shut.

        Raises
        ------
        InchwaterError
            If it cannot be: outside the table, or a change that this survey refuses.
        """
        from inchwater.forecast import predict

        first = self.wanted.calls[0]
        state = in_call(self.state, call or first, first) | dict(more or {})
        return predict(self.posterior, changes, state, kept=self._values)

    def first(self, call: str) -> Prediction | None:
        """A call before the changes that are in force were made; None where none are.

        None as well where it cannot be told: then the system as it stands is what there is to
        compare with.
        """
        from inchwater.forecast import predict

        stands = standing_trial(self.posterior.job)
        if stands is None or not stands.after:
            return None
        if call not in self._first:
            state = without_parts(in_call(self.state, call, self.wanted.calls[0]))
            try:
                found = predict(self.posterior, (), state, after=(), kept=self._values)
            except InchwaterError:
                found = None
            self._first[call] = found
        return self._first[call]

    def forecasts(self, changes: Sequence[Change], call: str) -> Forecasts:
        """A call as found and after changes; no changes are the forecast as found itself."""
        now = self.now(call)
        assert now is not None  # the calls are those that can be told
        then = self.predict(changes, call) if changes else now
        shut = doors_shut(self.survey)
        first = self.first(call)
        return Forecasts(call, now, then, lambda: self.predict(changes, call, shut), first)

    def evaluate(self, keys: frozenset[str], changes: Sequence[Change]) -> Outcome | None:
        """What a set of changes brings; None where it cannot be, with the reason kept."""
        if keys in self.refused:
            return None
        if keys not in self.done:
            try:
                outcome = self.outcome(changes)
            except InchwaterError as error:
                self.refused[keys] = said("{why}.", why=error.right.removesuffix("."))
                return None
            why = below_floor(self.base, outcome)
            if why is not None:
                self.refused[keys] = why
                self.forbidden.add(keys)
                return None
            self.done[keys] = outcome
        return self.done[keys]

    @cached_property
    def base(self) -> Outcome:
        """The system as found.

        Raises
        ------
        InchwaterError
            If it cannot be solved: outside its table.
        """
        return self.outcome(())

    def each(self, sets: Iterable[tuple[frozenset[str], Sequence[Change]]]) -> list[Outcome | None]:
        """Several sets side by side, in their order."""
        with ThreadPoolExecutor(THREADS) as pool:
            return list(pool.map(lambda one: self.evaluate(*one), sets))

    def outcome(self, changes: Sequence[Change]) -> Outcome:
        """What changes bring in all wanted calls.

        Raises
        ------
        InchwaterError
            If one of the calls cannot be forecast.
        """
        asked: list[Asked] = []
        columns: list[Array] = []
        for call in self.calls:
            for one, samples in self.wanted.asked(self.forecasts(changes, call)):
                asked.append(one)
                columns.append(samples)
        values = np.stack(columns, axis=1)
        low = np.array([one.low for one in asked])
        high = np.array([one.high for one in asked])
        missed = ((values < low) | (values > high)).any(axis=1)
        return Outcome(tuple(asked), values, np.asarray(~missed))
