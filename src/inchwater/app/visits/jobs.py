"""Rows and document become one Job, and a Job becomes rows.

The document of a revision is the job without its id, trials and complaint; those are rows.
"""

from __future__ import annotations

import json
from datetime import datetime
from functools import lru_cache
from typing import Any

from django.utils import timezone
from django.utils.dateparse import parse_datetime

from inchwater.app.firms.models import Firm, User
from inchwater.app.systems.models import Customer, Instrument, Site, SurveyRevision, System
from inchwater.app.visits.models import Reading, Trial, Visit, WorkEntry
from inchwater.app.visits.values import NotYetError
from inchwater.errors import InchwaterError
from inchwater.survey import Job, job_from_dict, job_to_dict
from inchwater.survey.migrations import FORMAT, VERSION
from inchwater.survey.schema import VALUE_KEYS

Document = dict[str, Any]
# The keys of a job file that are rows here and not in the revision's document.
_ROWS = ("format", "version", "id", "name", "complaint", "complaint_room", "trials", "work")


def job_of(visit: Visit) -> Job:
    """The visit's job, checked.

    Raises
    ------
    NotYetError
        If capacity or kind of unit is still missing; nothing can be said without them.
    """
    document = document_of(visit)
    missing = [
        label
        for key, label in (("kind", "the kind of unit"), ("capacity", "the cooling capacity"))
        if key not in document["survey"]["unit"]
    ]
    if missing:
        raise NotYetError(
            where="the job",
            came=f"a visit without {' and '.join(missing)}",
            right="kind of unit and capacity are the least",
            do="Type them on the first page of the visit.",
        )
    return _read(json.dumps(document, sort_keys=True))


@lru_cache(maxsize=64)
def _read(document: str) -> Job:
    """The job of a document; one page asks for the same one several times, and a job is frozen."""
    return job_from_dict(json.loads(document))


def check_visit(visit: Visit) -> None:
    """Refuse rows that cannot be one job; what is not typed yet is filled in for the check."""
    document = document_of(visit)
    unit = document["survey"]["unit"]
    unit.setdefault("kind", "furnace" if _reads_before_coil(document) else "air-handler")
    unit.setdefault("capacity", {"value": 3.0, "unit": "ton", "how": "typical"})
    job_from_dict(document)


def _reads_before_coil(document: Document) -> bool:
    return any(
        reading["at"] == "before-coil"
        for trial in document["trials"]
        for reading in trial["readings"]
    )


def document_of(visit: Visit) -> Document:
    """The visit as a job file would hold it, complete or not yet."""
    revision: SurveyRevision = visit.revision
    kept = revision.document
    document: Document = {
        "format": FORMAT,
        "version": revision.format_version,
        "id": visit.key,
        "system": str(visit.system_id),
        **kept,
        "survey": {**kept.get("survey", {}), "unit": dict(kept.get("survey", {}).get("unit", {}))},
    }
    for key, text in (
        ("name", visit.system.name),
        ("complaint", visit.complaint),
        ("complaint_room", visit.complaint_room),
    ):
        if text:
            document[key] = text
    document["trials"] = [_trial(trial, visit) for trial in trials_of(visit)]
    instruments = _instruments(visit, kept.get("instruments", []))
    if instruments:
        document["instruments"] = instruments
    work = [{"id": row.key, **row.document} for row in entries_of(visit) if not row.problem]
    if work:
        document["work"] = work
    return document


def entries_of(visit: Visit) -> list[WorkEntry]:
    """Every record of the visit's work in the order in which it came, refused ones among them."""
    return list(WorkEntry.objects.of(visit.firm_id).filter(visit=visit).order_by("number"))


def trials_of(visit: Visit) -> list[Trial]:
    """The visit's trials in their order."""
    return list(Trial.objects.of(visit.firm_id).filter(visit=visit).order_by("ordinal"))


def readings_of(trial: Trial) -> list[Reading]:
    """Every reading of a trial in the order in which it was received."""
    rows = Reading.objects.of(trial.firm_id).filter(trial=trial)
    return list(rows.order_by("received_at", "created"))


def in_force(trial: Trial) -> list[Reading]:
    """The readings of a trial that no other one corrects and that were not taken back."""
    rows = readings_of(trial)
    corrected = {row.corrects_id for row in rows}
    return [row for row in rows if row.pk not in corrected and row.value is not None]


def _trial(trial: Trial, visit: Visit) -> Document:
    rows = readings_of(trial)
    by_id = {row.pk: row for row in rows}
    taken_back = {row.pk for row in rows if row.value is None}
    # What a taken-back reading corrects is history that a file has no word for.
    gone = set(taken_back)
    for row in reversed(rows):
        if row.pk in gone and row.corrects_id:
            gone.add(row.corrects_id)
    readings = []
    for row in rows:
        if row.pk in gone:
            continue
        corrects = by_id.get(row.corrects_id) if row.corrects_id else None
        reading = {
            "id": row.key,
            "at": row.at,
            "quantity": row.quantity,
            "typed": row.typed,
            "unit": row.unit,
            VALUE_KEYS[row.quantity]: row.value,
        }
        if row.instrument:
            reading["instrument"] = row.instrument.key
        if row.taken_at:
            reading["taken"] = _iso(row.taken_at)
        if corrects and corrects.pk not in gone:
            reading["corrects"] = corrects.key
        readings.append(reading)
    return {
        "id": trial.key,
        "after": trial.after,
        "condition": trial.condition,
        "readings": readings,
    }


