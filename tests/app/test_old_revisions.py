"""Revisions that an older Inchwater stored: read as the same job, and followed by a current one."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from inchwater.app.systems.models import SurveyRevision
from inchwater.app.visits import services
from inchwater.calibration import job_hash
from inchwater.rehearsal import demos
from inchwater.survey import job_from_dict
from inchwater.survey.migrations import VERSION

DEMOS = demos()
SAMPLES = Path(__file__).parents[1] / "survey" / "samples"


def stored_as(firm, visit, version: int) -> None:
    """Let the visit stand on a revision with this version's number and the same document."""
    current = visit.revision
    visit.revision = SurveyRevision.objects.of(firm).create(
        system=visit.system,
        number=current.number + 1,
        parent=current,
        document=current.document,
        typed=current.typed,
        format_version=version,
    )
    visit.save()


@pytest.mark.parametrize("name", DEMOS)
def test_a_revision_of_version_1_is_the_same_job(firm, name):
    """Every job that version 1 could hold is read as it was, with the same hash."""
    visit = services.import_job(firm, None, DEMOS[name])
    now = services.job(firm, visit.pk)
    stored_as(firm, visit, 1)
    before = services.job(firm, visit.pk)
    assert before == now
    assert job_hash(before) == job_hash(DEMOS[name])


def test_the_next_fact_makes_a_revision_of_the_current_version(firm):
    """What is typed into an old visit is kept in today's form, with all that stood there."""
    visit = services.import_job(firm, None, DEMOS["a"])
    stored_as(firm, visit, 1)
    assert services.save_field(firm, visit.pk, "wheel", "dusty").ok
    after = services.find_visit(firm, visit.pk)
    assert after.revision.format_version == VERSION
    unit = replace(DEMOS["a"].survey.unit, wheel="dusty")
    assert services.job(firm, visit.pk).survey == replace(DEMOS["a"].survey, unit=unit)


def in_order(job):
    """The job with every trial's readings in the order of their ids."""
    trials = (
        replace(t, readings=tuple(sorted(t.readings, key=lambda one: one.id))) for t in job.trials
    )
    return replace(job, trials=tuple(trials))


@pytest.mark.parametrize("version", [1, VERSION])
def test_a_stored_sample_is_imported_whole(firm, version):
    """The sample of each version goes into rows and comes out as the same job.

    Corrections come out behind the readings that they do not correct.
    """
    text = (SAMPLES / f"job-v{version}.json").read_text("utf-8")
    visit = services.import_job(firm, None, text.encode())
    known = job_from_dict(json.loads(text))
    assert in_order(services.export_job(firm, visit.pk)) == in_order(known)
