"""The one next act: cells, boundary, tap, watts, what parts the two sides, then by its worth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from inchwater.findings import Doubt, told
from inchwater.planning import Candidate, ReadingValue, next_act
from inchwater.rehearsal import demos
from inchwater.survey import Fact, Filter, Grille, Return
from tests.solved import cfm, inwc, stand_in, three_numbers

KNOWN = frozenset({"coil-dry"})


def act(job, tesp=0.71):
    """The next act of a job whose pressure is this. [in. w.c.]"""
    reads = {"return": np.array([-inwc(0.29)]), "supply": np.array([inwc(0.42)])}
    found = stand_in(job.survey, cfm(700), tesp=np.array([inwc(tesp)]), reads=reads)
    return next_act(job, found)


def of_survey(job, **more):
    return replace(job, survey=replace(job.survey, **more))


def of_unit(job, **more):
    return of_survey(job, unit=replace(job.survey.unit, **more))


@pytest.mark.parametrize(
    ("tesp", "low", "high"),
    [(0.71, "0.70", "0.80"), (0.70, "0.70", "0.80"), (0.05, "0.10", "0.20")],
)
def test_without_a_table_the_two_cells_around_the_reading_are_asked_for(tesp, low, high):
    """The two columns that hold the reading between them are named."""
    found = act(three_numbers(cells=False), tesp)
    assert (found.kind, found.title, found.field, found.minutes) == (
        "cells",
        "Two cells of the blower table",
        "unit.table",
        2,
    )
    assert found.text.text() == (
        f"From the unit's blower table, on the tap in use, type the airflow at {low} and at {high} "
        "in. w.c.: they stand on each side of your reading."
    )


def test_the_cells_are_named_in_pascals_where_those_are_shown():
    """SI users read the same columns in Pa."""
    assert act(three_numbers(cells=False)).to_dict("si")["text"] == (
        "From the unit's blower table, on the tap in use, type the airflow at 174 and at 199 Pa: "
        "they stand on each side of your reading."
    )


def test_an_unknown_boundary_comes_next():
    """With two cells, the note under the table."""
    found = act(three_numbers())
    assert (found.kind, found.field, found.minutes) == ("fact", "unit.table.includes", 1)
    assert found.title == "What the table already includes"


def test_then_the_tap_where_there_are_several():
    """A table of five taps and nobody has said which one runs."""
    job = of_unit(demos()["a"], tap=None, calls={})
    assert act(job).field == "unit.tap"


def test_a_blower_that_holds_its_airflow_is_asked_for_its_watts_first():
    """Demo C without its watts: they come before any fact of the ducts."""
    job = demos()["c"]
    statics = tuple(r for r in job.trials[0].readings if r.quantity == "static")
    job = replace(job, trials=(replace(job.trials[0], readings=statics),))
    found = act(job)
    assert (found.kind, found.field, found.title) == ("reading", "unit", "Watts of the blower")
    assert found.text.text() == (
        "This blower holds its airflow whatever the pressure, so statics cannot show what it "
        "moves. Its watts against the table can."
    )


def test_facts_of_both_sides_follow_in_their_order_until_enough_is_known():
    """Filter, runs, return; then the readings are weighed, and without one it is enough."""
    job = three_numbers(includes=KNOWN)
    asked = [act(job)]
    one = Filter("f1", grade="pleat-1in-merv8", width=Fact(16, "in"), height=Fact(25, "in"))
    job = of_survey(job, filters=(one,))
    asked.append(act(job))
    job = of_survey(job, supply=demos()["a"].survey.supply)
    asked.append(act(job))
    grille = Grille(Fact(20, "in"), Fact(20, "in"))
    job = of_survey(job, returns=(Return("g1", kind="ducted", grille=grille),))
    asked.append(act(job))
    assert [(one.kind, one.field) for one in asked] == [
        ("fact", "filters"),
        ("fact", "supply"),
        ("fact", "returns"),
        ("enough", ""),
    ]
    assert asked[0].text.text() == (
        "Width, height, thickness and class are printed on its edge. They tell how much of the "
        "return side's 0.29 in. w.c. the filter takes."
    )
    assert asked[3].title == "Enough is known: try a change"


def worth(kind, candidate=None, settles="Whether it is this or that."):
    return ReadingValue(
        kind=kind,
        title="A reading" if candidate else "Enough: stop measuring",
        minutes=3.6,
        value=40.0,
        error=1.0,
        per_minute=11.1,
        regret=20.0,
        pays=True,
        settles=told(settles),
        candidate=candidate,
    )


def known():
    """Demo A, of which every fact that comes first is known."""
    job = demos()["a"]
    reads = {"return": np.array([-inwc(0.29)]), "supply": np.array([inwc(0.42)])}
    return job, stand_in(job.survey, cfm(700), tesp=np.array([inwc(0.71)]), reads=reads)


def test_with_all_facts_known_the_reading_that_is_worth_most_comes_next():
    """How it is done, then what it settles; minutes are whole ones."""
    one = Candidate("x", "A reading", 3.6, field="before-coil", how="With the tip straight.")
    found = next_act(*known(), (), (worth("reading", one), worth("enough")))
    assert (found.kind, found.title, found.field, found.minutes) == (
        "reading",
        "A reading",
        "before-coil",
        4,
    )
    assert found.text.text() == "With the tip straight. Whether it is this or that."


def test_where_nothing_pays_it_is_enough_and_says_what_is_best_now():
    """Enough stands first among the values."""
    found = next_act(*known(), (), (worth("enough", settles="Best now is a filter."),))
    assert (found.kind, found.field, found.minutes) == ("enough", "", 0)
    assert found.text.text() == (
        "Best now is a filter. See what a change would do, and read again after it."
    )


def test_a_missing_fact_or_a_doubt_comes_before_any_reading():
    """However much a reading is worth, what cannot be right or is not known stands before it."""
    job, found = known()
    one = Candidate("x", "A reading", 3.6, field="before-coil", how="With the tip straight.")
    values = (worth("reading", one), worth("enough"))
    assert next_act(of_survey(job, filters=None), found, (), values).field == "filters"
    doubt = Doubt(told("It cannot be."), "Read the return again.", "x", "return")
    assert next_act(job, found, (doubt,), values).title == "Read again first"


@pytest.mark.parametrize(
    ("field", "kind", "title", "there"),
    [
        ("return", "reading", "Read again first", "return"),
        ("unit.tap", "fact", "Look at the tap again", "unit.tap"),
        ("unit.table", "fact", "Look at the table again", "unit.table"),
        ("runs", "fact", "Look at the runs again", "supply"),
        ("run:r3", "fact", "Look at that run again", "run:r3"),
    ],
)
def test_a_doubt_asks_for_what_it_is_about(field, kind, title, there):
    """A reading is read again; what was said of tap, table or runs is looked at."""
    doubt = Doubt(told("It cannot be."), "Look there.", "x", field)
    act = next_act(*known(), (doubt,))
    assert (act.kind, act.title, act.field) == (kind, title, there)
    assert act.text.text() == "Look there."
