"""``what_if(job, changes, posterior) -> WhatIf``: what changes would do, before anything is cut."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from inchwater import criteria, findings
from inchwater.answer import sentences
from inchwater.answer.compose import difference, magnitude, run_flows
from inchwater.answer.curves import curves
from inchwater.answer.possibilities import label
from inchwater.answer.types import WhatIf
from inchwater.criteria.judge import odds_of_goal
from inchwater.findings.cautions import ACT_OF_CHANGE, ACT_OF_CONDITION
from inchwater.parts.coefficients import table
from inchwater.survey import Change, Job
from inchwater.survey.change_doubts import change_doubts

if TYPE_CHECKING:
    from inchwater.calibration import Posterior
    from inchwater.forecast import Prediction


def what_if(
    job: Job,
    changes: Sequence[Change],
    posterior: Posterior,
    condition: Mapping[str, str] | None = None,
) -> WhatIf:
    """What changes, or a measuring state, would do to the system.

    Parameters
    ----------
    job : Job
        The job that the posterior was calibrated from.
    changes : sequence of Change
        In order; none is the system as found, in ``condition``.
    posterior : Posterior
        What the readings say of every part.
    condition : mapping, optional
        What is temporary, on top of the latest trial's: ``run:<id>``, ``register:<id>``,
        ``filter:<id>``, ``tap``.

    Raises
    ------
    InputError, UnknownNameError, PartError
        If a change cannot be made to this survey.
    OutsideTableError
        If the blower would work more than 0.1 in. w.c. beyond its table.
    """
    from inchwater.forecast import predict, standing

    before = predict(posterior)
    state = None
    if condition:
        _, standing_state = standing(posterior, changes)
        state = standing_state | dict(condition)
    after = predict(posterior, tuple(changes), state)
    weights = np.asarray(after.weights, dtype=float)
    then, now = after.solution, before.solution
    airflow_change = difference(then.airflow, now.airflow, weights, "airflow")
    delivered_change = difference(then.delivered, now.delivered, weights, "airflow")
    airflow, delivered = after.estimate("airflow"), after.estimate("delivered")
    acts = [ACT_OF_CHANGE[one.kind] for one in changes if one.kind in ACT_OF_CHANGE]
    acts += [ACT_OF_CONDITION[key.partition(":")[0]] for key in condition or {} if _is_act(key)]
    return WhatIf(
        changes=tuple(changes),
        sentence=sentences.would_leave(airflow, airflow_change, delivered, delivered_change),
        airflow=airflow,
        delivered=delivered,
        tesp=after.estimate("tesp"),
        airflow_per_ton=after.estimate("airflow_per_ton"),
        return_static=magnitude(after, "return"),
        supply_static=magnitude(after, after.solution.outlet),
        airflow_change=airflow_change,
        delivered_change=delivered_change,
        tesp_change=difference(then.tesp, now.tesp, weights, "pressure"),
        runs=run_flows(after, after.survey),
        odds_goal=odds_of_goal(after, after.survey, job.targets),
        criteria=criteria.judge(after, after.survey, job.targets),
        cautions=findings.cautions_of(after.survey, tuple(dict.fromkeys(acts))),
        notes=_notes(job, changes, posterior, condition or {}, before, after),
        curves=curves(after, after.survey),
        standing=_standing(job, posterior, before, after),
    )


def _standing(
    job: Job, posterior: Posterior, before: Prediction, after: Prediction
) -> criteria.Standing:
    """How the system stands then against everything that is wanted in its call."""
    from inchwater.effects import EffectArrays
    from inchwater.planning import people_said

    # What people say is of this alone: no airflow or static above moves by it.
    known = people_said(replace(posterior, job=job))
    before, after = (
        replace(one, weights=known.weights, draw=known.draw) for one in (before, after)
    )
    call = after.network.state.get("call", "")
    wanted = criteria.targets(after.survey, job.targets, call, criteria.noisy_room(job))
    return criteria.measured(wanted, after, EffectArrays.of(before, after, job.id))


def _is_act(key: str) -> bool:
    return key.partition(":")[0] in ACT_OF_CONDITION


def _notes(
    job: Job,
    changes: Sequence[Change],
    posterior: Posterior,
    condition: Mapping[str, str],
    before: Prediction,
    after: Prediction,
) -> tuple[str, ...]:
    """What has to be known beside the numbers."""
    asked = change_doubts(before.survey, changes)
    notes = [f"{one.came.rstrip(',')}: {one.right}. {one.do}" for one in asked]
    measuring = [k for k in condition if k.startswith(("run:", "register:", "filter:"))]
    if measuring:
        notes.append("A state for measuring only: undo it before you leave; it can be no baseline.")
    if any(value == "pulled-open" for value in condition.values()):
        notes.append(
            "Air from the open collar leaves the blower and reaches no room: more airflow here is "
            "no success."
        )
    survey = after.survey
    set_anew = any(change.kind in ("tap", "motor") for change in changes) or "tap" in condition
    if survey.unit.motor == "constant-airflow" and not set_anew:
        notes.append(
            "This blower holds what it is set to: what is gained shows as lower watts and less "
            "noise, hardly as airflow." + _watts(before, after)
        )
    if survey.unit.table is not None and survey.unit.table.includes is None:
        known = posterior.includes
        if known is not None:
            notes.append(f"{label(known)}: taken for this forecast, nobody has said so yet.")
    if float(np.median(after.solution.beyond)) > 0.0:
        notes.append(
            "The blower would work past the last column of its table: the airflow there is a "
            "guess that widens with every step."
        )
    small = table("consistency", "inchwater.findings.data")["proven-share"].value
    change = np.median(np.abs(after.solution.airflow / before.solution.airflow - 1.0))
    if changes and float(change) < small:
        notes.append(
            "So small a change of airflow cannot be proven by statics and a table; it lies within "
            "the error of measuring."
        )
    return tuple(notes)


def _watts(before: Prediction, after: Prediction) -> str:
    now, then = before.solution.power, after.solution.power
    if now is None or then is None:
        return ""
    return f" Watts: {float(np.median(now)):.0f} now, {float(np.median(then)):.0f} then."
