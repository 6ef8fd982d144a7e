"""Drafts: what stands in a field and is no record, one for each field of a visit."""

from __future__ import annotations

from django.utils import timezone

from inchwater.app.visits.fields import Field, known
from inchwater.app.visits.models import Draft, Visit
from inchwater.units import System


def drafts_of(visit: Visit) -> list[Draft]:
    """The visit's drafts that belong to a field of the page."""
    rows = Draft.objects.of(visit.firm_id).filter(visit=visit).order_by("at")
    return [row for row in rows if known(row.field) is not None]


def keep_draft(visit: Visit, field: Field, text: str, units: System) -> None:
    """Keep a text in a field, in place of the draft that was there."""
    Draft.objects.of(visit.firm_id).update_or_create(
        visit=visit,
        field=field.name,
        defaults={"typed": text, "units": units, "at": timezone.now()},
    )


def drop_draft(visit: Visit, name: str, text: str) -> None:
    """Take a draft away, unless it is no longer the text that became a record."""
    # Another writer may have typed something newer meanwhile; that stays.
    Draft.objects.of(visit.firm_id).filter(visit=visit, field=name, typed=text).delete()


def storable(text: str) -> str:
    """A text as a database can hold it: no lone surrogates and no zero character."""
    return text.encode("utf-8", "replace").decode("utf-8").replace("\x00", "\ufffd")
