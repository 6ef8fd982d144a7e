"""What is recorded of a visit, as it stands in the fields of its page."""

from __future__ import annotations

from inchwater import units as conversion
from inchwater.app.visits.fields import FIELDS, Field
from inchwater.app.visits.jobs import in_force, trials_of
from inchwater.app.visits.models import Reading, Trial, Visit
from inchwater.app.visits.part_fields import name_of, part_field
from inchwater.app.visits.placing import Document, text_of
from inchwater.app.visits.states import state_text
from inchwater.app.visits.table import cell_texts
from inchwater.app.visits.values import number_text
from inchwater.units import SHOWN, System

# The two sides of the coil: where the first supply reading was taken, and where the other one is.
_SIDES = {"after-coil": ("supply", "before-coil"), "before-coil": ("before-coil", "supply")}


def recorded_values(visit: Visit, units: System) -> dict[str, str]:
    """What stands in every field that has a record, in the page's units."""
    document, typed = visit.revision.document, visit.revision.typed
    trial, other = first_trial(visit), second_trial(visit)
    rows = in_force(trial)
    rows_of = (rows, in_force(other) if other is not None else [])
    side = supply_at(visit, rows)
    values = {"complaint": visit.complaint, "complaint_room": visit.complaint_room}
    for field in FIELDS.values():
        if field.is_reading:
            row = _at(rows_of[field.trial], point_of(field, side), field)
            values[field.name] = _reading_text(row, field, units) if row else ""
        elif field.name not in values:
            values[field.name] = said(document, field, units)
        as_typed = typed.get(field.name)
        if as_typed and as_typed["units"] == units:
            values[field.name] = as_typed["typed"]
    for row in rows:
        of_part = part_field(name_of(row.quantity, row.at)) if ":" in row.at else None
        if of_part is not None:
            values[of_part.name] = _reading_text(row, of_part, units)
    values["supply_at"] = typed.get("supply_at", {}).get("typed", "") or _side_read(rows)
    values["coil_wet"] = trial.condition.get("coil", "")
    if other is not None and "trial2_state" not in typed:
        values["trial2_state"] = state_text(document, different(trial, other))
    return {name: text for name, text in values.items() if text}


def said(document: Document, field: Field, units: System) -> str:
    """What stands in a field when the document is all that is known, cells included."""
    return cell_texts(document, units).get(field.name) or text_of(document, field, units)


def first_trial(visit: Visit) -> Trial:
    """The trial that the visit's first page fills: the system as found."""
    return trials_of(visit)[0]


def second_trial(visit: Visit) -> Trial | None:
    """The trial in another state, once something of it has been typed; not one after work."""
    first, *others = trials_of(visit)
    return next((one for one in others if one.after == first.after), None)


def different(first: Trial, other: Trial) -> dict[str, str]:
    """What was different in the other trial; what both share is not said again."""
    return {
        key: state for key, state in other.condition.items() if first.condition.get(key) != state
    }


def supply_at(visit: Visit, rows: list[Reading]) -> str:
    """Where the first supply reading was taken; after the coil unless it was said."""
    told = visit.revision.typed.get("supply_at")
    return str(told["typed"]) if told else _side_read(rows) or "after-coil"


def point_of(field: Field, side: str) -> str:
    """The test point of a reading's field, with the first supply reading on this side."""
    first, other = _SIDES[side]
    points = {
        "supply_static": first,
        "other_coil_static": other,
        "trial2_supply_static": first,
    }
    return points.get(field.name, field.point or "")


def reading_of(visit: Visit, field: Field) -> Reading | None:
    """The reading in force that a field of the page shows."""
    first = in_force(first_trial(visit))
    point = point_of(field, supply_at(visit, first))
    if field.trial == 0:
        return _at(first, point, field)
    other = second_trial(visit)
    return None if other is None else _at(in_force(other), point, field)


def _at(rows: list[Reading], point: str, field: Field) -> Reading | None:
    found = [row for row in rows if row.at == point and row.quantity == field.reading]
    return found[-1] if found else None


def _side_read(rows: list[Reading]) -> str:
    points = {row.at for row in rows if row.quantity == "static"}
    return "before-coil" if "before-coil" in points and "supply" not in points else ""


def _reading_text(row: Reading, field: Field, units: System) -> str:
    says_its_unit = any(letter.isalpha() for letter in row.typed)
    if row.unit == field.unit(units) or says_its_unit or row.value is None:
        return str(row.typed)
    name, decimals = SHOWN[field.quantity or ""][units]
    return number_text(round(conversion.from_si(abs(row.value), name), decimals))
