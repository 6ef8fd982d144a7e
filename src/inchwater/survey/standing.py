"""The trial that a system stands in: what an answer speaks of when several trials were read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

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


def standing_state(job: Job, after: Sequence[str] = ()) -> dict[str, str]:
    """The condition that a system stands in: the standing trial's, less what was for measuring.

    Parameters
    ----------
    after : sequence of str
        Ids of the changes in force; what those make past that came after that trial is left out.
    """
    stands = standing_trial(job)
    if stands is None:
        return {}
    state = {key: word for key, word in stands.condition.items() if word not in MEASURING}
    for change in job.changes:
        if change.id in after and change.id not in stands.after:
            state = settled(state, change)
    return state


def volts_of(job: Job, trial: Trial) -> float | None:
    """The voltage under load in a trial [V]: as read in it, else as last read before it.

    It is the house's own, whatever is changed at the ducts.

    Returns
    -------
    float or None
        None where it was not read up to then.
    """
    volts = None
    for one in job.trials:
        for reading in one.in_force:
            if reading.quantity == "voltage":
                volts = reading.value
        if one.id == trial.id:
            break
    return volts


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
