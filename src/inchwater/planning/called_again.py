"""Somebody calls again after a visit: as the system stood it did not do what is wanted.

Readings leave open whether the air is enough by a few hundredths.  Those who live there tell within
days: what they say of a state is kept with the job, and a state that fell short once is not taken
for good again.  Noise has words of its own (``loudness.py``).
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from inchwater.errors import InchwaterError
from inchwater.network.elements import Array, Parameter
from inchwater.parts.coefficients import table
from inchwater.planning.loudness import heard
from inchwater.planning.wanted import (
    AllTargets,
    Wanted,
    beside_found,
    in_call,
    in_cooling,
)
from inchwater.planning.work_records import last_about_now
from inchwater.quantity import Said, said
from inchwater.survey import Job, WorkRecord, standing_state

if TYPE_CHECKING:
    from inchwater.calibration import Posterior

# Fewer samples than this are no posterior: then it is the model, or what is wanted, that is wrong.
_FEWEST = 20.0


def people_said(posterior: Posterior, wanted: Wanted | None = None) -> Posterior:
    """The posterior with all that people said counted: what is too loud, and that they called.

    Parameters
    ----------
    posterior : Posterior
        The calibrated job; counted once or twice it comes to the same.
    wanted : Wanted, optional
        What is wanted, where it is not all that the job's targets are.
    """
    return called_again(heard(posterior), wanted)


def said_by_people(job: Job) -> tuple[WorkRecord | str | None, ...]:
    """All that people said, which moves no reading and weighs what :func:`people_said` gives."""
    records = (one for one in job.work if one.kind in ("heard", "called-again"))
    return job.complaint, job.complaint_room, *records


def called_again(posterior: Posterior, wanted: Wanted | None = None) -> Posterior:
    """The posterior once it is known which states did not do what is wanted, noise left aside.

    By Bayes: where a sample has all that is wanted in such a state, nobody calls but for another
    reason.  A state with which hardly a sample would be left teaches nothing.

    Parameters
    ----------
    posterior : Posterior
        The calibrated job; as it is where nobody called.
    wanted : Wanted, optional
        What is wanted, where it is not all that the job's targets are.
    """
    wrongly = table("work", "inchwater.planning.data")["called_wrongly"].value
    found = posterior
    kept: dict[Parameter, Array] = {}
    for changes in _states(posterior.job):
        met = _met(posterior, changes, wanted, kept)
        if met is None:
            continue
        weights = found.weights * np.where(met, wrongly, 1.0)
        weights = weights / weights.sum()
        left = float(1.0 / np.sum(weights**2))
        if left >= _FEWEST:
            size = min(found.effective_size, left)
            found = replace(found, weights=weights, effective_size=size)
    return found


def _states(job: Job) -> list[tuple[str, ...]]:
    """The states that somebody called about, the latest first, and not for noise alone."""
    loud = {frozenset(one.changes): bool(one.loud) for one in job.work if one.kind == "heard"}
    called = (one.changes for one in reversed(job.work) if one.kind == "called-again")
    # Who finds it too loud says so: then nothing else need be wrong.
    return [one for one in dict.fromkeys(called) if not loud.get(frozenset(one), False)]


def _met(
    posterior: Posterior,
    changes: tuple[str, ...],
    wanted: Wanted | None,
    kept: dict[Parameter, Array],
) -> NDArray[np.bool_] | None:
    """Whether all but noise is met with changes in force (sample,); None where nobody can tell."""
    job = posterior.job
    survey = job.survey_after(changes)
    state = in_cooling(survey, standing_state(job, changes))
    asked = wanted or AllTargets.of(job, survey, state.get("call", "cooling"))
    met = np.ones(posterior.size, dtype=bool)
    for call in asked.calls:
        condition = in_call(state, call, asked.calls[0])
        try:
            found = beside_found(posterior, survey, call, condition, after=changes, kept=kept)
            for one, samples in asked.asked(found):
                if one.target_key != "noise":
                    met &= ~((samples < one.low) | (samples > one.high))
        except InchwaterError:
            # A state outside the table cannot be told, nor what was missed in it.
            if call == asked.calls[0]:
                return None
    return met


def last_called(job: Job) -> WorkRecord | None:
    """The call about the system as it stands; None where nobody called since the last step."""
    return last_about_now(job, "called-again")


def not_enough(job: Job) -> Said | None:
    """That somebody called again about the system as it stands; None where nobody did."""
    if last_called(job) is None:
        return None
    return said(
        "They called again: as it stands it does not do what is wanted, whatever is forecast; the "
        "options are weighed by it. Where the readings say that all is met, look for what they do "
        "not show: loads, controls, and, for who is licensed for it, the refrigerant's charge."
    )
