"""What the pages may do with visits; every function takes the firm first.

Saving a field is in ``saving.py``, rows and jobs in ``jobs.py``, answers in ``answers.py``.
"""

from __future__ import annotations

import io
from typing import IO, cast
from uuid import UUID, uuid4

from django.db import IntegrityError, transaction
from django.db.models import Exists, OuterRef

from inchwater.app.firms.models import Firm, User
from inchwater.app.systems.models import SurveyRevision
from inchwater.app.visits import answers, drafts, jobs, planned, recorded, saving
from inchwater.app.visits.fields import FIELDS
from inchwater.app.visits.models import Draft, Trial, Visit
from inchwater.app.visits.saving import Saved, save_field
from inchwater.app.visits.values import NotYetError
from inchwater.errors import InputError, NotPossibleError, UnknownNameError
from inchwater.survey import Job, load
from inchwater.units import System

answer = answers.answer
next_reading = answers.next_reading
posterior = answers.posterior
posterior_of = answers.posterior_of
add_changes = planned.add_changes
what_if = answers.what_if

__all__ = [
    "NotYetError",
    "Saved",
    "add_changes",
    "answer",
    "close_visit",
    "draft_states",
    "export_job",
    "find_visit",
    "import_job",
    "job",
    "load_demos",
    "missing",
    "next_reading",
    "open_visits",
    "posterior",
    "posterior_of",
    "rename",
    "revisions",
    "save_field",
    "start_visit",
    "uploaded_text",
    "visit_values",
    "what_if",
]

# The least that an answer is made of, in the order of the page.
_LEAST = ("capacity", "return_static", "supply_static", "unit_kind")
# A table of a hundred cells is some kilobytes.
_UPLOAD = 1_000_000


def start_visit(firm: Firm, user: User | None, visit_id: UUID | None = None) -> Visit:
    """A new visit to a system that nobody has named yet.

    Parameters
    ----------
    firm : Firm
        Whose visit it is.
    user : User or None
        Who starts it.
    visit_id : UUID, optional
        Made by the client; the same one sent twice is the same visit.
    """
    key = visit_id or uuid4()
    try:
        with transaction.atomic():
            old = Visit.objects.of(firm).filter(pk=key).first()
            if old is not None:
                return cast(Visit, old)
            visit = jobs.new_visit(firm, user, key=str(key), document={}, id=key)
            Trial.objects.of(firm).create(
                visit=visit, revision=visit.revision, key="tr1", ordinal=1
            )
    except IntegrityError:
        # Sent twice at once, or the key of another firm's visit; which, the firm decides.
        return find_visit(firm, key)
    return visit


def find_visit(firm: Firm, visit_id: UUID) -> Visit:
    """The firm's visit; UnknownNameError (404) if it has no such one."""
    rows = Visit.objects.of(firm).filter(pk=visit_id).select_related("system", "revision")
    visit = rows.first()
    if visit is None:
        raise UnknownNameError(
            where="visit",
            came=str(visit_id),
            right="the visits of this firm are on the start page",
            do="Choose one there.",
        )
    return cast(Visit, visit)


def open_visits(firm: Firm) -> list[Visit]:
    """The visits that can be continued, the latest first; demonstrations have ``demo`` set.

    A visit in which nobody has typed anything yet is not among them.
    """
    typed = Draft.objects.of(firm).filter(visit=OuterRef("pk"))
    rows = Visit.objects.of(firm).filter(state=Visit.State.OPEN).annotate(typed=Exists(typed))
    rows = rows.exclude(typed=False, revision__document={})
    rows = rows.select_related("system", "revision").order_by("-changed")
    return [cast(Visit, row) for row in rows]


def close_visit(firm: Firm, visit_id: UUID) -> None:
    """Take a visit off the list of those to continue; nothing of it is deleted.

    Raises
    ------
    NotPossibleError
        If something was set for measuring and is not put back, or a gate is open.
    """
    with transaction.atomic():
        visit = saving.locked(firm, visit_id)
        _refuse_open(visit)
        visit.state = Visit.State.CLOSED
        jobs.touch(visit)


