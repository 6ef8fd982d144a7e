"""The search for options: against trying everything, frontiers, guesses, limits, and bad input."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater import criteria
from inchwater import options as public
from inchwater.calibration import calibrate
from inchwater.errors import NotPossibleError
from inchwater.planning import options, price_book, proposals
from inchwater.planning.evaluate import Evaluator, Outcome
from inchwater.planning.screen import FALL, NEAR, Screen, combined
from inchwater.planning.search import Search
from inchwater.planning.tried import LEAST_GAIN, Tried, frontier
from inchwater.planning.wanted import Asked
from inchwater.quantity import said
from inchwater.rehearsal import demos, virtual_house

BOOK = price_book()


@dataclass(frozen=True)
class AirAndPressure:
    """The least that is wanted: the airflow window, and external static within the plate."""

    goal: criteria.Goal
    plate: float
    call: str = "cooling"

    @classmethod
    def of(cls, job, survey, call="cooling"):
        """As the job's targets and the unit's plate say."""
        return cls(criteria.goal(survey, job.targets), criteria.plate(survey)[0], call)

    @property
    def calls(self):
        """The one call."""
        return (self.call,)

    def asked(self, found):
        """Airflow and external static. [m3/s, Pa]"""
        air = Asked("airflow", "airflow", self.goal.low, self.goal.high)
        tesp = Asked("tesp", "external static pressure", -np.inf, self.plate)
        solution = found.then.solution
        return (air, solution.airflow), (tesp, solution.tesp)


@cache
def posterior(seed=7):
    return calibrate(virtual_house(seed).job, 1, size=300)


def least(seed=7, **more):
    """Airflow and external static alone, which many options meet."""
    found = Evaluator.of(posterior(seed), 1)
    wanted = AirAndPressure.of(posterior(seed).job, found.survey)
    return replace(wanted, goal=replace(wanted.goal, **more))


@cache
def evaluator(seed=7):
    return Evaluator.of(posterior(seed), 200, least(seed))


@cache
def singles(seed=7, most=9):
    ev = evaluator(seed)
    made = proposals(ev.survey, BOOK, state=ev.state, most=most)
    return tuple(one for one in made if one.possible and one.changes)


@cache
def everything(seed=7):
    """All sets of up to three of nine, each solved by itself in a loop of its own."""
    ev, found = evaluator(seed), []
    for size in (0, 1, 2, 3):
        for some in combinations(singles(seed), size):
            if any(a.replaces & b.replaces for a, b in combinations(some, 2)):
                continue
            changes = tuple(c for one in some for c in one.changes)
            outcome = ev.evaluate(frozenset(one.key for one in some), changes)
            if outcome is not None:
                cost = BOOK.price(changes, ev.survey).value
                found.append((cost, outcome.odds))
    return found


def test_nothing_that_is_tried_all_over_beats_what_the_search_gives():
    """At every price of the exhaustive search the frontier has at least its odds."""
    search = Search(evaluator(), singles(), BOOK, most=3)
    kept = frontier(search.run())
    assert len(search.tried) < len(everything())
    for cost, odds in everything():
        ours = max(one.odds for one in kept if one.cost <= cost + 1e-6)
        assert ours >= odds - LEAST_GAIN


def test_a_lower_speed_is_tried_with_larger_ducts_where_the_motor_is_at_its_end():
    """A motor that holds its airflow and cannot: alone a lower speed does next to nothing.

    With a run more and all runs larger it does what is wanted in nine of ten.
    """
    house = 65
    assert virtual_house(house).tags["motor"] == "constant-airflow"
    search = Search(evaluator(house), singles(house, 40), BOOK)
    best = max(search.run(), key=lambda one: one.odds)
    assert best.odds > 0.85
    assert any(key.startswith("tap:") for key in best.keys)
    alone = [one.odds for one in search.tried if len(one.keys) == 1]
    assert max(alone) < 0.1


def test_prices_of_sets_are_those_of_the_book():
    """Quick sums, with getting ready once and the trip's least, are what the book says."""
    survey = evaluator(2).survey
    assert survey.place.space == "crawlspace"
    search = Search(evaluator(2), singles(2), BOOK, most=2)
    for one in search.run():
        assert one.cost == pytest.approx(BOOK.price(one.changes, survey).value)


