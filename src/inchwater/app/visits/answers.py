"""Answers to visits: a calibration is stored and used again while what it stands on stays the same.

It stands on the job's hash, the engine's version and the seed.  Finished answers are remembered
in the process as well, under the same three, so that a page opened again costs nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING
from uuid import UUID

from django.db import transaction

from inchwater import __version__
from inchwater.app.core.remembered import Remembered
from inchwater.app.firms.models import Firm
from inchwater.app.visits import jobs
from inchwater.app.visits.models import Answer as Stored
from inchwater.app.visits.models import Visit
from inchwater.errors import FormatError
from inchwater.survey import Change, Job

if TYPE_CHECKING:
    from inchwater.answer import Answer, WhatIf
    from inchwater.calibration import Posterior
    from inchwater.planning import ReadingValue

# Every visit is calibrated with the same seed, so that the same readings give the same answer.
SEED = 20_260_302
# Calibrations kept for a visit, the newest ones: enough to step back over the last few facts.
_STORED = 12

Key = tuple[UUID, str, str, int]


_answers = Remembered()
_posteriors = Remembered()
_forecasts = Remembered()


def answer(firm: Firm, visit_id: UUID, seed: int = SEED) -> Answer:
    """The answer to the visit's readings.

    Parameters
    ----------
    firm : Firm
        Whose visit it is.
    visit_id : UUID
        The visit.
    seed : int
        Of the calibration.

    Raises
    ------
    NotYetError
        If capacity, kind of unit or a reading is missing.
    InchwaterError
        Whatever the engine cannot answer, in its words.
    """
    from inchwater.answer import answer as engine

    visit, job, key = _question(firm, visit_id, seed)
    found: Answer | None = _answers.get(key)
    if found is None:
        found = engine(job, seed, posterior=_calibrated(visit, job, key))
        _answers.keep(key, found)
    return found


def what_if(
    firm: Firm,
    visit_id: UUID,
    changes: Sequence[Change],
    condition: Mapping[str, str] | None = None,
    seed: int = SEED,
) -> WhatIf:
    """What changes, or a measuring state, would do to the visit's system."""
    from inchwater.answer import what_if as engine

    visit, job, key = _question(firm, visit_id, seed)
    # Sentence and pictures ask the same question one after the other.
    asked = (*key, repr((tuple(changes), sorted((condition or {}).items()))))
    found: WhatIf | None = _forecasts.get(asked)
    if found is None:
        found = engine(job, changes, _calibrated(visit, job, key)[0], condition)
        _forecasts.keep(asked, found)
    return found


def next_reading(firm: Firm, visit_id: UUID, seed: int = SEED) -> tuple[ReadingValue, ...]:
    """What is worth reading next on the visit's system, the most useful first."""
    from inchwater.planning import next_reading as engine

    ranked = answer(firm, visit_id, seed).next_readings
    # Where an answer has none, the system cannot run in a cooling call: asked again, it says so.
    return ranked or engine(_calibrated(*_question(firm, visit_id, seed))[0])


def posterior(firm: Firm, visit_id: UUID, seed: int = SEED) -> tuple[Key, Posterior]:
    """The visit's calibration with the key of what it stands on.

    Where the table's boundary is not known, the likeliest possibility stands for all.
    """
    visit, job, key = _question(firm, visit_id, seed)
    # Records of work move no number, so the samples may be those from before the last of them.
    return key, replace(_calibrated(visit, job, key)[0], job=job)


def posterior_of(firm: Firm, visit_id: UUID, job: Job, seed: int = SEED) -> Posterior:
    """The calibration of a job that is the visit's with less in it: as it stood before a step."""
    from inchwater.app.visits.services import find_visit
    from inchwater.calibration import job_hash

    visit = find_visit(firm, visit_id)
    key = (visit.pk, job_hash(job), __version__, seed)
    return replace(_calibrated(visit, job, key)[0], job=job)


def forget() -> None:
    """Drop what the process remembers; the stored calibrations stay."""
    _answers.forget()
    _posteriors.forget()
    _forecasts.forget()


def _question(firm: Firm, visit_id: UUID, seed: int) -> tuple[Visit, Job, Key]:
    from inchwater.app.visits.services import find_visit
    from inchwater.calibration import job_hash

    visit = find_visit(firm, visit_id)
    job = jobs.job_of(visit)
    return visit, job, (visit.pk, job_hash(job), __version__, seed)


def _calibrated(visit: Visit, job: Job, key: Key) -> tuple[Posterior, ...]:
    """The visit's calibrations, one for each boundary that the table may have."""
    from inchwater.answer.possibilities import fitted

    known: tuple[Posterior, ...] | None = _posteriors.get(key)
    if known is None:
        stored = _stored(visit, job, key)
        known = fitted(job, key[3], stored).posteriors
        new = [one for one in known if not any(one is old for old in stored)]
        _store(visit, key, new)
        _posteriors.keep(key, known)
    return known


def _stored(visit: Visit, job: Job, key: Key) -> list[Posterior]:
    from inchwater.calibration import Posterior

    found = []
    for row in _rows(visit, key):
        try:
            found.append(Posterior.from_bytes(bytes(row.samples), job))
        except FormatError:
            # Damaged bytes are no reason to refuse an answer that can be computed again.
            row.delete()
    return found


def _store(visit: Visit, key: Key, posteriors: Sequence[Posterior]) -> None:
    with transaction.atomic():
        for one in posteriors:
            Stored.objects.of(visit.firm_id).update_or_create(
                visit=visit,
                job_hash=key[1],
                engine_version=key[2],
                seed=key[3],
                includes=boundary(one.includes),
                defaults={
                    "samples": one.to_bytes(),
                    "summary": {"method": one.method, "effective_size": one.effective_size},
                },
            )
        # Each is some hundred kilobytes, and typing a dozen facts makes a dozen of them.
        rows = Stored.objects.of(visit.firm_id).filter(visit=visit).order_by("-created")
        old = rows.values_list("pk", flat=True)[_STORED:]
        Stored.objects.of(visit.firm_id).filter(pk__in=list(old)).delete()


def _rows(visit: Visit, key: Key) -> list[Stored]:
    rows = Stored.objects.of(visit.firm_id).filter(
        visit=visit, job_hash=key[1], engine_version=key[2], seed=key[3]
    )
    return list(rows.order_by("created"))


def boundary(includes: frozenset[str] | None) -> str:
    """A table's boundary as one word for a column; ``as surveyed`` where the survey says it."""
    return "as surveyed" if includes is None else "+".join(sorted(includes)) or "nothing"
