"""The most useful next reading: by how much it lowers the expected regret, per minute of work.

The decision is which of the usual changes meets the goal (airflow for the capacity, external static
within the plate) at the least expected cost: its price, and what a miss costs.  Every cheap reading
that is not there yet is simulated on the posterior's own samples and valued by what it would change
in that choice.  "Enough, stop measuring" is one of the answers, with the regret that it leaves.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from inchwater import criteria
from inchwater.errors import InchwaterError
from inchwater.findings import Caution, cautions_for, cautions_of, told
from inchwater.network.elements import Array
from inchwater.planning.candidates import Candidate, candidates_of
from inchwater.planning.information import Decision, Gain, value_of_look, value_of_readings
from inchwater.planning.prices import Prices, usual_prices
from inchwater.planning.usual_changes import NOTHING, Option, usual_changes
from inchwater.quantity import Said
from inchwater.survey import Reading, Survey
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.calibration import Posterior
    from inchwater.network import Solution

SAMPLES = 600


@dataclass(frozen=True, slots=True)
class ReadingValue:
    """What one reading is worth, or what stopping leaves.

    ``value`` is the expected regret that it lowers and ``error`` its Monte-Carlo error [USD];
    ``per_minute`` the value over the minutes [USD/min]; ``regret`` what is still expected to be
    lost after it for want of knowledge [USD]; ``pays`` whether the value exceeds the minutes' own
    cost.  ``candidate`` is None for "enough".
    """

    kind: Literal["reading", "fact", "enough"]
    title: str
    minutes: float
    value: float
    error: float
    per_minute: float
    regret: float
    pays: bool
    settles: Said
    candidate: Candidate | None = None
    cautions: tuple[Caution, ...] = ()

    @property
    def field(self) -> str:
        """The test point or fact that it fills; empty for "enough"."""
        return "" if self.candidate is None else self.candidate.field

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data; money in US dollars, time in minutes."""
        one = self.candidate
        return {
            "kind": self.kind,
            "title": self.title,
            "minutes": self.minutes,
            "value_usd": self.value,
            "value_error_usd": self.error,
            "usd_per_minute": self.per_minute,
            "regret_usd": self.regret,
            "pays": self.pays,
            "how": "" if one is None else one.how,
            "settles": self.settles.text(system),
            "readings": [
                {"quantity": quantity, "at": at}
                for quantity, at in (() if one is None else one.readings)
            ],
            "condition": {} if one is None else dict(one.condition),
            "field": self.field,
            "cautions": [caution.to_dict(system) for caution in self.cautions],
        }


def next_reading(
    posterior: Posterior,
    candidates: Sequence[Candidate] | None = None,
    prices: Prices | None = None,
    *,
    options: Sequence[Option] | None = None,
    size: int = SAMPLES,
) -> tuple[ReadingValue, ...]:
    """What to read next, the most useful first, with "enough" where nothing after it pays.

    Parameters
    ----------
    posterior : Posterior
        The calibrated job.
    candidates : sequence of Candidate, optional
        What could be read; every cheap reading that the job lacks if None.
    prices : Prices, optional
        Prices, minutes and losses; those that ship if None.
    options : sequence of Option, optional
        The changes to choose among, doing nothing beside them; the usual ones if None.
    size : int
        Samples that it is computed on. [-]

    Returns
    -------
    tuple of ReadingValue
        Readings that pay for their minutes, by value per minute; "enough"; the others.

    Raises
    ------
    OutsideTableError
        If the system as found works more than 0.1 in. w.c. outside its blower's table.
    """
    costs = prices or usual_prices()
    few = posterior.thinned(min(size, posterior.size))
    asked = _System.of(few, costs, options)
    if candidates is None:
        candidates = candidates_of(posterior.job, asked.survey, asked.state, costs)
    regret = asked.decision.regret()
    valued = []
    for one in candidates:
        gain = asked.value(one)
        if gain is not None:
            valued.append(_valued(one, gain, asked, costs, regret))
    valued.sort(key=lambda one: -one.per_minute)
    paying = [one for one in valued if one.pays]
    best = asked.options[int(np.argmin(asked.decision.expected()))]
    return (*paying, _enough(best, regret), *(one for one in valued if not one.pays))


