"""The prompt: every command, the one JSON document, and every bad input in four fields."""

import json
import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from inchwater import survey
from inchwater.rehearsal import demos

ROOT = Path(__file__).parent.parent
FIRST = ["airflow", "--return-static", "0.29", "--supply-static", "0.42", "--capacity", "2.5"]
TABLE = """tap,tesp_inwc,airflow_cfm,power_w
3,0.5,860,300
3,0.6,805,300
3,0.7,750,295
3,0.8,655,290
2,0.6,700,250
2,0.7,640,245
2,0.8,570,240
"""


@pytest.fixture
def ask(say):
    """Run a command line with ``--json``; gives its exit code and the one document."""

    def asked(*arguments):
        code, out, err = say(*arguments, "--json")
        assert err == ""
        return code, json.loads(out)

    return asked


@pytest.fixture
def refused(ask):
    """Run a command line that must be refused; gives the error's fields, all of them filled."""

    def was_refused(*arguments):
        code, document = ask(*arguments)
        assert code == 2, document
        assert list(document) == ["error"]
        error = document["error"]
        for field in ("kind", "where", "came", "right", "do"):
            assert error[field].strip(), (field, error)
        assert "Traceback" not in json.dumps(error)
        return error

    return was_refused


@pytest.fixture
def table(tmp_path):
    """A blower table as a file; gives its path."""

    def written(content=TABLE):
        path = tmp_path / "table.csv"
        if isinstance(content, bytes):
            path.write_bytes(content)
        else:
            path.write_text(content, encoding="utf-8")
        return path

    return written


@pytest.fixture
def job(tmp_path):
    """A demo job as a file, edited as a document; gives its path."""

    def written(letter="a", edit=None):
        document = survey.job_to_dict(demos()[letter])
        if edit is not None:
            edit(document)
        path = tmp_path / f"{letter}.json"
        path.write_text(json.dumps(document), encoding="utf-8")
        return path

    return written


# --- airflow --------------------------------------------------------------------------------------


def test_three_numbers_are_enough(ask):
    """Without a table the answer has both flows, TESP and airflow per ton, each with a range."""
    code, document = ask(*FIRST)
    assert code == 0
    units = {"airflow": "cfm", "delivered": "cfm", "tesp": "inwc", "airflow_per_ton": "cfm_ton"}
    for name, unit in units.items():
        one = document[name]
        assert sorted(one) == ["high", "low", "unit", "value"]
        assert one["unit"] == unit
        assert one["low"] < one["value"] < one["high"]
    assert document["tesp"]["value"] == pytest.approx(0.71, abs=0.01)
    assert document["delivered"]["value"] < document["airflow"]["value"]
    for name in ("sentence", "basis", "next"):
        assert document[name]
    assert document["alternatives"] == []


def test_a_table_narrows_the_answer(ask, table):
    """Rows of the table make the range narrower, and the airflow is theirs."""
    _, wide = ask(*FIRST)
    code, narrow = ask(
        *FIRST, "--table", table(), "--tap", "3", "--motor", "constant-torque",
        "--table-includes", "coil-dry",
    )  # fmt: skip
    assert code == 0
    flow = narrow["airflow"]
    assert flow["high"] - flow["low"] < 0.6 * (wide["airflow"]["high"] - wide["airflow"]["low"])
    # The row itself, read at 0.71 in. w.c. between its cells at 0.7 and 0.8.
    assert flow["low"] < 740 < flow["high"]
    assert narrow["alternatives"] == []


def test_two_cells_are_a_table(ask, table):
    """The two cells around the reading are enough of a table."""
    cells = table("tap,tesp_inwc,airflow_cfm\n3,0.7,750\n3,0.8,655\n")
    code, document = ask(*FIRST, "--table", cells, "--tap", "3", "--table-includes", "coil-dry")
    assert code == 0
    assert document["airflow"]["low"] < 745 < document["airflow"]["high"]


def test_an_unknown_boundary_is_answered_for_each_possibility(ask, table):
    """A table whose zero is not known gives one answer for each possibility, never a blend."""
    code, document = ask(*FIRST, "--table", table(), "--tap", "3")
    assert code == 0
    each = document["alternatives"]
    assert len(each) >= 2
    assert len({tuple(one["includes"]) for one in each}) == len(each)
    for one in each:
        for name in ("airflow", "delivered", "tesp", "airflow_per_ton"):
            assert one[name]["low"] <= one[name]["value"] <= one[name]["high"]


def test_none_means_that_the_table_includes_nothing(ask, table):
    """``none`` is a known boundary, so there are no alternatives."""
    code, document = ask(*FIRST, "--table", table(), "--tap", "3", "--table-includes", "none")
    assert code == 0
    assert document["alternatives"] == []


def test_semicolons_and_decimal_commas_are_read(ask, table):
    """A table as continental spreadsheets write it gives the same answer."""
    options = ["--tap", "3", "--table-includes", "coil-dry"]
    _, plain = ask(*FIRST, "--table", table(), *options)
    continental = "\n".join(line.replace(",", ";").replace(".", ",") for line in TABLE.splitlines())
    code, document = ask(*FIRST, "--table", table(continental), *options)
    assert code == 0
    assert document["airflow"] == plain["airflow"]


def test_the_seed_repeats_the_answer(ask):
    """The same seed gives the same document, another seed another one."""
    assert ask(*FIRST, "--seed", "7") == ask(*FIRST, "--seed", "7")
    assert ask(*FIRST, "--seed", "7") != ask(*FIRST, "--seed", "8")


