"""Whether noise is what somebody complains of, and in which room."""

from __future__ import annotations

import re

from inchwater.survey.job import Job, Survey

# Words by which people tell of noise (common practice, no source).
_NOISE = re.compile(
    r"\b(nois|loud|hiss|whistl|roar|rumbl|humming|whin(e|ing)\b|howl|buzz|rattl|drone|droning)",
    re.I,
)


def noisy_room(job: Job) -> str | None:
    """The room in which noise is complained of; empty for all rooms, None where it is not.

    Examples
    --------
    >>> from inchwater.survey import minimal_job
    >>> noisy_room(minimal_job(10550.0, -50.0, 75.0)) is None
    True
    """
    if job.complaint is None or not _NOISE.search(job.complaint):
        return None
    return job.complaint_room or ""


def is_noisy(noisy: str | None, room: str | None, survey: Survey) -> bool:
    """Whether an opening in a room is one of those that are complained of.

    A room of which the survey knows nothing might be any, so that all openings are meant then.
    """
    if noisy is None:
        return False
    meant = _same(noisy, survey)
    rooms = [run.room for run in survey.supply.runs] if survey.supply is not None else []
    rooms += [one.room for one in survey.returns or ()]
    if meant not in {_same(one, survey) for one in rooms if one}:
        return True
    return room is not None and _same(room, survey) == meant


def _same(room: str, survey: Survey) -> str:
    """One name for what a room is called by its id or its name."""
    known = survey.room_called(room)
    return room.strip().lower() if known is None else known.id
