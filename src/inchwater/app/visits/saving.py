"""A field is left: what was typed is kept first, and only then asked whether it can be right.

Two transactions on purpose.  The first keeps the text as a draft and is over before anything can
fail; the second makes a record of it (a new revision of the survey or a new reading) and takes
the draft away, or leaves it standing with the reason.
"""

from __future__ import annotations

from copy import deepcopy
from dataclasses import dataclass
from typing import Any, cast
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from inchwater.app.firms.models import Firm, User
from inchwater.app.visits import fields
from inchwater.app.visits.fields import CELLS, FIELDS, Field
from inchwater.app.visits.jobs import check_visit, in_force, readings_of, revise, touch, trials_of
from inchwater.app.visits.models import Draft, Reading, Trial, Visit
from inchwater.app.visits.parsing import Measured, parse, understood
from inchwater.app.visits.placing import place, pruned, text_of
from inchwater.app.visits.table import LEAST, cell_texts, place_cells
from inchwater.app.visits.values import NotYetError, in_system
from inchwater.errors import DoubtError, InchwaterError, UnknownNameError
from inchwater.units import System

# What a visit says itself, with no document in between.
_OF_VISIT = ("complaint", "complaint_room")
# The two sides of the coil: where the first supply reading was taken, and where the other one is.
_SI = {"static": "pa", "power": "w", "voltage": "v", "airflow": "m3s"}
_SIDES = {"after-coil": ("supply", "before-coil"), "before-coil": ("before-coil", "supply")}


@dataclass(frozen=True, slots=True)
class Saved:
    """What became of a field: ``ok`` is a record; otherwise the text is kept as a draft.

    ``problem`` and ``doubt`` are errors as in JSON (kind, where, came, right, do, and a doubt's
    ``suggestion``) with the whole sentence in ``text``; ``note`` says what a draft waits for, and
    ``shown`` how the value was understood.
    """

    field: str
    ok: bool
    typed: str = ""
    problem: dict[str, str] | None = None
    doubt: dict[str, str] | None = None
    shown: str = ""
    note: str = ""


def save_field(
    firm: Firm,
    visit_id: UUID,
    name: str,
    typed: str,
    keep: bool = False,
    *,
    units: System = "ip",
    user: User | None = None,
) -> Saved:
    """Keep what was typed in a field, and make a record of it if it can be right.

    Parameters
    ----------
    firm : Firm
        Whose visit it is.
    visit_id : UUID
        The visit.
    name : str
        A field of ``fields.FIELDS``.
    typed : str
        As it stands in the field; blank makes the field unknown again.
    keep : bool
        The person was asked about a doubt and keeps the value.
    units : str
        The page's units, in which a number without a unit is meant.
    user : User, optional
        Who typed it.

    Raises
    ------
    UnknownNameError
        If the firm has no such visit, or the page no such field.
    """
    field = fields.field(name)
    text = storable(typed)
    with transaction.atomic():
        visit = locked(firm, visit_id)
        _keep_draft(visit, field, text, units)
    with transaction.atomic():
        visit = locked(firm, visit_id)
        saved = _judged(visit, field, text, keep, units, user)
        if saved.ok:
            _retry_waiting(visit, field, user)
    return saved


def locked(firm: Firm, visit_id: UUID) -> Visit:
    """The visit, held against other writers until the transaction ends."""
    rows = Visit.objects.of(firm).filter(pk=visit_id).select_for_update()
    visit = rows.first()
    if visit is None:
        raise UnknownNameError(
            where="visit",
            came=str(visit_id),
            right="the visits of this firm are on the start page",
            do="Choose one there.",
        )
    return cast(Visit, visit)


def visit_values(visit: Visit, units: System = "ip") -> dict[str, str]:
    """What stands in every field of the page: drafts, else what was typed, else what is known."""
    values = recorded_values(visit, units)
    for draft in drafts_of(visit):
        values[draft.field] = draft.typed
    return values


def draft_states(visit: Visit) -> dict[str, Saved]:
    """Why each draft is no record: its problem, its doubt, or what it waits for."""
    states = {}
    for draft in drafts_of(visit):
        with transaction.atomic():
            field = FIELDS[draft.field]
            system = cast(System, draft.units)
            states[draft.field] = _judged(visit, field, draft.typed, False, system, None)
            # Only the judgement is wanted here; a record is made when a field is left.
            transaction.set_rollback(True)
        visit.refresh_from_db()
    return states


def drafts_of(visit: Visit) -> list[Draft]:
    """The visit's drafts that belong to a field of the page."""
    rows = Draft.objects.of(visit.firm_id).filter(visit=visit).order_by("at")
    return [row for row in rows if row.field in FIELDS]


# --- the two transactions -------------------------------------------------------------------------