def test_the_first_answer_comes_before_combinations():
    """Progress: single changes first, then more and more, never past what was announced."""
    told = []
    Search(evaluator(), singles(), BOOK, most=3, progress=told.append).run()
    assert told[0].done == 1 + len(singles())
    assert len(told) > 1
    assert all(a.done <= b.done <= b.most for a, b in pairwise(told))
    assert all(len(one.keys) <= 1 for one in told[0].tried)


# --- frontiers ------------------------------------------------------------------------------------

NONE = Asked("airflow", "airflow", 1.0, 2.0)


def tried(name, cost, odds):
    met = np.arange(100) < round(100 * odds)
    values = np.where(met, 1.5, 0.5)[:, None]
    return Tried(frozenset([name]), (), cost, Outcome((NONE,), values, met))


@given(
    st.lists(
        st.tuples(st.integers(0, 50), st.integers(0, 100)), min_size=1, max_size=40, unique=True
    )
)
def test_no_dominated_option_is_kept_and_none_that_adds_is_dropped(points):
    """Rising price and odds; every point is beaten or nearly matched at no more money."""
    made = [tried(str(k), float(c), o / 100) for k, (c, o) in enumerate(points)]
    kept = frontier(made)
    assert [one.cost for one in kept] == sorted(one.cost for one in kept)
    assert all(b.odds >= a.odds + LEAST_GAIN for a, b in pairwise(kept))
    for one in made:
        assert any(k.cost <= one.cost and k.odds > one.odds - LEAST_GAIN - 1e-9 for k in kept)


def test_the_shortfall_is_a_share_of_the_bound():
    """Half of what is wanted at least is off by a half; what is met is off by nothing."""
    assert tried("a", 0.0, 0.5).short == pytest.approx(0.25)
    assert tried("a", 0.0, 1.0).short == 0.0


# --- sets and guesses -----------------------------------------------------------------------------


@given(st.integers(1, 8), st.integers(1, 4), st.integers(0, 2**28 - 1))
def test_all_sets_are_there_and_none_that_excludes_itself(count, most, bits):
    """Against itertools, for any exclusions."""
    exclude = np.zeros((count, count), dtype=bool)
    for k, (i, j) in enumerate(combinations(range(count), 2)):
        exclude[i, j] = exclude[j, i] = bool(bits >> k & 1)
    made = {tuple(int(k) for k in row if k >= 0) for row in combined(count, most, exclude)}
    wanted = {
        some
        for size in range(2, most + 1)
        for some in combinations(range(count), size)
        if not any(exclude[i, j] for i, j in combinations(some, 2))
    }
    assert made == wanted


def outcome(*values):
    asked = (Asked("a", "a", 1.0, np.inf), Asked("b", "b", -np.inf, 4.0))
    array = np.array(values, dtype=float).reshape(1, -1).repeat(4, axis=0)
    met = (array[:, 0] >= 1.0) & (array[:, 1] <= 4.0)
    return Outcome(asked, array, met)


def test_effects_that_multiply_are_guessed_exactly():
    """Two factors on each quantity: the guess of the pair is their product, met or not."""
    screen = Screen.of(outcome(0.5, 8.0), [outcome(0.8, 5.0), outcome(0.7, 6.0), outcome(0.5, 7.0)])
    rows = np.arange(4)
    sets = np.array([[0, 1, -1], [0, 2, -1], [0, 1, 2]])
    # 0.5 * 1.6 * 1.4 = 1.12 and 8 * 0.625 * 0.75 = 3.75: met; 0.5 * 1.6 = 0.8: not.
    assert screen.guess(sets, rows)[0].tolist() == [1.0, 0.0, 1.0]
    # What the pair truly does outranks the product.
    screen.learn((0, 1), outcome(0.9, 3.75))
    assert screen.guess(sets, rows)[0].tolist() == [0.0, 0.0, 0.0]


