"""Speeds per call: what air may not fall below, and the slowest of what is as good."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from inchwater.calibration import calibrate
from inchwater.errors import NotPossibleError
from inchwater.planning import options, price_book, proposals
from inchwater.planning.evaluate import Evaluator, Outcome
from inchwater.planning.slower import Speeds, slowest
from inchwater.planning.tried import Tried
from inchwater.planning.wanted import Asked
from inchwater.planning.wanted_floors import below_floor
from inchwater.survey import Change, HeatKit, RiseRange, apply
from inchwater.units import to_si
from tests.network.surveys import attic, basement, job, seen, trial

STATICS = {"before_filter": 0.12, "return": 0.30, "supply": 0.30}


@cache
def calibrated(survey_of):
    return calibrate(job(survey_of(), trial(**STATICS)), 5, size=200)


def forbidden(survey_of):
    """What may not be done, by its key."""
    found = options(calibrated(survey_of), most=1, size=100, effects=False)
    return {one.key: one.forbidden.text() for one in found.impossible if one.forbidden}


def furnace():
    """Its heating call on the fastest tap, where the rise is just within the plate."""
    unit = replace(
        basement().unit,
        heat_output=seen(64_000, "btuh"),
        rise={"heating": RiseRange(seen(30, "degf_rise"), seen(70, "degf_rise"))},
        calls={"cooling": "high", "heating": "high"},
    )
    return replace(basement(), unit=unit)


def test_a_speed_at_which_a_furnace_overheats_is_forbidden():
    """The slow tap moves too little air for the plate's rise; cooling may run on it."""
    said = forbidden(furnace)
    assert "tap:heating:low" in said
    assert said["tap:heating:low"].startswith(
        "In the heating call the air would get hotter than the plate allows (70 °F) in "
    )
    assert "as found it is in " in said["tap:heating:low"]
    assert not any(key.startswith("tap:cooling") for key in said)


def test_a_heat_kit_keeps_its_air():
    """A slower tap in heating than the kit's own table allows."""

    def with_kit():
        kit = HeatKit(seen(15, "kw"), least_airflow=seen(1000, "cfm"))
        calls = {"cooling": "4", "heating": "4"}
        return replace(attic(), unit=replace(attic().unit, heat_kit=kit, calls=calls))

    said = forbidden(with_kit)
    slower = [text for key, text in said.items() if key.startswith("tap:heating:")]
    assert slower
    assert all("less air than its table asks for (1,000 cfm)" in text for text in slower)


def test_a_leak_keeps_its_air_whatever_lowers_it():
    """The maker's least air when refrigerant leaks: a slower cooling speed is forbidden."""

    def with_sensor():
        now = Evaluator.of(calibrated(attic), 200).predict(()).solution.airflow
        least = seen(round(float(np.quantile(now, 0.05)) / to_si(1.0, "cfm")), "cfm")
        return replace(attic(), unit=replace(attic().unit, leak_airflow=least))

    said = forbidden(with_sensor)
    assert any(key.startswith("tap:cooling:") for key in said)
    assert all("less than the maker asks for" in text for text in said.values())
    assert forbidden(attic) == {}


def test_every_change_forbidden_by_what_heat_needs_is_said():
    """The only thing to choose is a speed at which the furnace overheats."""
    posterior = calibrated(furnace)
    every = Evaluator.of(posterior, 50)
    only = [
        one
        for one in proposals(every.survey, state=every.state, calls=every.calls)
        if one.key == "tap:heating:low"
    ]
    with pytest.raises(NotPossibleError) as caught:
        options(posterior, singles=only, size=50)
    assert "the air would get hotter than the plate allows" in caught.value.right


RISE = Asked("heating:rise", "rise", 20.0, 40.0)


def outcome(*shares, asked=RISE):
    """A tenth of the samples for each value."""
    values = np.repeat(shares, 10)[:, None].astype(float)
    return Outcome((asked,), values, np.ones(len(values), dtype=bool))


