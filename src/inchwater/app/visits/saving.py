"""A field is left: what was typed is kept first, and only then asked whether it can be right.

Two transactions on purpose.  The first keeps the text as a draft and is over before anything can
fail; the second makes a record of it (a new revision of the survey or a new reading) and takes
the draft away, or leaves it standing with the reason.
"""

from __future__ import annotations

import re
from copy import copy
from dataclasses import dataclass
from typing import cast
from uuid import UUID

from django.db import transaction

from inchwater.app.firms.models import Firm, User
from inchwater.app.visits import fields
from inchwater.app.visits.drafts import drafts_of, drop_draft, keep_draft, storable
from inchwater.app.visits.fields import FIELDS, Field
from inchwater.app.visits.models import Visit
from inchwater.app.visits.recorded import recorded_values
from inchwater.app.visits.recording import record
from inchwater.app.visits.values import NotYetError
from inchwater.errors import DoubtError, InchwaterError, UnknownNameError
from inchwater.units import System

# A place in the document, as the checks of a whole job name it.
_PATH = re.compile(r"^(?:survey|place|trials)\b[\w.\[\]]*")


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
        A field of the page: ``fields.field``.
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
        keep_draft(visit, field, text, units)
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
            field = fields.field(draft.field)
            system = cast(System, draft.units)
            states[draft.field] = _judged(visit, field, draft.typed, False, system, None)
            # Only the judgement is wanted here; a record is made when a field is left.
            transaction.set_rollback(True)
        visit.refresh_from_db()
    return states


# --- the two transactions -------------------------------------------------------------------------


def _judged(
    visit: Visit, field: Field, text: str, keep: bool, units: System, user: User | None
) -> Saved:
    """Try to make a record of a draft; what fails leaves no trace but its reason."""
    try:
        with transaction.atomic():
            shown, note = record(visit, field, text, keep, units, user)
            if not note:
                drop_draft(visit, field.name, text)
    except NotYetError as waits:
        visit.refresh_from_db()
        return Saved(field.name, ok=True, typed=text, note=str(waits))
    except DoubtError as doubt:
        visit.refresh_from_db()
        return Saved(field.name, ok=False, typed=text, doubt=_told(doubt, field))
    except InchwaterError as problem:
        visit.refresh_from_db()
        return Saved(field.name, ok=False, typed=text, problem=_told(problem, field))
    return Saved(field.name, ok=True, typed=text, shown=shown, note=note)


def _told(error: InchwaterError, field: Field) -> dict[str, str]:
    """An error with the field's label in place of a path into the document."""
    told = copy(error)
    told.where = _PATH.sub(lambda path: _label(path[0], field), error.where)
    return {**told.to_dict()["error"], "text": str(told)}


def _label(path: str, field: Field) -> str:
    for one in FIELDS.values():
        if one.path == re.sub(r"\[\d+\]", ".*", path):
            return one.label
    return field.label


def _retry_waiting(visit: Visit, saved: Field, user: User | None) -> None:
    for draft in drafts_of(visit):
        field = fields.field(draft.field)
        if field.waits(saved.name):
            _judged(visit, field, draft.typed, False, cast(System, draft.units), user)