def test_what_two_do_to_each_other_tells_of_two_that_are_alike():
    """Larger runs and a return; twice as large ones do twice as much to it, another thing nothing.

    Singles on a logarithm: (1, -1), (2, -2), the return (1, 1), and one across them all.
    """
    e = np.e
    base = outcome(1.0, 1.0)
    each = [outcome(e, 1 / e), outcome(e**2, e**-2), outcome(e, e), outcome(1.0, e**1.5)]
    screen = Screen.of(base, each)
    assert screen.sizes == pytest.approx([1.0, 2.0, 1.0, np.sqrt(1.125)])
    assert screen.alike[0, 1] == pytest.approx(0.5)
    assert screen.alike[1, 0] == pytest.approx(2.0)
    assert (screen.alike[:3, 3] == 0.0).all()
    # Together e times as much of the first, and of the second 4.5 where the bound is 4.
    screen.learn((0, 2), outcome(e**3, 1.0))
    told, times = screen._told_by()
    assert told[0, 2] == told[2, 1] == 0
    assert times[1, 2] == times[2, 1] == pytest.approx(2.0)
    assert told[0, 1] == told[2, 3] == -1
    assert screen.untold([(1, 2), (0, 3), (1, 3), (2, 3)], 2) == [(0, 3), (2, 3)]
    # What is solved itself outranks what is alike.
    screen.learn((1, 2), outcome(e**3, 1.0))
    told, times = screen._told_by()
    assert (told[1, 2], times[1, 2]) == (1, 1.0)


def test_what_three_do_together_is_told_by_the_solved_set_that_a_set_has_most_of():
    """Three that do less together than one by one; a fourth that is like one of them, one apart.

    Each alone brings e times as much of the first; what is solved says twice e of three together.
    """
    e = np.e
    base = outcome(0.1, 1.0)
    each = [
        outcome(0.1 * e, 1.0),
        outcome(0.1, 1 / e),
        outcome(0.1 * e, e),
        outcome(0.11 * e, e**1.1),
        outcome(0.1, e**0.5),
    ]
    screen = Screen.of(base, each)
    assert screen.alike[2, 3] > 0.0
    sets = np.array([[0, 1, 2, -1], [0, 1, 3, -1], [0, 1, 2, 4], [0, 4, -1, -1]])
    assert screen._like(sets)[0].tolist() == [-1, -1, -1, -1]
    screen.learn((0, 1, 2), outcome(0.2 * e, 1.0))
    like, share = screen._like(sets)
    assert like.tolist() == [0, 0, 0, 0]
    small, large = screen.sizes[1], screen.sizes[2]
    assert share[0] == share[2] == pytest.approx(1.0)
    whole = 2.0 * small + large
    assert share[1] == pytest.approx((2.0 * small + 0.9 * large) / whole)
    assert share[3] == pytest.approx(small / whole)
    assert beyond_of(screen) == pytest.approx([np.log(2.0) - 1.0, 0.0], abs=1e-6)
    # What two do to each other is not counted twice.
    screen.learn((0, 2), outcome(0.2 * e, e))
    assert beyond_of(screen) == pytest.approx([0.0, 0.0], abs=1e-6)


def beyond_of(screen):
    """Of the first set that was solved, in the first sample."""
    at = np.ix_(np.arange(4), np.arange(2))
    pairs = [one[at] for one in screen.pairs.values()]
    return screen._beyond(at, np.array([0]), pairs, *screen._told_by())[0, 0]