def _keep_draft(visit: Visit, field: Field, text: str, units: System) -> None:
    Draft.objects.of(visit.firm_id).update_or_create(
        visit=visit,
        field=field.name,
        defaults={"typed": text, "units": units, "at": timezone.now()},
    )


def _judged(
    visit: Visit, field: Field, text: str, keep: bool, units: System, user: User | None
) -> Saved:
    """Try to make a record of a draft; what fails leaves no trace but its reason."""
    try:
        with transaction.atomic():
            shown, note = _record(visit, field, text, keep, units, user)
            if not note:
                _drop_draft(visit, field.name, text)
    except NotYetError as waits:
        visit.refresh_from_db()
        return Saved(field.name, ok=True, typed=text, note=str(waits))
    except DoubtError as doubt:
        visit.refresh_from_db()
        return Saved(field.name, ok=False, typed=text, doubt=_told(doubt))
    except InchwaterError as problem:
        visit.refresh_from_db()
        return Saved(field.name, ok=False, typed=text, problem=_told(problem))
    return Saved(field.name, ok=True, typed=text, shown=shown, note=note)


def _told(error: InchwaterError) -> dict[str, str]:
    return {**error.to_dict()["error"], "text": str(error)}


def _drop_draft(visit: Visit, name: str, text: str) -> None:
    # Another writer may have typed something newer meanwhile; that stays.
    Draft.objects.of(visit.firm_id).filter(visit=visit, field=name, typed=text).delete()


def _retry_waiting(visit: Visit, saved: Field, user: User | None) -> None:
    for draft in drafts_of(visit):
        field = FIELDS[draft.field]
        if field.waits(saved.name):
            _judged(visit, field, draft.typed, False, cast(System, draft.units), user)


# --- making a record ------------------------------------------------------------------------------


def _record(
    visit: Visit, field: Field, text: str, keep: bool, units: System, user: User | None
) -> tuple[str, str]:
    """How the value was understood, and what it waits for if it is no record yet."""
    note = ""
    if text.strip() == recorded_values(visit, units).get(field.name, "").strip():
        # Left without a change, or sent twice.
        return text.strip(), note
    value = parse(field, text, units, keep=keep, point=_point(visit, field))
    if field.name in _OF_VISIT:
        setattr(visit, field.name, value or "")
        touch(visit)
    elif field.is_reading:
        _measure(visit, field, value)
    elif _is_cell(field.name):
        note = _cells(visit, field, text, units, user)
    elif field.name == "supply_at":
        _move_readings(visit, field, value, user)
    elif field.name == "coil_wet":
        _set_condition(visit, "coil", value)
    else:
        document = place(visit.revision.document, field, value)
        typed = _typed_with(visit, document, field.name, text, units)
        _keep_displaced(visit, document, typed)
        revise(visit, document, typed, user)
    check_visit(visit)
    return (understood(field, value, units) if value is not None else ""), note


def recorded_values(visit: Visit, units: System) -> dict[str, str]:
    """What stands in every field that has a record, in the page's units."""
    document, typed = visit.revision.document, visit.revision.typed
    values = {"complaint": visit.complaint, "complaint_room": visit.complaint_room}
    values |= cell_texts(document, units)
    for field in FIELDS.values():
        if field.is_reading:
            row = reading_of(visit, field)
            values[field.name] = _reading_text(row, field, units) if row else ""
        elif field.name not in values:
            values[field.name] = text_of(document, field, units)
        as_typed = typed.get(field.name)
        if as_typed and as_typed["units"] == units:
            values[field.name] = as_typed["typed"]
    values["supply_at"] = typed.get("supply_at", {}).get("typed", "") or _side_read(visit)
    values["coil_wet"] = first_trial(visit).condition.get("coil", "")
    return {name: text for name, text in values.items() if text}


def _reading_text(row: Reading, field: Field, units: System) -> str:
    says_its_unit = any(letter.isalpha() for letter in row.typed)
    if row.unit == field.unit(units) or says_its_unit or row.value is None:
        return str(row.typed)
    return in_system(abs(row.value), _SI[row.quantity], field.quantity or "", units)


def _typed_with(
    visit: Visit, document: dict[str, Any], name: str, text: str, units: System
) -> dict[str, Any]:
    """What was typed, with one text more and without those that the document no longer holds."""
    typed = {
        key: one
        for key, one in visit.revision.typed.items()
        if key not in FIELDS or not FIELDS[key].path or text_of(document, FIELDS[key], units)
    }
    typed.pop(name, None)
    if text.strip():
        typed[name] = {"typed": text, "units": units}
    return typed


