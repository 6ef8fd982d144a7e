"""Readings of a visit's first trial: each is written once, and a correction is a new row."""

from __future__ import annotations

from django.utils import timezone

from inchwater.app.firms.models import User
from inchwater.app.visits.fields import FIELDS, Field
from inchwater.app.visits.jobs import in_force, readings_of, revise, touch, trials_of
from inchwater.app.visits.models import Reading, Trial, Visit
from inchwater.app.visits.parsing import Measured
from inchwater.app.visits.recorded import (
    first_trial,
    point_of,
    reading_of,
    second_trial,
    supply_at,
)
from inchwater.app.visits.typed_texts import typed_with


def measure(visit: Visit, field: Field, value: Measured | None) -> None:
    """Add the reading of a field, correcting the one that stands there; None takes it back."""
    old = reading_of(visit, field)
    rows = in_force(first_trial(visit))
    point = point_of(field, supply_at(visit, rows))
    if value is None:
        if old is not None:
            _add_reading(visit, old.at, old.quantity, None, old, "taken back")
        return
    reason = "typed again" if old else ""
    trial = first_trial(visit) if field.trial == 0 else begin_second(visit)
    _add_reading(visit, point, field.reading or "", value, old, reason, trial)


def begin_second(visit: Visit) -> Trial:
    """The trial in another state; a new one begins with the condition of the first."""
    found = second_trial(visit)
    if found is not None:
        return found
    first = first_trial(visit)
    trial: Trial = Trial.objects.of(visit.firm_id).create(
        visit=visit,
        revision=visit.revision,
        key="tr2" if first.key != "tr2" else "tr3",
        ordinal=first.ordinal + 1,
        after=first.after,
        condition=first.condition,
    )
    return trial


def _add_reading(
    visit: Visit,
    point: str,
    quantity: str,
    value: Measured | None,
    corrects: Reading | None,
    reason: str,
    trial: Trial | None = None,
) -> None:
    if trial is None:
        trial = corrects.trial if corrects is not None else first_trial(visit)
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


def move_readings(visit: Visit, field: Field, side: str | None, user: User | None) -> None:
    """Say on which side of the coil the supply was read; the readings go there with it."""
    names = ("supply_static", "other_coil_static", "trial2_supply_static")
    before = {name: reading_of(visit, FIELDS[name]) for name in names}
    document = visit.revision.document
    revise(visit, document, typed_with(visit, document, field.name, side or "", "ip"), user)
    now = supply_at(visit, in_force(first_trial(visit)))
    for name, row in before.items():
        point = point_of(FIELDS[name], now)
        if row is None or row.at == point or row.value is None:
            continue
        moved = Measured(row.typed, row.unit, row.value, row.problem, moved=True)
        reason = "read on the other side of the coil"
        _add_reading(visit, point, row.quantity, moved, row, reason)