def test_sets_are_weighed_as_they_are_added_up_by_hand():
    """Odds and nearness of random sets, with pairs, over more rows than lie side by side."""
    rng = np.random.default_rng(3)
    asked = tuple(Asked(key, key, -1.0, 1.0, linear=True) for key in "abcde")
    size = 70

    def drawn(by):
        values = by * rng.standard_normal((size, len(asked)))
        return Outcome(asked, values, (abs(values) <= 1.0).all(axis=1))

    base, each = drawn(0.5), [drawn(0.5) for _ in range(6)]
    screen = Screen.of(base, each)
    for pair in ((0, 3), (2, 4)):
        screen.learn(pair, drawn(0.5))
    for some in ((0, 1, 3), (1, 2, 4, 5)):
        screen.learn(some, drawn(0.5))
    sets = combined(6, 4, np.zeros((6, 6), dtype=bool))
    guess = screen.guess(sets, np.arange(size))
    like, share = screen._like(sets)
    larger = list(screen.larger)
    for number, row in enumerate(sets):
        members = [int(k) for k in row if k >= 0]
        values = base.values + sum(each[k].values - base.values for k in members)
        values += sum(screen.pairs.get(pair, 0.0) for pair in combinations(members, 2))
        solved = larger[like[number]]
        told = sum(screen.pairs.get(pair, 0.0) for pair in combinations(solved, 2))
        beyond = screen.larger[solved] - told
        values += share[number] * beyond
        off = np.maximum(abs(values) - 1.0, 0.0).sum(axis=1)
        assert guess[0, number] == pytest.approx((off <= 0.0).mean(), abs=1.5 / size)
        near = (off <= 0.0).mean() + NEAR * np.exp(-FALL * off).mean()
        assert guess[1, number] == pytest.approx(near, abs=2.0 / size)
        assert guess[1, number] - guess[0, number] == pytest.approx(
            NEAR * np.exp(-FALL * off).mean(), abs=1e-5
        )


def test_a_quantity_that_only_a_new_part_has_is_guessed_where_it_is():
    """An added return's own air speed, which is not there as found, nor in sets without it."""
    own = Asked("own", "own", -np.inf, 2.0)
    base, other = outcome(2.0, 2.0), outcome(3.0, 2.0)
    with_new = Outcome(
        (*base.asked, own), np.column_stack([base.values, np.full(4, 2.5)]), np.zeros(4, dtype=bool)
    )
    screen = Screen.of(base, [other, with_new])
    assert screen.scale.keys == ("a", "b", "own")
    assert screen.guess(np.array([[0, 1]]), np.arange(4))[0].tolist() == [0.0]
    assert screen.guess(np.array([[0, -1]]), np.arange(4))[0].tolist() == [1.0]


def test_a_quantity_that_a_change_takes_away_is_met_with_it():
    """A filter's own air speed is gone with the filter, whatever else is done."""
    own = Asked("own", "own", -np.inf, 2.0)

    def with_own(plain):
        values = np.column_stack([plain.values, np.full(4, 2.5)])
        return Outcome((*plain.asked, own), values, np.zeros(4, dtype=bool))

    screen = Screen.of(with_own(outcome(2.0, 2.0)), [with_own(outcome(3.0, 2.0)), outcome(2.0, 3)])
    guess = screen.guess(np.array([[0, -1], [1, -1], [0, 1]]), np.arange(4))
    assert guess[0].tolist() == [0.0, 1.0, 1.0]


# --- offers ---------------------------------------------------------------------------------------


@cache
def offered():
    return options(posterior(), wanted=least(), most=3, size=200, singles=singles())


def test_offers_rise_in_price_and_odds_and_the_preferred_is_cheapest_in_the_end():
    """Doing nothing first; each has its forecasts, its effects and a sentence."""
    found = offered()
    assert found.offers[0].key == "nothing"
    prices = [one.price.value for one in found.offers]
    assert prices == sorted(prices)
    assert found.preferred.expected_cost == min(one.expected_cost for one in found.offers)
    assert found.preferred.odds > found.offers[0].odds + 0.3
    assert found.limit is None
    runs = {run.id for run in evaluator().survey.supply.runs}
    for one in found.offers:
        assert one.expected_cost >= one.price.value
        assert {f"flow:{run}" for run in runs} <= set(one.estimates)
        assert one.why.text().endswith(".")
        assert bool(one.changes) == (one.effects is not None)
    assert all(one.cautions for one in found.offers[1:])
    assert public is options


