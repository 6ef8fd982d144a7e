"""``inchwater reading`` with readings of every kind: their places, their units, their errors."""

from __future__ import annotations

import json

import pytest

from inchwater import survey
from inchwater.cli.frame import run
from inchwater.rehearsal import demos
from inchwater.units import to_si


@pytest.fixture
def job(tmp_path):
    """A demo job as a file."""
    path = tmp_path / "a.json"
    survey.save(demos()["a"], path)
    return path


@pytest.fixture
def say(capsys):
    """Run a command line; gives its exit code and the document that it prints."""

    def said(*arguments):
        code = run([*(str(one) for one in arguments), "--json"])
        return code, json.loads(capsys.readouterr().out)

    return said


def parts(path):
    """Ids of the first run, return and filter of a job."""
    found = survey.load(path).survey
    return {
        "run": found.supply.runs[0].id,
        "return": survey.grilles_of(found)[0].id,
        "filter": found.filters[0].id,
    }


@pytest.mark.parametrize(
    ("words", "at", "quantity", "value", "unit"),
    [
        ("--at run:{run} --static 0.03", "run:{run}", "static", to_si(0.03, "inwc"), "inwc"),
        ("--at run:{run} --static=-0.01", "run:{run}", "static", -to_si(0.01, "inwc"), "inwc"),
        ("--at return:{return} --static 0.04", "return:{return}", "static",
         -to_si(0.04, "inwc"), "inwc"),
        ("--at return:{return} --static=-12Pa", "return:{return}", "static", -12.0, "pa"),
        ("--at filter:{filter} --drop 0.21", "filter:{filter}", "drop",
         to_si(0.21, "inwc"), "inwc"),
        ("--at filter:{filter} --drop 52 --pressure-unit pa", "filter:{filter}", "drop",
         52.0, "pa"),
        ("--at register:{run} --airflow 85", "register:{run}", "airflow", to_si(85, "cfm"), "cfm"),
        ("--at grille:{return} --airflow 400L/s", "grille:{return}", "airflow", 0.4, "ls"),
        ("--airflow 1100", "unit", "airflow", to_si(1100, "cfm"), "cfm"),
        ("--rise 36 --condition call=heating --trial new", "unit", "temperature-rise", 20.0,
         "degf_rise"),
        ("--rise 20K --condition call=heating --trial new", "unit", "temperature-rise", 20.0,
         "k_rise"),
        ("--speed 845", "unit", "speed", to_si(845, "rpm"), "rpm"),
        ("--watts 0.41kW", "unit", "power", 410.0, "kw"),
    ],
)  # fmt: skip
def test_a_reading_of_every_kind_is_added(say, job, words, at, quantity, value, unit):
    """With its place, its sign and the unit that was typed."""
    ids = parts(job)
    code, document = say("reading", job, *words.format(**ids).split())
    assert code == 0, document
    (id_,) = document["added"]
    (added,) = [
        r for t in survey.load(job).trials for r in t.readings if r.id == id_ and r.at != "?"
    ]
    assert (added.at, added.quantity, added.unit) == (at.format(**ids), quantity, unit)
    assert added.value == pytest.approx(value)


@pytest.mark.parametrize(
    ("words", "text"),
    [
        (
            "--drop 0.2",
            "--at: nothing came; a drop needs the part that it was read across: filter:<id> or "
            "coil:<id>. Add it: --at filter:f1.",
        ),
        (
            "--at filter:{filter} --drop 52",
            "Drop at filter:{filter}: 52 in. w.c. came; drops across filters and coils run from 0 "
            "to 2 in. w.c. 52 Pa is 0.209. Use 0.209, or type the unit.",
        ),
        (
            "--rise 36",
            "--rise: a temperature rise in a trial with the call cooling came; the heat is known "
            "in a full heating call only: the plate prints it for that. "
            "Read it in a heating call, all stages on, and say call heating.",
        ),
        (
            "--at register:r99 --airflow 80",
            "--at: 'register:r99' came; the runs are {runs}. Add the run first.",
        ),
    ],
)
def test_what_cannot_be_a_reading_is_refused_in_words(say, job, words, text):
    """The option is named, and nothing is written."""
    before = job.read_bytes()
    ids = parts(job) | {"runs": ", ".join(r.id for r in survey.load(job).survey.supply.runs)}
    code, document = say("reading", job, *words.format(**ids).split())
    error = document["error"]
    assert code == 2
    said = f"{error['where']}: {error['came']} came; {error['right'].rstrip('.')}. {error['do']}"
    assert said.startswith(text.format(**ids))
    assert job.read_bytes() == before


def test_findings_hold_with_readings_of_every_kind(say, job):
    """A hood, a drop and a run's static beside the statics give an answer."""
    ids = parts(job)
    for words in (
        "--at register:{run} --airflow 85",
        "--at filter:{filter} --drop 0.2",
        "--at run:{run} --static 0.06",
    ):
        assert say("reading", job, *words.format(**ids).split())[0] == 0
    code, document = say("findings", job)
    assert code == 0
    assert document["airflow"]["value"] > 0.0


def test_what_is_kept_and_not_used_is_said(say, tmp_path, capsys):
    """Watts without a table: in the short answer, in the findings, and in the document."""
    numbers = ["--return-static", "0.29", "--supply-static", "0.42", "--capacity", "2.5"]
    path = tmp_path / "kept.json"
    code, document = say("airflow", *numbers, "--watts", "300", "--save", path)
    assert code == 0
    why = (
        "300 W at the unit is kept and not used: there is no blower table yet. With a table that "
        "prints watts it counts."
    )
    assert [one["text"] for one in document["not_used"]] == [why]
    assert document["next_readings"][0]["title"]
    for words in (["airflow", *numbers, "--watts", "300"], ["findings", str(path)]):
        assert run(words) == 0
        assert why in " ".join(capsys.readouterr().out.split())
