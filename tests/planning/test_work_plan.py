"""Plans: the order of steps, what each takes, and what is to be read after it."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import inchwater
from inchwater import planning
from inchwater.calibration.priors import noise
from inchwater.errors import InputError, UnknownNameError
from inchwater.findings import cautions_of
from inchwater.forecast import predict
from inchwater.planning.steps import (
    CABINET,
    in_steps,
    kinds,
    label_of,
    parts_of,
    take_back_of,
    tools_of,
)
from inchwater.planning.steps_expected import meaning
from inchwater.rehearsal import virtual_house
from inchwater.survey import KEYS, READ_AT, Change, Fact, Reading, apply

HOUSE = virtual_house(3)
JOB = replace(HOUSE.with_trials(("first", "filter-drop")), changes=HOUSE.job.changes)
BY_KIND = {change.kind: change for change in JOB.changes}


@pytest.fixture(scope="module")
def posterior():
    """House 3 on its first readings."""
    return inchwater.calibrate(JOB, 1, size=800)


def some(*names: str) -> tuple[Change, ...]:
    """Changes of the house by their kinds, in this order."""
    return tuple(BY_KIND[kind] for kind in names)


def test_every_kind_of_change_is_a_step_with_words_and_a_way_back():
    """No kind is forgotten, and every stage has a meaning for what is read."""
    assert set(kinds()) == {*KEYS, CABINET}
    assert all(one.title[0] and one.take_back for one in kinds().values())
    for kind in kinds().values():
        for quantity, places in READ_AT.items():
            for place in places if quantity != "voltage" else ():
                at = f"{place}x" if place.endswith(":") else place
                below, above = meaning(kind.stage, Reading("r", at, quantity, "1", "", 1.0))
                assert below != above


def test_what_is_cheap_to_undo_comes_first_and_the_speed_last(posterior):
    """Given the other way round; each step has all that it takes."""
    plan = planning.work_plan(posterior, some("tap", "add-return", "tighten-run", "filter"))
    order = [[one.kind for one in step.changes] for step in plan.steps]
    assert order == [["filter"], ["tighten-run"], ["add-return"], ["tap"]]
    assert [step.number for step in plan.steps] == [1, 2, 3, 4]
    for step in plan.steps:
        assert step.label
        assert step.tools
        assert step.take_back
        assert step.expected
        assert step.minutes > 0.0
        assert step.people >= 1
    assert plan.steps[2].people == 2  # a return is cut in by two
    assert plan.price == planning.price_book().price(
        some("tap", "add-return", "tighten-run", "filter"), JOB.survey
    )
    assert plan.minutes >= sum(step.minutes for step in plan.steps)
    assert set(plan.parts) == {line for step in plan.steps for line in step.parts}


def test_a_deep_filter_at_the_unit_is_a_cabinet_that_is_built_in():
    """In title, parts, tools and way back, and in its place among the cuts of the return.

    House 1 has a filter one inch deep at the unit; price and gates know of the cabinet as well.
    """
    job = virtual_house(1).job
    usual, deep = (change for change in job.changes if change.kind == "filter")
    hung = next(change for change in job.changes if change.kind == "tighten-run")
    assert deep.to["grade"] == "media-4in-merv11"
    assert in_steps((deep, hung), job.survey) == ((hung,), (deep,))
    assert in_steps((hung, usual), job.survey) == ((usual,), (hung,))
    assert label_of((deep,), job.survey).startswith("Build in a filter cabinet at f1: 16 × 25")
    assert label_of((usual,), job.survey).startswith("Put in ")
    cabinet, filter_, sheet = parts_of((deep,), job.survey)
    assert cabinet.startswith("filter cabinet 16 × 25")
    assert filter_.startswith("1 × filter ")
    assert sheet == "sheet metal, listed tape and mastic"
    assert {"snips", "screw gun"} <= set(tools_of((deep,), job.survey))
    assert "screw gun" not in tools_of((usual,), job.survey)
    assert take_back_of((deep,), job.survey) == (
        "The cabinet stays: a filter of the old class goes into it.",
    )
    price = planning.price_book().price
    assert price((deep,), job.survey).value > 3.0 * price((usual,), job.survey).value
    # Where the cabinet stands, another filter of its size is a filter and no more.
    there = apply(job.survey, deep)
    again = Change("again", "filter", ("f1",), {"grade": "media-4in-merv13"})
    assert label_of((again,), there).startswith("Put in ")


def test_cautions_of_a_step_are_those_of_its_act(posterior):
    """The speed's for a speed, and those of reading at both sides."""
    plan = planning.work_plan(posterior, some("tap"))
    assert plan.steps[0].cautions == cautions_of(JOB.survey, ("tap", "reading"))
    assert "lockout" in {one.id for one in plan.steps[0].cautions}


