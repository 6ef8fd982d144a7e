"""What the work page may do; every function takes the firm first.

A record that the phone sends is kept whatever it says.  One that cannot be right (done twice,
taken back before it was done, of a change that is not in the job) is kept with the reason, and is
no part of the job.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, cast
from uuid import UUID

from django.db import transaction

from inchwater import units
from inchwater.app.firms.models import Firm, User
from inchwater.app.offers import services as offers
from inchwater.app.visits import jobs, saving
from inchwater.app.visits import services as visits
from inchwater.app.visits.after_work import record_after
from inchwater.app.visits.entries import add_entry, known_entry
from inchwater.app.visits.models import Visit, WorkEntry
from inchwater.errors import FormatError, InchwaterError, InputError, NotPossibleError
from inchwater.planning import heard_with, recorded
from inchwater.survey import all_in_force, work_of
from inchwater.survey.schema import schema
from inchwater.survey.typed_numbers import measured
from inchwater.survey.work import WORK_KINDS

if TYPE_CHECKING:
    from inchwater.planning import Expected, WorkNow

Document = dict[str, Any]
# A day's work has some dozens of records; each is some hundred characters.
MOST = 500
_LONGEST = 4000
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9.-]{7,63}")
READING = "reading"


@dataclass(frozen=True, slots=True)
class Received:
    """What became of records that were sent: ids that are kept, and the reasons of some of them."""

    kept: tuple[str, ...]
    refused: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class LastDone:
    """The step that was done last: what was to be expected after it, and what was read of it.

    ``read`` are the typed text and the SI value with its sign by quantity and place.
    """

    number: int
    expected: tuple[Expected, ...]
    read: dict[tuple[str, str], tuple[str, float]]


def now(firm: Firm, visit_id: UUID) -> WorkNow:
    """Where the visit's work stands, with a plan for what is left, at the firm's prices.

    Raises
    ------
    InchwaterError
        If a step cannot be forecast, in the engine's words.
    """
    from inchwater.planning import work_now

    _, posterior = visits.posterior(firm, visit_id)
    return work_now(posterior, offers.book(firm))


def last_done(firm: Firm, visit_id: UUID) -> LastDone | None:
    """The step that was done last; None before any.

    What was to be expected after it is forecast from what was known before it, so that it stays
    the same while its readings come.
    """
    from inchwater.planning import done_steps, expected_after_last

    job = visits.job(firm, visit_id)
    steps = done_steps(job)
    if not steps:
        return None
    number, expected = expected_after_last(
        job, lambda before: visits.posterior_of(firm, visit_id, before)
    )
    in_force = set(work_of(job).done)
    read: dict[tuple[str, str], tuple[str, float]] = {
        (one.quantity, one.at): (one.typed, one.value)
        for trial in job.trials
        if set(trial.after) == in_force
        for one in trial.in_force
    }
    return LastDone(number, expected, read)


def receive(firm: Firm, user: User | None, visit_id: UUID, sent: Any) -> Received:
    """Keep records of work as they come from a phone, in their order; sent twice they are the same.

    Parameters
    ----------
    firm, user : Firm, User or None
        Whose visit it is, and who sends.
    visit_id : UUID
        The visit.
    sent : any
        What JSON gave: a list of objects with ``id``, ``kind``, ``at`` and what each kind has.

    Raises
    ------
    FormatError
        If it is no list of records; nothing is kept then.
    """
    if not isinstance(sent, list) or len(sent) > MOST:
        raise FormatError(
            where="records",
            came="no list" if not isinstance(sent, list) else f"{len(sent)} of them",
            right=f"a list of at most {MOST} records is wanted",
        )
    for one in sent:
        id_ = one.get("id") if isinstance(one, dict) else None
        if not isinstance(id_, str) or not _ID.fullmatch(id_) or len(str(one)) > _LONGEST:
            raise FormatError(
                where="records",
                came="one without an id" if not id_ else "one that cannot be a record",
                right="each record has an id of 8 to 64 letters, digits and dashes",
            )
    refused = []
    for one in sent:
        problem = _receive(firm, user, visit_id, one)
        if problem:
            refused.append((one["id"], problem))
    ids = tuple(one["id"] for one in sent)
    bad = {id_ for id_, _ in refused}
    return Received(tuple(id_ for id_ in ids if id_ not in bad), tuple(refused))


def _receive(firm: Firm, user: User | None, visit_id: UUID, one: Document) -> str:
    """Keep one record; why it is no part of the job, or nothing."""
    with transaction.atomic():
        visit = saving.locked(firm, visit_id)
        known = known_entry(visit, one["id"])
        if known is not None:
            return str(known.problem)
        document: Document = {"kind": str(one.get("kind", ""))[:40]}
        try:
            with transaction.atomic():
                if visit.state == Visit.State.CLOSED:
                    raise NotPossibleError(
                        where="the work",
                        came="a record for a visit that is closed",
                        right="work is recorded while its visit is open",
                    )
                if document["kind"] == READING:
                    _reading(visit, one)
                    jobs.job_of(visit)
                    return ""
                document = record_of(one)
                before = jobs.job_of(visit)
                if document["kind"] == "heard":
                    # Records come in their order, so that what is in force is what was asked of.
                    document["changes"] = list(heard_with(before, "This record"))
                elif document["kind"] == "called-again":
                    document["changes"] = list(all_in_force(before))
                add_entry(visit, user, one["id"], document)
                # The whole job is asked: what it refuses leaves no trace in it.
                recorded(before, jobs.job_of(visit).work[-1], keep=True)
        except InchwaterError as error:
            problem = _said(error)
            add_entry(visit, user, one["id"], {**one, "kind": document["kind"]}, problem)
            return problem
        jobs.touch(visit)
        return ""


def record_of(sent: Mapping[str, Any]) -> Document:
    """A record as a job file holds it, of what a page sent; what it has no word for is left out.

    Raises
    ------
    InputError
        If a measured result is no number.
    """
    if sent.get("kind") not in WORK_KINDS:
        raise InputError(
            where="the record",
            came=repr(str(sent.get("kind"))[:40]),
            right=f"a record of work is {', '.join(WORK_KINDS)} or a reading",
        )
    keys = set(schema()["$defs"]["work"]["properties"]) - {"id", "value"}
    # An empty list says nothing, but of what is too loud: that nothing is.
    said = {key: value for key, value in sent.items() if key == "loud" or value not in ("", [])}
    document = {key: value for key, value in said.items() if key in keys}
    if sent.get("result") == "measured":
        unit = str(sent.get("unit", ""))
        kind = units.unit(unit).kind
        number, name, _ = measured("the result", str(sent.get("typed", "")), unit, kind)
        document["value"] = {"value": number, "unit": name, "how": "measured"}
    return document


def _reading(visit: Visit, one: Mapping[str, Any]) -> None:
    condition = one.get("condition") or {}
    if isinstance(condition, str):
        pairs = (word.partition("=") for word in condition.split() if "=" in word)
        condition = {key: state for key, _, state in pairs}
    record_after(
        visit,
        one["id"],
        [str(id_) for id_ in one.get("changes") or ()],
        str(one.get("place", "")),
        str(one.get("quantity", "")),
        str(one.get("typed", "")),
        str(one.get("unit", "")),
        condition=condition,
        taken=str(one.get("at", "")),
    )


def _said(error: InchwaterError) -> str:
    """The reason without a path into the document, which nobody at the phone can look up."""
    if re.match(r"(work|trials)\[", error.where) or error.where.startswith("trials."):
        error.where = "This record"
    return str(error)


def refused(firm: Firm, visit_id: UUID) -> list[WorkEntry]:
    """The records that were kept and are no part of the job, with their reasons."""
    rows = WorkEntry.objects.of(firm).filter(visit_id=visit_id).exclude(problem="")
    return [cast(WorkEntry, row) for row in rows.order_by("number")]
