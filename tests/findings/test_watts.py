"""Watts against the table, a blower that holds its airflow, and what stays unseen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from inchwater.answer import answer
from inchwater.criteria import goal
from inchwater.findings import doubts, setting, unseen
from inchwater.rehearsal import demos
from inchwater.survey import Targets
from tests.solved import demo, three_numbers, with_reading

HOLDS = "constant-airflow"


def claiming(tap):
    """Demo C as if somebody had said that it is set to ``tap``; its watts stay what they are."""
    job = demos()["c"]
    unit = replace(job.survey.unit, tap=tap, calls={"cooling": tap})
    return replace(job, survey=replace(job.survey, unit=unit))


def test_watts_give_away_a_setting_that_statics_cannot():
    """Said to run on 1600, it takes the watts of 1200: the doubt names both and the airflow."""
    _, posterior, prediction = demo("c")
    found = {doubt.id: doubt for doubt in doubts(claiming("1600"), prediction, posterior)}
    assert found["watts"].text.text() == (
        "At this pressure the table has 348 W on setting 1600; 207 W was read, which is what "
        "setting 1200 takes. Then the blower moves about 1,200 cfm, not 1,595 cfm. Statics cannot "
        "show this on a blower that holds its airflow; watts can."
    )
    assert found["watts"].recheck == (
        "Read the setting at the board's switches or in the thermostat's menu, and the blower's "
        "watts once more without anything else on the circuit."
    )


def test_watts_that_fit_no_tap_are_told_as_such():
    """2,000 W is on no line of the table."""
    _, posterior, prediction = demo("a")
    job = with_reading(demos()["a"], "unit", 2000.0, quantity="power", unit="w")
    found = {doubt.id: doubt for doubt in doubts(job, prediction, posterior)}
    assert (
        found["watts"]
        .text.text()
        .endswith("2,000 W was read, which no tap of the table takes there.")
    )


def test_watts_that_fit_raise_no_doubt():
    """Demo C as it is."""
    job, posterior, prediction = demo("c")
    assert doubts(job, prediction, posterior) == ()


def test_a_setting_that_is_too_low_is_named_with_the_one_that_is_wanted():
    """Demo C: 1200 is set where 1600 is wanted."""
    job, _, prediction = demo("c")
    wanted = goal(job.survey, Targets())
    assert setting(job, prediction, wanted).text() == (
        "On setting 1200 the table has about 1,195 cfm, whatever the pressure. Statics cannot show "
        "whether the blower holds it; its watts were read. It is set too low: setting 1600 moves "
        "about 1,595 cfm at this pressure."
    )


def test_a_setting_within_the_goal_is_not_criticised():
    """Said to run on 1600, nothing is called too low."""
    _, _, prediction = demo("c")
    said = setting(claiming("1600"), prediction, goal(prediction.survey, Targets())).text()
    assert "too low" not in said
    assert "above the wanted" not in said


def holding(job):
    """The three numbers of a first answer, on a blower that holds its airflow."""
    return replace(job, survey=replace(job.survey, unit=replace(job.survey.unit, motor=HOLDS)))


def test_a_held_airflow_without_a_table_is_said_to_be_unseen_by_statics():
    """No sentence may let the two pressures pass for a measure of the airflow."""
    job = holding(three_numbers(cells=False))
    said = " ".join(one.text() for one in answer(job, 1).says)
    assert (
        "This blower holds the airflow that it is set to; statics cannot show which. Its watts "
        "tell it once the table's airflow and power on each setting are here."
    ) in said
    assert "hardly changes its airflow." in said
    assert "Most is to be won" not in said


def test_watts_without_a_table_are_said_to_wait_for_it():
    """A power reading is not passed over in silence."""
    read = with_reading(three_numbers(cells=False), "unit", 600.0, quantity="power", unit="w")
    job = holding(read)
    said = " ".join(one.text() for one in answer(job, 1).says)
    assert (
        "Its watts were read, and tell it once the table's airflow and power on each setting "
        "are here."
    ) in said


def test_other_motors_have_no_setting_to_speak_of():
    """A PSC blower's airflow follows its pressure."""
    job, _, prediction = demo("b")
    assert setting(job, prediction, goal(job.survey, Targets())) is None


def test_what_cannot_be_seen_follows_from_what_was_read_and_known():
    """No table, nothing looked at: each blind spot once, in words."""
    found = unseen(three_numbers(cells=False))
    assert found == (
        "How much air this very blower moves: without its table the airflow is what a blower of "
        "this size usually moves.",
        "A dirty blower wheel: it moves less air and lowers the static at the same time. Only "
        "looking tells.",
        "A dirty coil in the cabinet: it reads as low external static, as if the ducts were wide. "
        "Only looking, or a reading on each side of it, tells.",
        "One crushed or disconnected run: its room can lose a third of its air while the blower's "
        "changes by about one percent. Only a reading at that run tells.",
        "How much air leaks, and where: statics alone do not part a leaking duct from a wide one.",
        "What an instrument does of its own: none is named for 2 readings, so the errors of a "
        "usual one are taken.",
    )


def test_a_blower_that_holds_its_airflow_is_blind_until_its_watts_are_read():
    """Without watts the setting is the first thing that is unseen; with them it is not."""
    job = demos()["c"]
    bare = replace(
        job.trials[0], readings=tuple(r for r in job.trials[0].readings if r.quantity == "static")
    )
    first = "Whether the blower moves what it is set to"
    assert unseen(replace(job, trials=(bare,)))[0].startswith(first)
    assert not any(one.startswith(first) for one in unseen(job))


def test_one_crushed_run_is_as_invisible_as_it_is_said_to_be():
    """A third of one run's air gone: the blower's airflow changes by less than two percent."""
    from inchwater.forecast import predict
    from inchwater.survey import Change, Fact

    _, posterior, before = demo("c")
    crushed = Change("x", "enlarge-run", ("r1",), {"diameter": Fact(5.5, "in")})
    after = predict(posterior, (crushed,))
    room = np.median(after.solution.flow["r1"] / before.solution.flow["r1"])
    whole = np.median(after.solution.airflow / before.solution.airflow)
    assert room < 0.68
    assert abs(whole - 1.0) < 0.02
