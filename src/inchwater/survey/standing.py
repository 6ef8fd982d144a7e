"""The trial that a system stands in: what an answer speaks of when several trials were read."""

from __future__ import annotations

from inchwater.survey.job import Job
from inchwater.survey.trials import Trial

# States that are there for measuring only and can be no baseline.
MEASURING = ("out", "pulled-open", "pulled-capped", "closed")


def standing_trial(job: Job) -> Trial | None:
    """The first trial with the latest changes in force that is no measuring state.

    Later trials under the same changes are other states (a door shut, another call), read to learn
    from and not to stay in.

    Parameters
    ----------
    job : Job
        Its trials are in the order in which they were read.

    Returns
    -------
    Trial or None
        The latest one where all of them are measuring states; None without any trial.
    """
    if not job.trials:
        return None
    latest = job.trials[-1]
    for trial in job.trials:
        measuring = any(state in MEASURING for state in trial.condition.values())
        if trial.after == latest.after and not measuring:
            return trial
    return latest
