"""The demo jobs as stored: made by the rehearsal, readable as jobs, true to their houses."""

from importlib import resources

import pytest

from inchwater import survey, units
from inchwater.rehearsal import demo, demos, truths

LETTERS = ("a", "b", "c")


def typed(job, trial=0):
    return {one.at: one.typed for one in job.trials[trial].in_force if one.quantity == "static"}


def test_the_stored_demo_is_what_the_rehearsal_makes():
    """Running the rehearsal again writes the same files, to the last byte."""
    stored = resources.files("inchwater.rehearsal").joinpath("data")
    for name, text in demo.documents().items():
        assert stored.joinpath(name).read_text("utf-8") == text, name


@pytest.mark.parametrize("letter", LETTERS)
def test_a_demo_survives_its_document(letter):
    """A demo job is whole and without doubts, and writing it changes nothing."""
    job = demos()[letter]
    assert survey.problems(job) == ()
    assert survey.doubts(job) == ()
    assert survey.job_from_dict(survey.job_to_dict(job)) == job


def test_house_a_reads_what_its_story_says():
    """A reads return 0.09 and supply 0.68 in. w.c., as the README says."""
    assert typed(demos()["a"]) == {"return": "0.09", "supply": "0.68"}


def test_house_b_loses_its_pressure_before_the_blower():
    """B's return static is larger than everything after its blower."""
    read = {point: float(text) for point, text in typed(demos()["b"]).items()}
    assert read["return"] > read["before-coil"] > read["supply"]
    assert read["return"] - read["before-filter"] > 0.3


def test_the_statics_of_house_c_look_fine():
    """C stays far below its plate's 0.5 in. w.c., and its watts are not those of the 1600 row."""
    job = demos()["c"]
    assert sum(float(text) for text in typed(job).values()) < 0.3
    power = next(one.value for one in job.trials[0].in_force if one.quantity == "power")
    rows = [row for row in job.survey.unit.table.rows if row.tap == "1600"]
    assert power < 0.8 * min(row.power for row in rows)


@pytest.mark.parametrize("letter", LETTERS)
def test_readings_lie_as_far_from_the_truth_as_gauges_do(letter):
    """Each reading is near the true static, as far off as jets, zero and gain go."""
    job, truth = demos()[letter], truths()[letter]
    for trial in job.trials:
        true = truth["trials"][trial.id]["static_pa"]
        for one in trial.in_force:
            if one.quantity == "static":
                off = units.from_si(abs(one.value - true[one.at]), "inwc")
                assert 0.0 < off < 0.04, (trial.id, one.at)
