"""Trials that cannot be right: what they point at, their conditions, and what corrects what."""

from __future__ import annotations

from collections.abc import Iterator

from inchwater.errors import InchwaterError, InputError, UnknownNameError, joined
from inchwater.survey.check_layout import no_way_out, reached_rooms, shut_runs, zones_of
from inchwater.survey.check_readings import reading_problems
from inchwater.survey.check_typed import typed_problems
from inchwater.survey.form import listed
from inchwater.survey.job import Job, Survey
from inchwater.survey.taps import can_run
from inchwater.survey.trials import Trial
from inchwater.survey.unit import CALLS

# What a condition can say of each kind of part.
CONDITIONS = {
    "call": CALLS,
    "coil": ("wet", "dry"),
    "filter": ("in", "out"),
    "run": ("pulled-open", "pulled-capped"),
    "register": ("open", "closed"),
    "door": ("open", "shut"),
    "zone": ("open", "shut"),
    "bypass": ("open", "shut"),
}
# What has to be added before a condition can point at it.
_ADDED = {"register": "run", "door": "room", "zone": "zone at its trunk or run"}


def trial_problems(job: Job) -> Iterator[InchwaterError]:
    """Everything in the trials of a job that cannot be right."""
    instruments = [one.id for one in job.instruments]
    for index, trial in enumerate(job.trials):
        where = f"trials[{index}]"
        try:
            survey = job.survey_after(trial.after)
        except InchwaterError as problem:
            if problem.where == "after":
                yield UnknownNameError(
                    where=f"{where}.after", came=problem.came, right=problem.right, do=problem.do
                )
            else:
                yield problem
            continue
        yield from _condition_problems(where, trial, survey)
        yield from _correction_problems(where, trial)
        for number, reading in enumerate(trial.readings):
            at = f"{where}.readings[{number}]"
            if reading.instrument is not None and reading.instrument not in instruments:
                yield UnknownNameError(
                    where=f"{at}.instrument",
                    came=repr(reading.instrument),
                    right=listed(instruments, "the instruments are", "no instrument is listed yet"),
                    do="List it with its kind, or leave it out: then a usual one is taken.",
                )
            wrong = [*reading_problems(at, reading, survey, trial.condition)]
            yield from wrong or typed_problems(at, reading)


def _condition_problems(where: str, trial: Trial, survey: Survey) -> Iterator[InchwaterError]:
    runs = () if survey.supply is None else tuple(run.id for run in survey.supply.runs)
    parts = {
        "filter": tuple(one.id for one in survey.filters or ()),
        "run": runs,
        "register": runs,
        "door": tuple(room.id for room in survey.rooms or ()),
        "zone": zones_of(survey),
        "bypass": tuple(one.id for one in survey.bypasses or ()),
    }
    reached = reached_rooms(survey)
    for key, state in trial.condition.items():
        at = f"{where}.condition.{key}"
        kind, colon, id_ = key.partition(":")
        if key == "tap":
            taps = survey.unit.table.taps if survey.unit.table is not None else (state,)
            if not can_run(survey.unit, state):
                yield UnknownNameError(
                    where=at, came=repr(state), right=f"the table has taps {', '.join(taps)}"
                )
            continue
        if kind not in CONDITIONS or bool(colon) != (kind in parts):
            yield UnknownNameError(
                where=f"{where}.condition",
                came=repr(key),
                right=(
                    "a condition is call, tap, coil, filter:<id>, run:<id>, register:<id>, "
                    "door:<room id>, zone:<name> or bypass:<id>, and only what is temporary"
                ),
                do="Enter what lasts as a change.",
            )
            continue
        if kind in parts and id_ not in parts[kind]:
            added = _ADDED.get(kind, kind)
            yield UnknownNameError(
                where=f"{where}.condition",
                came=repr(key),
                right=listed(
                    parts[kind],
                    f"what {kind}: can name is",
                    f"no {added.partition(' ')[0]} is known yet",
                ),
                do=f"Add the {added} first.",
            )
        if state not in CONDITIONS[kind]:
            yield InputError(
                where=at, came=repr(state), right=f"{kind} is {joined(CONDITIONS[kind])}"
            )
        if kind == "door" and state == "shut" and id_ in parts[kind] and id_ not in reached:
            yield InputError(
                where=at,
                came=f"the door of {id_}, in which no run or return ends,",
                right="a shut door counts where air goes in or comes out",
                do="Say at its run which room it ends in, or leave the door out.",
            )
    shut = shut_runs(survey, trial.condition)
    if shut and not shut_runs(survey, {}):
        yield no_way_out(f"{where}.condition", shut)


def _correction_problems(where: str, trial: Trial) -> Iterator[InchwaterError]:
    before: set[str] = set()
    corrected: set[str] = set()
    for number, reading in enumerate(trial.readings):
        if reading.corrects is not None:
            at = f"{where}.readings[{number}].corrects"
            if reading.corrects not in before:
                yield UnknownNameError(
                    where=at,
                    came=repr(reading.corrects),
                    right="a reading corrects one that stands before it in the same trial",
                )
            elif reading.corrects in corrected:
                yield InputError(
                    where=at,
                    came=f"{reading.corrects!r}, which is corrected already,",
                    right="a reading is corrected once",
                    do="Correct the correction instead.",
                )
            corrected.add(reading.corrects)
        before.add(reading.id)