def expected_costs(
    posterior: Posterior,
    prices: Prices | None = None,
    options: Sequence[Option] | None = None,
    size: int = SAMPLES,
) -> tuple[Decision, tuple[str, ...]]:
    """The decision among the options as the samples see it, and the options' keys.

    Doing nothing is the first of them; options that are not possible here are left out.
    """
    few = posterior.thinned(min(size, posterior.size))
    asked = _System.of(few, prices or usual_prices(), options)
    return asked.decision, tuple(one.key for one in asked.options)


def _valued(
    one: Candidate, gain: Gain, asked: _System, prices: Prices, regret: float
) -> ReadingValue:
    return ReadingValue(
        kind=one.kind,
        title=one.title,
        minutes=one.minutes,
        value=gain.value,
        error=gain.error,
        per_minute=gain.value / one.minutes,
        regret=max(regret - gain.value, 0.0),
        pays=gain.value > one.minutes * prices.per_minute,
        settles=_settles(gain, asked.options),
        candidate=one,
        cautions=_cautions(one, asked.survey),
    )


def _enough(best: Option, regret: float) -> ReadingValue:
    return ReadingValue(
        kind="enough",
        title="Enough: stop measuring",
        minutes=0.0,
        value=0.0,
        error=0.0,
        per_minute=0.0,
        regret=regret,
        pays=True,
        settles=told(
            "What looks best now is {best}. Not knowing more may still cost about {regret}.",
            best=best.label,
            regret=money(regret),
        ),
    )


def money(value: float) -> str:
    """US dollars as a person reads them: whole ones, cents below ten. [USD]"""
    return f"${value:,.2f}" if 0.005 <= value < 9.995 else f"${abs(round(value)):,}"


def _settles(gain: Gain, options: Sequence[Option]) -> Said:
    """In words what the reading decides: the choice now, and the one that may replace it."""
    others = [(float(share), k) for k, share in enumerate(gain.chosen) if k != gain.now]
    share, other = max(others, default=(0.0, gain.now))
    if share < 0.005:
        return told(
            "It would not change the choice: {best} either way.", best=options[gain.now].label
        )
    return told(
        "Whether it is {best} or {other}: in {odds} outcomes of 100 the choice would be another "
        "than now.",
        best=options[gain.now].label,
        other=options[other].label,
        odds=f"{100.0 * (1.0 - float(gain.chosen[gain.now])):.0f}",
    )


def _cautions(one: Candidate, survey: Survey) -> tuple[Caution, ...]:
    if any(quantity == "power" for quantity, _ in one.readings):
        return cautions_for(survey, "reading", watts=True)
    return cautions_of(survey, one.acts)


