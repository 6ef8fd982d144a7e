"""Jobs as documents: unknown, none and known stay apart, and numbers come back exactly."""

from __future__ import annotations

import json
from dataclasses import replace

from inchwater import units
from inchwater.survey import (
    BlowerTable,
    Bypass,
    Change,
    Duct,
    Fact,
    Filter,
    Grille,
    HeatKit,
    How,
    Instrument,
    Leakage,
    Place,
    Reading,
    Return,
    Room,
    Survey,
    TableRow,
    Targets,
    Transfer,
    Trial,
    Unit,
    apply,
    job_from_dict,
    job_to_dict,
)
from inchwater.survey.facts import shortest
from tests.survey.houses import fact, house, job


def everything() -> Survey:
    """The house with every kind of part that a house can have."""
    oval = Duct("lined", shape="oval", width=fact(14, "in"), height=fact(8, "in"))
    hung = Duct("flex", sag=fact(4, "in"), spacing=fact(5, "ft"), damper=fact(30, "deg"))
    base = house()
    trunk, run = base.supply.branches
    return replace(
        base,
        unit=replace(
            base.unit,
            calls={"cooling": "2", "cooling-low": "2", "heating-low": "3"},
            calls_how={"cooling": How.SEEN, "heating-low": How.STATED},
            heat_kit=HeatKit(fact(10, "kw"), False, fact(0.06, "inwc"), fact(1200, "cfm")),
        ),
        returns=(
            replace(base.returns[0], kind="stud", into="drop", room="den"),
            Return("drop", "common", duct=oval),
        ),
        supply=replace(base.supply, branches=(replace(trunk, zone="up"), replace(run, duct=hung))),
        bypasses=(Bypass("b1", "humidifier", Duct(diameter=fact(6, "in"))), Bypass("b2")),
        rooms=(
            Room(
                "den",
                "Den",
                (
                    Transfer("undercut", fact(30, "in"), fact(0.75, "in")),
                    Transfer("jumper", fact(14, "in"), fact(8, "in"), Duct("flex", fact(8, "in"))),
                ),
            ),
            Room("bath", transfers=()),
            Room("hall"),
        ),
        leakage=(
            Leakage("supply", fact(90, "cfm"), fact(25, "pa")),
            Leakage("return", sealing="taped"),
        ),
    )


def again(one):
    """The job after a journey through JSON text."""
    return job_from_dict(json.loads(json.dumps(job_to_dict(one), allow_nan=False)))


def full():
    """A job that uses everything a document can hold."""
    return job(
        everything(),
        changes=(
            Change(
                "ch1", "filter", ("f1",), {"grade": "media-4in-merv11", "count": 2}, "2026-03-02"
            ),
            Change("ch2", "add-run", (), {"id": "r9", "fittings": ("boot-angle",)}),
        ),
        trials=(
            Trial(
                "tr1",
                ("ch1", "ch2"),
                {"call": "cooling", "tap": "3", "coil": "wet", "run:r9": "pulled-capped"},
                (
                    Reading("a", "return", "static", "0,29", "inwc", -72.2, "i1", "2026-03-02"),
                    Reading("b", "supply", "static", "150 Pa", "inwc", 150.0),
                    Reading("c", "supply", "static", "0.42", "inwc", 104.6, corrects="b"),
                    Reading("d", "unit", "power", "410", "w", 410.0),
                    Reading("e", "unit", "voltage", "236", "v", 236.0),
                    Reading("f", "unit", "airflow", "800", "cfm", 0.3775),
                ),
            ),
        ),
        instruments=(Instrument("i1", "manometer", 0.01, 0.5),),
        targets=Targets("quiet", fact(350, "cfm_ton"), fact(450, "cfm_ton")),
        name="Attic unit",
        system="s1",
        complaint="too warm",
        complaint_room="den",
    )


def test_everything_that_a_job_holds_comes_back():
    """Through the document, its text and back it is the same job."""
    assert again(full()) == full()


def test_no_bypass_and_no_room_are_known_to_be_none():
    """As with filters, an empty list is none and a missing key unknown."""
    none = job(replace(house(), bypasses=(), rooms=()))
    assert job_to_dict(none)["survey"]["bypasses"] == []
    assert job_to_dict(none)["survey"]["rooms"] == []
    assert again(none).survey.bypasses == ()
    assert again(job()).survey.bypasses is None
    assert again(job()).survey.rooms is None


