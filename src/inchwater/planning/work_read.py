"""Readings after a step: in which trial they stand, and what was expected of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import count
from typing import TYPE_CHECKING

from inchwater.errors import InputError
from inchwater.planning.steps_expected import Expected
from inchwater.planning.work_plan import work_plan
from inchwater.planning.work_records import done_steps
from inchwater.survey import Job, Reading, Trial, all_in_force, standing_state

if TYPE_CHECKING:
    from inchwater.calibration import Posterior


def in_trial(job: Job, readings: tuple[Reading, ...]) -> tuple[Job, str]:
    """The job with readings of the system as it stands now, and the id of their trial.

    They go to the last trial if that was read with the same changes in force and in the state that
    the system stands in, else to a new one.
    """
    after = all_in_force(job)
    condition = standing_state(job, after)
    last = job.trials[-1] if job.trials else None
    if last is not None and last.after == after and dict(last.condition) == condition:
        grown = replace(last, readings=(*last.readings, *readings))
        return replace(job, trials=(*job.trials[:-1], grown)), last.id
    ids = {trial.id for trial in job.trials}
    id_ = next(f"tr{n}" for n in count(len(ids) + 1) if f"tr{n}" not in ids)
    made = Trial(id_, after, condition, readings)
    return replace(job, trials=(*job.trials, made)), id_


def before_last_step(job: Job) -> Job:
    """The job as it was when the last step that is in force had not been reported.

    Raises
    ------
    InputError
        If no step is in force.
    """
    steps = done_steps(job)
    if not steps:
        raise InputError(
            where="step",
            came="readings before any step is done",
            right="what is read here is held against what was expected after a step",
            do="Report the step first; or use 'inchwater reading JOB'.",
        )
    ids = {change.id for change in steps[-1][1]}
    last = max(n for n, r in enumerate(job.work) if r.kind == "done" and ids & set(r.changes))
    trials = tuple(trial for trial in job.trials if not ids & set(trial.after))
    return replace(job, work=job.work[:last], trials=trials)


def expected_after_last(
    job: Job, calibrated: Callable[[Job], Posterior]
) -> tuple[int, tuple[Expected, ...]]:
    """The number of the last step in force, and the readings that were expected after it.

    Parameters
    ----------
    calibrated : function of Job
        Gives the posterior of a job: only what was read before the step counts.
    """
    number, changes = done_steps(job)[-1] if done_steps(job) else (0, ())
    plan = work_plan(calibrated(before_last_step(job)), changes, first=number)
    # What was one step when it was reported is forecast as one: all its changes in force.
    return number, plan.steps[-1].expected
