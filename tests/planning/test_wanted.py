"""All that is wanted, as the search takes it: every call, every target, on the same samples."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from inchwater import criteria
from inchwater.calibration import calibrate
from inchwater.criteria import measured, targets, together
from inchwater.effects import EffectArrays
from inchwater.errors import InputError
from inchwater.forecast import predict
from inchwater.planning import options
from inchwater.planning.evaluate import Evaluator
from inchwater.planning.wanted import AllTargets
from inchwater.survey import Change, RiseRange, Room, Targets, Wish
from tests.network.surveys import attic, basement, house, job, seen, supply_of, trial

STATICS = {"before_filter": 0.12, "return": 0.30, "supply": 0.30}


def furnace(**more):
    """A furnace with its plate's rise, and a lead for each call."""
    unit = replace(
        basement().unit,
        heat_output=seen(64_000, "btuh"),
        rise={"heating": RiseRange(seen(35, "degf_rise"), seen(65, "degf_rise"))},
        calls={"cooling": "high", "heating": "low"},
        **more,
    )
    return replace(basement(), unit=unit)


@cache
def calibrated(survey_of, wanted=None, complaint=None):
    made = replace(job(survey_of(), trial(**STATICS)), targets=wanted or Targets())
    return calibrate(replace(made, complaint=complaint), 5, size=200)


MORE = (
    Change("more", "add-return", (), {
        "id": "g2", "width": seen(20, "in"), "height": seen(20, "in"),
        "diameter": seen(14, "in"), "length": seen(12, "ft"), "material": "flex",
    }),
)  # fmt: skip


@pytest.mark.parametrize("changes", [(), MORE])
def test_the_odds_are_those_of_all_targets_in_all_calls(changes):
    """Against the standings of both calls, made by hand from forecasts of their own."""
    posterior = calibrated(furnace)
    ev = Evaluator.of(posterior, 200)
    assert ev.calls == ("cooling", "heating")
    outcome = ev.outcome(changes)
    few = posterior.thinned(200)
    held = []
    for state in ({"call": "cooling"}, {"call": "heating"}):
        now, then = predict(few, (), state), predict(few, changes, state)
        wanted = targets(then.survey, few.job.targets, state["call"])
        held.append(measured(wanted, then, EffectArrays.of(now, then, few.job.id)))
    both = together(held)
    assert outcome.odds == pytest.approx(both.odds())
    assert outcome.met.tolist() == both.met.tolist()
    assert len(outcome.asked) == both.counted.sum()
    names = {one.key for one in outcome.asked}
    assert {"cooling:tesp", "heating:rise", "heating:tesp"} <= names
    assert ("cooling:return-velocity:g2" in names) == bool(changes)


def test_what_is_left_as_it_is_meets_its_noise_unless_it_is_complained_of():
    """As found no register is louder than now; a complaint holds it to the guidance."""

    def noise(complaint):
        outcome = Evaluator.of(calibrated(attic, None, complaint), 100).outcome(())
        columns = [k for k, one in enumerate(outcome.asked) if ":noise:" in one.key]
        assert all(outcome.asked[k].linear for k in columns)
        return (outcome.off[:, columns] > 0.0).any(axis=1).mean()

    assert noise(None) == 0.0
    assert noise("the registers hiss") > 0.5


def test_doing_nothing_is_no_quieter_than_now():
    """A wish for less noise than now is missed where nothing is done."""
    wanted = Targets(wishes=(Wish("quieter", low=seen(3, "db")),))
    outcome = Evaluator.of(calibrated(attic, wanted), 100).outcome(())
    of = {one.key: k for k, one in enumerate(outcome.asked)}
    assert (outcome.values[:, of["cooling:quieter:r1"]] == 0.0).all()
    assert outcome.odds == 0.0


def test_after_a_first_visit_louder_is_than_it_was_before_it():
    """The slower speed is in force: it stays softer than as found, and going back is no louder."""
    wanted = Targets(wishes=(Wish("quieter", low=seen(-10, "db")),))
    found = calibrated(attic, wanted).job
    slower = Change("c1", "tap", (), {"tap": "3"})
    again = replace(found.trials[0], id="t2", after=("c1",), readings=())
    second = replace(found, changes=(slower,), trials=(*found.trials, again))
    ev = Evaluator.of(calibrate(second, 3, size=200), 100)
    faster = Change("c2", "tap", (), {"tap": "4"})

    def quieter(*changes):
        outcome = ev.outcome(changes)
        of = {one.key: k for k, one in enumerate(outcome.asked)}
        return outcome.values[:, of["cooling:quieter:r1"]]

    assert (quieter() > 0.0).all()
    assert quieter(faster) == pytest.approx(0.0, abs=1e-6)


