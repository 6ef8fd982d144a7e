"""Records of the work that cannot be right: twice, taken back before done, of what is not there."""

from __future__ import annotations

from collections.abc import Iterator

from inchwater import units
from inchwater.errors import InchwaterError, InputError, UnknownNameError
from inchwater.survey.check_typed import time_problem
from inchwater.survey.form import listed
from inchwater.survey.job import Job
from inchwater.survey.ranges import range_of, said_range
from inchwater.survey.trials import Trial
from inchwater.survey.work import SOMEWHERE, WorkKind, WorkRecord
from inchwater.survey.work_so_far import openings_of, to_undo, work_of

# What each kind of record cannot be without, and what it may have beside it.
NEEDED: dict[WorkKind, tuple[str, ...]] = {
    "accepted": ("changes",),
    "done": ("changes",),
    "taken-back": ("changes",),
    "gate": ("gate", "when", "result"),
    "undone": ("state", "trial"),
    "heard": ("changes", "loud"),
    "called-again": (),
    "stopped": ("why",),
}
_MAY: dict[WorkKind, tuple[str, ...]] = {
    "accepted": ("option",),
    "done": ("step",),
    "taken-back": ("step",),
    "gate": ("changes", "step", "value"),
    "undone": (),
    "heard": (),
    "called-again": ("changes",),
    "stopped": (),
}
_OF_ALL = ("id", "kind", "at", "by", "note")
_KEYS = (
    *("option", "changes", "step", "gate", "when", "result"),
    *("value", "state", "trial", "loud", "why"),
)
_RANGES = {
    "time": "gate_time",
    "share_of_gas": "carbon_monoxide",
    "temperature_rise": "gate_rise",
}
# What a gate's value is given in.
VALUE_UNITS = ("s", "ppm", "m3_m3", "degf_rise", "k_rise")


def work_problems(job: Job) -> Iterator[InchwaterError]:
    """Everything in the records of the work that cannot be right, in their order."""
    for number, record in enumerate(job.work):
        where = f"work[{number}]"
        wrong = [*_form_problems(where, record), *_pointing_problems(where, record, job)]
        yield from wrong or _sequence_problems(where, record, job, number)


def _form_problems(where: str, record: WorkRecord) -> Iterator[InchwaterError]:
    kind = record.kind
    if kind not in NEEDED:
        yield UnknownNameError(
            where=f"{where}.kind",
            came=repr(kind),
            right=f"a record of work is {', '.join(NEEDED)}",
        )
        return
    given = [key for key in _KEYS if getattr(record, key) is not None]
    if not record.changes:
        given.remove("changes")
    for key in NEEDED[kind]:
        if key not in given:
            yield InputError(
                where=f"{where}.{key}",
                came="nothing",
                right=f"a record of kind {kind} has {', '.join(NEEDED[kind])}",
            )
    for key in given:
        if key not in (*NEEDED[kind], *_MAY[kind]):
            yield InputError(
                where=f"{where}.{key}",
                came=f"{key} at a record of kind {kind}",
                right=f"it has {', '.join((*NEEDED[kind], *_MAY[kind], *_OF_ALL[2:]))}",
                do="Leave it out.",
            )
    if record.at is not None:
        yield from time_problem(f"{where}.at", record.at, f" for {record.id}")
    if record.step is not None and (isinstance(record.step, bool) or record.step < 1):
        yield InputError(
            where=f"{where}.step", came=repr(record.step), right="steps are numbered from 1"
        )
    if len(set(record.changes)) < len(record.changes):
        yield InputError(
            where=f"{where}.changes",
            came=", ".join(record.changes),
            right="each change stands there once",
        )
    if kind == "gate":
        yield from _value_problems(where, record)


def _value_problems(where: str, record: WorkRecord) -> Iterator[InchwaterError]:
    measured = record.result == "measured"
    if measured != (record.value is not None):
        yield InputError(
            where=f"{where}.value",
            came="nothing" if measured else f"a value with the result {record.result}",
            right="a result that was measured has a value, and no other has one",
        )
    if record.value is None:
        return
    number, unit = record.value.value, record.value.unit
    if unit not in VALUE_UNITS:
        yield UnknownNameError(
            where=f"{where}.value.unit",
            came=repr(unit),
            right=f"a result at a gate is in {', '.join(VALUE_UNITS)}",
        )
    elif not range_of(_RANGES[units.unit(unit).kind]).holds(record.value.si):
        yield InputError(
            where=f"{where}.value",
            came=f"{number:g} {units.unit(unit).label}",
            right=said_range(_RANGES[units.unit(unit).kind], unit),
        )


def _pointing_problems(where: str, record: WorkRecord, job: Job) -> Iterator[InchwaterError]:
    known = [change.id for change in job.changes]
    for id_ in record.changes:
        if id_ not in known:
            yield UnknownNameError(
                where=f"{where}.changes",
                came=repr(id_),
                right=listed(known, "the changes of this job are", "this job has no change yet"),
                do="Report it at the job that it belongs to.",
            )
    if record.kind in ("heard", "called-again") and all(id_ in known for id_ in record.changes):
        yield from _people_problems(where, record, job)
    if record.trial is None:
        return
    trials = {trial.id: trial for trial in job.trials}
    if record.trial not in trials:
        yield UnknownNameError(
            where=f"{where}.trial",
            came=repr(record.trial),
            right=listed(trials, "the trials of this job are", "this job has no trial yet"),
        )
    elif record.state is not None:
        yield from _state_problems(where, record.state, trials[record.trial])


def _people_problems(where: str, record: WorkRecord, job: Job) -> Iterator[InchwaterError]:
    try:
        there = openings_of(job.survey_after(record.changes))
    except InchwaterError as error:
        yield error
        return
    # A call names no register or grille.
    loud = record.loud or ()
    for one in loud:
        if one not in there and one != SOMEWHERE:
            yield UnknownNameError(
                where=f"{where}.loud",
                came=repr(one),
                right=listed((*there, SOMEWHERE), "what can be too loud is", "nothing is there"),
            )
    if (SOMEWHERE in loud and len(loud) > 1) or len(set(loud)) < len(loud):
        yield InputError(
            where=f"{where}.loud",
            came=", ".join(loud),
            right=f"each register or grille once, or {SOMEWHERE!r} alone where nobody can say",
        )


def _state_problems(where: str, state: str, trial: Trial) -> Iterator[InchwaterError]:
    found = to_undo(trial)
    if state not in found:
        yield UnknownNameError(
            where=f"{where}.state",
            came=repr(state),
            right=listed(found, f"{trial.id} was read with", f"{trial.id} has nothing to undo"),
        )


def _sequence_problems(
    where: str, record: WorkRecord, job: Job, number: int
) -> Iterator[InchwaterError]:
    """Done twice, and taken back before it was done."""
    in_force = work_of(job, number).done
    twice = [id_ for id_ in record.changes if id_ in in_force]
    if record.kind == "done" and twice:
        yield InputError(
            where=f"{where}.changes",
            came=f"{', '.join(twice)} done again",
            right="it was reported done before and has not been taken back since",
            do="Report it once; if it was taken back in between, report that first.",
        )
    lacking = [id_ for id_ in record.changes if id_ not in in_force]
    if record.kind == "taken-back" and lacking:
        yield InputError(
            where=f"{where}.changes",
            came=f"{', '.join(lacking)} taken back",
            right=listed(in_force, "what can be taken back is", "nothing has been done yet"),
            do="Report first that it was done, or leave it out.",
        )
