"""A prediction held against the criteria: the odds that each is met, and the word for it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from numpy.typing import NDArray

from inchwater import units
from inchwater.criteria.limits import Criterion, cited, criteria, other_figures, verdict_odds
from inchwater.criteria.presets import Goal, burns_gas, for_cooling, goal, plate
from inchwater.criteria.quantities import KINDS, quantities
from inchwater.quantity import Estimate
from inchwater.survey.facts import How
from inchwater.survey.job import Survey, Targets
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.forecast import Prediction

# What is held against the wanted window, which is for a coil that cools or heats.
_OF_THE_WINDOW = ("airflow_per_capacity", "share_of_design", "delivered_share_of_design")

Verdict = Literal["met", "not met", "cannot tell"]


@dataclass(frozen=True, slots=True)
class Judgement:
    """One criterion held against the samples.

    ``low`` and ``high`` are its bounds in SI, ``odds`` the share of the samples inside them, and
    ``others`` says in words where another source gives another figure.
    """

    id: str
    label: str
    value: Estimate | None
    low: float | None
    high: float | None
    odds: float | None
    verdict: Verdict
    source: str
    status: str
    note: str = ""
    kind: str = "ratio"
    others: tuple[OtherSaid, ...] = ()

    def bounds(self, system: System = "ip") -> str:
        """The bounds as a person reads them: ``350–450 cfm/ton``, ``up to 0.50 in. w.c.``."""
        return bounds_text(self.low, self.high, self.kind, system)

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data, with the bounds in the system's unit."""
        unit = units.SHOWN[self.kind][system][0]
        return {
            "id": self.id,
            "label": self.label,
            "value": self.value.to_dict(system) if self.value else None,
            "low": None if self.low is None else units.from_si(self.low, unit),
            "high": None if self.high is None else units.from_si(self.high, unit),
            "unit": unit,
            "odds": self.odds,
            "verdict": self.verdict,
            "source": self.source,
            "status": self.status,
            "note": self.note,
            "others": [other.text(system) for other in self.others],
        }


@dataclass(frozen=True, slots=True)
class OtherSaid:
    """Another source's figure for the same criterion [SI]."""

    low: float | None
    high: float | None
    kind: str
    source: str
    status: str

    def text(self, system: System = "ip") -> str:
        """``0.05 at most in ...``, in the units of ``system``."""
        bounds = bounds_text(self.low, self.high, self.kind, system)
        remark = " (from memory)" if self.status == "memory" else ""
        return f"{bounds}: {self.source}{remark}"


def judge(prediction: Prediction, survey: Survey, targets: Targets) -> tuple[Judgement, ...]:
    """Every criterion that applies to this system, judged on the samples of a prediction.

    Parameters
    ----------
    prediction : Prediction
        Solved samples with weights.
    survey : Survey
        The survey that the prediction is of.
    targets : Targets
        What is wanted; bounds left out come from its preset.

    Returns
    -------
    tuple of Judgement
        In the order of ``limits.csv``. A criterion whose quantity cannot be had is left out, and so
        is the cooling window where the call is for the fan alone or for a burner.

    Notes
    -----
    Met from odds of 0.9, not met up to 0.1, between them the samples cannot tell
    (``odds.csv``). A share on a bound is inside.
    """
    wanted = goal(survey, targets)
    values = quantities(prediction, survey, wanted)
    cooling = for_cooling(survey, prediction.network.state.get("call"))
    weights = np.asarray(prediction.weights, dtype=float)
    return tuple(
        judge_one(_for_this(criterion, survey, wanted), values[criterion.quantity], weights)
        for criterion in criteria().values()
        if criterion.quantity in values and _applies(criterion, survey, cooling)
    )


def judge_one(
    criterion: Criterion, samples: NDArray[np.float64], weights: NDArray[np.float64]
) -> Judgement:
    """One criterion on weighted samples (sample,) of its quantity. [SI]"""
    odds = odds_within(samples, weights, criterion.low, criterion.high)
    kind = KINDS[criterion.quantity]
    return Judgement(
        id=criterion.key,
        label=criterion.label,
        value=Estimate.of(samples, weights, kind),
        low=criterion.low,
        high=criterion.high,
        odds=odds,
        verdict=verdict(odds),
        source=criterion.cited,
        status=criterion.status,
        note=criterion.note,
        kind=kind,
        others=tuple(
            OtherSaid(o.low, o.high, kind, cited(o.source, o.place), o.status)
            for o in other_figures(criterion.key)
        ),
    )


def odds_within(
    samples: NDArray[np.float64],
    weights: NDArray[np.float64],
    low: float | None,
    high: float | None,
) -> float:
    """The share of the weight whose sample lies within the bounds, bounds included. [-]"""
    inside = np.ones(samples.shape, dtype=bool)
    if low is not None:
        inside &= samples >= low
    if high is not None:
        inside &= samples <= high
    return float(np.sum(weights[inside]) / np.sum(weights))


def odds_of_goal(prediction: Prediction, survey: Survey, targets: Targets) -> float:
    """The odds that air through the unit and air to the rooms are both as wanted. [-]

    The window is the goal's; what reaches the rooms is held to the ``rooms`` criterion, so that
    air lost on the way cannot pass as a success.
    """
    wanted = goal(survey, targets)
    airflow = np.asarray(prediction.solution.airflow, dtype=float)
    delivered = np.asarray(prediction.solution.delivered, dtype=float) / wanted.middle
    rooms = criteria()["rooms"].low
    inside = (airflow >= wanted.low) & (airflow <= wanted.high)
    if rooms is not None:
        inside &= delivered >= rooms
    weights = np.asarray(prediction.weights, dtype=float)
    return float(np.sum(weights[inside]) / np.sum(weights))


def verdict(odds: float) -> Verdict:
    """The word for these odds."""
    met, not_met = verdict_odds()
    if odds >= met:
        return "met"
    return "not met" if odds <= not_met else "cannot tell"


def _for_this(criterion: Criterion, survey: Survey, wanted: Goal) -> Criterion:
    """The criterion with this system's own bounds: its targets, its plate."""
    if criterion.key == "airflow-per-ton":
        capacity = survey.unit.capacity.si
        ours = replace(criterion, low=wanted.low / capacity, high=wanted.high / capacity)
        return ours if wanted.source == criterion.cited else _said_by(ours, wanted.source)
    if criterion.key == "tesp":
        limit, how = plate(survey)
        if how is not How.TYPICAL:
            return _said_by(
                replace(criterion, high=limit, note="", status=str(how)), "rating plate"
            )
    return criterion


def _said_by(criterion: Criterion, source: str) -> Criterion:
    return replace(criterion, source=source, place="")


def _applies(criterion: Criterion, survey: Survey, cooling: bool) -> bool:
    if criterion.quantity in _OF_THE_WINDOW and not cooling:
        return False
    gas = burns_gas(survey)
    if criterion.key == "power-gas":
        return gas
    return not gas if criterion.key == "power-other" else True


def bounds_text(low: float | None, high: float | None, kind: str, system: System) -> str:
    """Two bounds [SI] as a person reads them, either of them None where there is none."""

    def text(value: float) -> str:
        return units.shown(value, kind, system)[1]

    label = units.UNITS[units.SHOWN[kind][system][0]].label
    unit = f" {label}" if label else ""
    if low is not None and high is not None:
        return f"{text(low)}–{text(high)}{unit}"
    if high is not None:
        return f"up to {text(high)}{unit}"
    return f"at least {text(low)}{unit}" if low is not None else "no bound"
