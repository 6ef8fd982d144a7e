"""Older job files, each version with a stored sample."""

from __future__ import annotations

import copy
import json
from pathlib import Path

import pytest

from inchwater.errors import FormatError
from inchwater.survey import job_from_dict, job_to_dict, load
from inchwater.survey.migrations import MIGRATIONS, VERSION, migrated

SAMPLES = Path(__file__).parent / "samples"


def sample(version: int) -> dict:
    """The stored sample of a version as a document."""
    return json.loads((SAMPLES / f"job-v{version}.json").read_text("utf-8"))


def test_every_older_version_has_a_migration_and_every_version_a_sample():
    """No version is forgotten."""
    assert sorted(MIGRATIONS) == list(range(VERSION))
    assert {path.name for path in SAMPLES.glob("job-v*.json")} == {
        f"job-v{version}.json" for version in range(VERSION + 1)
    }


@pytest.mark.parametrize("version", range(VERSION + 1))
def test_a_stored_sample_of_each_version_loads(version):
    """Each loads, and what is written of it is of the current version and loads as the same job."""
    job = load(SAMPLES / f"job-v{version}.json")
    written = job_to_dict(job)
    assert written["version"] == VERSION
    assert job_from_dict(written) == job


def test_version_0_becomes_what_version_1_becomes():
    """Both samples describe one system: the draft's document becomes the other one, key by key."""
    assert migrated(sample(0)) == migrated(sample(1))
    assert load(SAMPLES / "job-v0.json") == load(SAMPLES / "job-v1.json")


@pytest.mark.parametrize("version", [1, 2, 3, 4, 5, 6])
def test_an_older_version_becomes_the_current_one_by_its_number_alone(version):
    """Every key of versions 1 to 6 means today what it meant."""
    assert migrated(sample(version)) == {**sample(version), "version": VERSION}


def test_a_run_of_version_1_may_have_an_empty_list_below_it():
    """It stays a run; version 2 calls it a trunk without runs."""
    given = sample(1)
    branches = given["survey"]["supply"]["branches"]
    branches[0]["branches"] = []
    branches[1]["branches"] = [{"id": "r3", "branches": []}]
    found = migrated(given)["survey"]["supply"]["branches"]
    assert found == [{"id": "r1", "room": "den"}, {"id": "r2", "branches": [{"id": "r3"}]}]


@pytest.mark.parametrize(
    ("branches", "text"),
    [
        (["r1"], "survey.supply.branches[0]: 'r1' came; an object is wanted."),
        (
            [{"id": "r1", "branches": 3}],
            "survey.supply.branches[0].branches: 3 came; a list is wanted.",
        ),
        ({"id": "r1"}, "survey.supply.branches: {'id': 'r1'} came; a list is wanted."),
    ],
)
def test_a_broken_supply_of_version_1_is_the_schemas_to_refuse(branches, text):
    """It says what is wrong where, as in a document of today."""
    given = sample(1)
    given["survey"]["supply"]["branches"] = branches
    with pytest.raises(FormatError) as caught:
        job_from_dict(given)
    assert str(caught.value) == text


@pytest.mark.parametrize("survey", [3, {}, {"supply": []}])
def test_a_broken_survey_of_version_1_is_refused_as_one_of_today(survey):
    """The same words, whatever the version says."""
    texts = set()
    for version in (1, 2):
        with pytest.raises(FormatError) as caught:
            job_from_dict({**sample(1), "version": version, "survey": survey})
        texts.add(str(caught.value))
    assert len(texts) == 1


def test_a_migration_leaves_the_given_document_alone():
    """Migrating is a function of its input, nothing else."""
    given = sample(0)
    kept = copy.deepcopy(given)
    migrated(given)
    assert given == kept


def test_every_state_of_a_part_in_version_0_has_its_word():
    """Coil and filter inside become words, outside becomes none, unknown stays unknown."""
    given = sample(0)
    table = given["survey"]["unit"]["table"]
    table["includes"] = {"coil:c1": "wet", "filter:f1": "yes", "heater:h1": "yes"}
    words = migrated(given)["survey"]["unit"]["table"]["includes"]
    assert words == ["coil-wet", "filter", "heater"]
    table["includes"] = {"coil:c1": "no", "filter:f1": "no", "heater:h1": "no"}
    assert migrated(given)["survey"]["unit"]["table"]["includes"] == []
    del table["includes"]
    assert "includes" not in migrated(given)["survey"]["unit"]["table"]


@pytest.mark.parametrize(
    ("change", "text"),
    [
        (
            {"version": 8},
            "version: 8 came; this Inchwater reads versions up to 7. "
            "Update Inchwater, then open the file again.",
        ),
        ({"version": -1}, "version: -1 came; a whole number from 0 to 7 is wanted."),
        ({"version": "1"}, "version: '1' came; a whole number from 0 to 7 is wanted."),
        ({"version": True}, "version: True came; a whole number from 0 to 7 is wanted."),
        ({"version": 1.5}, "version: 1.5 came; a whole number from 0 to 7 is wanted."),
        (
            {"format": "other"},
            "format: 'other' came; a job file says 'inchwater-job' here. "
            "Choose a file that Inchwater saved.",
        ),
        (
            {"survey": {"units": []}},
            "job file: a document that is not of version 0 inside came; a file of version 0 has "
            "the form of that version throughout. "
            "Choose the file as it was saved, before anybody edited it.",
        ),
        (
            {
                "survey": {
                    "unit": {"table": {"includes": {"coil:c1": "damp"}}},
                }
            },
            "survey.unit.table.includes.coil:c1: 'damp' came; version 0 says dry, wet or no of a "
            "coil, yes or no of a filter or heater.",
        ),
    ],
)
def test_what_cannot_be_migrated_is_refused(change, text):
    """Newer versions, other formats and documents that are not what they say."""
    with pytest.raises(FormatError) as caught:
        migrated({**sample(0), **change})
    assert str(caught.value) == text


@pytest.mark.parametrize(("key", "right"), [("format", "a job file says"), ("version", "a whole")])
def test_a_document_without_format_or_version_is_no_job(key, right):
    """Both have to stand there; nothing is guessed."""
    given = sample(0)
    del given[key]
    with pytest.raises(FormatError) as caught:
        migrated(given)
    assert str(caught.value).startswith(f"{key}: nothing came; {right}")
