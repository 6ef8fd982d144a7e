"""``next-reading``: what to read next, by the money that it saves per minute of work."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inchwater.cli import frame, options
from inchwater.errors import InputError

if TYPE_CHECKING:
    from inchwater.survey import Job


def next_reading(
    job_path: options.JobPath,
    si: options.Si = False,
    seed: options.Seed = None,
    as_json: options.Json = False,
) -> None:
    """Say which reading is worth taking next, in money saved per minute, or that it is enough.

    Weighed is which of the usual changes meets the goal at the least expected cost.
    """
    from inchwater import planning, survey
    from inchwater.answer.possibilities import fitted
    from inchwater.cli import show
    from inchwater.cli.jobs import seed_of

    job = survey.load(job_path)
    _has_readings(job)
    posterior = fitted(job, seed_of(seed)).posteriors[0]
    ranked = planning.next_reading(posterior)
    system = options.system_of(si)
    if as_json:
        frame.document({"job": job.id, "readings": [one.to_dict(system) for one in ranked]})
    else:
        show.next_readings(frame.console(), ranked, system)


def _has_readings(job: Job) -> None:
    if not any(trial.in_force for trial in job.trials):
        raise InputError(
            where="job file",
            came="no reading",
            right="what to read next is weighed from the readings of at least one trial",
            do="Add one: 'inchwater reading JOB --at return --static 0.29'.",
        )