def test_a_change_stays_behind_the_one_that_it_stands_on():
    """A run that is added is named before it is enlarged, whatever their ranks."""
    added = BY_KIND["add-run"]
    bigger = Change("chx", "damper", (added.to["id"],), {"angle": Fact(10.0, "deg")})
    steps = in_steps((added, bigger), JOB.survey)
    assert [one.id for step in steps for one in step] == [added.id, "chx"]


@settings(deadline=None, max_examples=40)
@given(st.permutations([c for c in JOB.changes if c.kind != "filter"]))
def test_any_order_gives_steps_that_can_be_made_and_hold_every_change_once(changes):
    """Whatever comes in: each change once, the ranks rise unless something stands on another."""
    try:
        survey = JOB.survey
        for change in changes:
            survey = apply(survey, change)
    except (InputError, UnknownNameError):
        return
    flat = [one for step in in_steps(changes, JOB.survey) for one in step]
    assert sorted(one.id for one in flat) == sorted(one.id for one in changes)
    survey = JOB.survey
    for change in flat:
        survey = apply(survey, change)
    assert flat[-1].kind == "tap"


def test_one_step_may_hold_several_changes_at_one_place(posterior):
    """Two runs are hung in one go."""
    first = Change("one", "tighten-run", ("r1",))
    second = Change("two", "tighten-run", ("r2",))
    plan = planning.work_plan(posterior, (first, second))
    assert [step.ids for step in plan.steps] == [("one", "two")]


def test_the_interval_holds_model_instrument_and_repeatability(posterior):
    """It is wider than the forecast alone, and of its size without the sign."""
    plan = planning.work_plan(posterior, some("tighten-run"))
    then = predict(posterior, some("tighten-run"))
    for one in plan.steps[0].expected:
        if one.quantity != "static":
            continue
        alone = then.estimate(f"static:{one.at}")
        assert one.sign == (-1 if one.at == "return" else 1)
        assert one.estimate.value == pytest.approx(one.sign * alone.value, abs=3.0)
        assert one.estimate.high - one.estimate.low > alone.high - alone.low
        # The instrument: gain and zero of the shipped figures, and the scatter of one reading.
        parts = (noise("manometer-gain") * one.estimate.value, noise("manometer-zero"))
        assert one.instrument == pytest.approx(math.hypot(*parts, noise("static-repeat")), rel=0.02)


def test_the_same_plan_comes_out_each_time(posterior):
    """Seed and job decide every number."""
    one = planning.work_plan(posterior, some("tap", "filter"))
    assert json.dumps(one.to_dict()) == json.dumps(
        planning.work_plan(posterior, some("tap", "filter")).to_dict()
    )


def test_a_reading_is_judged_by_the_ends_of_the_interval(posterior):
    """As a page does it: compare, and take the sentence that is prepared."""
    one = planning.work_plan(posterior, some("tighten-run")).steps[0].expected[0]
    assert (one.at, one.sign) == ("return", -1)
    low, high = one.estimate.low, one.estimate.high
    for size, side, words in (
        ((low + high) / 2.0, "inside", one.inside),
        (low, "inside", one.inside),
        (high, "inside", one.inside),
        (low - 0.1, "below", one.below),
        (high + 0.1, "above", one.above),
        (-high, "sign", one.wrong_side),
    ):
        found = planning.judged(one, -size)
        assert (found.side, found.said, found.inside) == (side, words, side == "inside")
        page = one.to_dict("si")
        assert page["estimate"]["low"] == low
        assert page["above"] == one.above.text("si")
    assert "below the" in one.below.text()
    assert "as expected" in one.inside.text()


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_what_is_no_number_is_not_judged(posterior, value):
    """It is refused and nothing is said of the system."""
    one = planning.work_plan(posterior, some("tap")).steps[0].expected[0]
    with pytest.raises(InputError) as caught:
        planning.judged(one, value)
    assert str(caught.value) == (
        f"static at return: {value} came; a reading is a number. Read again."
    )


def test_a_change_twice_or_in_force_already_is_refused(posterior):
    """In words."""
    with pytest.raises(InputError) as caught:
        planning.work_plan(posterior, (BY_KIND["tap"], BY_KIND["tap"]))
    assert str(caught.value) == (
        f"changes.{BY_KIND['tap'].id}: it twice came; a plan holds each change once, and only what "
        "is still to be made. Leave it out."
    )


def test_nothing_to_do_is_a_plan_without_steps(posterior):
    """It takes no time and no money."""
    plan = planning.work_plan(posterior, ())
    assert (plan.steps, plan.minutes, plan.price.value, plan.cautions) == ((), 0.0, 0.0, ())