def _instruments(visit: Visit, listed: list[Document]) -> list[Document]:
    known = {one["id"] for one in listed}
    used = Instrument.objects.of(visit.firm_id).filter(
        pk__in=[
            row.instrument_id
            for trial in trials_of(visit)
            for row in readings_of(trial)
            if row.instrument_id
        ]
    )
    more = []
    for one in used.order_by("key"):
        if one.key in known:
            continue
        more.append({"id": one.key, "kind": one.kind})
        more[-1] |= {key: value for key in ("gain", "zero") if (value := getattr(one, key))}
    return [*listed, *more]


def _iso(moment: datetime) -> str:
    return moment.isoformat().replace("+00:00", "Z")


# --- from a job ---------------------------------------------------------------------------------


def visit_from(firm: Firm, user: User | None, job: Job, demo: str = "") -> Visit:
    """The rows of a job: a visit with its system, revision, trials and readings."""
    document = job_to_dict(job)
    visit = new_visit(
        firm,
        user,
        key=job.id,
        document={key: value for key, value in document.items() if key not in _ROWS},
        name=job.name,
        complaint=job.complaint or "",
        complaint_room=job.complaint_room or "",
        demo=demo,
    )
    instruments = {
        one.id: Instrument.objects.of(firm).get_or_create(
            key=one.id, kind=one.kind, gain=one.gain, zero=one.zero
        )[0]
        for one in job.instruments
    }
    # A job of which nothing has been read yet has its first trial to be filled, as a new visit has.
    for ordinal, trial in enumerate(document.get("trials") or [{"id": "tr1"}], 1):
        row = Trial.objects.of(firm).create(
            visit=visit,
            revision=visit.revision,
            key=trial["id"],
            ordinal=ordinal,
            after=trial.get("after", []),
            condition=trial.get("condition", {}),
        )
        _readings_from(firm, row, trial.get("readings", []), instruments)
    for number, record in enumerate(document.get("work", []), 1):
        kept = {key: value for key, value in record.items() if key != "id"}
        WorkEntry.objects.of(firm).create(
            visit=visit, number=number, key=record["id"], document=kept, by=user
        )
    return visit


def _readings_from(
    firm: Firm, trial: Trial, readings: list[Document], instruments: dict[str, Instrument]
) -> None:
    rows: dict[str, Reading] = {}
    left = list(readings)
    while left:
        # A correction may stand before what it corrects; a circle is refused by the job's check.
        ready = [one for one in left if one.get("corrects") in (None, *rows)]
        if not ready:
            raise InchwaterError(
                where=f"trials.{trial.key}.readings",
                came=f"{left[0]['id']}, which corrects {left[0].get('corrects')}",
                right="a reading corrects one of the same trial that is not corrected by it",
            )
        for one in ready:
            left.remove(one)
            rows[one["id"]] = Reading.objects.of(firm).create(
                trial=trial,
                key=one["id"],
                at=one["at"],
                quantity=one["quantity"],
                typed=one["typed"],
                unit=one["unit"],
                value=one[VALUE_KEYS[one["quantity"]]],
                taken_at=parse_datetime(one["taken"]) if "taken" in one else None,
                instrument=instruments.get(one.get("instrument", "")),
                corrects=rows.get(one.get("corrects", "")),
            )


def new_visit(
    firm: Firm,
    user: User | None,
    *,
    key: str,
    document: Document,
    name: str = "",
    complaint: str = "",
    complaint_room: str = "",
    demo: str = "",
    **keys: Any,
) -> Visit:
    """A visit to a system of its own, of a customer who is named later; without trials."""
    customer = Customer.objects.of(firm).create()
    site = Site.objects.of(firm).create(customer=customer)
    system = System.objects.of(firm).create(site=site, name=name)
    revision = SurveyRevision.objects.of(firm).create(
        system=system, number=1, document=document, format_version=VERSION, by=user
    )
    visit: Visit = Visit.objects.of(firm).create(
        system=system,
        revision=revision,
        key=key,
        complaint=complaint,
        complaint_room=complaint_room,
        demo=demo,
        **keys,
    )
    return visit


def revise(
    visit: Visit, document: Document, typed: dict[str, Any], user: User | None = None
) -> None:
    """Follow the visit's revision by the next one; nothing is done when nothing is different."""
    old: SurveyRevision = visit.revision
    if document == old.document and typed == old.typed:
        return
    last = SurveyRevision.objects.of(visit.firm_id).filter(system=visit.system)
    number = max(last.values_list("number", flat=True)) + 1
    visit.revision = SurveyRevision.objects.of(visit.firm_id).create(
        system=visit.system,
        number=number,
        parent=old,
        document=document,
        typed=typed,
        format_version=VERSION,
        by=user,
    )
    touch(visit)


def touch(visit: Visit) -> None:
    """Save the visit as changed now."""
    visit.changed = timezone.now()
    visit.save()
