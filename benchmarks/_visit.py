"""Visits to a virtual house, reading by reading: what is chosen after each, and what it costs.

The first trial is always there.  A policy takes further ones, of which the house holds the true
noisy readings; after each the job is calibrated again and the change of least expected cost is
chosen among the usual ones.  Its regret is what it truly costs more than the best choice would.
Each house is visited once for each wanted window of airflow, with the same calibrations.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from inchwater import criteria
from inchwater.calibration import Posterior, calibrate
from inchwater.errors import InchwaterError, OutsideTableError
from inchwater.planning import (
    Candidate,
    Option,
    Prices,
    ReadingValue,
    next_reading,
    usual_prices,
)
from inchwater.planning.information import Decision
from inchwater.planning.next_reading import expected_costs
from inchwater.rehearsal import State, VirtualHouse
from inchwater.survey import Targets

# What may be read after the first trial: the role of its trial, and what its minutes go by.
ROLES: Mapping[str, str] = {
    "filter-drop": "filter-drop",
    "pre-filter": "before-filter",
    "other-call": "other-call",
    "flow": "flow",
    "hoods": "hoods",
    "temperature-rise": "temperature-rise",
    "watts": "watts",
}
ROUTINE = ("filter-drop", "other-call", "pre-filter", "temperature-rise")
# Work on every fitting or register of a house is no usual change; eight kinds are left.
CHANGES = ("ch1", "ch2", "ch3", "ch4", "ch5", "ch6", "ch7", "ch10")
_SEED = 5
# Of each calibration: more than choices and values are computed on.
_SAMPLES = 1000


@dataclass(frozen=True)
class Known:
    """One house: what may be read in it, and its posteriors, made once for each set of readings."""

    house: VirtualHouse
    prices: Prices = field(default_factory=usual_prices)
    posteriors: dict[frozenset[str], Posterior] = field(default_factory=dict)
    decisions: dict[frozenset[str], tuple[Decision, tuple[str, ...]]] = field(default_factory=dict)

    @cached_property
    def options(self) -> tuple[Option, ...]:
        """The eight usual changes of the house."""
        return tuple(
            Option(one.id, one.kind, (one,)) for one in self.house.job.changes if one.id in CHANGES
        )

    @cached_property
    def candidates(self) -> dict[str, Candidate]:
        """Every further trial of the house as something to read, by its role."""
        trials = {trial.id: trial for trial in self.house.job.trials}
        found = {}
        for id_, role in self.house.roles.items():
            if role not in ROLES:
                continue
            trial = trials[id_]
            places = tuple((r.quantity, r.at) for r in trial.in_force if r.quantity != "voltage")
            minutes = self.prices.minutes[ROLES[role]]
            if role == "hoods":
                minutes *= len(places)
            found[role] = Candidate(role, role, minutes, places, dict(trial.condition))
        return {role: found[role] for role in ROLES if role in found}

    @cached_property
    def truths(self) -> dict[str, State]:
        """What doing nothing and each change truly bring."""
        first = self.house.truths.trials[self.house.by_role["first"]]
        return {"nothing": first, **self.house.truths.changes}

    def posterior(self, roles: Iterable[str]) -> Posterior:
        """The posterior after the first trial and these, in whatever order they were taken.

        Where the readings contradict the blower's table, one of them goes unused: its minutes
        were spent all the same.
        """
        key = frozenset(roles)
        if key not in self.posteriors:
            taken = tuple(role for role in ROLES if role in key)
            try:
                made = calibrate(self.house.with_trials(("first", *taken)), _SEED, size=_SAMPLES)
            except OutsideTableError:
                if not taken:
                    raise
                made = self.posterior(taken[:-1])
            self.posteriors[key] = made
        return self.posteriors[key]

    def decision(self, roles: Iterable[str]) -> tuple[Decision, tuple[str, ...]]:
        """The decision after these readings, for the house's own window, and its options' keys."""
        key = frozenset(roles)
        if key not in self.decisions:
            self.decisions[key] = expected_costs(self.posterior(key), self.prices, self.options)
        return self.decisions[key]


@dataclass(frozen=True)
class Visit:
    """One house with one wanted window of airflow, a preset of the criteria."""

    known: Known
    preset: str

    @cached_property
    def targets(self) -> Targets:
        """What is wanted in this visit."""
        return Targets(self.preset)

    def decision(self, roles: Iterable[str]) -> tuple[Decision, tuple[str, ...]]:
        """The decision after these readings, for this visit's window."""
        made, keys = self.known.decision(roles)
        goal = criteria.goal(self.known.house.job.survey, self.targets)
        prices = self.known.prices
        return (
            replace(
                made,
                low=np.array([goal.low, *made.low[1:]]),
                high=np.array([goal.high, *made.high[1:]]),
                far=np.array([prices.far_airflow * goal.low, *made.far[1:]]),
            ),
            keys,
        )

    def regret(self, roles: Iterable[str]) -> float:
        """What the choice after these readings truly costs more than the best one. [USD]"""
        made, keys = self.decision(roles)
        truths = self.known.truths
        brought = np.array([[truths[key].airflow, truths[key].tesp] for key in keys])
        true = made.prices + made.losses(brought)
        return float(true[int(np.argmin(made.expected()))] - true.min())

    def ranked(self, roles: Iterable[str]) -> tuple[ReadingValue, ...]:
        """What is worth reading after these."""
        taken = frozenset(roles)
        posterior = self.known.posterior(taken)
        posterior = replace(posterior, job=replace(posterior.job, targets=self.targets))
        left = [one for role, one in self.known.candidates.items() if role not in taken]
        return next_reading(posterior, left, self.known.prices, options=self.known.options)


@dataclass(frozen=True)
class Step:
    """One reading that was taken: the role, its minutes, what it was expected to save, did."""

    role: str
    minutes: float
    expected: float
    saved: float


@dataclass(frozen=True)
class Outcome:
    """One visit under every policy: regrets [USD] by the set of roles, and the policy's steps.

    ``start`` is the regret after the first trial alone, ``expected_start`` what the program
    expects it to be; ``steps`` are the recommended ones until enough.
    """

    house: str
    preset: str
    tags: Mapping[str, str]
    start: float
    expected_start: float
    steps: tuple[Step, ...]
    minutes: Mapping[str, float]
    regrets: Mapping[frozenset[str], float]


def follow(visit: Visit) -> tuple[Step, ...]:
    """Take what is recommended until it is enough."""
    taken: list[str] = []
    steps = []
    while True:
        first = visit.ranked(taken)[0]
        if first.candidate is None:
            return tuple(steps)
        before = visit.regret(taken)
        taken.append(first.candidate.key)
        saved = before - visit.regret(taken)
        steps.append(Step(taken[-1], first.minutes, first.value, saved))


def outcomes(house: VirtualHouse, sets: Sequence[frozenset[str]]) -> list[Outcome]:
    """The visits to one house under the policy, and after each of some sets of readings.

    Empty where the readings of the house cannot be calibrated: there is nothing to compare.
    """
    known = Known(house)
    there = {wanted: wanted & known.candidates.keys() for wanted in sets}
    found = []
    try:
        for preset in criteria.presets():
            visit = Visit(known, preset)
            enough = next(one for one in visit.ranked(()) if one.candidate is None)
            found.append(
                Outcome(
                    house.id,
                    preset,
                    house.tags,
                    visit.regret(()),
                    enough.regret,
                    follow(visit),
                    {role: one.minutes for role, one in known.candidates.items()},
                    {wanted: visit.regret(roles) for wanted, roles in there.items()},
                )
            )
    except InchwaterError:
        return []
    return found