def test_signs_and_units_may_be_typed(ask, tmp_path):
    """A sign and a unit behind the number change nothing; the unit that was typed is kept."""
    typed = ["airflow", "--return-static", "-0.29 in", "--supply-static", "104.6 Pa",
             "--capacity", "30 kBtu/h", "--save", tmp_path / "typed.json"]  # fmt: skip
    code, document = ask(*typed)
    assert code == 0
    assert document["tesp"]["value"] == pytest.approx(0.71, abs=0.02)
    readings = survey.load(tmp_path / "typed.json").trials[0].readings
    assert [(one.typed, one.unit) for one in readings] == [("-0.29 in", "inwc"), ("104.6 Pa", "pa")]


def test_statics_in_pascals(ask):
    """With ``--pressure-unit pa`` a bare number is pascals."""
    code, document = ask(
        "airflow", "--return-static", "72", "--supply-static", "105", "--capacity", "2.5",
        "--pressure-unit", "pa", "--si",
    )  # fmt: skip
    assert code == 0
    assert document["tesp"]["unit"] == "pa"
    assert document["airflow"]["unit"] == "ls"
    assert document["tesp"]["value"] == pytest.approx(177, abs=3)


def test_all_facts_at_once(ask, table, tmp_path):
    """Every option together makes one job that holds them all."""
    path = tmp_path / "all.json"
    code, _ = ask(
        *FIRST, "--table", table(), "--tap", "3", "--unit", "furnace", "--motor", "psc",
        "--supply-at", "after-coil", "--table-includes", "filter", "--altitude-ft", "5,280",
        "--volts", "118", "--watts", "290", "--save", path,
    )  # fmt: skip
    assert code == 0
    saved = survey.load(path)
    unit = saved.survey.unit
    assert (unit.kind, unit.motor, unit.tap) == ("furnace", "psc", "3")
    assert unit.table.includes == frozenset({"filter"})
    assert saved.survey.place.altitude.si == pytest.approx(1609.344)
    assert [one.quantity for one in saved.trials[0].readings] == [
        "static", "static", "power", "voltage",
    ]  # fmt: skip


def test_filter_and_runs_in_words(ask, tmp_path):
    """A filter and one line about the runs make a job whose runs can be tightened."""
    path = tmp_path / "job.json"
    code, _ = ask(
        *FIRST, "--filter", "20x25:pleat-1in-merv8",
        "--runs", "seven 6-inch, about 25 ft, slack flex", "--save", path,
    )  # fmt: skip
    assert code == 0
    saved = survey.load(path).survey
    assert len(saved.supply.runs) == 7
    assert saved.filters[0].width.si == pytest.approx(0.508)
    code, document = ask("forecast", path, "--tighten", "all")
    assert code == 0
    assert document["airflow_change"]["value"] > 0


def test_people_read_the_sentence_first(say):
    """Without ``--json`` the sentence comes first, then figures; nothing is wider than 80."""
    code, out, err = say(*FIRST)
    assert (code, err) == (0, "")
    lines = [line for line in out.splitlines() if line.strip()]
    assert "cfm" in lines[0]
    assert "leaves the blower" in lines[0]
    assert "Air delivered to the rooms" in out
    assert "Next: Two cells of the blower table." in out
    assert max(len(line) for line in lines) <= 80
    assert "\x1b" not in out


def test_si_speaks_si(say):
    """With ``--si`` pressures are pascals and airflows litres per second, in words too."""
    code, out, _ = say(*FIRST, "--si")
    assert code == 0
    assert "L/s" in out
    assert "cfm" not in out


# --- the job file --------------------------------------------------------------------------------


def test_a_job_grows_by_readings(ask, tmp_path):
    """Saved, read again, corrected: nothing is overwritten, and the findings follow."""
    path = tmp_path / "job.json"
    assert ask(*FIRST, "--save", path)[0] == 0
    code, added = ask("reading", path, "--at", "supply", "--static", "0.44", "--trial", "new")
    assert code == 0
    assert added["trial"] == "tr2"
    code, corrected = ask("reading", path, "--corrects", added["added"][0], "--static", "0.43")
    assert code == 0
    assert corrected["readings"][-1]["corrects"] == added["added"][0]
    assert corrected["readings"][-1]["at"] == "supply"
    saved = survey.load(path)
    assert [one.typed for one in saved.trials[1].readings] == ["0.44", "0.43"]
    assert [one.typed for one in saved.trials[1].in_force] == ["0.43"]
    code, found = ask("findings", path)
    assert code == 0
    assert found["airflow"]["unit"] == "cfm"


def test_watts_go_to_the_unit(ask, job):
    """Power is read at the unit without saying so, in the last trial."""
    path = job("a")
    code, added = ask("reading", path, "--watts", "380", "--volts", "240")
    assert code == 0
    assert added["trial"] == "tr1"
    power, voltage = survey.load(path).trials[0].readings[-2:]
    assert (power.at, power.quantity, power.value, power.unit) == ("unit", "power", 380.0, "w")
    assert (voltage.at, voltage.quantity, voltage.value) == ("unit", "voltage", 240.0)


def test_a_new_trial_has_its_condition(ask, job):
    """A condition makes a new trial."""
    path = job("b")
    code, added = ask(
        "reading", path, "--at", "return", "--static", "0.27", "--condition", "filter:f1=out"
    )
    assert code == 0
    assert added["trial"] == "tr3"
    assert survey.load(path).trials[-1].condition == {"filter:f1": "out"}


def test_a_doubtful_reading_is_asked_about(ask, refused, job):
    """Pascals in a field of inches are asked about; ``--keep`` takes what is possible."""
    path = job("a")
    error = refused("reading", path, "--at", "supply", "--static", "170")
    assert error["suggestion"] == "0.68"
    assert refused("reading", path, "--at", "supply", "--static", "1.8")["kind"] == "DoubtError"
    assert ask("reading", path, "--at", "supply", "--static", "1.8", "--keep")[0] == 0
    assert survey.load(path).trials[0].readings[-1].typed == "1.8"