@dataclass(frozen=True)
class _System:
    """A job's samples with the decision that they bear on."""

    posterior: Posterior
    survey: Survey
    state: Mapping[str, str]
    options: tuple[Option, ...]
    decision: Decision
    prices: Prices
    solved: dict[frozenset[tuple[str, str]], Solution]

    @classmethod
    def of(cls, few: Posterior, prices: Prices, options: Sequence[Option] | None) -> _System:
        from inchwater.forecast import predict
        from inchwater.forecast.predict import standing
        from inchwater.network.compile_fan import tap_in_force

        survey, found = standing(few)
        state = {key: value for key, value in found.items() if key != "volts"}
        goal_state = dict(found)
        if not criteria.for_cooling(survey, found.get("call")):
            # The window is for a call that cools, and so is the choice.
            goal_state = {k: v for k, v in found.items() if k != "tap"} | {"call": "cooling"}
        if options is None:
            tap = tap_in_force(survey.unit, goal_state)
            options = usual_changes(survey, tap, prices.most)
        goal = criteria.goal(survey, few.job.targets)
        plate, _ = criteria.plate(survey)
        brings, kept = [], []
        for option in (NOTHING, *options):
            try:
                after = predict(few, option.changes, _without_tap(goal_state, option))
            except InchwaterError:
                # Outside the table, or not possible here: no choice of this system.
                if option is NOTHING:
                    raise
                continue
            brings.append(np.stack([after.solution.airflow, after.solution.tesp], axis=1))
            kept.append(option)
        decision = Decision(
            brings=np.stack(brings, axis=1),
            low=np.array([goal.low, -np.inf]),
            high=np.array([goal.high, plate]),
            prices=np.array([prices.of_changes(one.changes, survey) for one in kept]),
            far=np.array([prices.far_airflow * goal.low, prices.far_pressure * plate]),
            visit=prices.visit,
            unmet=prices.unmet,
        )
        return cls(few, survey, state, tuple(kept), decision, prices, {})

    def value(self, one: Candidate) -> Gain | None:
        """What a candidate is worth; None where the model cannot say what it would show."""
        from inchwater.calibration.priors import noise

        if one.look:
            odds = self._odds(one)
            return None if odds is None else value_of_look(self.decision, odds)
        made = self._shown(one)
        if made is None:
            return None
        rng = np.random.default_rng([self.posterior.seed, zlib.crc32(one.key.encode())])
        return value_of_readings(self.decision, *made, noise("student-dof"), rng)

    def _shown(self, one: Candidate) -> tuple[Array, Array] | None:
        """What the readings would show (sample, reading), and their spreads (reading,). [SI]"""
        from inchwater.calibration.expected import expected, spread, usable

        instruments = self.posterior.job.instruments_by_id
        try:
            solution = self._solution(one.condition)
            shown, spreads = [], []
            for number, (quantity, at) in enumerate(one.readings):
                would_be = Reading(f"next-{number}", at, quantity, "", "", 0.0)
                would_be = replace(would_be, instrument=self._instrument(quantity))
                if not usable(would_be, solution.network):
                    return None
                column = np.asarray(expected(would_be, solution), dtype=float)
                middle = replace(would_be, value=float(np.median(column)))
                shown.append(column)
                spreads.append(spread(middle, instruments))
        except InchwaterError:
            # This system has no such place, or the model cannot be compared with such a reading.
            return None
        return np.stack(shown, axis=1), np.array(spreads)

    def _instrument(self, quantity: str) -> str | None:
        """The instrument in use for such readings, as the job's readings say."""
        used = [
            r.instrument
            for trial in self.posterior.job.trials
            for r in trial.in_force
            if r.quantity == quantity and r.instrument
        ]
        return used[-1] if used else None

    def _solution(self, condition: Mapping[str, str]) -> Solution:
        from inchwater.calibration.expected import every_reading_parameter
        from inchwater.calibration.priors import Prior
        from inchwater.forecast.predict import standing
        from inchwater.network import compile_network, solve

        key = frozenset(condition.items())
        if key not in self.solved:
            _, state = standing(self.posterior, condition=condition)
            network = compile_network(self.survey, state, self.posterior.includes)
            prior = Prior.of((*network.parameters, *every_reading_parameter(network)))
            values = prior.values(self.posterior.latents(prior))
            self.solved[key] = solve(network, values, self.posterior.size)
        return self.solved[key]

    def _odds(self, one: Candidate) -> Array | None:
        """The odds of what a look would show (sample, outcome)."""
        solution = self._solution(one.condition)
        if one.look == "tap":
            return solution.share if solution.share.shape[1] > 1 else None
        # A wheel that a change has cleaned has a name of its own.
        name = next(name for name in solution.values if name.startswith("unit:wheel"))
        return wheel_odds(np.asarray(solution.values[name]), self.prices.wheel)


def wheel_odds(factor: Array, odds: Mapping[str, float]) -> Array:
    """The odds that a wheel of this factor on the airflow is clean, dusty or caked.

    Parameters
    ----------
    factor : array (sample,)
        On the blower's airflow. [-]
    odds : mapping
        Of each word before anything is read. [-]

    Returns
    -------
    array (sample, word), in the order of ``odds``
    """
    from inchwater.parts.blowers import wheel_factor

    columns = []
    for word, before in odds.items():
        middle, sigma = wheel_factor(word)
        far = np.log(factor / middle) / sigma
        columns.append(np.log(before) - np.log(sigma) - 0.5 * far**2)
    logs = np.stack(columns, axis=1)
    logs -= logs.max(axis=1, keepdims=True)
    likely = np.exp(logs)
    return np.asarray(likely / likely.sum(axis=1, keepdims=True))


def _without_tap(state: Mapping[str, str], option: Option) -> dict[str, str]:
    """The condition after an option: a tap that was set for good outranks the trial's own."""
    changes_tap = any(change.kind == "tap" for change in option.changes)
    return {k: v for k, v in state.items() if not (changes_tap and k == "tap")}
