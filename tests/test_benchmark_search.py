"""The benchmark of the search: how recall is counted, the wide house, and its short round."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from benchmarks.search import CANDIDATES, MOST, SAMPLES, Found, candidates, judged, matched, widened
from inchwater.calibration import calibrate
from inchwater.forecast import predict
from inchwater.planning import price_book
from inchwater.planning.evaluate import Asked, Evaluator, Outcome
from inchwater.planning.search import Search
from inchwater.planning.tried import Tried
from inchwater.rehearsal import virtual_house
from tests.benchmark_runs import quick


def tried(cost, odds):
    met = np.arange(100) < round(100 * odds)
    asked = (Asked("airflow", "airflow", 1.0, 2.0),)
    return Tried(frozenset([f"{cost}"]), (), cost, Outcome(asked, np.ones((100, 1)), met))


def test_an_option_counts_as_found_where_another_is_no_dearer_and_no_worse():
    """Cheaper and better counts, dearer or worse does not."""
    theirs = [tried(0.0, 0.0), tried(100.0, 0.5), tried(300.0, 0.9)]
    assert matched(theirs, theirs) == 3
    assert matched(theirs, [tried(0.0, 0.0), tried(100.0, 0.9)]) == 3
    assert matched(theirs, [tried(0.0, 0.0), tried(101.0, 0.5), tried(300.0, 0.89)]) == 1


def test_recall_is_a_share_of_all_houses_options(capsys):
    """Of 2 and 4 options, 2 and 3 were found; doing nothing is left out of the second figure."""
    result = judged([Found("a", 2, 2, 10, 100), Found("b", 4, 3, 10, 100)])
    assert result["frontier_recall"] == pytest.approx(5 / 6)
    assert result["frontier_recall_of_work"] == pytest.approx(3 / 4)
    assert result["houses"] == 2
    assert "on the frontier" in capsys.readouterr().out


def test_the_last_round_finds_what_no_guess_puts_in_front():
    """House 9: solving everything has this set on the frontier; its guess is 0.24 too low."""
    posterior = calibrate(virtual_house(9).job, 1, size=SAMPLES)
    singles = candidates(posterior, CANDIDATES)
    search = Search(Evaluator.of(posterior, SAMPLES), singles, price_book(), MOST)
    found = {one.keys: one.odds for one in search.run()}
    assert found[frozenset({"add-run", "enlarge:all:1", "return:14"})] > 0.2
    # The rest of the round was spent as well, and no set was solved twice.
    assert len(found) == len(search.tried)


@cache
def twelve():
    return virtual_house(2).job


def test_a_house_five_times_over_moves_five_times_the_air():
    """The same pressures behind one blower; sixty runs, and each as much air as its like."""
    one = calibrate(twelve(), 1, size=200)
    five = calibrate(widened(twelve(), 5), 1, size=200)
    assert len(five.job.survey.supply.runs) == 60
    here, there = predict(one), predict(five)
    assert there.estimate("airflow").value == pytest.approx(
        5.0 * here.estimate("airflow").value, rel=0.1
    )
    assert there.estimate("tesp").value == pytest.approx(here.estimate("tesp").value, rel=0.05)


@pytest.mark.slow
def test_the_quick_way_judges_nothing():
    """It ends with one JSON object, exit code 0; its times belong to the machine."""
    result = quick("search", "--count", "1")
    assert set(result) == {
        "seconds_first_answer",
        "seconds_12_runs",
        "frontier_recall",
        "frontier_recall_of_work",
        "houses",
    }
    assert 0.0 < result["seconds_first_answer"] < result["seconds_12_runs"] < 60.0
    assert 0.5 < result["frontier_recall"] <= 1.0
