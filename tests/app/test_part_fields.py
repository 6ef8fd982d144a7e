"""Readings at single parts: each part that is described has its field, and no other has."""

from __future__ import annotations

import pytest

from inchwater.app.visits import pages, services
from inchwater.app.visits.fields import field, known
from inchwater.app.visits.models import Draft
from inchwater.app.visits.part_fields import name_of, part_field, part_fields
from inchwater.survey import READ_AT
from inchwater.units import to_si
from tests.survey.houses import house

START = {
    "capacity": "3",
    "unit_kind": "furnace",
    "return_static": "0.29",
    "supply_static": "0.42",
    "runs": "three 6-inch, about 25 ft, slack flex",
    "rooms": "den, kitchen, bath",
    "return_count": "1",
    "return_grille": "20 x 25",
    "filter_at": "unit",
    "filter_size": "16x25",
    "coil_condition": "dusty",
}


@pytest.fixture
def described(type_in):
    """A visit with runs, rooms, a return, a filter and a coil."""
    for name, text in START.items():
        assert type_in(name, text).ok, name
    return type_in


def test_every_part_that_can_be_read_at_has_a_field():
    """Each place of a described house comes back from the field's name."""
    names = [one.name for fold in part_fields(house()) for one in fold.fields]
    assert names == [
        "drop-filter-f1",
        "airflow-register-r1",
        "airflow-register-r2",
        "airflow-register-r3",
        "airflow-grille-g1",
        "static-trunk-t1",
        "static-run-r1",
        "static-run-r2",
        "static-run-r3",
        "static-return-g1",
    ]
    for name in names:
        one = field(name)
        assert one.name == name_of(one.reading, one.point) == name
        assert one.point.partition(":")[0] + ":" in READ_AT[one.reading]
        assert one.label
        assert one.help.endswith(".")
    assert part_fields(None) == ()


def test_a_field_says_the_room_of_its_run():
    """Where it is known; on the page a run is called by where it ends."""
    labels = [one.label for fold in part_fields(house()) for one in fold.fields]
    assert "Register of run r1, den" in labels
    assert "Static in run r2" in labels


@pytest.mark.parametrize(
    "name",
    ["static-boot-r1", "power-run-r1", "static-run-", "static-run-r:1", "static-run-" + "r" * 60],
)
def test_no_other_name_is_a_field(name):
    """Quantities, kinds of place and ids are those of the survey, and short enough to be kept."""
    assert part_field(name) is None
    assert known(name) is None


def test_an_id_with_a_dot_has_a_name_of_letters():
    """A name stands in an address and in a page, where a dot would mean something else."""
    name = name_of("static", "run:den.2")
    assert name == "static-run-den_2e2"
    assert part_field(name).point == "run:den.2"


def test_readings_at_parts_become_rows(firm, visit, described):
    """With place, sign and unit; a correction is a new row, and blank takes it back."""
    for name, text in {
        "drop-filter-f1": "0.21",
        "airflow-register-r1": "85",
        "airflow-register-r2": "40 L/s",
        "static-run-r1": "-0.01",
        "static-return-g1": "0.04",
    }.items():
        saved = described(name, text)
        assert (saved.ok, saved.problem, saved.doubt) == (True, None, None), name
    (trial,) = services.job(firm, visit.pk).trials
    found = {(r.quantity, r.at): r.value for r in trial.in_force if ":" in r.at}
    assert found == pytest.approx(
        {
            ("drop", "filter:f1"): to_si(0.21, "inwc"),
            ("airflow", "register:r1"): to_si(85, "cfm"),
            ("airflow", "register:r2"): 0.04,
            ("static", "run:r1"): -to_si(0.01, "inwc"),
            ("static", "return:g1"): -to_si(0.04, "inwc"),
        }
    )
    described("airflow-register-r1", "90")
    described("drop-filter-f1", "")
    values = services.visit_values(firm, visit.pk)
    assert values["airflow-register-r1"] == "90"
    assert "drop-filter-f1" not in values
    (trial,) = services.job(firm, visit.pk).trials
    (hood,) = [r for r in trial.in_force if r.at == "register:r1"]
    assert hood.corrects is not None
    assert Draft.objects.of(firm).count() == 0


@pytest.mark.parametrize(
    ("name", "text", "problem"),
    [
        ("static-run-r1", "abc", "Static in run r1: 'abc' came; a number is wanted."),
        (
            "airflow-register-r9",
            "85",
            "Register of run r9: 'register:r9' came; the runs are r1, r2, r3. Add the run first.",
        ),
        (
            "static-run-r2",
            "-0.4",
            "Static in run r2: −0.4 in. w.c. came; in a duct of the supply side static is "
            "positive, beside fast air a hair below zero. "
            "Check that the two tubes were not swapped, and read again.",
        ),
    ],
)
def test_what_cannot_be_right_stays_as_it_was_typed(firm, visit, described, name, text, problem):
    """With the reason beside it; the answer goes on without."""
    saved = described(name, text)
    assert not saved.ok
    assert saved.problem["text"] == problem
    assert services.visit_values(firm, visit.pk)[name] == text
    assert services.draft_states(firm, visit.pk)[name].problem == saved.problem


def test_pascals_in_a_field_of_inches_are_asked_about(described):
    """A drop of 52 is no drop in inches."""
    saved = described("drop-filter-f1", "52")
    assert saved.doubt["suggestion"] == "0.209"


def test_the_facts_page_offers_what_this_system_has(firm, visit, described, client):
    """Folded by what is read; nothing where nothing is described."""
    survey = services.job(firm, visit.pk).survey
    values, states = services.visit_values(firm, visit.pk), services.draft_states(firm, visit.pk)
    parts = {part.name: part for part in pages.facts_of(values, states, "ip", survey)}
    titles = [fold.title for fold in parts["second"].folds]
    assert titles == [
        "At the unit",
        "Across filter and coil",
        "Registers and grilles, by hood",
        "Static in single ducts",
    ]
    bare = {part.name: part for part in pages.facts_of({}, {}, "ip")}
    assert [fold.title for fold in bare["second"].folds] == ["At the unit"]
    assert "airflow-register-r1" in pages.fact_names(survey)


def test_a_house_with_readings_at_parts_comes_back_from_its_rows(firm, visit, described):
    """Exported and imported again it is the same job."""
    described("static-run-r1", "0.05")
    described("blower_speed", "890")
    job = services.export_job(firm, visit.pk)
    readings = {(r.at, r.quantity) for r in job.trials[0].in_force}
    assert {("run:r1", "static"), ("unit", "speed")} <= readings