def test_a_refused_reading_leaves_the_file_alone(refused, job):
    """A reading that cannot be right changes nothing in the file."""
    path = job("a")
    before = path.read_bytes()
    refused("reading", path, "--at", "return", "--static", "about three")
    refused("reading", path, "--at", "nowhere", "--static", "0.3")
    refused("reading", path, "--static", "0.3")
    refused("reading", path)
    refused("reading", path, "--at", "return", "--static", "0.3", "--trial", "tr9")
    refused("reading", path, "--at", "return", "--static", "0.3", "--condition", "wet")
    refused(
        "reading", path, "--at", "return", "--static", "0.3", "--condition", "run:zz=pulled-open"
    )
    refused("reading", path, "--at", "return", "--static", "0.3", "--corrects", "rd99")
    assert path.read_bytes() == before


def test_an_existing_job_is_not_written_over(refused, job):
    """``--save`` never replaces a file."""
    path = job("a")
    before = path.read_bytes()
    error = refused(*FIRST, "--save", path)
    assert error["where"] == "--save"
    assert path.read_bytes() == before


def test_findings_for_people(say, job):
    """Findings say what each part takes, what it is worth, criteria with sources, cautions."""
    code, out, err = say("findings", job("b"))
    assert (code, err) == (0, "")
    for words in (
        "Static along the air's way", "What each part takes", "Criteria",
        "These readings cannot show:", "Caution, CO: leave, then call", "Panned return",
    ):  # fmt: skip
        assert words in out
    assert max(len(line.rstrip()) for line in out.splitlines()) <= 80


# --- forecast ------------------------------------------------------------------------------------

CHANGES = [
    ("a", ["--filter", "f1,f2=20x25:media-4in-merv11"], 0.0),
    ("a", ["--grille", "g1=20x30"], -1.0),
    ("a", ["--add-return", "20x20:14:12ft"], 0.0),
    ("a", ["--enlarge", "r1=8"], 10.0),
    ("a", ["--tighten", "all"], 20.0),
    ("a", ["--tighten", "r1,r2"], 5.0),
    ("a", ["--add-run", "6:20ft"], 20.0),
    ("c", ["--add-run", "7:20 ft@t1"], -5.0),
    ("a", ["--register", "r1=6x12"], -5.0),
    ("a", ["--tap", "5"], 50.0),
    ("a", ["--change", '{"kind": "tap", "targets": ["unit"], "to": {"tap": "5"}}'], 50.0),
    ("b", ["--filter", "f1=20x25"], 20.0),
    ("b", ["--filter", "f1=media-4in-merv11"], 20.0),
    ("c", ["--tap", "1600"], 200.0),
]


@pytest.mark.parametrize(("letter", "change", "least"), CHANGES)
def test_every_change_has_a_forecast(ask, job, letter, change, least):
    """Each kind of change is forecast with both flows and their change, in the right direction."""
    code, document = ask("forecast", job(letter), *change)
    assert code == 0, document
    for name in ("airflow", "delivered", "tesp", "airflow_change", "delivered_change"):
        assert document[name]["low"] <= document[name]["value"] <= document[name]["high"]
    assert document["airflow_change"]["value"] > least
    assert document["sentence"]


def test_a_pulled_run_helps_the_blower_and_robs_the_rooms(ask, job):
    """A run pulled open: more through the blower, less to the rooms."""
    code, document = ask("forecast", job("a"), "--pull", "r6=open")
    assert code == 0
    assert document["airflow_change"]["value"] > 0 > document["delivered_change"]["value"]


def test_a_capped_run_takes_from_both(ask, job):
    """A run pulled and capped leaves less of both flows."""
    code, document = ask("forecast", job("a"), "--pull", "r6=capped")
    assert code == 0
    assert document["airflow_change"]["value"] < 0
    assert document["delivered_change"]["value"] < 0


def test_an_exchanged_fitting(ask, job):
    """A mitred elbow exchanged for a smooth one gives its run more air."""

    from inchwater.parts.fittings import FITTINGS

    mitred = next(key for key in FITTINGS if "mitred" in key and "90" in key)
    smooth = next(key for key in FITTINGS if "smooth" in key and "90" in key)

    def known(document):
        for branch in document["survey"]["supply"]["branches"]:
            branch["duct"]["fittings"] = [mitred, mitred]

    code, document = ask("forecast", job("a", known), "--fitting", f"r1:{mitred}>{smooth}")
    assert code == 0, document
    assert document["delivered_change"]["value"] > 0


def test_a_forecast_for_people(say, job):
    """The forecast says now, after and the change, and the cautions of the act."""
    code, out, err = say("forecast", job("a"), "--tighten", "all", "--si")
    assert (code, err) == (0, "")
    for words in ("Now and after", "Through the blower", "Air to each run", "Caution, ", "L/s"):
        assert words in out


@pytest.mark.parametrize(
    "change",
    [
        [],
        ["--filter", "f9=20x25"],
        ["--filter", "f1"],
        ["--filter", "f1=20x25:no-such-grade"],
        ["--grille", "g1=20"],
        ["--grille", "g1=0x20"],
        ["--add-return", "20x20:14:12ft:9"],
        ["--add-return", "big"],
        ["--enlarge", "r1=-8"],
        ["--enlarge", "r99=8"],
        ["--enlarge", "r1="],
        ["--tighten", "r99"],
        ["--tighten", ""],
        ["--add-run", "6"],
        ["--add-run", "6:20ft@nowhere"],
        ["--add-run", "6:nan"],
        ["--fitting", "r1:old"],
        ["--fitting", "r1:no-such>elbow"],
        ["--register", "r1=6xinf"],
        ["--tap", "99"],
        ["--pull", "r1=half"],
        ["--pull", "r99=open"],
        ["--condition", "filter:f9=out"],
        ["--change", "not json"],
        ["--change", "[]"],
        ["--change", '{"kind": "dance"}'],
        ["--change", '{"kind": "enlarge-run", "targets": ["r1"], "to": {"diameter": 8}}'],
        ["--change", '{"kind": "enlarge-run", "targets": "r1", "to": {}}'],
        ["--tap", "5", "--seed", "x"],
    ],
)
def test_a_change_that_cannot_be(refused, job, change):
    """A change that cannot be read or done is refused in four fields."""
    refused("forecast", job("a"), *change)


