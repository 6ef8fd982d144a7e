"""A run's size taken down wrong: at the run, or once for all runs that take it over."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inchwater.findings import check
from inchwater.findings.slips_said import slip_doubts
from inchwater.rehearsal import demos
from inchwater.survey import Fact, Reading
from inchwater.survey.ducts import walked
from tests.solved import read_in


def with_hoods(job):
    """The job with a hood's reading at every register in its first trial."""
    first = job.trials[0]
    hoods = tuple(
        Reading(f"hood-{run.id}", f"register:{run.id}", "airflow", "", "cfm", 0.05)
        for run in job.survey.supply.runs
    )
    first = replace(first, readings=(*first.readings, *hoods))
    return replace(job, trials=(first, *job.trials[1:]))


def one_run_of(survey, run, size):
    """The survey with one run's own diameter. [in]"""

    def of(branch):
        if branch.id != run:
            return branch
        return replace(branch, duct=replace(branch.duct, diameter=Fact(size, "in")))

    return replace(
        survey, supply=replace(survey.supply, branches=walked(survey.supply.branches, of))
    )


def all_runs_of(survey, size):
    """The survey with another diameter said of all its runs. [in]"""
    like = replace(survey.supply.run_like, diameter=Fact(size, "in"))
    return replace(survey, supply=replace(survey.supply, run_like=like))


def told(job):
    return [doubt.text.text() for doubt in slip_doubts(job, check(job))]


def test_a_run_that_takes_its_size_over_is_looked_at_with_that_size():
    """A 9-inch run among seven said to be 6-inch in one line: it may be the next size of its own.

    A size that nobody said of the run itself is not passed over.
    """
    job = with_hoods(demos()["a"])
    assert all(branch.duct.diameter is None for branch, _ in job.survey.supply.walk())
    found = check(read_in(job, one_run_of(job.survey, "r3", 9.0)))
    sizes = [one.slip for one in found.suspects if one.slip.kind == "run-size"]
    assert {(one.places, one.to) for one in sizes} == {
        (("run:r3",), "7-inch"),
        (("run:r3",), "5-inch"),
    }
    assert sizes[0].to == "7-inch"


@pytest.mark.parametrize(
    ("letter", "truly", "hoods"), [("a", 4.0, False), ("b", 4.0, True), ("c", 5.0, True)]
)
def test_the_one_size_said_of_all_runs_is_named_where_it_is_wrong(letter, truly, hoods):
    """Two inches less than the one line says: the line is named, not a reading."""
    job = with_hoods(demos()[letter]) if hoods else demos()[letter]
    found = read_in(job, all_runs_of(job.survey, truly))
    assert told(found) == [
        f"The runs that were described together: the readings fit {truly:g}-inch runs."
    ]
    doubt = next(slip_doubts(found, check(found)))
    assert (doubt.id, doubt.field) == ("slip:runs-size", "runs")
    assert doubt.recheck.startswith("Measure round a few of those ducts")


def test_runs_with_sizes_of_their_own_are_not_said_to_be_alike():
    """Where every run's size was taken down by itself, no one line can be wrong."""
    job = with_hoods(demos()["a"])
    supply = job.survey.supply
    own = replace(supply, branches=supply.runs)
    job = replace(job, survey=replace(job.survey, supply=own))
    found = check(read_in(job, all_runs_of(demos()["a"].survey, 4.0)))
    assert found.odds < 0.05
    assert "runs-size" not in {suspect.slip.kind for suspect in found.suspects}
