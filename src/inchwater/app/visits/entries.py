"""Records of the work as rows: written once, in the order in which they came."""

from __future__ import annotations

from typing import Any

from inchwater.app.firms.models import User
from inchwater.app.visits.models import Visit, WorkEntry


def known_entry(visit: Visit, key: str) -> WorkEntry | None:
    """The record of this id, if it came before."""
    found: WorkEntry | None = _rows(visit).filter(key=key).first()
    return found


def add_entry(
    visit: Visit, user: User | None, key: str, document: dict[str, Any], problem: str = ""
) -> WorkEntry:
    """Keep a record of the work behind those that are there; who calls holds the visit.

    Parameters
    ----------
    visit : Visit
        Held against other writers.
    user : User or None
        Who recorded it.
    key : str
        Its id in job files.
    document : dict
        The record as a job file holds it.
    problem : str
        Why it is no part of the job; empty if it is.
    """
    number = max(_rows(visit).values_list("number", flat=True), default=0) + 1
    kept = {name: value for name, value in document.items() if name != "id"}
    made: WorkEntry = _rows(visit).create(
        visit=visit, number=number, key=key, document=kept, problem=problem, by=user
    )
    return made


def _rows(visit: Visit) -> Any:
    return WorkEntry.objects.of(visit.firm_id).filter(visit=visit)
