"""What cannot be right across a job: ids, references, sizes, the table, conditions, readings.

``check`` raises the first problem, ``problems`` lists all, and ``doubts`` lists what could be
right but is worth a question.  The schema has said before that keys and types are right; a Job
built in Python passes here without it, so nothing is taken for granted.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from inchwater.errors import (
    DoubtError,
    InchwaterError,
    InputError,
    NotPossibleError,
    UnknownNameError,
)
from inchwater.survey.check_areas import area_doubts
from inchwater.survey.check_fittings import fitting_doubts, fitting_problems
from inchwater.survey.check_layout import layout_doubts, layout_problems
from inchwater.survey.check_sizes import part_size_problems, size_problems
from inchwater.survey.check_trials import trial_problems
from inchwater.survey.check_typed import time_problem
from inchwater.survey.check_work import work_problems
from inchwater.survey.form import listed
from inchwater.survey.job import Job, Survey
from inchwater.survey.table_check import table_doubts, table_problems
from inchwater.survey.taps import can_run, tap_guess
from inchwater.survey.unit import CALLS, Unit
from inchwater.survey.wishes import wish_problems

VENTING = ("natural-draft", "induced-draft", "sealed")
_PARTS = ("returns", "filters", "coils")


def check(job: Job) -> None:
    """Refuse a job in which something cannot be right.

    Raises
    ------
    InchwaterError
        The first problem, in the document's order: an InputError, TableError, UnknownNameError,
        or NotPossibleError for a system whose readings cannot be told apart.
    """
    for problem in _problems(job):
        raise problem


def problems(job: Job) -> tuple[InchwaterError, ...]:
    """Everything in a job that cannot be right, in the document's order."""
    return tuple(_problems(job))


def _problems(job: Job) -> Iterator[InchwaterError]:
    yield from _unit_problems(job.survey)
    # Everything after this follows ids, so the first wrong one ends the search.
    wrong_ids = [*_id_problems(job), *_reference_problems(job.survey)]
    yield from wrong_ids
    yield from size_problems(job)
    yield from structure_problems(job.survey)
    if job.survey.unit.table is not None:
        yield from table_problems(job.survey.unit.table.rows, "survey.unit.table")
    if not wrong_ids:
        yield from wish_problems(job)
        yield from _change_problems(job)
        yield from trial_problems(job)
        yield from work_problems(job)


def structure_problems(survey: Survey) -> Iterator[InchwaterError]:
    """How the parts hang together, and what sits on them."""
    yield from layout_problems(survey)
    yield from fitting_problems(survey)


def doubts(job: Job) -> tuple[DoubtError, ...]:
    """What could be right but is worth a question: these are asked, never refused."""
    return tuple(_doubts(job))


# --- the unit ----------------------------------------------------------------------------------


def _unit_problems(survey: Survey) -> Iterator[InchwaterError]:
    unit = survey.unit
    if unit.count != 1:
        yield NotPossibleError(
            where="survey.unit.count",
            came=str(unit.count),
            right=(
                "one blower for one duct system is what can be answered; twinned units share "
                "one duct, and their two flows cannot be told apart by these readings"
            ),
            do=(
                "Measure each unit's airflow by itself, for example with a flow grid at its "
                "filter, and see that both run together on the same tap."
            ),
        )
    if unit.table is not None:
        taps = unit.table.taps
        for key, tap in {"tap": unit.tap, **_called(unit)}.items():
            if tap is not None and not can_run(unit, tap):
                yield UnknownNameError(
                    where=f"survey.unit.{key}",
                    came=repr(tap),
                    right=f"the table has taps {', '.join(taps)}",
                    do="Choose one of them, or add the cells of this tap.",
                )
        if unit.table.includes is not None and {"coil-dry", "coil-wet"} <= unit.table.includes:
            yield InputError(
                where="survey.unit.table.includes",
                came="coil-dry and coil-wet",
                right="a table was made with the coil dry or with the coil wet",
                do="Keep the one that the table's heading or notes say.",
            )
    for call in (*unit.calls, *unit.calls_how):
        if call not in CALLS:
            yield UnknownNameError(
                where="survey.unit.calls",
                came=repr(call),
                right=f"the calls are {', '.join(CALLS)}",
            )
    for call in unit.calls_how:
        if call in CALLS and call not in unit.calls:
            yield InputError(
                where=f"survey.unit.calls_how.{call}",
                came=f"{unit.calls_how[call]} for a call without a tap",
                right="how it is known goes with the tap that the call runs on",
                do="Add the tap of this call, or leave this key out.",
            )
    for word in survey.place.fuel_appliances or ():
        if word not in VENTING:
            yield UnknownNameError(
                where="place.fuel_appliances",
                came=repr(word),
                right=f"a burning appliance is {', '.join(VENTING)}",
            )


def _called(unit: Unit) -> dict[str, str | None]:
    """The tap of each call, by where it stands in the document."""
    return {f"calls.{call}": tap for call, tap in unit.calls.items()}


# --- ids and what points at them ---------------------------------------------------------------


