"""A text becomes a record: a revision of the survey, a reading, or a word of the visit itself."""

from __future__ import annotations

from copy import deepcopy
from typing import Any, cast

from inchwater.app.firms.models import User
from inchwater.app.visits.drafts import drafts_of, drop_draft, keep_draft
from inchwater.app.visits.fields import CELLS, FIELDS, Field
from inchwater.app.visits.jobs import check_visit, in_force, revise, touch
from inchwater.app.visits.models import Visit
from inchwater.app.visits.parsing import parse, understood
from inchwater.app.visits.placing import place, pruned
from inchwater.app.visits.readings import begin_second, measure, move_readings
from inchwater.app.visits.recorded import (
    first_trial,
    point_of,
    recorded_values,
    said,
    second_trial,
    supply_at,
)
from inchwater.app.visits.states import State, condition_of
from inchwater.app.visits.table import LEAST, place_cells
from inchwater.app.visits.typed_texts import typed_with
from inchwater.units import System

# What a visit says itself, with no document in between.
_OF_VISIT = ("complaint", "complaint_room")
# A rating, a leakage test and a range are two numbers that go together.
_PAIRS = (
    ("rise_low", "rise_high"),
    ("rise_low_stage_low", "rise_low_stage_high"),
    ("filter_rated_drop", "filter_rated_airflow"),
    ("supply_leak_airflow", "supply_leak_pressure"),
    ("return_leak_airflow", "return_leak_pressure"),
)
_PAIR = {one: other for pair in _PAIRS for one, other in (pair, pair[::-1])}


def record(
    visit: Visit, field: Field, text: str, keep: bool, units: System, user: User | None
) -> tuple[str, str]:
    """How the value was understood, and what it waits for if it is no record yet."""
    note = ""
    if text.strip() == recorded_values(visit, units).get(field.name, "").strip():
        # Left without a change, or sent twice.
        return text.strip(), note
    rows = in_force(first_trial(visit))
    point = point_of(field, supply_at(visit, rows)) if field.is_reading else None
    value = parse(field, text, units, keep=keep, point=point)
    if field.name in _OF_VISIT:
        setattr(visit, field.name, value or "")
        touch(visit)
    elif field.is_reading:
        measure(visit, field, value)
    elif _is_cell(field.name):
        note = _cells(visit, field, text, units, user)
    elif field.name in _PAIR:
        note = _pair(visit, field, text, units, user)
    elif field.name == "supply_at":
        move_readings(visit, field, value, user)
    elif field.name == "coil_wet":
        _set_condition(visit, "coil", value)
    elif field.name == "trial2_state":
        _set_state(visit, field, value)
        document = visit.revision.document
        revise(visit, document, typed_with(visit, document, field.name, text, units), user)
    else:
        document = place(visit.revision.document, field, value)
        typed = typed_with(visit, document, field.name, text, units)
        _keep_displaced(visit, field, document, typed)
        revise(visit, document, typed, user)
    check_visit(visit)
    return (understood(field, value, units) if value is not None else ""), note


def _keep_displaced(
    visit: Visit, saved: Field, document: dict[str, Any], typed: dict[str, Any]
) -> None:
    """Keep as drafts what has no place until something else is typed again.

    A tap that a new table does not name, what a table includes that is taken away.
    """
    for name, old in visit.revision.typed.items():
        field = FIELDS.get(name)
        waits = field is not None and (bool(field.waits_for) or name == "tap")
        if field is None or not waits or name in typed or name in (saved.name, "rooms"):
            continue
        if not said(document, field, old["units"]):
            keep_draft(visit, field, old["typed"], old["units"])


def _set_condition(visit: Visit, key: str, word: str | None) -> None:
    trial, other = first_trial(visit), second_trial(visit)
    was = trial.condition.get(key)
    for one in (trial, other):
        # What was said to be different in the other trial stays different.
        if one is None or one.condition.get(key) != was:
            continue
        condition = {name: state for name, state in one.condition.items() if name != key}
        one.condition = condition | ({key: word} if word else {})
        one.save()
    touch(visit)


def _set_state(visit: Visit, field: Field, states: tuple[State, ...] | None) -> None:
    """Say what was different in the other trial; everything else was as in the first one."""
    if states is None and second_trial(visit) is None:
        return
    said = condition_of(visit.revision.document, states or (), field.label)
    trial = begin_second(visit)
    trial.condition = first_trial(visit).condition | said
    trial.save()
    touch(visit)


def _texts(visit: Visit, units: System) -> dict[str, tuple[str, System]]:
    """What stands in every field, drafts first, with the units in which it stands there."""
    recorded = recorded_values(visit, units)
    texts = {name: (words, units) for name, words in recorded.items()}
    return texts | {one.field: (one.typed, cast(System, one.units)) for one in drafts_of(visit)}


def _pair(visit: Visit, field: Field, text: str, units: System, user: User | None) -> str:
    """Record both numbers of a rating, or neither: the one that is there waits for the other."""
    other = FIELDS[_PAIR[field.name]]
    words, system = _texts(visit, units).get(other.name, ("", units))
    both = bool(text.strip() and words.strip())
    document = visit.revision.document
    for one, typed_text, typed_in in ((field, text, units), (other, words, system)):
        document = place(document, one, parse(one, typed_text, typed_in) if both else None)
    typed = typed_with(visit, document, field.name, text if both else "", units)
    typed.pop(other.name, None)
    if both:
        typed[other.name] = {"typed": words, "units": system}
        drop_draft(visit, other.name, words)
    elif words.strip():
        keep_draft(visit, other, words, system)
    revise(visit, document, typed, user)
    return "" if both or not text.strip() else f"Kept. It counts with the field “{other.label}”."


def _cells(visit: Visit, field: Field, text: str, units: System, user: User | None) -> str:
    """Make a table of the complete cells; those that are not complete wait as drafts."""
    texts = {name: one for name, one in _texts(visit, units).items() if _is_cell(name)}
    texts[field.name] = (text, units)
    complete = {}
    for cell in CELLS:
        pair = {half: texts.get(f"{cell}_{half}", ("", units)) for half in ("tesp", "airflow")}
        if all(words.strip() for words, _ in pair.values()):
            complete[cell] = {
                half: parse(FIELDS[f"{cell}_{half}"], words, system, keep=True)
                for half, (words, system) in pair.items()
            }
    document = deepcopy(visit.revision.document)
    place_cells(document, complete)
    in_table = set(complete) if len(complete) >= LEAST else set()
    typed = dict(visit.revision.typed)
    for name, (words, system) in texts.items():
        typed.pop(name, None)
        if name.partition("_")[0] in in_table:
            typed[name] = {"typed": words, "units": system}
            drop_draft(visit, name, words)
        elif name != field.name and words.strip():
            keep_draft(visit, FIELDS[name], words, system)
    revise(visit, pruned(document), typed, user)
    if not text.strip() or field.name.partition("_")[0] in in_table:
        return ""
    return "Kept. Two cells with pressure and airflow are a table."


def _is_cell(name: str) -> bool:
    return name.partition("_")[0] in CELLS