@pytest.mark.parametrize("typed", ["{", "not json", "[]"])
def test_a_change_that_is_no_json_speaks_of_no_file(refused, job, typed):
    """It names the option and its form; nobody chose a file here."""
    error = refused("forecast", job("a"), "--change", typed)
    assert (error["where"], error["came"], error["right"], error["do"]) == (
        "--change",
        repr(typed),
        'JSON with kind, targets and to, as in {"kind": "tap", "to": {"tap": "5"}}',
        "'inchwater schema' has the form of a change.",
    )


# --- bad input -----------------------------------------------------------------------------------


def first(**changed):
    """The first example with some values changed."""
    values = {"return-static": "0.29", "supply-static": "0.42", "capacity": "2.5"} | {
        key.replace("_", "-"): value for key, value in changed.items()
    }
    return ["airflow", *(part for key, text in values.items() for part in (f"--{key}={text}",))]


@pytest.mark.parametrize(
    "text", ["", "  ", "abc", "nan", "inf", "-inf", "1e400", "99999", "0.29 m"]
)
@pytest.mark.parametrize("field", ["return_static", "supply_static"])
def test_a_static_that_cannot_be(refused, field, text):
    """Empty, text, NaN, infinite, huge, of another kind: refused by the name of its field."""
    error = refused(*first(**{field: text}))
    assert error["where"] == field.replace("_", " ").capitalize()


@pytest.mark.parametrize("text", ["", "abc", "nan", "inf", "0", "-3", "1e400", "400", "3 in"])
def test_a_capacity_that_cannot_be(refused, text):
    """Empty, text, NaN, infinite, zero, negative, huge capacity is refused."""
    assert refused(*first(capacity=text))["where"] == "Capacity"


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("altitude_ft", "high"),
        ("altitude_ft", "99999"),
        ("volts", "-240"),
        ("volts", "12"),
        ("watts", "many"),
        ("watts", "nan"),
        ("unit", "toaster"),
        ("motor", "steam"),
        ("supply_at", "roof"),
        ("supply_at", "before-coil"),
        ("pressure_unit", "bar"),
        ("table_includes", "coil-dry"),
        ("tap", "3"),
        ("seed", "one"),
        ("filter", "wide"),
        ("filter", "20"),
        ("filter", "20x25:no-such-grade"),
        ("runs", "some pipes"),
        ("runs", ""),
    ],
)
def test_an_option_that_cannot_be(refused, field, text):
    """Every other option refuses what it cannot take."""
    refused(*first(**{field: text}))


def test_pascals_typed_as_inches(refused, say):
    """150 in a field of inches is asked about, in the words of the page; the exit code is 2."""
    error = refused(*first(supply_static="150"))
    assert error == {
        "kind": "DoubtError",
        "where": "Supply static",
        "came": "150",
        "right": "Ducts show 0.05–1.5 in. w.c.",
        "do": "150 Pa is 0.60. Use 0.60 / Keep 150",
        "suggestion": "0.60",
        "other": "",
        "keep": "150",
    }
    code, out, err = say(*first(supply_static="150"))
    assert (code, out) == (2, "")
    assert err == (
        "Supply static: 150 came. Ducts show 0.05–1.5 in. w.c. 150 Pa is 0.60. "
        "Use 0.60 / Keep 150\n"
        "Type what is right, or add --keep to use it as typed.\n"
    )


def test_what_cannot_be_kept_is_not_offered_so(say, job):
    """No ``--keep`` is advised where a number cannot be used as typed, nor where there is none."""
    assert say(*first(capacity="36000")) == (
        2,
        "",
        "Capacity: 36000 came. Units run from 0.5 to 10 ton. 36000 Btu/h is 3. Use 3, or type the "
        "unit.\n",
    )
    assert say(*first(supply_static="-0.42")) == (
        2,
        "",
        "Supply static: −0.42 came. Static on the supply side is positive. Check that the two "
        "tubes were not swapped. Use 0.42, or read again.\n",
    )
    code, out, err = say("forecast", job("a"), "--enlarge", "r1=200")
    assert (code, out) == (2, "")
    assert err == (
        "--enlarge: 200 in came. Ducts run from 3.1 to 43 in. 200 mm is 7.87. Use 7.87, or type "
        "the unit.\n"
    )


def test_the_unit_of_a_return_with_a_minus_is_kept(ask, tmp_path):
    """A typed unit belongs to the number, whatever its sign."""
    path = tmp_path / "minus.json"
    assert ask(*first(return_static="-72 Pa"), "--save", path)[0] == 0
    kept = survey.load(path).trials[0].readings[0]
    assert (kept.typed, kept.unit, kept.value) == ("-72 Pa", "pa", -72.0)


def test_tons_are_typed_as_a_plate_prints_them(ask):
    """``2 1/2`` is two and a half tons."""
    ways = [ask(*first(capacity=text))[1]["airflow"] for text in ("2.5", "2 1/2", "2½ tons")]
    assert ways[0] == ways[1] == ways[2]


