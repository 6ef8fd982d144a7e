"""What sets of changes bring on the samples: every wanted quantity, and whether all are met.

What is wanted comes as a :class:`Wanted`, so that this holds for any list of targets.  A quantity
that nobody can tell (a NaN) keeps no option from being counted as met; who made the list says so.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

from inchwater import criteria
from inchwater.errors import InchwaterError
from inchwater.network.elements import Array
from inchwater.quantity import Said, said
from inchwater.survey import Change, Job, Survey

if TYPE_CHECKING:
    from inchwater.calibration import Posterior
    from inchwater.forecast import Prediction

# Evaluations that run side by side; the solver lets go of Python's lock while it works.
THREADS = 2


@dataclass(frozen=True, slots=True)
class Asked:
    """One wanted quantity of one system: its bounds in SI, -inf or inf where there is none."""

    key: str
    label: str
    low: float
    high: float


class Wanted(Protocol):
    """What is wanted of a system, in which calls."""

    @property
    def calls(self) -> tuple[str, ...]:
        """The thermostat calls to forecast; the first is the one that the search is for."""

    def asked(self, prediction: Prediction, call: str) -> tuple[tuple[Asked, Array], ...]:
        """The wanted quantities of a call with their samples (sample,). [SI]"""


@dataclass(frozen=True)
class AirAndPressure:
    """The least that is wanted: the airflow window, and external static within the plate."""

    goal: criteria.Goal
    plate: float
    call: str = "cooling"

    @classmethod
    def of(cls, job: Job, survey: Survey, call: str = "cooling") -> AirAndPressure:
        """As the job's targets and the unit's plate say."""
        return cls(criteria.goal(survey, job.targets), criteria.plate(survey)[0], call)

    @property
    def calls(self) -> tuple[str, ...]:
        """The one call."""
        return (self.call,)

    def asked(self, prediction: Prediction, call: str) -> tuple[tuple[Asked, Array], ...]:
        """Airflow and external static. [m3/s, Pa]"""
        air = Asked("airflow", "airflow", self.goal.low, self.goal.high)
        tesp = Asked("tesp", "external static pressure", -np.inf, self.plate)
        solution = prediction.solution
        return (air, solution.airflow), (tesp, solution.tesp)


@dataclass(frozen=True)
class Outcome:
    """What a set of changes brings.

    values : array (sample, quantity), NaN where it cannot be told [SI]; met : array (sample,).
    """

    asked: tuple[Asked, ...]
    values: Array
    met: NDArray[np.bool_]

    @property
    def odds(self) -> float:
        """The share of the samples in which everything wanted is met. [-]"""
        return float(self.met.mean())

    @property
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

    ``refused`` keeps the reason of each set that cannot be: outside the table, or not buildable.
    """

    posterior: Posterior
    survey: Survey
    state: Mapping[str, str]
    wanted: Wanted
    done: dict[frozenset[str], Outcome] = field(default_factory=dict)
    refused: dict[frozenset[str], Said] = field(default_factory=dict)

    @classmethod
    def of(cls, posterior: Posterior, size: int, wanted: Wanted | None = None) -> Evaluator:
        """An evaluator of the system as it stands, in the call that the targets are for."""
        from inchwater.forecast import standing

        few = posterior.thinned(min(size, posterior.size))
        survey, state = standing(few)
        if not criteria.for_cooling(survey, state.get("call")):
            # The window is for a call that cools, and so is the choice.
            state = {k: v for k, v in state.items() if k != "tap"} | {"call": "cooling"}
        if wanted is None:
            wanted = AirAndPressure.of(few.job, survey, state.get("call", "cooling"))
        return cls(few, survey, state, wanted)

    def predict(self, changes: Sequence[Change], call: str | None = None) -> Prediction:
        """The forecast of one call after changes; of the first wanted call if None.

        Raises
        ------
        InchwaterError
            If it cannot be: outside the table, or a change that this survey refuses.
        """
        from inchwater.forecast import predict

        state = self.state
        if call is not None and call != self.wanted.calls[0]:
            kept = ("volts", "coil") if call.startswith("cooling") else ("volts",)
            state = {k: v for k, v in self.state.items() if k in kept} | {"call": call}
        return predict(self.posterior, changes, state)

    def evaluate(self, keys: frozenset[str], changes: Sequence[Change]) -> Outcome | None:
        """What a set of changes brings; None where it cannot be, with the reason kept."""
        if keys in self.refused:
            return None
        if keys not in self.done:
            try:
                self.done[keys] = self._outcome(changes)
            except InchwaterError as error:
                self.refused[keys] = said("{why}.", why=error.right.removesuffix("."))
                return None
        return self.done[keys]

    def each(self, sets: Iterable[tuple[frozenset[str], Sequence[Change]]]) -> list[Outcome | None]:
        """Several sets side by side, in their order."""
        with ThreadPoolExecutor(THREADS) as pool:
            return list(pool.map(lambda one: self.evaluate(*one), sets))

    def _outcome(self, changes: Sequence[Change]) -> Outcome:
        asked: list[Asked] = []
        columns: list[Array] = []
        for call in self.wanted.calls:
            for one, samples in self.wanted.asked(self.predict(changes, call), call):
                asked.append(one)
                columns.append(samples)
        values = np.stack(columns, axis=1)
        low = np.array([one.low for one in asked])
        high = np.array([one.high for one in asked])
        missed = ((values < low) | (values > high)).any(axis=1)
        return Outcome(tuple(asked), values, np.asarray(~missed))
