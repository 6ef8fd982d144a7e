"""The limit: what opening up one side's ducts could reach at best, the other as it is."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from inchwater.criteria import Goal
from inchwater.criteria.judge import odds_within
from inchwater.criteria.limits import verdict_odds
from inchwater.findings.consistency import threshold
from inchwater.findings.types import Limit, told
from inchwater.quantity import Estimate, Said
from inchwater.survey.job import Survey

if TYPE_CHECKING:
    from inchwater.calibration import Posterior
    from inchwater.forecast import Prediction


def limit(posterior: Posterior, as_found: Prediction, survey: Survey, goal: Goal) -> Limit:
    """What opening up one side alone can reach, and whether that is the goal.

    Parameters
    ----------
    posterior : Posterior
        What the readings say of every part.
    as_found : Prediction
        The system as it is.
    survey : Survey
        Its motor decides whether airflow answers to ducts at all.
    goal : Goal
        The wanted window. [m3/s]

    Returns
    -------
    Limit
        Airflows with all parts of one side without resistance. [m3/s]

    Notes
    -----
    That a side alone cannot reach the goal is said only where its odds are 0.1 or less.
    """
    from inchwater.forecast import without

    weights = np.asarray(as_found.weights, dtype=float)
    now = np.asarray(as_found.solution.airflow, dtype=float)
    supply = np.asarray(without(posterior, "supply").solution.airflow, dtype=float)
    return_ = np.asarray(without(posterior, "return").solution.airflow, dtype=float)
    odds = {
        "now": odds_within(now, weights, goal.low, None),
        "supply": odds_within(supply, weights, goal.low, None),
        "return": odds_within(return_, weights, goal.low, None),
    }
    supply_alone = Estimate.of(supply, weights, "airflow")
    return_alone = Estimate.of(return_, weights, "airflow")
    return Limit(
        text=_text(odds, supply_alone, return_alone, _holds(survey, now, supply, return_)),
        supply_alone=supply_alone,
        return_alone=return_alone,
        kind=_kind(odds),
    )


def _kind(odds: dict[str, float]) -> Literal["supply", "return", "both", "neither"]:
    _, unlikely = verdict_odds()
    supply, return_ = odds["supply"] > unlikely, odds["return"] > unlikely
    if supply and return_:
        return "both"
    if supply:
        return "supply"
    return "return" if return_ else "neither"


def _holds(
    survey: Survey,
    now: NDArray[np.float64],
    supply: NDArray[np.float64],
    return_: NDArray[np.float64],
) -> bool:
    """Whether the blower holds its airflow here: ducts without resistance hardly move it."""
    if survey.unit.motor != "constant-airflow":
        return False
    most = np.median(np.maximum(supply, return_) / now)
    return bool(most < 1.0 + threshold("proven-share"))


def _text(odds: dict[str, float], supply: Estimate, return_: Estimate, holds: bool) -> Said:
    likely, unlikely = verdict_odds()
    if odds["now"] >= likely:
        return told("The wanted airflow is there as it is.")
    can = [side for side in ("supply", "return") if odds[side] >= likely]
    if holds and not can:
        return told(
            "This blower moves what it is set to; opening up the ducts lowers its watts and "
            "noise, and hardly changes its airflow."
        )
    if odds["supply"] <= unlikely and odds["return"] <= unlikely:
        return told(
            "Opening up either side alone does not reach the goal: without any resistance on the "
            "supply side it would be {supply}, on the return side {return_}.",
            supply=supply,
            return_=return_,
        )
    cannot = [side for side in ("supply", "return") if odds[side] <= unlikely]
    alone = {"supply": supply, "return": return_}
    if len(can) == 2:
        return told("Either side alone has enough to give to reach the goal.")
    if cannot:
        shut, other = cannot[0], _other(cannot[0])
        tail = (
            f"The {other} side has to open up."
            if can
            else f"Whether the {other} side alone does, these readings cannot say."
        )
        return told(
            f"No change on the {shut} side alone reaches the goal: without any resistance there "
            "it would be {q}. " + tail,
            q=alone[shut],
        )
    if can:
        open_, other = can[0], _other(can[0])
        return told(
            f"The {open_} side alone has enough to give to reach the goal; whether the {other} "
            "side alone has, these readings cannot say: without any resistance there it would be "
            "{q}.",
            q=alone[other],
        )
    return told(
        "Whether opening up one side alone reaches the goal, these readings cannot say for sure: "
        "without any resistance on the supply side it would be {supply}, on the return side "
        "{return_}.",
        supply=supply,
        return_=return_,
    )


def _other(side: str) -> str:
    return "return" if side == "supply" else "supply"
