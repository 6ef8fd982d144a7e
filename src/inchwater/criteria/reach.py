"""The best that a duct system can do, where no option brings it within a limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from inchwater.criteria.limits import verdict_odds
from inchwater.criteria.quantities import filter_drops
from inchwater.criteria.standing import Held, Standing
from inchwater.quantity import Estimate, Said, in_sentence, said

if TYPE_CHECKING:
    from inchwater.forecast import Prediction


@dataclass(frozen=True, slots=True)
class Reached:
    """What one option comes to: its words (``a larger return``), its standing and forecast."""

    label: str
    standing: Standing
    prediction: Prediction | None = None


def best_said(
    options: Sequence[Reached],
    key: str = "tesp",
    subject: str = "",
    least: float | None = None,
    why: Said | None = None,
) -> Said | None:
    """What to say where no option meets a target; None where one does, or nobody can tell.

    Parameters
    ----------
    options : sequence of Reached
        All that were looked at, doing nothing among them.
    key, subject : str
        The target: the plate's static if nothing is said.
    least : float, optional
        Odds from which an option counts as meeting it; above "not met" if None. [-]
    why : Said, optional
        The reason; what takes most of the pressure if None.

    Returns
    -------
    Said or None
        The limit, the best figure with its range, what brings it, and the reason.
    """
    found = [(one, _held(one.standing, key, subject)) for one in options]
    known = [(one, held) for one, held in found if held is not None and held.value is not None]
    if not known:
        return None
    likely = verdict_odds()[1] if least is None else least
    if any((held.odds or 0.0) > likely for _, held in known):
        return None
    best, held = min(known, key=lambda pair: _short(pair[0].standing, pair[1]))
    assert held.value is not None
    reason = why
    if reason is None and best.prediction is not None:
        reason = largest_left(best.prediction)
    more = "" if reason is None else f" {reason.template}"
    value, kind = held.value, held.value.kind
    return Said(
        "Nothing that was looked at brings the {what} to {bound} ({source}). The best that this "
        "duct system can do is {best}, 9 in 10 between {low:bare} and {high}, with {label}." + more,
        {
            "what": in_sentence(held.target.label),
            "bound": (_bound(held), kind),
            "source": held.target.source,
            "best": (value.value, kind),
            "low": (value.low, kind),
            "high": (value.high, kind),
            "label": best.label,
            **({} if reason is None else reason.values),
        },
    )


def largest_left(prediction: Prediction) -> Said | None:
    """Which side or part takes most of the external static of a forecast; None if none is known."""
    weights = np.asarray(prediction.weights, dtype=float)
    drops = {name: Estimate.of(drop, weights, "pressure") for name, drop in _drops(prediction)}
    if not drops:
        return None
    name = max(drops, key=lambda one: drops[one].value)
    part = (drops[name].value, "pressure")
    return said("More is lost in {name} than anywhere else: {drop}.", name=name, drop=part)


def _drops(prediction: Prediction) -> list[tuple[str, np.ndarray]]:
    """What the external static is made of, by words (sample,). [Pa]"""
    solution, survey = prediction.solution, prediction.survey
    found = []
    supply = np.asarray(solution.side("supply"), dtype=float)
    back = np.asarray(solution.side("return"), dtype=float)
    drops = filter_drops(prediction, survey)
    in_grilles = [drops[f.id] for f in survey.filters or () if f.at == "grille" and f.id in drops]
    at_unit = [drops[f.id] for f in survey.filters or () if f.at != "grille" and f.id in drops]
    filters = np.zeros_like(supply)
    if in_grilles:
        # They stand side by side, and the return's pressure holds them.
        filters = filters + np.mean(np.stack(in_grilles), axis=0)
        back = back - filters
    if at_unit and solution.inlet == "return":
        filters = filters + np.sum(np.stack(at_unit), axis=0)
    coils = [
        np.asarray(solution.drop[f"coil:{one.id}"], dtype=float)
        for one in survey.coils or ()
        if not one.inside_unit and f"coil:{one.id}" in solution.drop
    ]
    found.append(("the supply ducts and registers", supply))
    found.append(("the return ducts and grilles", back))
    if in_grilles or at_unit:
        found.append(("the filters" if len(drops) > 1 else "the filter", filters))
    if coils and solution.outlet == "before-coil":
        found.append(("the coil", np.sum(np.stack(coils), axis=0)))
    return found


def _held(standing: Standing, key: str, subject: str) -> Held | None:
    for one in standing.held:
        if (one.target.key, one.target.subject) == (key, subject):
            return one
    return None


def _short(standing: Standing, held: Held) -> float:
    """How far off a target is in the middle of the samples, as a share of its bound. [-]"""
    column = standing.targets.index(held.target)
    return Estimate.of(standing.off[:, column], standing.weights, "ratio").value


def _bound(held: Held) -> float:
    """The bound that is missed. [SI]"""
    low, high = held.target.low, held.target.high
    if low is None or (high is not None and held.value is not None and held.value.value > high):
        assert high is not None  # a target has one bound at least
        return high
    return low
