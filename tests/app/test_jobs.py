"""Visits and job files: what goes in comes out, and rows never lose what a file said."""

from __future__ import annotations

import dataclasses
import io
import json
import uuid

import pytest

from inchwater.app.visits import services
from inchwater.app.visits.jobs import document_of
from inchwater.app.visits.models import Trial, Visit
from inchwater.errors import FormatError, InputError, NotPossibleError
from inchwater.rehearsal import demos
from inchwater.survey import Change, Instrument, Reading, job_from_dict, job_to_dict

DEMOS = demos()


@pytest.mark.parametrize("name", DEMOS)
def test_a_job_comes_out_as_it_went_in(firm, name):
    """Import and export of a demonstration is the same job, to the last bit."""
    job = dataclasses.replace(DEMOS[name], system="s-1")
    visit = services.import_job(firm, None, job)
    assert services.export_job(firm, visit.pk) == job


def test_changes_corrections_and_instruments_survive(firm):
    """A job with history and with an unused instrument comes out whole."""
    job = DEMOS["a"]
    first = job.trials[0]
    old = first.readings[0]
    better = Reading(
        "again", old.at, old.quantity, "0.1", "inwc", old.value, corrects=old.id, taken=old.taken
    )
    job = dataclasses.replace(
        job,
        system="s-1",
        changes=(Change("ch1", "tighten-run", ("r1",), made="2026-03-05T08:00:00Z"),),
        trials=(
            dataclasses.replace(first, readings=(*first.readings, better)),
            dataclasses.replace(first, id="tr2", after=("ch1",), readings=()),
        ),
        instruments=(*job.instruments, Instrument("spare", "manometer", gain=0.01, zero=0.5)),
    )
    visit = services.import_job(firm, None, job_from_dict(job_to_dict(job)))
    assert services.export_job(firm, visit.pk) == job


def test_a_visit_of_the_page_is_a_valid_file(firm, visit, thin):
    """What the page exports can be read as a file and imported again."""
    thin("complaint", "den is hot")
    services.rename(firm, visit.pk, "Attic unit")
    job = services.export_job(firm, visit.pk)
    assert (job.id, job.name, job.system) == (str(visit.pk), "Attic unit", str(visit.system_id))
    text = json.dumps(job_to_dict(job)).encode()
    again = services.import_job(firm, None, text)
    assert again.pk != visit.pk
    assert services.export_job(firm, again.pk) == job
    assert services.visit_values(firm, again.pk) == services.visit_values(firm, visit.pk)


@pytest.mark.parametrize(
    ("raw", "kind"),
    [
        (b"", FormatError),
        (b"\xff\xfe\x00", FormatError),
        (b"[]", FormatError),
        (b'{"format": "inchwater-job", "version": 99}', FormatError),
        (b"{" * 5000, FormatError),
        (b" " * 6_000_000, FormatError),
        (b'{"format": "inchwater-job", "version": 1, "id": "x", "survey": {}}', InputError),
    ],
    ids=["empty", "binary", "list", "newer", "nested", "large", "bare"],
)
def test_a_file_that_is_no_job_leaves_no_visit(firm, raw, kind):
    """The error of reading it is told as it is; nothing is stored."""
    with pytest.raises(kind) as caught:
        services.import_job(firm, None, io.BytesIO(raw))
    assert caught.value.where
    assert caught.value.right
    assert services.open_visits(firm) == []


def test_twinned_units_are_refused_with_the_reason(firm):
    """Two blowers on one duct cannot be told apart; the file is refused and nothing is stored."""
    document = job_to_dict(DEMOS["a"])
    document["survey"]["unit"]["count"] = 2
    with pytest.raises(NotPossibleError) as caught:
        services.import_job(firm, None, json.dumps(document).encode())
    assert caught.value.where == "survey.unit.count"
    assert services.open_visits(firm) == []


def test_an_uploaded_table_is_text_of_a_table_s_size():
    """Binary and huge files are refused before anything is kept; text comes as it is."""
    assert services.uploaded_text(io.BytesIO(b"tap,tesp_inwc\n")) == "tap,tesp_inwc\n"
    for raw in (b"\x89PNG\r\n\x1a\n\xff", b"1" * 2_000_000):
        with pytest.raises(FormatError) as caught:
            services.uploaded_text(io.BytesIO(raw))
        assert caught.value.where == "Whole blower table"