@pytest.mark.parametrize(
    ("change", "note"),
    [
        (
            ("--enlarge", "r1=4"),
            "r1, 6 in, with 4 in: a duct that is enlarged has more area than before. Check the "
            "size.",
        ),
        (
            ("--register", "r1=40x40"),
            "a register of 40 × 40 in on r1, 6 in: a register is seldom less than half, or more "
            "than 8 times, its duct. Check both sizes, and keep them if they are so.",
        ),
        (
            ("--tighten", "r2"),
            "r2: what is asked for is there already, so this changes nothing. Choose something "
            "else, or leave it out.",
        ),
    ],
)
def test_a_change_that_is_worth_a_question(ask, tmp_path, change, note):
    """It is answered, and the doubt stands first among what has to be known beside the numbers."""
    path = tmp_path / "runs.json"
    lines = "one 6-inch, 25 ft, slack flex; one 6-inch, 25 ft, tight flex"
    assert ask(*first(runs=lines), "--save", path)[0] == 0
    code, after = ask("forecast", path, *change)
    assert code == 0
    assert after["notes"][0] == note


@pytest.mark.parametrize(
    ("line", "text"),
    [
        (
            "airflow --table {table} --tap B",
            "--tap: 'B' came; the table has taps 3. Choose one of them, or add the cells of this "
            "tap.",
        ),
        (
            "airflow --supply-at before-coil",
            "--supply-at: before-coil came; an air handler has its coil inside the cabinet, so "
            "there is no test point between blower and coil. Read in the supply plenum, after the "
            "unit, and say after-coil.",
        ),
        (
            "airflow --table {table} --tap 3 --table-includes coil-dry,coil-wet",
            "--table-includes: coil-dry and coil-wet came; a table was made with the coil dry or "
            "with the coil wet. Keep the one that the table's heading or notes say.",
        ),
        (
            "airflow --table /",
            "--table: '/' came; a file that can be read is wanted (Is a directory). Check the "
            "path.",
        ),
        (
            "airflow --save {folder}/none/job.json",
            "--save: {folder}/none/job.json came; a file in a folder that is there is wanted. Make "
            "the folder first, or choose another.",
        ),
        (
            "demo a --save {folder}/none/a.json",
            "--save: {folder}/none/a.json came; a file in a folder that is there is wanted. Make "
            "the folder first, or choose another.",
        ),
        (
            "forecast {bare} --tighten r9",
            "--tighten: a survey without runs came; a change of kind tighten-run needs the runs "
            "that exist. Add the runs first; one line such as 'seven 6-inch, about 25 ft' is "
            "enough.",
        ),
        (
            "forecast {bare} --tap 5",
            "--tap: '5' came; without a blower table the taps of this unit are not known. Add two "
            "cells of the table for this tap first, around the reading.",
        ),
        (
            "forecast {bare} --grille g1=20x20",
            "--grille: a survey without returns came; a change of kind grille needs to know them. "
            "Add the returns first, one line each.",
        ),
        (
            "forecast {bare} --fitting r1:a>b",
            "--fitting: 'r1' came; no part is known yet that fitting can be done to. Correct it "
            "and run it again; 'inchwater forecast --help' shows what it takes.",
        ),
        (
            "forecast {bare} --condition filter:f9=out",
            "--condition: 'f9' came; this survey has none of them yet. Add the part to the survey "
            "first.",
        ),
        (
            "forecast {bare} --tighten",
            "--tighten: nothing came; a value is wanted behind it. Correct it and run it again; "
            "'inchwater forecast --help' shows what it takes.",
        ),
        (
            "reading {bare} --at return --static 0.3 --condition filter:f9=out",
            "--condition: 'filter:f9' came; no filter is known yet. Add the filter first.",
        ),
        (
            "reading {bare} --at return --static 0.3 --after ch9",
            "--after: 'ch9' came; no change is made yet. Correct it and run it again; 'inchwater "
            "reading --help' shows what it takes.",
        ),
        (
            "reading {bare} --at return --watts 300",
            "--at: power at return came; power is read at unit. Correct it and run it "
            "again; 'inchwater reading --help' shows what it takes.",
        ),
        (
            "reading {bare} --at unit --static 0.3",
            "--at: static at unit came; a static pressure needs its test point: before-filter, "
            "return, before-coil, supply. Add it: --at return.",
        ),
        (
            "describe {b} tap=zz",
            "Tap in use: 'zz' came; the table has taps high, med-high, med, low. Choose one of "
            "them, or add the cells of this tap.",
        ),
        (
            "describe {b} tap=zz motor=psc",
            "Tap in use: 'zz' came; the table has taps high, med-high, med, low. Choose one of "
            "them, or add the cells of this tap.",
        ),
        (
            "describe {b} filter_at=grille",
            "Filter sits: before-filter came; this system has no filter at the unit, so there is "
            "no place before it. Read at the return, or add the filter at the unit.",
        ),
    ],
)
def test_an_error_names_what_was_typed(say, job, tmp_path, line, text):
    """The option or the field, never the place in the job that it fills."""
    table, bare = tmp_path / "table.csv", tmp_path / "bare.json"
    table.write_text("tap,tesp_inwc,airflow_cfm\n3,0.3,1000\n3,0.5,950\n3,0.8,850\n", "utf-8")
    unit = survey.Unit("air-handler", survey.Fact(2.5, "ton"))
    trial = survey.Trial("t1", readings=(survey.Reading("r", "return", "static", "1", "pa", -1.0),))
    survey.save(survey.Job("bare", survey.Survey(unit), trials=(trial,)), bare)
    names = {"table": table, "bare": bare, "folder": tmp_path, "b": job("b")}
    words = [word.format(**names) for word in line.split()]
    if words[0] == "airflow":
        words = [*first(), *words[1:]]
    code, out, err = say(*words)
    assert (code, out) == (2, "")
    assert err == text.format(**names) + "\n"


