"""Answers of visits: fitted once, stored, and fitted again only when something moved."""

from __future__ import annotations

import pytest

import inchwater.calibration
from inchwater.answer import answer as engine
from inchwater.app.visits import answers, services
from inchwater.app.visits.models import Answer
from inchwater.errors import InputError
from inchwater.survey import Change


@pytest.fixture
def fits(monkeypatch):
    """How often the engine was calibrated, by boundary; with nothing remembered before."""
    answers.forget()
    calls = []
    real = inchwater.calibration.calibrate

    def counted(job, rng, includes=None, **more):
        calls.append(answers.boundary(includes))
        return real(job, rng, includes, **more)

    monkeypatch.setattr(inchwater.calibration, "calibrate", counted)
    yield calls
    answers.forget()


def test_a_visit_is_answered_as_its_job_is(firm, visit, thin):
    """Page and Python say the same numbers of the same job and seed."""
    ours = services.answer(firm, visit.pk)
    assert ours.to_dict() == engine(services.job(firm, visit.pk), answers.SEED).to_dict()


def test_the_stored_calibration_is_used_again(firm, visit, thin, fits):
    """A page opened again, and a process started anew, fit nothing; the answer is the same."""
    first = services.answer(firm, visit.pk)
    assert fits == ["as surveyed"]
    assert services.answer(firm, visit.pk) is first
    answers.forget()
    again = services.answer(firm, visit.pk)
    assert again is not first
    assert again.to_dict() == first.to_dict()
    assert fits == ["as surveyed"]
    (row,) = Answer.objects.of(firm).filter(visit=visit)
    assert (row.job_hash, row.engine_version, row.seed) == (
        first.job_hash,
        first.engine_version,
        first.seed,
    )


def test_a_new_fact_is_a_new_fit_and_taking_it_back_is_none(firm, visit, thin, fits):
    """The calibration belongs to the job's hash: an old one counts again when the job does."""
    first = services.answer(firm, visit.pk)
    thin("return_static", "0.35")
    assert services.answer(firm, visit.pk).job_hash != first.job_hash
    assert len(fits) == 2
    thin("complaint", "den is hot")
    thin("complaint_room", "den")
    services.answer(firm, visit.pk)
    assert len(fits) == 2


def test_another_engine_or_seed_is_a_new_fit(firm, visit, thin, fits, monkeypatch):
    """What another version or another seed computed is not mixed in."""
    services.answer(firm, visit.pk)
    services.answer(firm, visit.pk, seed=1)
    assert len(fits) == 2
    monkeypatch.setattr(answers, "__version__", "another")
    services.answer(firm, visit.pk)
    assert len(fits) == 3
    assert Answer.objects.of(firm).filter(visit=visit).count() == 3


def test_damaged_samples_are_fitted_again(firm, visit, thin, fits):
    """Bytes that hold no samples are replaced and never shown as an error."""
    first = services.answer(firm, visit.pk)
    answers.forget()
    Answer.objects.of(firm).update(samples=b"rubbish")
    assert services.answer(firm, visit.pk).to_dict() == first.to_dict()
    assert len(fits) == 2
    answers.forget()
    services.answer(firm, visit.pk)
    assert len(fits) == 2


def test_only_the_newest_calibrations_are_kept(firm, visit, thin, fits, monkeypatch):
    """A visit with many facts does not fill the disk; what was fitted last is still there."""
    monkeypatch.setattr(answers, "_STORED", 2)
    for text in ("0.30", "0.31", "0.32"):
        thin("return_static", text)
        last = services.answer(firm, visit.pk)
    rows = Answer.objects.of(firm).filter(visit=visit).order_by("created")
    assert len(rows) == 2
    assert rows[1].job_hash == last.job_hash
    answers.forget()
    services.answer(firm, visit.pk)
    assert len(fits) == 3


def test_each_possible_boundary_is_stored(firm, visit, thin, fits):
    """A table whose boundary nobody said has an alternative each, all used again."""
    for name, text in (
        ("cell1_tesp", "0.6"),
        ("cell1_airflow", "1100"),
        ("cell2_tesp", "0.8"),
        ("cell2_airflow", "960"),
    ):
        thin(name, text)
    found = services.answer(firm, visit.pk)
    assert len(found.alternatives) == len(set(fits)) == len(fits) >= 2
    answers.forget()
    assert services.answer(firm, visit.pk).to_dict() == found.to_dict()
    assert services.what_if(firm, visit.pk, ()).airflow.value > 0
    rows = Answer.objects.of(firm).filter(visit=visit)
    assert sorted(row.includes for row in rows) == sorted(fits)


def test_a_what_if_needs_no_new_fit(firm, fits):
    """A forecast of a change stands on the calibration of what was found."""
    visit = services.load_demos(firm)[0]
    found = services.answer(firm, visit.pk)
    forecast = services.what_if(firm, visit.pk, (Change("x", "tap", ("unit",), {"tap": "5"}),))
    assert forecast.airflow.value > found.airflow.value
    assert len(fits) == 1


def test_no_reading_is_no_answer(firm, visit, type_in):
    """Capacity and kind alone cannot be answered; the words name what is missing."""
    type_in("capacity", "3")
    type_in("unit_kind", "furnace")
    with pytest.raises(InputError) as caught:
        services.answer(firm, visit.pk)
    assert caught.value.where
    assert caught.value.right


def test_firms_do_not_share_what_is_remembered(firm, other_firm, fits):
    """Two firms with the same job each have their own stored calibration."""
    for one in (firm, other_firm):
        visit = services.load_demos(one)[0]
        services.answer(one, visit.pk)
    assert len(fits) == 2