def test_doors_are_shut_where_the_pressure_behind_them_is_wished():
    """With the rooms' doors shut, as the forecast of that condition has it."""

    def with_room():
        return house(rooms=(Room("bed", "Bedroom", transfers=()),))

    wanted = Targets(wishes=(Wish("door-pressure", high=seen(3, "pa")),))
    posterior = calibrated(with_room, wanted)
    outcome = Evaluator.of(posterior, 200).outcome(())
    of = {one.key: k for k, one in enumerate(outcome.asked)}
    shut = predict(posterior.thinned(200), (), {"call": "cooling", "door:bed": "shut"})
    behind = outcome.values[:, of["cooling:door-pressure:bed"]]
    assert behind == pytest.approx(np.abs(shut.solution.room["bed"]))


def test_a_call_that_cannot_be_told_is_left_out_and_said():
    """The heating call's lead is none of the table: cooling counts, and the reason is kept."""
    posterior = calibrated(furnace)
    ev = Evaluator.of(posterior, 50)
    broken = replace(ev.wanted, calls=("cooling", "fan-low"))
    ev = Evaluator(ev.posterior, ev.survey, ev.state, broken)
    assert ev.calls == ("cooling",)
    assert ev.silent["fan-low"].text().startswith("The fan-low call cannot be told: ")
    assert all(one.key.startswith("cooling:") for one in ev.outcome(()).asked)


def test_targets_that_exclude_each_other_are_said_before_anything_is_solved():
    """A furnace that needs other air in heating than somebody wishes there."""
    wish = Wish("airflow", low=seen(2000, "cfm"), high=seen(2200, "cfm"), call="heating")
    posterior = calibrate(job(furnace(), trial(**STATICS)), 5, size=50)
    posterior = replace(posterior, job=replace(posterior.job, targets=Targets(wishes=(wish,))))
    with pytest.raises(InputError) as caught:
        options(posterior)
    assert caught.value.where == "targets"
    assert caught.value.right == "no airflow meets both"


def test_all_targets_are_the_default():
    """Of the call that the window is for, then those in which plates and wishes show."""
    ev = Evaluator.of(calibrated(furnace), 50)
    assert isinstance(ev.wanted, AllTargets)
    assert ev.wanted.calls == criteria.calls_wanted(ev.survey, Targets())


# --- what is said


def test_the_plate_that_nothing_meets_is_said_first_with_its_best():
    """A plate far below what these ducts take: best figure, where it is lost, what is missed."""

    def tight():
        return replace(attic(), unit=replace(attic().unit, tesp_rating=seen(0.12, "inwc")))

    found = options(calibrated(tight), most=2, size=100, effects=False)
    text = found.limit.text()
    assert text.startswith(
        "No option that was tried is likely to meet all that is wanted. Nothing that was looked at "
        "brings the external static pressure to 0.12 in. w.c. (the rating plate). The best that "
        "this duct system can do is "
    )
    assert "is lost in" in text
    assert f"What comes nearest is {found.best.label}: " in text
    assert "What is missed most is " in text
    assert "external static pressure, in 100 of 100" in text
    assert " Pa" in found.limit.text("si")
    assert found.to_dict()["limit"] == text


def test_each_offer_stands_against_every_target():
    """With the odds of the offer; what cannot be told is said once, with the fact that lacks."""

    def bare():
        runs = [
            replace(b, duct=replace(b.duct, register=None)) if b.id == "r1" else b
            for b in furnace().supply.branches
        ]
        return supply_of(furnace(), runs)

    found = options(calibrated(bare), most=1, size=100, effects=False)
    for one in found.offers:
        assert one.standing.odds() == pytest.approx(one.odds)
        assert {t.call for t in one.standing.targets} == {"cooling", "heating"}
        assert len(one.to_dict()["targets"]) == len(one.standing.targets)
    assert "Noise of the register of r1: The face of the register is not in the survey." in [
        one.text() for one in found.unknown
    ]
    assert found.to_dict()["unknown"] == [one.text() for one in found.unknown]