def test_a_doubt_can_be_kept(ask, refused):
    """``--keep`` answers the doubt: a high but possible static is used as typed."""
    assert refused(*first(supply_static="1.8"))["kind"] == "DoubtError"
    code, document = ask(*first(supply_static="1.8"), "--keep")
    assert code == 0
    assert document["supply_static"]["value"] > 1.2


def test_what_was_typed_is_kept_in_doubt(refused, tmp_path):
    """``--save`` keeps what was typed although the answer is refused."""
    path = tmp_path / "doubt.json"
    error = refused(*first(supply_static="1.8"), "--save", path)
    assert str(path) in error["do"]
    assert [one.typed for one in survey.load(path).trials[0].readings] == ["0.29", "1.8"]


def test_the_rest_is_kept_when_one_field_is_wrong(refused, ask, tmp_path):
    """One field that cannot be read does not lose the others; it can be added afterwards."""
    path = tmp_path / "rest.json"
    error = refused(*first(supply_static="o.42", watts="300"), "--save", path)
    assert error["where"] == "Supply static"
    assert str(path) in error["do"]
    kept = survey.load(path).trials[0].readings
    assert [(one.at, one.typed) for one in kept] == [("return", "0.29"), ("unit", "300")]
    assert ask("reading", path, "--at", "supply", "--static", "0.42")[0] == 0
    assert ask("findings", path)[0] == 0


BAD_TABLES = {
    "rising": "tap,tesp_inwc,airflow_cfm\n3,0.5,700\n3,0.6,750\n3,0.7,800\n",
    "hole": "tap,tesp_inwc,airflow_cfm\n3,0.5,800\n3,0.6,\n3,0.7,700\n",
    "empty": "",
    "blank": "\n\n",
    "header only": "tap,tesp_inwc,airflow_cfm\n",
    "one cell": "tap,tesp_inwc,airflow_cfm\n3,0.5,800\n",
    "binary": bytes(range(256)) * 8,
    "picture": b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00",
    "wrong columns": "speed,pressure,flow\n3,0.5,800\n3,0.6,750\n",
    "text in a cell": "tap,tesp_inwc,airflow_cfm\n3,0.5,eight hundred\n3,0.6,750\n",
    "nan in a cell": "tap,tesp_inwc,airflow_cfm\n3,0.5,nan\n3,0.6,750\n",
    "negative": "tap,tesp_inwc,airflow_cfm\n3,0.5,-800\n3,0.6,-850\n",
    "twice": "tap,tesp_inwc,airflow_cfm\n3,0.5,800\n3,0.5,790\n3,0.6,750\n",
    "too wide": "tap,tesp_inwc,airflow_cfm\n3,0.5,800,1,2,3,4\n3,0.6,750\n",
}


@pytest.mark.parametrize("kind", BAD_TABLES)
def test_a_table_that_cannot_be(refused, table, kind):
    """A table that rises, has a hole, is empty, no text or no table is refused."""
    refused(*FIRST, "--table", table(BAD_TABLES[kind]), "--tap", "3")


def test_a_table_that_is_not_there(refused, tmp_path):
    """A missing table, and a folder in its place, are refused."""
    refused(*FIRST, "--table", tmp_path / "none.csv", "--tap", "3")
    refused(*FIRST, "--table", tmp_path, "--tap", "3")


def test_an_unknown_tap(refused, table):
    """A tap that the table does not have is refused with those that it has."""
    error = refused(*FIRST, "--table", table(), "--tap", "blue")
    assert error["came"] == "'blue'"
    assert "3, 2" in error["right"]


@pytest.mark.parametrize("words", ["everything", "coil-dry,coil-wet", "", "none,filter"])
def test_a_boundary_that_cannot_be(refused, table, words):
    """Unknown, contradicting or empty boundaries are refused."""
    refused(*FIRST, "--table", table(), "--tap", "3", f"--table-includes={words}")


def test_a_reading_outside_the_table(refused, table):
    """A pressure far beyond the last column is refused, not extrapolated."""
    short = table("tap,tesp_inwc,airflow_cfm\n3,0.1,1000\n3,0.2,960\n")
    refused(*FIRST, "--table", short, "--tap", "3", "--table-includes", "none")


def _zero(document):
    document["survey"]["supply"]["run_like"]["diameter"]["value"] = 0


def _loop(document):
    branch = document["survey"]["supply"]["branches"][0]
    branch["branches"] = [{"id": branch["id"]}]


def _version(document):
    document["version"] = 99


def _format(document):
    document["format"] = "something-else"


def _twinned(document):
    document["survey"]["unit"]["count"] = 2


def _null(document):
    document["survey"]["unit"]["tap"] = None


def _key(document):
    document["survey"]["unit"]["colour"] = "blue"


@pytest.mark.parametrize("edit", [_zero, _loop, _version, _format, _twinned, _null, _key])
@pytest.mark.parametrize("command", ["findings", "forecast", "reading"])
def test_a_job_that_cannot_be(refused, job, command, edit):
    """A zero-size or looped run, a wrong version or format, twinned units, a null: refused."""
    more = {"forecast": ["--tap", "5"], "reading": ["--at", "return", "--static", "0.3"]}
    refused(command, job("a", edit), *more.get(command, []))


@pytest.mark.parametrize(
    "content",
    [b"", b"{", b"[]", b"3", b"null", bytes(range(256)), b'{"format": NaN}', b"[" * 100_000],
    ids=["empty", "cut", "list", "number", "null", "binary", "nan", "nested"],
)
def test_a_file_that_is_no_job(refused, tmp_path, content):
    """What is not a job file is refused, whatever it is."""
    path = tmp_path / "job.json"
    path.write_bytes(content)
    refused("findings", path)


