"""Questions about the survey that an answer asks: their words, and silence where all is well."""

from __future__ import annotations

from dataclasses import replace

from inchwater.findings.described import described_doubts
from inchwater.rehearsal import demos
from inchwater.survey import Branch, Filter, Room, Supply
from tests.solved import three_numbers


def said(job) -> list[tuple[str, str]]:
    """Text and what to look at, of each doubt."""
    return [(one.text.text("ip"), one.recheck) for one in described_doubts(job)]


def test_the_demos_are_not_doubted():
    """What they describe fits together."""
    assert [said(job) for job in demos().values()] == [[], [], []]


def test_two_filters_in_series_are_asked_about():
    """They are allowed and counted; somebody should have seen both."""
    job = three_numbers()
    both = (Filter("f1", "grille"), Filter("f2", "unit"))
    assert said(replace(job, survey=replace(job.survey, filters=both))) == [
        (
            "f1 in a grille and f2 at the unit: the same air goes through two filters, which is "
            "allowed but seldom meant.",
            "Use one filter, or keep both if both are installed.",
        )
    ]


def test_names_with_braces_are_anybodys_text():
    """A room's name is shown as it was typed."""
    job = three_numbers()
    survey = replace(
        job.survey, rooms=(Room("x", "{den}"),), supply=Supply(branches=(Branch("r1"),))
    )
    found = described_doubts(replace(job, survey=survey))
    assert [one.text.text("si") for one in found] == [
        "{den}, in which no run or return ends: a door counts where air goes in or comes out."
    ]
    assert [(one.id, one.field) for one in found] == [("described-1", "")]