def _refuse_open(visit: Visit) -> None:
    from inchwater.planning import may_close

    try:
        left = may_close(jobs.job_of(visit))
    except NotYetError:
        # Not even a job yet: nothing was read in any state.
        return
    if left:
        raise NotPossibleError(
            where="the visit",
            came=left[0].text().rstrip("."),
            right="it closes when all that was set for measuring is put back, and all is settled "
            "that keeps people safe",
            do="Settle it, and tick it on the page of the work.",
        )


def rename(firm: Firm, visit_id: UUID, name: str) -> None:
    """Name the visit's system; blank takes the name away."""
    with transaction.atomic():
        visit = saving.locked(firm, visit_id)
        visit.system.name = drafts.storable(name).strip()[:200]
        visit.system.save()
        jobs.touch(visit)


# --- what is typed --------------------------------------------------------------------------------


def visit_values(firm: Firm, visit_id: UUID, units: System = "ip") -> dict[str, str]:
    """What stands in every field of the page, drafts included; unknown fields are left out."""
    return saving.visit_values(find_visit(firm, visit_id), units)


def draft_states(firm: Firm, visit_id: UUID) -> dict[str, Saved]:
    """Why each draft is no record yet: its problem, its doubt, or what it waits for."""
    return saving.draft_states(find_visit(firm, visit_id))


def missing(firm: Firm, visit_id: UUID) -> tuple[str, ...]:
    """The names of the fields without which there is no answer yet, in the page's order."""
    known = recorded.recorded_values(find_visit(firm, visit_id), "ip")
    return tuple(name for name in _LEAST if name not in known)


def revisions(firm: Firm, visit_id: UUID) -> list[SurveyRevision]:
    """Every revision of the visit's survey, the first one first."""
    visit = find_visit(firm, visit_id)
    rows = SurveyRevision.objects.of(firm).filter(system=visit.system)
    return list(rows.order_by("number"))


def uploaded_text(upload: IO[bytes]) -> str:
    """The text of an uploaded table; FormatError (400) if it is too large or no text."""
    from inchwater.survey.files import read_text

    return read_text(upload, FIELDS["table"].label, _UPLOAD)


# --- jobs -----------------------------------------------------------------------------------------


def job(firm: Firm, visit_id: UUID) -> Job:
    """The visit as the one document that engine, prompt and file share.

    Raises
    ------
    NotYetError
        If capacity or kind of unit is missing.
    """
    return jobs.job_of(find_visit(firm, visit_id))


def export_job(firm: Firm, visit_id: UUID) -> Job:
    """The visit's job, to be saved as a file."""
    return job(firm, visit_id)


def import_job(firm: Firm, user: User | None, source: Job | bytes | IO[bytes]) -> Visit:
    """A visit made of a job or of a job file.

    Raises
    ------
    FormatError
        If it is no job file.
    InputError
        If something in it cannot be, or points at what it does not have.
    """
    if isinstance(source, Job):
        found = source
    else:
        try:
            found = load(io.BytesIO(source) if isinstance(source, bytes) else source)
        except UnknownNameError as error:
            # What is missing is in the file; the page that it was sent to is there.
            raise InputError(
                where=error.where, came=error.came, right=error.right, do=error.do
            ) from error
    with transaction.atomic():
        return jobs.visit_from(firm, user, found)


def load_demos(firm: Firm, user: User | None = None) -> list[Visit]:
    """The invented houses as visits, each loaded once and left alone afterwards."""
    from inchwater.rehearsal import demos

    loaded = []
    with transaction.atomic():
        for name, demo in demos().items():
            known = Visit.objects.of(firm).filter(demo=name).first()
            loaded.append(known or jobs.visit_from(firm, user, demo, demo=name))
    return loaded