def _keep_displaced(visit: Visit, document: dict[str, Any], typed: dict[str, Any]) -> None:
    """Keep as a draft what a new table has no place for: a tap that it does not name."""
    old = visit.revision.typed.get("tap")
    if old and "tap" not in typed:
        _keep_draft(visit, FIELDS["tap"], old["typed"], old["units"])


# --- readings -------------------------------------------------------------------------------------


def first_trial(visit: Visit) -> Trial:
    """The trial that the visit's first page fills: the system as found."""
    return trials_of(visit)[0]


def supply_at(visit: Visit) -> str:
    """Where the first supply reading was taken; after the coil unless it was said."""
    said = visit.revision.typed.get("supply_at")
    return str(said["typed"]) if said else _side_read(visit) or "after-coil"


def _side_read(visit: Visit) -> str:
    points = {row.at for row in in_force(first_trial(visit)) if row.quantity == "static"}
    return "before-coil" if "before-coil" in points and "supply" not in points else ""


def _point(visit: Visit, field: Field) -> str | None:
    side = _SIDES[supply_at(visit)]
    return {"supply_static": side[0], "other_coil_static": side[1]}.get(field.name, field.point)


def reading_of(visit: Visit, field: Field) -> Reading | None:
    """The reading in force that a field of the page shows."""
    point = _point(visit, field)
    found = [
        row
        for row in in_force(first_trial(visit))
        if row.at == point and row.quantity == field.reading
    ]
    return found[-1] if found else None


def _measure(visit: Visit, field: Field, value: Measured | None) -> None:
    old = reading_of(visit, field)
    point = _point(visit, field)
    if value is None:
        if old is not None:
            _add_reading(visit, old.at, old.quantity, None, old, "taken back")
        return
    _add_reading(visit, point or "", field.reading or "", value, old, "typed again" if old else "")


def _add_reading(
    visit: Visit,
    point: str,
    quantity: str,
    value: Measured | None,
    corrects: Reading | None,
    reason: str,
) -> None:
    trial = first_trial(visit)
    taken = {row.key for one in trials_of(visit) for row in readings_of(one)}
    key = next(f"rd{n}" for n in range(1, len(taken) + 2) if f"rd{n}" not in taken)
    now = timezone.now()
    Reading.objects.of(visit.firm_id).create(
        trial=trial,
        key=key,
        at=point,
        quantity=quantity,
        typed=value.typed if value else "",
        unit=value.unit if value else corrects.unit if corrects else "",
        value=value.si if value else None,
        problem=value.doubt if value else "taken back",
        taken_at=corrects.taken_at if corrects and value and value.moved else now,
        received_at=now,
        instrument=corrects.instrument if corrects else None,
        corrects=corrects,
        reason=reason,
    )
    touch(visit)


def _move_readings(visit: Visit, field: Field, side: str | None, user: User | None) -> None:
    """Say on which side of the coil the supply was read; the readings go there with it."""
    names = ("supply_static", "other_coil_static")
    before = {name: reading_of(visit, FIELDS[name]) for name in names}
    document = visit.revision.document
    revise(visit, document, _typed_with(visit, document, field.name, side or "", "ip"), user)
    for name, row in before.items():
        point = _point(visit, FIELDS[name])
        if row is None or row.at == point or row.value is None:
            continue
        moved = Measured(row.typed, row.unit, row.value, row.problem, moved=True)
        reason = "read on the other side of the coil"
        _add_reading(visit, point or "", row.quantity, moved, row, reason)


def _set_condition(visit: Visit, key: str, word: str | None) -> None:
    trial = first_trial(visit)
    condition = {name: one for name, one in trial.condition.items() if name != key}
    trial.condition = condition | ({key: word} if word else {})
    trial.save()
    touch(visit)


# --- the table's cells ----------------------------------------------------------------------------


def _cells(visit: Visit, field: Field, text: str, units: System, user: User | None) -> str:
    """Make a table of the complete cells; those that are not complete wait as drafts."""
    recorded = recorded_values(visit, units)
    texts = {name: (words, units) for name, words in recorded.items() if _is_cell(name)}
    texts |= {
        one.field: (one.typed, cast(System, one.units))
        for one in drafts_of(visit)
        if _is_cell(one.field)
    }
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
            _drop_draft(visit, name, words)
        elif name != field.name and words.strip():
            _keep_draft(visit, FIELDS[name], words, system)
    revise(visit, pruned(document), typed, user)
    if not text.strip() or field.name.partition("_")[0] in in_table:
        return ""
    return "Kept. Two cells with pressure and airflow are a table."


def _is_cell(name: str) -> bool:
    return name.partition("_")[0] in CELLS


def storable(text: str) -> str:
    """A text as a database can hold it: no lone surrogates and no zero character."""
    return text.encode("utf-8", "replace").decode("utf-8").replace("\x00", "\ufffd")
