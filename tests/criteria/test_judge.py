"""Odds from samples, the three verdict words, and which criteria apply to which system."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from inchwater import units
from inchwater.criteria import criteria, judge, other_figures
from inchwater.criteria.judge import odds_of_goal, odds_within, verdict
from inchwater.criteria.quantities import KINDS
from inchwater.survey import Fact, How, Targets
from tests.solved import cfm, demo, stand_in, three_numbers

TARGETS = Targets()


def by_id(judgements):
    return {one.id: one for one in judgements}


@pytest.mark.parametrize(
    ("odds", "word"),
    [
        (1.0, "met"),
        (0.9, "met"),
        (0.899, "cannot tell"),
        (0.5, "cannot tell"),
        (0.101, "cannot tell"),
        (0.1, "not met"),
        (0.0, "not met"),
    ],
)
def test_the_word_follows_the_odds(odds, word):
    """Met from 9 in 10, not met up to 1 in 10, cannot tell between."""
    assert verdict(odds) == word


def test_odds_are_weighted_and_bounds_are_inside():
    """A sample on a bound counts, and each counts by its weight."""
    samples = np.array([1.0, 2.0, 3.0])
    weights = np.array([1.0, 1.0, 2.0])
    assert odds_within(samples, weights, 2.0, None) == pytest.approx(0.75)
    assert odds_within(samples, weights, None, 2.0) == pytest.approx(0.5)
    assert odds_within(samples, weights, 1.0, 3.0) == 1.0


def test_odds_inside_below_and_above_sum_to_one():
    """Every sample is below, inside or above a window, and nothing is counted twice."""
    rng = np.random.default_rng(7)
    samples, weights = rng.normal(400, 40, 500), rng.random(500)
    inside = odds_within(samples, weights, 350, 450)
    below = odds_within(samples, weights, None, np.nextafter(350, 0))
    above = odds_within(samples, weights, np.nextafter(450, 1e3), None)
    assert inside + below + above == pytest.approx(1.0, abs=1e-12)


def test_more_air_never_lowers_the_odds_of_a_floor():
    """Shifting all samples up never makes a lower bound less likely to be met."""
    survey = three_numbers().survey
    base = np.linspace(cfm(600), cfm(900), 50)
    odds = [
        by_id(judge(stand_in(survey, base + cfm(more)), survey, TARGETS))["icing"].odds
        for more in (0, 50, 100, 200)
    ]
    assert odds == sorted(odds)
    assert odds[0] < odds[-1]


def test_a_system_is_judged_only_on_what_it_has():
    """Airflow alone: no filter, coil, duct or watts criterion is made up."""
    survey = three_numbers().survey
    ids = list(by_id(judge(stand_in(survey, cfm(1000)), survey, TARGETS)))
    assert ids == ["airflow-per-ton", "design", "rooms", "icing", "tesp"]


def test_the_plate_outranks_the_typical_figure():
    """A plate of 0.80 is the bound, and the plate is the source."""
    survey = three_numbers().survey
    survey = replace(survey, unit=replace(survey.unit, tesp_rating=Fact(0.8, "inwc", How.SEEN)))
    found = by_id(judge(stand_in(survey, cfm(1000)), survey, TARGETS))["tesp"]
    assert found.bounds() == "up to 0.80 in. w.c."
    assert (found.source, found.status) == ("rating plate", "seen")


def test_a_furnace_is_held_to_the_furnace_figure_of_watts():
    """A gas furnace has 0.45 W/cfm, every other air handler 0.58."""
    _, _, furnace = demo("b")
    _, _, packaged = demo("c")
    assert "power-gas" in by_id(judge(furnace, furnace.survey, TARGETS))
    assert "power-other" in by_id(judge(packaged, packaged.survey, TARGETS))


def test_demo_a_is_judged_as_its_story_has_it():
    """The supply ducts and the plate are not met; return, filter and its face are."""
    _, _, found = demo("a")
    words = {one.id: one.verdict for one in judge(found, found.survey, TARGETS)}
    assert words["tesp"] == "not met"
    assert words["supply-duct"] == "not met"
    assert words["return-duct"] == "met"
    assert words["filter-drop"] == "met"
    assert words["filter-face"] == "met"


def test_where_sources_disagree_the_others_are_named():
    """The filter's face has two further figures, one of them from memory, in either system."""
    _, _, found = demo("a")
    face = by_id(judge(found, found.survey, TARGETS))["filter-face"]
    assert [other.text() for other in face.others] == [
        "up to 450 fpm: a grille maker's engineering page, p. 78",
        "up to 150 fpm: California, 1-inch filters of high efficiency, section 150.0(m)12 "
        "(from memory)",
    ]
    assert face.others[0].text("si") == ("up to 2.3 m/s: a grille maker's engineering page, p. 78")


def test_the_goal_needs_both_flows():
    """Enough through the blower with half of it lost on the way is no success."""
    survey = three_numbers().survey
    whole = stand_in(survey, np.full(10, cfm(1000)))
    lost = stand_in(survey, np.full(10, cfm(1000)), delivered=np.full(10, cfm(500)))
    assert odds_of_goal(whole, survey, TARGETS) == 1.0
    assert odds_of_goal(lost, survey, TARGETS) == 0.0


def test_every_criterion_has_a_quantity_a_bound_and_says_who():
    """Data file: known quantity, unit of its kind, at least one bound, a source."""
    for one in criteria().values():
        shown_as = {"power_per_airflow": "power_per_airflow"}
        kind = KINDS[one.quantity]
        assert units.unit(one.unit).kind == shown_as.get(kind, kind)
        assert one.low is not None or one.high is not None
        assert one.source
        assert one.status in ("read", "memory", "common practice, no source")
        for other in other_figures(one.key):
            assert other.low is not None or other.high is not None


def test_a_figure_from_memory_never_sounds_like_a_rule():
    """No label, note or source says that a code requires anything."""
    for one in criteria().values():
        words = f"{one.label} {one.note} {one.source}".lower()
        assert "requires" not in words
        assert "must" not in words


def test_both_systems_say_the_same():
    """Bounds in SI are those in inch-pound, converted."""
    survey = three_numbers().survey
    found = by_id(judge(stand_in(survey, cfm(1000)), survey, TARGETS))["airflow-per-ton"]
    ip, si = found.to_dict("ip"), found.to_dict("si")
    assert ip["low"] == pytest.approx(350)
    assert (ip["unit"], si["unit"]) == ("cfm_ton", "ls_kw")
    assert units.to_si(si["low"], "ls_kw") == pytest.approx(units.to_si(350, "cfm_ton"))
    assert found.bounds("ip") == "350–450 cfm/ton"
    assert found.bounds("si") == "47–60 L/s per kW"


@pytest.mark.parametrize(
    ("heat", "call", "held"),
    [
        ("gas", "cooling", True),
        ("gas", "heating", False),
        ("gas", "fan", False),
        ("heat-pump", "heating", True),
        ("heat-pump", "fan", False),
    ],
)
def test_the_cooling_window_is_held_only_against_a_call_that_it_is_for(heat, call, held):
    """A burner's or the fan's own airflow is not judged by air across a cooling coil."""
    survey = three_numbers().survey
    survey = replace(survey, unit=replace(survey.unit, heat=heat))
    found = by_id(judge(stand_in(survey, cfm(1000), state={"call": call}), survey, TARGETS))
    assert ("airflow-per-ton" in found) is held
    assert "tesp" in found