def test_only_what_passes_a_limit_more_often_than_now_is_refused():
    """As bad as found is no reason, nor is one in ten, nor a rise that is too small."""
    fine, bad = outcome(30, 30, 30, 30, 30), outcome(50, 50, 30, 30, 30)
    assert below_floor(fine, fine) is None
    assert "in 40 of 100 cases; as found it is in 0." in below_floor(fine, bad).text()
    assert below_floor(bad, bad) is None
    assert below_floor(bad, fine) is None
    assert below_floor(fine, outcome(10, 10, 10, 10, 10)) is None
    once = outcome(*[50] + [30] * 19)
    assert below_floor(outcome(*[30] * 20), once) is None
    air = Asked("heating:kit-air", "air", 0.5, np.inf)
    least = below_floor(outcome(0.6, asked=air), outcome(0.4, asked=air))
    assert "less air than its table asks for (1,059 cfm)" in least.text()
    # Any other target is a matter of odds.
    tesp = Asked("heating:tesp", "tesp", -np.inf, 100.0)
    assert below_floor(outcome(90, asked=tesp), outcome(200, asked=tesp)) is None


# --- the slowest that is as good


def made(*keys):
    """The proposals of the attic house by these keys."""
    every = {one.key: one for one in proposals(attic(), state={"call": "cooling"}, most=200)}
    return tuple(every[key] for key in keys)


def tried(cost, odds, *keys):
    met = np.arange(1000) < round(1000 * odds)
    asked = Asked("airflow", "airflow", 0.0, 1.0)
    return Tried(frozenset(keys), made(*keys), cost, Outcome((asked,), met[:, None] * 1.0, met))


def speeds():
    every = proposals(attic(), state={"call": "cooling"}, most=200)
    return Speeds.of(attic(), {"call": "cooling"}, ("cooling",), every)


def test_the_slowest_of_what_is_as_good_at_the_price_is_offered():
    """As often at the price of moving a lead: slower; less often, or with other work: not."""
    nothing = tried(0.0, 0.1)
    plain = tried(500.0, 0.9, "return:14")
    slow = tried(504.0, 0.897, "return:14", "tap:cooling:3")
    rarer = replace(slow, outcome=tried(0.0, 0.7).outcome)
    other = tried(500.0, 0.9, "return:16", "tap:cooling:3")
    (first, second) = slowest([nothing, plain], [nothing, plain, slow, rarer, other], speeds())
    assert first is nothing
    assert (second.keys, second.slower) == (slow.keys, True)
    dearer = replace(slow, cost=520.0)
    (kept,) = slowest([plain], [plain, dearer, rarer], speeds())
    assert (kept.keys, kept.slower) == (plain.keys, False)


def test_slower_speeds_of_the_same_work_are_tried():
    """Below the one that runs, or the one that the work sets, in place of it."""
    order = list(speeds().order)
    now = order.index("4")
    plain = [{m.key for m in some} for some in speeds().slower(tried(1.0, 0.5, "return:14"), 4)]
    assert plain == [{"return:14", f"tap:cooling:{tap}"} for tap in order[now + 1 :]]
    (faster,) = [tap for tap in order[:now]][-1:]
    sets = speeds().slower(tried(1.0, 0.5, "return:14", f"tap:cooling:{faster}"), 4)
    assert all(len(some) == 2 for some in sets)
    assert list(speeds().slower(tried(1.0, 0.5, "return:14"), 1)) == []


def test_another_call_s_speed_says_nothing_of_the_one_in_force():
    """Nobody knows which tap runs; setting that of heating leaves it so."""
    unit = replace(furnace().unit, tap=None, calls={"heating": "high"})
    survey = replace(furnace(), unit=unit)
    after = apply(survey, Change("x", "tap", ("heating",), {"tap": "low"}))
    assert after.unit.tap is None
    assert dict(after.unit.calls) == {"heating": "low"}


def test_the_speeds_of_other_calls_are_proposed_where_they_are_known():
    """Of heating where its tap is known; each excludes the others of its call alone."""
    found = {
        one.key: one
        for one in proposals(
            furnace(), price_book(), state={"call": "cooling"}, calls=("cooling", "heating")
        )
    }
    assert {"tap:cooling:low", "tap:heating:low"} <= found.keys()
    assert not found["tap:cooling:low"].replaces & found["tap:heating:low"].replaces
    assert found["tap:heating:low"].changes[0].targets == ("heating",)


@pytest.mark.parametrize("survey_of", [attic, furnace])
def test_no_offer_has_a_slower_like_at_its_price(survey_of):
    """What is offered says so where it was taken for its speed."""
    found = options(calibrated(survey_of), most=2, size=100, effects=False)
    for one in found.offers:
        said = "the slower speed meets it as often" in one.why.text()
        assert not said or any(change.kind == "tap" for change in one.changes)
