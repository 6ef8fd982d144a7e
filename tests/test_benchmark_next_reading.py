"""The benchmark of the next reading: how it counts, on outcomes whose ratios are known."""

from __future__ import annotations

import pytest

from benchmarks._visit import ROUTINE, Outcome, Step
from benchmarks.next_reading import SETS, compared
from inchwater import criteria
from tests.benchmark_runs import quick

MINUTES = {"filter-drop": 6.0, "pre-filter": 4.0, "other-call": 8.0, "temperature-rise": 15.0}
KEYS = {
    "gain_ratio",
    "gain_over_best_fixed",
    "gain_ratio_p05",
    "gain_over_best_fixed_p05",
    "net_saved_usd",
    "net_saved_routine_usd",
    "net_saved_best_fixed_usd",
}


def visits(steps, left, houses=4, start=100.0):
    """The same visit to several houses; ``left`` is the regret after each reading. [USD]"""

    def after(roles):
        return min([left[role] for role in roles if role in left], default=start)

    return [
        Outcome(
            f"house-{k}",
            preset,
            {"motor": "psc"},
            start,
            start,
            steps,
            MINUTES,
            {roles: after(roles) for roles in SETS},
        )
        for k in range(houses)
        for preset in criteria.presets()
    ]


def test_ratios_are_of_regret_lowered_per_minute():
    """Pre-filter alone saves 60 in 4 min; the routine 80 in 33 min; the best order 80 in 6 min."""
    steps = (Step("pre-filter", 4.0, 50.0, 60.0),)
    result, tables = compared(visits(steps, {"pre-filter": 40.0, "filter-drop": 20.0}), SETS)
    assert set(result) == KEYS
    assert result["gain_ratio"] == pytest.approx((60.0 / 4.0) / (80.0 / 33.0))
    # The pre-filter by itself, 15 a minute, is better than the filter's drop, 13.3.
    assert result["gain_over_best_fixed"] == pytest.approx(1.0)
    assert result["gain_ratio_p05"] == pytest.approx(result["gain_ratio"])
    assert result["net_saved_usd"] == pytest.approx(60.0 - 4.0 * 100.0 / 60.0)
    assert result["net_saved_routine_usd"] == pytest.approx(80.0 - 33.0 * 100.0 / 60.0)
    assert tables[0].rows[0][:3] == ("what is recommended", "4.0", "$60.0 ± 0.0")


def test_to_stop_at_once_saves_nothing_per_minute():
    """Who reads nothing lowers no regret; a fixed order that saves has the better of it."""
    result, _ = compared(visits((), {role: 50.0 for role in ROUTINE}), SETS)
    assert result["gain_ratio"] == 0.0
    assert result["gain_over_best_fixed"] == 0.0
    assert result["net_saved_usd"] == 0.0


def test_a_routine_that_saves_nothing_is_beaten_by_any_saving():
    """A ratio to nothing is told as 99."""
    steps = (Step("pre-filter", 4.0, 50.0, 60.0),)
    assert compared(visits(steps, {}), SETS)[0]["gain_ratio"] == 99.0


@pytest.mark.slow
def test_the_quick_way_judges_nothing():
    """It ends with one JSON object, exit code 0, whatever its few houses gave."""
    result = quick("next_reading", "--count", "4")
    assert set(result) == {*KEYS, "houses"}
    assert 1 <= result["houses"] <= 4