def test_unknown_and_none_stay_apart():
    """A missing key is unknown (None), an empty list is known to be none (an empty tuple)."""
    unit = Unit("packaged", fact(4, "ton"), table=None)
    unknown = job(Survey(unit=unit))
    none = job(
        Survey(
            unit=unit,
            filters=(),
            coils=(),
            returns=(),
            supply=None,
            place=Place(fuel_appliances=()),
        )
    )
    assert "filters" not in job_to_dict(unknown)["survey"]
    assert job_to_dict(none)["survey"]["filters"] == []
    assert job_to_dict(none)["place"] == {"fuel_appliances": []}
    assert again(unknown) == unknown
    assert again(none) == none
    assert again(unknown).survey.filters is None
    assert again(none).survey.filters == ()


def test_the_boundary_of_a_table_is_unknown_or_a_list():
    """Left out it is unknown; an empty list says that nothing is inside."""
    rows = (TableRow("1", 100.0, 0.5), TableRow("1", 150.0, 0.4))
    for includes in (None, frozenset(), frozenset({"filter", "coil-wet"})):
        unit = Unit("packaged", fact(4, "ton"), table=BlowerTable("t", rows, includes))
        assert again(job(Survey(unit=unit))).survey.unit.table.includes == includes


def test_a_dash_of_the_table_is_a_row_without_airflow():
    """It is never a number."""
    rows = (
        TableRow("1", 100.0, 0.5, 300.0, 90.0),
        TableRow("1", 150.0, 0.4),
        TableRow("1", 200.0, None),
    )
    unit = Unit("packaged", fact(4, "ton"), table=BlowerTable("t", rows))
    document = job_to_dict(job(Survey(unit=unit)))
    last = document["survey"]["unit"]["table"]["rows"][2]
    assert last == {"tap": "1", "tesp_pa": 200.0}
    assert again(job(Survey(unit=unit))).survey.unit.table.rows == rows


def test_a_cell_is_written_as_it_is_printed():
    """0.7 in. w.c. and 750 cfm become SI inside and stand in the file as 0.7 and 750."""
    cell = TableRow(
        "3", units.to_si(0.7, "inwc"), units.to_si(750, "cfm"), 310.0, units.to_si(1050, "rpm")
    )
    other = TableRow("3", units.to_si(0.8, "inwc"), units.to_si(655, "cfm"))
    unit = Unit("packaged", fact(4, "ton"), table=BlowerTable("t", (cell, other)))
    rows = job_to_dict(job(Survey(unit=unit)))["survey"]["unit"]["table"]["rows"]
    assert rows[0] == {
        "tap": "3",
        "tesp_inwc": 0.7,
        "airflow_cfm": 750.0,
        "power_w": 310.0,
        "speed_rpm": 1050.0,
    }


def test_the_shortest_unit_brings_the_number_back_to_the_last_bit():
    """A number that is short in no unit is written in SI."""
    assert shortest(units.to_si(0.35, "inwc"), ("inwc", "pa")) == ("inwc", 0.35)
    assert shortest(100.0, ("inwc", "pa")) == ("pa", 100.0)
    assert shortest(1.0 / 3.0, ("cfm", "ls", "m3h", "m3s")) == ("m3h", 1200.0)
    assert shortest(0.1234567890123, ("cfm", "ls", "m3h", "m3s")) == ("m3s", 0.1234567890123)


def test_how_a_fact_is_known_is_kept():
    """Each word comes back."""
    for how in How:
        unit = Unit("packaged", Fact(4.0, "ton", how))
        assert again(job(Survey(unit=unit))).survey.unit.capacity.how is how


def test_what_apply_notes_is_not_written():
    """The document holds the survey as found; what was renewed follows from the changes."""
    after = apply(house(), Change("x", "filter", ("f1",), {"grade": "media-4in-merv11"}))
    text = json.dumps(job_to_dict(job(after)))
    assert "renewed" not in text
    assert again(job(after)).survey.filters[0].renewed == {}


def test_a_file_without_what_has_a_default_is_complete():
    """The least that a job file holds: format, version, id, and a unit's kind and capacity."""
    least = {
        "format": "inchwater-job",
        "version": 7,
        "id": "j1",
        "survey": {
            "unit": {
                "kind": "furnace",
                "capacity": {"value": 3, "unit": "ton", "how": "stated"},
            }
        },
    }
    assert job_from_dict(least) == job(Survey(unit=Unit("furnace", Fact(3.0, "ton", How.STATED))))
    assert job_to_dict(job_from_dict(least)) == least


def test_an_empty_part_of_a_part_is_nothing():
    """A grille of which nothing is known stays a grille; a duct of which nothing is known, none."""
    survey = Survey(
        unit=Unit("packaged", fact(4, "ton")),
        filters=(Filter("f1"),),
        supply=None,
    )
    assert again(job(survey)) == job(survey)
    assert Duct(register=Grille()) != Duct()
