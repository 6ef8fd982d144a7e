"""``inchwater next-reading JOB``: the ranked readings for people and as one document."""

import json
from dataclasses import replace

import pytest

from inchwater import survey
from inchwater.rehearsal import demos


@pytest.fixture
def job(tmp_path):
    """Demo B before anybody looked at its filter, as a file."""
    found = demos()["b"]
    filters = tuple(replace(f, condition=None) for f in found.survey.filters)
    first = found.trials[0]
    readings = tuple(r for r in first.readings if r.at in ("return", "supply"))
    found = replace(
        found,
        survey=replace(found.survey, filters=filters),
        trials=(replace(first, readings=readings),),
    )
    path = tmp_path / "job.json"
    survey.save(found, path)
    return path


def test_people_read_what_to_do_first_and_why(say, job):
    """The reading, how it is done, the list with minutes and money, what it settles, cautions."""
    code, out, err = say("next-reading", job)
    assert (code, err) == (0, "")
    text = " ".join(out.split())
    assert text.startswith(
        "Static before the filter, about 4 min. With the filter in. It splits the return side in "
        "two: the duct, and the filter."
    )
    for words in ("Saves", "a min", "Pays", "Enough: stop measuring", "Whether it is", "Caution"):
        assert words in text


def test_the_document_has_every_reading_in_its_order(say, job):
    """One document: money, minutes, place, condition and cautions; the seed fixes all of it."""
    code, out, err = say("next-reading", job, "--json")
    assert (code, err) == (0, "")
    document = json.loads(out)
    assert document["job"] == "demo-b"
    first = document["readings"][0]
    assert first["readings"] == [{"quantity": "static", "at": "before-filter"}]
    assert first["condition"] == {"call": "cooling", "coil": "wet"}
    assert first["pays"] is True
    assert first["value_usd"] > first["minutes"] * 100.0 / 60.0
    assert first["usd_per_minute"] == pytest.approx(first["value_usd"] / first["minutes"])
    assert [one["kind"] for one in document["readings"]].count("enough") == 1
    assert json.loads(say("next-reading", job, "--json")[1]) == document


def test_a_missing_fact_is_said_to_come_first(say, tmp_path):
    """Three numbers: no reading narrows as much as two cells of the table, and it says so."""
    path = tmp_path / "thin.json"
    numbers = ("--return-static", "0.29", "--supply-static", "0.42", "--capacity", "2.5")
    assert say("airflow", *numbers, "--save", path)[0] == 0
    _, out, _ = say("next-reading", path)
    assert "Before any of them: Two cells of the blower table. From the unit's" in " ".join(
        out.split()
    )
    first = json.loads(say("next-reading", path, "--json")[1])["first"]
    assert (first["kind"], first["field"]) == ("cells", "unit.table")


def test_where_nothing_is_missing_nothing_comes_first(say, job):
    """Then the first reading is the next act itself."""
    assert json.loads(say("next-reading", job, "--json")[1])["first"] is None


def test_a_job_without_readings_is_refused(say, tmp_path):
    """There has to be something to weigh; the error says what to do."""
    path = tmp_path / "bare.json"
    survey.save(replace(demos()["a"], trials=()), path)
    code, out, err = say("next-reading", path)
    assert (code, out) == (2, "")
    assert err == (
        "job file: no reading came; what to read next is weighed from the readings of at least "
        "one trial. Add one: 'inchwater reading JOB --at return --static 0.29'.\n"
    )


def test_a_file_that_is_not_there_and_a_bad_seed_are_refused(say, job, tmp_path):
    """As every command: exit code 2, four fields, no trace."""
    for arguments in ((tmp_path / "nowhere.json",), (job, "--seed", "x")):
        code, out, _ = say("next-reading", *arguments, "--json")
        assert code == 2
        error = json.loads(out)["error"]
        assert all(error[field].strip() for field in ("kind", "where", "came", "right", "do"))