def _id_problems(job: Job) -> Iterator[InchwaterError]:
    if job.survey.supply is not None:
        for branch, above in job.survey.supply.walk():
            if branch.id in above:
                yield InputError(
                    where="survey.supply.branches",
                    came=f"{branch.id} below itself ({' → '.join((*above, branch.id))})",
                    right="air that has left a trunk cannot come back into it",
                    do=f"Give the lower {branch.id} an id of its own, or move it.",
                )
                return
    named: list[tuple[str, Iterable[str]]] = [
        ("survey", job.survey.part_ids),
        ("changes", (change.id for change in job.changes)),
        ("trials", (trial.id for trial in job.trials)),
        ("trials", (reading.id for trial in job.trials for reading in trial.readings)),
        ("instruments", (one.id for one in job.instruments)),
        ("work", (record.id for record in job.work)),
    ]
    for where, ids in named:
        seen: set[str] = set()
        for id_ in ids:
            if id_ in seen:
                yield InputError(
                    where=where,
                    came=f"the id {id_!r} twice",
                    right="every part, change, trial, reading and record has an id of its own",
                    do="Give one of the two another id.",
                )
            seen.add(id_)


def _reference_problems(survey: Survey) -> Iterator[InchwaterError]:
    filters = {one.id: one for one in survey.filters or ()}
    held: set[str] = set()
    for index, back in enumerate(survey.returns or ()):
        if back.filter is None:
            continue
        where = f"survey.returns[{index}].filter"
        if back.filter not in filters:
            yield UnknownNameError(
                where=where,
                came=repr(back.filter),
                right=listed(filters, "the filters are", "no filter is known yet"),
                do="Add the filter, or leave this key out.",
            )
        elif filters[back.filter].at != "grille":
            yield InputError(
                where=where,
                came=f"{back.filter}, which sits at the unit,",
                right="a return holds a filter in its grille",
                do="Say that the filter is at the grille, or leave this key out.",
            )
        elif back.filter in held:
            yield InputError(
                where=where,
                came=f"{back.filter}, which another return holds,",
                right="each filter grille has a filter of its own",
                do="Add one filter for each grille.",
            )
        held.add(back.filter)
    if survey.returns:
        for index, one in enumerate(survey.filters or ()):
            if one.at == "grille" and one.id not in held:
                yield InputError(
                    where=f"survey.filters[{index}].at",
                    came=f"grille for {one.id}, which no return holds,",
                    right=f"the returns are {', '.join(back.id for back in survey.returns)}",
                    do="Say which return holds it, or that it sits at the unit.",
                )


def _part_problems(survey: Survey) -> Iterator[InchwaterError]:
    yield from part_size_problems(survey)
    yield from structure_problems(survey)


def _change_problems(job: Job) -> Iterator[InchwaterError]:
    """Changes that can be made neither to what was found nor after those before them.

    Both are tried: a change may stand on an earlier one, such as a run that was added, or be
    another choice beside it.
    """
    from inchwater.survey.changes import apply

    before = job.survey
    for change in job.changes:
        if change.made is not None:
            yield from time_problem(f"changes.{change.id}.made", change.made)
        try:
            after = apply(before, change)
        except InchwaterError as problem:
            try:
                after = apply(job.survey, change)
            except InchwaterError:
                yield problem
                continue
        # What was wrong before is reported at the survey.
        wrong_before = {str(one) for one in _part_problems(before)}
        for one in _part_problems(after):
            if str(one) not in wrong_before:
                yield InputError(
                    where=f"changes.{change.id}.to", came=one.came, right=one.right, do=one.do
                )
        before = after


# --- doubts ------------------------------------------------------------------------------------


def _doubts(job: Job) -> Iterator[DoubtError]:
    survey = job.survey
    filters = survey.filters or ()
    at_unit = [one.id for one in filters if one.at == "unit"]
    at_grille = [one.id for one in filters if one.at == "grille"]
    if at_unit and at_grille:
        yield DoubtError(
            where="survey.filters",
            came=f"{', '.join(at_grille)} in a grille and {', '.join(at_unit)} at the unit",
            right="the same air goes through two filters, which is allowed but seldom meant",
            do="Use one filter, or keep both if both are installed.",
        )
    elif len(at_unit) > 1:
        yield DoubtError(
            where="survey.filters",
            came=f"{', '.join(at_unit)}, all at the unit,",
            right="filters at the unit stand one behind the other",
            do="Use one filter with a count if they stand side by side, or keep them.",
        )
    for index, coil in enumerate(survey.coils or ()):
        usual = survey.unit.kind != "furnace"
        if coil.inside_unit != usual:
            came = "a coil inside" if coil.inside_unit else "a coil outside"
            yield DoubtError(
                where=f"survey.coils[{index}].inside_unit",
                came=f"{came} the cabinet of {_an(survey.unit.kind)}",
                right="a furnace has its coil on top, air handlers and packaged units inside",
                do="Look again, and keep it if it is so.",
            )
    for key, tap in {"tap": survey.unit.tap, **_called(survey.unit)}.items():
        said = None if tap is None else tap_guess(survey.unit, tap)
        if said is not None:
            yield DoubtError(
                where=f"survey.unit.{key}",
                came=f"tap {tap}",
                right=said[0].lower() + said[1:].removesuffix("."),
                do="Add two cells of this tap, or keep it if the table has none.",
            )
    if survey.unit.table is not None:
        yield from table_doubts(survey.unit.table.rows, survey.unit.capacity.si)
    yield from layout_doubts(survey)
    yield from fitting_doubts(survey)
    yield from area_doubts(survey)


def _an(kind: str) -> str:
    return f"an {kind}" if kind[0] in "aeiou" else f"a {kind}"


def checked(job: Job, survey: Survey) -> Job:
    """The job with another survey, checked; for a page that edits one."""
    changed = replace(job, survey=survey)
    check(changed)
    return changed
