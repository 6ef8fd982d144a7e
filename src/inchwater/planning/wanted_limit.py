"""What is said first where no option is likely to meet all that is wanted; what nobody can tell.

A single target that nothing meets is named with the best figure that was reached (the plate's
static before all others); then what comes nearest to all of it, and what that misses most.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from inchwater import criteria
from inchwater.criteria.limits import verdict_odds
from inchwater.parts.coefficients import table
from inchwater.planning.evaluate import Evaluator
from inchwater.planning.tried import Tried
from inchwater.planning.wanted import AllTargets, parts_of
from inchwater.quantity import Said
from inchwater.survey import Change

if TYPE_CHECKING:
    from inchwater.planning.offers import Offer

_DATA = "inchwater.planning.data"
_FIRST = ("tesp", "airflow", "delivered", "rise", "kit-air")
_NAMED = 3


def limit_said(
    evaluator: Evaluator, tried: Sequence[Tried], reachable: float, best: Offer
) -> Said | None:
    """What is said first where no option is likely to meet all; None where one is.

    Parameters
    ----------
    reachable : float
        The odds that any option that was tried meets all. [-]
    best : Offer
        What comes nearest.
    """
    if reachable >= table("search", _DATA)["reachable"].value:
        return None
    parts = [Said("No option that was tried is likely to meet all that is wanted.", {})]
    alone = never_met(evaluator, tried)
    if alone is not None:
        parts.append(alone)
    values: dict[str, tuple[float, str] | str] = {
        "best": best.label,
        "airflow": (best.estimates["airflow"].value, "airflow"),
        "tesp": (best.estimates["tesp"].value, "pressure"),
    }
    template = "What comes nearest is {best}: {airflow} at {tesp}."
    for number, (label, odds) in enumerate(best.missed[:_NAMED]):
        template += ("" if number else " What is missed most is ") + ("; " if number else "")
        template += f"{{what{number}}}, in {{odds{number}}} of 100"
        values |= {f"what{number}": label, f"odds{number}": f"{100.0 * odds:.0f}"}
    if best.missed:
        template += "."
    return joined([*parts, Said(template, values)])


def never_met(evaluator: Evaluator, tried: Sequence[Tried]) -> Said | None:
    """The sentence for the first single target that nothing that was tried meets, or None."""
    wanted = evaluator.wanted
    if not isinstance(wanted, AllTargets):
        return None
    least = verdict_odds()[1]
    met = [_odds_of_each(one) for one in tried]
    keys = [key for key in met[0] if all(one.get(key, 1.0) <= least for one in met)]
    keys.sort(key=_rank)
    for key in keys:
        call, name, subject = parts_of(key)
        far = [_short(one, key) for one in tried]
        nearest = tried[int(np.argmin(far))]
        found = evaluator.forecasts(nearest.changes, call)
        reached = criteria.Reached(nearest.label, wanted.standing(found, needed=True), found.then)
        said = criteria.best_said([reached], name, subject)
        if said is not None:
            return said
    return None


def standing_of(evaluator: Evaluator, changes: Sequence[Change]) -> criteria.Standing | None:
    """How a system stands after changes against every target of every call; None where none are."""
    wanted = evaluator.wanted
    if not isinstance(wanted, AllTargets):
        return None
    return criteria.together(
        [wanted.standing(evaluator.forecasts(changes, call)) for call in evaluator.calls]
    )


def unknown_said(evaluator: Evaluator) -> tuple[Said, ...]:
    """What is wanted and cannot be told of the system as found, and which fact is lacking."""
    wanted = evaluator.wanted
    if not isinstance(wanted, AllTargets):
        return ()
    found: dict[str, Said] = {}
    for call in evaluator.calls:
        for one in wanted.standing(evaluator.forecasts((), call), needed=True).unknown:
            found.setdefault(one.text(), one)
    return (*evaluator.silent.values(), *found.values())


def joined(parts: Sequence[Said]) -> Said:
    """Sentences one after the other, each with values of its own."""
    template: list[str] = []
    values: dict[str, tuple[float, str] | str] = {}
    for number, one in enumerate(parts):
        text = one.template
        for name in one.values:
            for end in ("}", ":"):
                text = text.replace(f"{{{name}{end}", f"{{{name}_{number}{end}")
        template.append(text)
        values |= {f"{name}_{number}": value for name, value in one.values.items()}
    return Said(" ".join(template), values)


def _odds_of_each(one: Tried) -> dict[str, float]:
    met = (one.outcome.off <= 0.0).mean(axis=0)
    return {a.key: float(m) for a, m in zip(one.outcome.asked, met, strict=True)}


def _short(one: Tried, key: str) -> float:
    """How far off a quantity ends in the middle, as a share of its bound; none: far."""
    at = [k for k, a in enumerate(one.outcome.asked) if a.key == key]
    return float(np.median(one.outcome.off[:, at[0]])) if at else np.inf


def _rank(key: str) -> tuple[int, str]:
    name = parts_of(key)[1]
    return (_FIRST.index(name) if name in _FIRST else len(_FIRST)), key