def test_demonstrations_are_loaded_once_and_then_left_alone(firm):
    """A second start neither doubles them nor takes back what was typed into them."""
    loaded = services.load_demos(firm)
    assert [visit.demo for visit in loaded] == list(DEMOS)
    services.save_field(firm, loaded[0].pk, "return_static", "0.11")
    again = services.load_demos(firm)
    assert [visit.pk for visit in again] == [visit.pk for visit in loaded]
    assert Visit.objects.of(firm).count() == len(DEMOS)
    assert services.visit_values(firm, loaded[0].pk)["return_static"] == "0.11"


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("units", ["ip", "si"])
def test_leaving_every_field_of_a_demonstration_changes_nothing(firm, name, units):
    """What the page shows of an imported job is a text that means the same job."""
    visit = services.import_job(firm, None, DEMOS[name])
    before = document_of(services.find_visit(firm, visit.pk))
    for field, text in services.visit_values(firm, visit.pk, units).items():
        assert services.save_field(firm, visit.pk, field, text, units=units).ok, field
    assert document_of(services.find_visit(firm, visit.pk)) == before


@pytest.mark.parametrize("name", DEMOS)
def test_what_a_demonstration_shows_can_be_typed(firm, visit, type_in, name):
    """The page's own texts, typed into an empty visit, describe the same system and readings."""
    source = services.import_job(firm, None, DEMOS[name])
    shown = services.visit_values(firm, source.pk)
    order = ["unit_kind", "table", "supply_at", "return_count", *shown]
    for field in dict.fromkeys(order):
        if field in shown and "; " not in shown[field].replace("runs", ""):
            assert type_in(field, shown[field]).ok, field
    assert type_in("runs", shown["runs"]).ok
    typed, known = services.job(firm, visit.pk), DEMOS[name]
    assert typed.survey.unit.table.rows == known.survey.unit.table.rows
    assert typed.survey.unit.tap == known.survey.unit.tap
    assert typed.survey.filters == known.survey.filters
    ours, theirs = typed.survey.supply.runs, known.survey.supply.runs
    for one, other in zip(ours, theirs, strict=True):
        assert (one.room, one.duct.diameter, one.duct.length, one.duct.slack) == (
            other.room,
            other.duct.diameter,
            other.duct.length,
            other.duct.slack,
        )
    values = {(one.at, one.quantity): one.value for one in typed.trials[0].in_force}
    assert values == {(one.at, one.quantity): one.value for one in known.trials[0].in_force}


def test_a_visit_started_twice_with_one_id_is_one_visit(firm):
    """The client makes the id, so sending twice is harmless."""
    key = uuid.uuid4()
    first = services.start_visit(firm, None, key)
    services.save_field(firm, first.pk, "capacity", "3")
    assert services.start_visit(firm, None, key).pk == first.pk == key
    assert services.visit_values(firm, key) == {"capacity": "3"}
    assert Trial.objects.of(firm).filter(visit=first).count() == 1


def test_visits_to_continue_come_latest_first_without_closed_ones(firm):
    """Typing puts a visit on the list and moves it up; closing takes it off, deleting nothing."""
    first, second = services.start_visit(firm, None), services.start_visit(firm, None)
    assert services.open_visits(firm) == []
    services.save_field(firm, second.pk, "capacity", "2x")
    services.save_field(firm, first.pk, "capacity", "3")
    assert [one.pk for one in services.open_visits(firm)] == [first.pk, second.pk]
    services.close_visit(firm, first.pk)
    assert [one.pk for one in services.open_visits(firm)] == [second.pk]
    assert services.visit_values(firm, first.pk) == {"capacity": "3"}


def test_what_is_missing_is_named_in_the_order_of_the_page(firm, visit, type_in):
    """Until the least is there, the job and the answer say what is missing."""
    assert services.missing(firm, visit.pk) == (
        "capacity",
        "return_static",
        "supply_static",
        "unit_kind",
    )
    with pytest.raises(services.NotYetError) as caught:
        services.job(firm, visit.pk)
    assert str(caught.value) == (
        "the job: a visit without the kind of unit and the cooling capacity came; "
        "kind of unit and capacity are the least. Type them on the first page of the visit."
    )
    type_in("capacity", "3")
    type_in("supply_static", "0.42")
    assert services.missing(firm, visit.pk) == ("return_static", "unit_kind")
