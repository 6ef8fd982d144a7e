"""Changes that somebody accepted come into a visit's job: planned, and in force in no trial yet."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from uuid import UUID

from django.db import transaction

from inchwater.app.firms.models import Firm, User
from inchwater.app.visits import jobs, saving
from inchwater.survey import Change, job_to_dict

_NO_ID = re.compile(r"[^A-Za-z0-9.-]+")
_LONGEST = 60


def add_changes(
    firm: Firm, user: User | None, visit_id: UUID, changes: Sequence[Change]
) -> tuple[str, ...]:
    """Add changes to the visit's job, each under an id that a file can hold.

    A change that stands there already is not added again.

    Returns
    -------
    tuple of str
        Their ids in the job, in the order given.

    Raises
    ------
    InchwaterError
        If one of them cannot be made after those before it.
    """
    with transaction.atomic():
        visit = saving.locked(firm, visit_id)
        job = jobs.job_of(visit)
        known, ids = list(job.changes), []
        for change in changes:
            same = next((one for one in known if replace(one, id=change.id) == change), None)
            if same is None:
                same = replace(change, id=_new_id(change.id, {one.id for one in known}))
                known.append(same)
            ids.append(same.id)
        planned = replace(job, changes=tuple(known))
        planned.survey_after(tuple(ids))
        kept = visit.revision.document
        document = {**kept, "changes": job_to_dict(planned)["changes"]} if known else kept
        jobs.revise(visit, document, visit.revision.typed, user)
        # What the file would refuse is refused here, and the transaction leaves no trace of it.
        jobs.job_of(visit)
        return tuple(ids)


def _new_id(wanted: str, taken: set[str]) -> str:
    stem = _NO_ID.sub("-", wanted).strip("-.")[:_LONGEST] or "change"
    names = (stem, *(f"{stem}-{n}" for n in range(2, len(taken) + 3)))
    return next(name for name in names if name not in taken)