def test_fifty_megabytes_are_refused_unread(refused, tmp_path):
    """A file of 50 MB is refused for its size."""
    path = tmp_path / "large.json"
    with path.open("wb") as file:
        file.truncate(50_000_000)
    assert refused("findings", path)["came"] == "50 MB"
    refused(*FIRST, "--table", path, "--tap", "3")


def test_a_job_without_readings(refused, job):
    """A job in which nothing was read has no findings and no forecast."""

    def edit(document):
        document["trials"] = []

    refused("findings", job("a", edit))
    refused("forecast", job("a", edit), "--tap", "5")


def test_files_that_cannot_be_written(refused, tmp_path):
    """A folder that is not there is named."""
    refused(*FIRST, "--save", tmp_path / "no" / "such" / "job.json")
    refused("demo", "a", "--save", tmp_path / "no" / "demo.json")


@pytest.mark.parametrize(
    "arguments",
    [
        ["airflow"],
        ["airflow", "--capacity", "3"],
        ["airflow", "--colour", "blue"],
        [*FIRST, "more"],
        [*FIRST, "--si=3"],
        ["dance"],
        ["findings"],
        ["demo", "z"],
        ["demo", "--save", "x.json"],
        ["serve", "--port", "many"],
        ["serve", "--port", "65536"],
    ],
)
def test_a_command_that_cannot_be_read(refused, arguments):
    """What the parser of options refuses comes in our form too."""
    refused(*arguments)


def test_a_missing_option_is_named(refused):
    """A missing option says what it is."""
    error = refused(*FIRST[:5])
    assert error == {
        "kind": "InputError",
        "where": "--capacity",
        "came": "nothing",
        "right": "needed: nominal cooling capacity in tons",
        "do": "'inchwater airflow --help' shows what it takes.",
    }


def test_an_error_for_people_is_a_sentence(say, job):
    """Without ``--json`` an error is one sentence on standard error and nothing else."""
    code, out, err = say("findings", "nowhere.json")
    assert (code, out) == (2, "")
    assert err == (
        "job file: 'nowhere.json' came; a file that can be read is wanted "
        "(No such file or directory). Check the path.\n"
    )


def test_a_fault_of_the_program_is_owned(ask, say, monkeypatch):
    """What breaks inside is told as our fault with exit code 1, and traced only when asked."""
    import inchwater.rehearsal

    def broken():
        raise RuntimeError("a spring came loose")

    monkeypatch.setattr(inchwater.rehearsal, "demos", broken)
    code, document = ask("demo")
    assert code == 1
    assert document["error"] == {
        "kind": "FaultError",
        "where": "inchwater",
        "came": "RuntimeError: a spring came loose",
        "right": "this is a fault of the program, not of what was typed",
        "do": "Run 'inchwater --trace ...' again and send what it prints with the job file.",
    }
    assert "Traceback" not in say("demo")[2]
    assert "Traceback" in say("--trace", "demo")[2]


# --- the rest ------------------------------------------------------------------------------------


def test_the_schema_is_json_schema(say):
    """``schema`` prints the schema against which the demos are valid."""
    import jsonschema

    code, out, _ = say("schema")
    assert code == 0
    for job in demos().values():
        jsonschema.validate(survey.job_to_dict(job), json.loads(out))


def test_the_demo_lists_and_tells(say, ask, tmp_path):
    """``demo`` lists three houses; each is found and can be saved as a job."""
    code, document = ask("demo")
    assert code == 0
    assert [one["id"] for one in document["demos"]] == ["a", "b", "c"]
    assert document["demos"][0]["readings"]["supply"] == {"typed": "0.68", "unit": "inwc"}
    path = tmp_path / "c.json"
    code, out, _ = say("demo", "c", "--save", path)
    assert code == 0
    assert "set too low: setting 1600" in " ".join(out.split())
    assert survey.load(path) == demos()["c"]


def test_serve_hands_over_to_the_pages(say, monkeypatch):
    """``serve`` starts the pages with the address, the port and the demo that were asked for."""
    import inchwater.app.server

    asked = {}

    def serve(*, say, **given):
        asked.update(given)
        say("Inchwater is at http://127.0.0.1:8123/")
        say("Stop with Ctrl+C.")

    monkeypatch.setattr(inchwater.app.server, "serve", serve)
    assert say("serve", "--port", "8123", "--demo") == (
        0,
        "Inchwater is at http://127.0.0.1:8123/\nStop with Ctrl+C.\n",
        "",
    )
    assert asked == {"host": "127.0.0.1", "port": 8123, "demo": True, "open_browser": False}
    code, out, err = say("serve", "--json")
    assert (code, json.loads(out)) == (0, {"sentence": "Inchwater is at http://127.0.0.1:8123/"})
    assert err == "Stop with Ctrl+C.\n"


def test_the_readme_example_runs(say):
    """The README's example gives what the README shows: its words, and its numbers within 5 %."""
    text = (ROOT / "README.md").read_text("utf-8")
    blocks = re.findall(r"```\w*\n(?:\$ )?(inchwater airflow [^\n]*)\n(.*?)```", text, re.DOTALL)
    assert blocks, "the README has an example of 'inchwater airflow'"
    number = re.compile(r"\d[\d,]*(?:\.\d+)?")
    for line, shown in blocks:
        code, out, _ = say(*shlex.split(line)[1:])
        assert code == 0
        assert "leaves the blower" in out
        if not shown.strip():
            continue
        words = [" ".join(number.sub("#", one).split()) for one in (shown, out)]
        assert words[0] == words[1]
        printed, made = (
            [float(one.replace(",", "")) for one in number.findall(two)] for two in (shown, out)
        )
        assert printed == pytest.approx(made, rel=0.05)
    assert shlex.split(blocks[0][0]) == ["inchwater", *FIRST]


