"""The records of the work: one more added, and the steps that are done and left by them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import count

from inchwater.errors import DoubtError, InputError, UnknownNameError
from inchwater.planning.gates import gate_keys, gates_of
from inchwater.planning.steps import in_steps
from inchwater.survey import (
    Change,
    Job,
    WorkKind,
    WorkRecord,
    all_in_force,
    check,
    schema,
    work_of,
)

# What a job file takes as an id; offers name their changes more freely.
_ID = re.compile(schema()["$defs"]["id"]["pattern"])


def new_id(job: Job) -> str:
    """An id that no record of this job has yet."""
    known = {record.id for record in job.work}
    return next(f"w{n}" for n in count(len(known) + 1) if f"w{n}" not in known)


def accepted(
    job: Job,
    changes: Sequence[Change],
    option: str | None = None,
    *,
    at: str | None = None,
    by: str | None = None,
) -> Job:
    """The job with an option agreed: its changes among the job's own, and a record that says so.

    Parameters
    ----------
    changes : sequence of Change
        In an order in which they can be made.  One that the job has already stays as it is; one
        whose id belongs to another change gets an id of its own.
    option : str, optional
        The option's key.
    at, by : str, optional
        When, and who wrote it down.

    Raises
    ------
    InputError
        If there is no change to accept, or one of them cannot be made here.
    """
    if not changes:
        raise InputError(
            where="accepted",
            came="no change",
            right="what is accepted has at least one change",
            do="Choose another option; leaving all as it is needs no work.",
        )
    known = job.changes_by_id
    ids = []
    for change in changes:
        own = change
        if known.get(change.id, change) != change or not _ID.fullmatch(change.id):
            own = replace(change, id=next(f"ch{n}" for n in count(1) if f"ch{n}" not in known))
        known.setdefault(own.id, own)
        ids.append(own.id)
    job = replace(job, changes=tuple(known.values()))
    record = WorkRecord(new_id(job), "accepted", at, option, tuple(ids), by=by)
    return recorded(job, record)


def heard_with(job: Job, where: str) -> tuple[str, ...]:
    """The changes in force, with which somebody is asked what is too loud.

    Parameters
    ----------
    where : str
        What an error names.

    Raises
    ------
    InputError
        If none is: what is too loud as found is the complaint.
    """
    found = all_in_force(job)
    if not found:
        raise InputError(
            where=where,
            came="what is heard before any step is done",
            right="this is asked after a step; what is too loud as found is the job's complaint",
            do="Report the step first, or say it as the complaint.",
        )
    return found


def last_about_now(job: Job, kind: WorkKind) -> WorkRecord | None:
    """The last record of a kind that is about the system as it stands; None without one."""
    now = set(all_in_force(job))
    found = [one for one in job.work if one.kind == kind and set(one.changes) == now]
    return found[-1] if found else None


def done_steps(job: Job) -> tuple[tuple[int, tuple[Change, ...]], ...]:
    """The steps that are in force by the records: number and changes, in their order."""
    known = job.changes_by_id
    in_force = work_of(job).done
    found: list[tuple[int, tuple[Change, ...]]] = []
    for record in job.work:
        own = tuple(known[id_] for id_ in record.changes if id_ in in_force)
        if record.kind == "done" and own:
            # What was taken back and done again counts where it was done last.
            ids = {one.id for one in own}
            found = [(n, c) for n, c in found if not ids & {one.id for one in c}]
            found.append((record.step or len(found) + 1, own))
    return tuple(found)


def planned_steps(job: Job) -> tuple[tuple[int, tuple[Change, ...]], ...]:
    """The steps that are left of what was accepted: number and changes, as ``work_plan`` has them.

    Their order and their numbers need no calibration.
    """
    done = done_steps(job)
    first = 1 + max((number for number, _ in done), default=0)
    survey = job.survey_after(all_in_force(job))
    return tuple(enumerate(in_steps(left_of(job), survey), first))


def left_of(job: Job) -> tuple[Change, ...]:
    """The changes that were accepted and are not in force by records or trials."""
    done = all_in_force(job)
    known = job.changes_by_id
    return tuple(known[id_] for id_ in work_of(job).accepted if id_ not in done)


def recorded(job: Job, record: WorkRecord, *, keep: bool = False) -> Job:
    """The job with one record of work more.

    Parameters
    ----------
    record : WorkRecord
        What happened; its id is new in this job.
    keep : bool
        Whether a step that is reported out of order was truly done so.

    Raises
    ------
    InputError, UnknownNameError
        If it is reported twice, is of a change, gate, trial or state that the job does not have, or
        a gate before the step is open; the job stays as it is.
    DoubtError
        If another step comes before it and nobody said that it was done out of order.
    """
    where = f"work[{len(job.work)}]"
    after = replace(job, work=(*job.work, record))
    check(after)
    if record.kind == "gate" and record.gate not in gate_keys():
        raise UnknownNameError(
            where=f"{where}.gate",
            came=repr(record.gate),
            right=f"the gates are {', '.join(gate_keys())}",
        )
    if record.kind == "done":
        _refuse_early(job, record, where, keep)
    return after


def _refuse_early(job: Job, record: WorkRecord, where: str, keep: bool) -> None:
    steps = planned_steps(job)
    own = set(record.changes)
    known = job.changes_by_id
    before = [(n, c) for n, c in steps if not own & {one.id for one in c}]
    mine = [n for n, c in steps if own & {one.id for one in c}]
    skipped = [n for n, _ in before if mine and n < min(mine)]
    number = mine[0] if mine else record.step or 0
    # What cannot be made without an earlier step is refused by the survey, kept or not.
    job.survey_after(tuple(dict.fromkeys((*all_in_force(job), *record.changes))))
    if skipped and not keep:
        raise DoubtError(
            where=f"{where}.changes",
            came=f"step {number}",
            right=f"step {skipped[0]} comes before it and is not reported",
            do=f"Report step {skipped[0]} first, or keep it if it was done in this order.",
            keep=str(number),
        )
    changes = tuple(known[id_] for id_ in record.changes)
    for gate in gates_of(job, [(number, changes)]):
        if gate.when == "before" and not gate.closed:
            raise InputError(
                where=f"gate {gate.key}",
                came="no result" if gate.state == "open" else gate.said.text().rstrip("."),
                right=f"before this step: {gate.title}",
                do="Report the result that was found before the work; where there is none, stop "
                "and refer it to a licensed technician, and report that.",
            )
