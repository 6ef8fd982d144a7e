"""The trial that a system stands in: what an answer speaks of when several trials were read."""

from __future__ import annotations

from collections.abc import Mapping

from inchwater.survey.job import Change, Job
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


def settled(state: Mapping[str, str], change: Change) -> dict[str, str]:
    """A condition less what a change makes past: another tap that ran, a part that is gone.

    Parameters
    ----------
    state : mapping
        As in :class:`Trial`.
    change : Change
        A change that lasts.
    """
    gone: set[str] = set()
    if change.kind in ("tap", "motor"):
        # A tap that was set for good outranks the one that ran during the trial.
        gone = {"tap"}
    elif change.kind == "remove-bypass":
        gone = {f"bypass:{id_}" for id_ in change.targets}
    elif change.kind == "cabinet":
        gone = {key for key in state if key.startswith("filter:")}
    return {key: word for key, word in state.items() if key not in gone}