def python(*arguments):
    """Run Python with the project on its path, wherever the tests were started."""
    return subprocess.run(
        [sys.executable, *arguments],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | {"PYTHONPATH": str(ROOT / "src")},
    )


def test_help_loads_nothing_heavy():
    """``--help`` and ``--version`` come at once: no numbers, no pages are loaded for them."""
    code = (
        "import sys; from inchwater.cli import run\n"
        "for line in (['--help'], ['--version'], ['airflow', '--help']):\n"
        "    assert run(line) == 0\n"
        "heavy = {'numpy', 'scipy', 'django', 'psychrolib', 'jsonschema'}\n"
        "print(sorted(heavy & {name.partition('.')[0] for name in sys.modules}))"
    )
    done = python("-c", code)
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1] == "[]"


def test_every_option_has_a_word_of_help(say):
    """Each command's help names each of its options with an explanation."""
    for command in (
        "airflow",
        "describe",
        "reading",
        "findings",
        "forecast",
        "schema",
        "demo",
        "serve",
    ):
        code, out, _ = say(command, "--help")
        assert code == 0
        assert "--json" in out


def test_the_process_itself_ends_with_two():
    """From outside: one document on standard output, nothing on standard error, exit code 2."""
    done = python("-m", "inchwater.cli", *first(supply_static="150"), "--json")
    assert done.returncode == 2
    assert done.stderr == ""
    assert json.loads(done.stdout)["error"]["suggestion"] == "0.60"


def test_a_pipe_that_closes_is_no_fault():
    """When the reader of a pipe goes away the process ends quietly."""
    code = (
        "import subprocess, sys\n"
        "p = subprocess.Popen([sys.executable, '-m', 'inchwater.cli', 'schema'],"
        " stdout=subprocess.PIPE, stderr=subprocess.PIPE)\n"
        "p.stdout.close(); print(p.stderr.read().decode(), end='')"
    )
    done = python("-c", code)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


# --- describe -------------------------------------------------------------------------------------

HOUSE = (
    "returns_each=hall: grille 20 x 25, 14-inch flex, 12 ft; den: 14 x 20, panned",
    "filters_each=hall: 20 x 25, 1-inch pleated MERV 8, used; unit: 16 x 25 x 4, MERV 11",
    "runs_each=den: 6-inch flex, 25 ft, slack, 2 elbow-90-gored; kitchen: 7-inch metal, 12 ft",
    "trunks=t1: 16 x 8 metal, 20 ft, elbow-90-square",
    "doors=den: undercut 30 x 3/4",
    "calls=cooling high, fan low",
    "calls_how=seen",
    "bypass=damper",
    "bypass_diameter=8",
    "heat_kit_power=10",
    "supply_leak_airflow=120",
    "supply_leak_pressure=25 Pa",
)


def test_a_whole_house_can_be_described_at_the_prompt(say, ask, tmp_path):
    """Every part in the words of the pages, read back from the file, and answered part by part."""
    path = tmp_path / "house.json"
    assert say(*FIRST, "--save", path)[0] == 0
    code, told = ask("describe", path, *HOUSE)
    assert code == 0, told
    assert told["described"]["trunks"] == "t1: 16 × 8 in, 20 ft, metal, elbow-90-square"
    found = survey.load(path).survey
    assert [one.room for one in found.returns] == ["hall", "den"]
    assert [one.at for one in found.filters] == ["grille", "unit"]
    assert found.supply.branches[0].duct.width.value == 16.0
    assert [run.room for run in found.supply.runs] == ["den", "kitchen"]
    assert found.rooms[0].transfers[0].kind == "undercut"
    assert found.bypasses[0].kind == "damper"
    assert found.unit.calls == {"cooling": "high", "fan": "low"}
    assert found.leakage[0].pressure.si == pytest.approx(25.0)
    code, out, err = say("findings", path, "--tree")
    assert (code, err) == (0, "")
    for part in ("Return grille, 20 × 25, hall", "Supply trunk, 16 × 8", "Bypass with its damper"):
        assert part in out


def test_fields_are_listed_with_what_stands_in_them(say, ask, job):
    """Without a field all of them are there, with label, help, choices and their present text."""
    path = job("b")
    code, listed = ask("describe", path)
    assert code == 0
    by_name = {one["name"]: one for one in listed["fields"]}
    assert by_name["return_kind"]["text"] == "panned"
    assert by_name["trunks"]["text"].startswith("t1: 14 in")
    assert "boot-angle" in by_name["run_fittings"]["choices"]
    code, out, _ = say("describe", path)
    assert code == 0
    assert "return_kind: Return is." in out
    assert "    = panned" in out


def test_a_field_without_text_is_unknown_again(ask, job):
    """As a field that is cleared on the pages."""
    path = job("b")
    assert ask("describe", path, "wheel=dusty")[0] == 0
    assert survey.load(path).survey.unit.wheel == "dusty"
    assert ask("describe", path, "wheel=")[0] == 0
    assert survey.load(path).survey.unit.wheel is None


@pytest.mark.parametrize(
    ("fact", "came"),
    [
        ("trunks", "'trunks'"),
        ("colour=blue", "'colour'"),
        ("return_static=0.3", "'return_static'"),
        ("wheel=rusty", "'rusty'"),
        ("runs_each=den: 6-inch fluff", "'fluff'"),
        ("supply_leak_airflow=120", None),
        ("bypass_diameter=8", "8 in"),
    ],
)
def test_a_wrong_fact_leaves_the_job_as_it_was(refused, job, fact, came):
    """Nothing of the line is kept when a part of it cannot be right."""
    path = job("b")
    before = path.read_text("utf-8")
    error = refused("describe", path, "wheel=clean", fact)
    assert came is None or error["came"] == came
    assert path.read_text("utf-8") == before
