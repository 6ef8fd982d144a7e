"""Readings after a step of the work: each set of changes in force has a trial of its own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import cast

from django.utils import timezone
from django.utils.dateparse import parse_datetime

from inchwater.app.visits import jobs
from inchwater.app.visits.models import Reading, Trial, Visit
from inchwater.errors import InputError
from inchwater.findings.places import place_said
from inchwater.survey import Quantity, parse_reading, standing_state
from inchwater.survey.trials import KINDS
from inchwater.survey.typed_numbers import measured
from inchwater.units import unit as unit_of

# As-found trials stand before these, also where one is typed after work has begun.
_FIRST = 100


def record_after(
    visit: Visit,
    key: str,
    after: Sequence[str],
    at: str,
    quantity: str,
    typed: str,
    unit: str,
    *,
    condition: Mapping[str, str] | None = None,
    taken: str = "",
) -> Reading:
    """Keep a reading that was taken with these changes in force; one of the same place follows it.

    Parameters
    ----------
    visit : Visit
        Held against other writers by who calls.
    key : str
        Its id in the job, made by who took it; the same one again is the same reading.
    after : sequence of str
        The changes in force, in the order in which they were made.
    at, quantity : str
        Where it was read and what, as in job files.
    typed, unit : str
        As typed, and the unit that counts where none was.
    condition : mapping, optional
        What was different from how the system stands.
    taken : str
        When [ISO 8601]; now, if it is empty.

    Raises
    ------
    InchwaterError
        If it is no reading that can be, or the job would be none with it.
    """
    known = [row for one in jobs.trials_of(visit) for row in jobs.readings_of(one)]
    same = next((row for row in known if row.key == key), None)
    if same is not None:
        return same
    if quantity not in KINDS:
        raise InputError(
            where="the reading", came=repr(quantity[:40]), right=f"readings are {', '.join(KINDS)}"
        )
    label = f"{quantity.replace('-', ' ')} {place_said(at)}"[:80]
    value = parse_reading(label, typed, unit, cast(Quantity, quantity), at, keep=True)
    _, name, _ = measured(label, typed, unit, unit_of(unit).kind)
    trial = _trial(visit, list(after), dict(condition or {}))
    old = [row for row in jobs.in_force(trial) if (row.at, row.quantity) == (at, quantity)]
    moment = parse_datetime(taken) if taken else None
    reading: Reading = Reading.objects.of(visit.firm_id).create(
        trial=trial,
        key=key,
        at=at,
        quantity=quantity,
        typed=typed.strip(),
        unit=name,
        value=value,
        taken_at=moment or timezone.now(),
        corrects=old[-1] if old else None,
        reason="read again" if old else "",
    )
    jobs.touch(visit)
    return reading


def _trial(visit: Visit, after: list[str], condition: dict[str, str]) -> Trial:
    """The trial with these changes in force; a new one is as the system stood."""
    state = standing_state(jobs.job_of(visit), after) | condition
    trials = jobs.trials_of(visit)
    for one in trials:
        if one.after == after and one.condition == state:
            return one
    taken = {one.key for one in trials}
    key = next(f"tr{n}" for n in range(1, len(taken) + 2) if f"tr{n}" not in taken)
    made: Trial = Trial.objects.of(visit.firm_id).create(
        visit=visit,
        revision=visit.revision,
        key=key,
        ordinal=max(_FIRST - 1, *(one.ordinal for one in trials)) + 1,
        after=after,
        condition=state,
    )
    return made