def test_the_same_seed_gives_the_same_offers():
    """To the digit, whatever ran before."""
    again = options(posterior(), wanted=least(), most=3, size=200, singles=singles())
    assert again.to_dict() == offered().to_dict()


def test_a_dearer_visit_prefers_surer_work():
    """With visits that cost much, failing costs much: the odds of the preferred do not fall."""
    asked = {"wanted": least(), "most": 2, "size": 200, "singles": singles()}
    cheap = options(posterior(), BOOK.but(visit=0.0), **asked)
    dear = options(posterior(), BOOK.but(visit=5000.0), **asked)
    assert dear.preferred.odds >= cheap.preferred.odds
    assert [one.key for one in dear.offers] == [one.key for one in cheap.offers]


def test_the_limit_comes_first_where_nothing_reaches():
    """A window that no blower of this table reaches: said, with the best and what is missed."""
    wanted = replace(least(low=5.0, high=6.0), plate=1000.0)
    found = options(posterior(), wanted=wanted, most=2, size=200, singles=singles())
    assert found.reachable == 0.0
    text = found.limit.text()
    assert text.startswith("No option that was tried is likely to meet all that is wanted.")
    assert found.best.label in text
    assert "What is missed most is airflow, in 100 of 100." in text
    assert found.preferred.key == "nothing"
    assert found.best.estimates["airflow"].value == max(
        one.estimates["airflow"].value for one in found.offers
    )


def test_what_comes_nearest_is_offered_where_it_hardly_adds():
    """Odds of less than 0.01: no offer by itself, and yet the limit's sentence names it."""
    asked = {"most": 2, "size": 200, "singles": singles()}
    free = options(posterior(), wanted=replace(least(low=5.0, high=6.0), plate=1000.0), **asked)
    at_best = Evaluator.of(posterior(), 200, least()).outcome(free.best.changes).values[:, 0]
    # One sample of two hundred reaches it.
    low = float(np.sort(at_best)[-1]) - 1e-9
    wanted = replace(least(low=low, high=6.0), plate=1000.0)
    found = options(posterior(), wanted=wanted, **asked)
    assert 0.0 < found.reachable < 2.0 * LEAST_GAIN
    assert [bool(one.changes) for one in found.offers] == [False, True]
    assert found.offers[1] is found.best
    assert found.best.label in found.limit.text()


def test_no_price_counts_against_reaching():
    """Where giving up costs nearly nothing, what is likely to reach is as likely as ever."""
    found = offered()
    cheap = options(
        posterior(),
        BOOK.but(figures={"replace": 1.0}),
        wanted=least(),
        most=3,
        size=200,
        singles=singles(),
    )
    assert cheap.reachable == found.reachable > 0.5
    assert cheap.limit is None
    assert cheap.preferred is cheap.offers[0]


def test_what_is_met_already_is_left_as_it_is():
    """A window around what the system moves: doing nothing is preferred and the only offer."""
    now = evaluator().predict(()).solution.airflow
    wanted = replace(least(low=0.5 * now.min(), high=2.0 * now.max()), plate=1e5)
    found = options(posterior(), wanted=wanted, most=2, size=200, singles=singles())
    assert [one.key for one in found.offers] == ["nothing"]
    assert found.preferred.odds == 1.0


def test_every_change_forbidden_is_said():
    """Nothing left to choose among: the error has the first reason."""
    forbidden = tuple(
        replace(one, forbidden=said("No return is taken from a garage.")) for one in singles()
    )
    with pytest.raises(NotPossibleError) as caught:
        options(posterior(), singles=forbidden)
    assert str(caught.value) == (
        "options: no change that can be made here came; at least one is wanted to choose among; "
        "the first that was left out: No return is taken from a garage. Add the returns, the "
        "filters and the runs, one line each; or settle what forbids them."
    )


def test_three_numbers_have_offers_too():
    """Demo C at its first trial: whatever is known of it, there is an answer."""
    found = options(calibrate(demos()["c"], 1, size=200), most=2, size=100, effects=False)
    assert found.offers[0].key == "nothing"
    assert found.tried > 2
