"""What an option costs in the end: the reasons for which it fails, and what is next for each."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from inchwater.calibration import calibrate
from inchwater.planning import Price, Proposal, options, price_book
from inchwater.planning.evaluate import Outcome
from inchwater.planning.in_the_end import _Ends, expected_costs
from inchwater.planning.tried import Tried, reasons
from inchwater.planning.wanted import Asked
from inchwater.rehearsal import demos

AIR = Asked("cooling:airflow", "airflow", 1.0, 2.0)
TESP = Asked("cooling:tesp", "external static pressure", -np.inf, 1.0)
ASKED = (AIR, TESP)
LAST = 6000.0  # giving up [USD]


def outcome(rows):
    """Of rows (airflow, static) with how many samples each."""
    values = np.repeat([row[:2] for row in rows], [row[2] for row in rows], axis=0).astype(float)
    met = (values[:, 0] >= 1.0) & (values[:, 0] <= 2.0) & (values[:, 1] <= 1.0)
    return Outcome(ASKED, values, met)


def test_too_little_and_too_much_are_two_reasons():
    """And too much static is a third: each group is of one kind of miss alone."""
    found = outcome([(1.5, 0.5, 40), (0.5, 0.5, 30), (3.0, 0.5, 20), (1.5, 2.0, 10)])
    groups = reasons(found)
    assert sorted(int(one.sum()) for one in groups) == [10, 20, 30]
    for one in groups:
        assert len(np.unique(found.values[one], axis=0)) == 1


def test_rare_reasons_are_put_together():
    """Below 4 of 100 cases (``reason`` in search.csv)."""
    found = outcome([(1.5, 0.5, 90), (0.5, 0.5, 7), (3.0, 0.5, 2), (1.5, 2.0, 1)])
    assert sorted(int(one.sum()) for one in reasons(found)) == [3, 7]


@given(hnp.arrays(np.float64, (50, 2), elements=st.floats(0.0, 4.0)))
def test_each_failing_sample_has_one_reason(values):
    """Whatever is missed: none is lost, and none counts twice."""
    met = (values[:, 0] >= 1.0) & (values[:, 0] <= 2.0) & (values[:, 1] <= 1.0)
    groups = reasons(Outcome(ASKED, values, met))
    assert (np.sum([np.zeros(50), *groups], axis=0) == ~met).all()


def test_what_is_next_is_chosen_for_each_reason():
    """By hand: where it ends too low the one change mends it, where too high the other."""
    book = price_book()
    up, down = Proposal("up", "up"), Proposal("down", "down")
    good, low, high = (1.5, 0.5), (0.5, 0.5), (3.0, 0.5)

    def tried(cost, members, *rows):
        keys = frozenset(one.key for one in members)
        return Tried(keys, members, cost, outcome([(*row, n) for row, n in rows]))

    nothing = tried(0.0, (), (good, 50), (low, 30), (high, 20))
    raised = tried(400.0, (up,), (high, 50), (good, 30), (high, 20))
    lowered = tried(600.0, (down,), (low, 50), (low, 30), (good, 20))
    all_ = [nothing, raised, lowered]
    expected = expected_costs([nothing], all_, book, LAST)[0]
    assert expected == pytest.approx(0.3 * (book.visit + 400.0) + 0.2 * (book.visit + 600.0))


def priced(key, usd):
    """A change at a price."""
    return Proposal(key, key, price=Price(usd, usd, usd))


def stairs():
    """Half too low after the first work; a second mends half of that, a third the rest."""
    one, two, three = priced("one", 100.0), priced("two", 200.0), priced("three", 300.0)
    good, low = (1.5, 0.5), (0.5, 0.5)

    def tried(members, *parts):
        keys = frozenset(each.key for each in members)
        cost = sum(each.price.value for each in members)
        rows = [((good if met else low), 25) for met in parts]
        return Tried(keys, members, cost, outcome([(*row, n) for row, n in rows]))

    first = tried((one,), True, True, False, False)
    second = tried((one, two), True, True, True, False)
    third = tried((one, two, three), True, True, True, True)
    return first, [tried((), False, False, False, False), first, second, third]


def test_the_second_next_work_counts_as_well():
    """By hand: two works one after the other cost less than both at once, of which one may go."""
    book = price_book().but(trip=0.0)
    first, every = stairs()
    found = expected_costs([first], every, book, LAST)[0]
    # 200 more mends half of the half; 300 more the rest, after one more visit.
    then = 200.0 + 0.5 * (book.visit + 300.0)
    assert then < 500.0
    assert found == pytest.approx(100.0 + 0.5 * (book.visit + then))


@given(st.integers(0, 10_000))
def test_more_works_in_a_row_never_cost_more(seed):
    """One choice more is never dearer, and nothing is dearer than giving up at once."""
    rng = np.random.default_rng(seed)
    book = price_book()
    made = [priced(key, float(rng.integers(50, 3000))) for key in "abcd"]
    every = []
    for k in range(16):
        members = tuple(one for n, one in enumerate(made) if k >> n & 1)
        rows = [((1.5, 0.5) if rng.random() < 0.15 + 0.2 * len(members) else (0.5, 0.5), 4)]
        rows += [((3.0, 0.5) if rng.random() < 0.3 else (1.5, 0.5), 4) for _ in range(10)]
        keys = frozenset(one.key for one in members)
        cost = sum(one.price.value for one in members)
        every.append(Tried(keys, members, cost, outcome([(*row, n) for row, n in rows])))
    costs = [
        [_Ends(tuple(every), book, LAST, works, 16, 3.0).of(one) for one in every]
        for works in (1, 2, 3)
    ]
    for fewer, more in pairwise(costs):
        assert all(b <= a + 1e-6 for a, b in zip(fewer, more, strict=True))
    for one, end in zip(every, costs[-1], strict=True):
        fails = 1.0 - one.outcome.met.mean()
        assert one.cost - 1e-6 <= end <= one.cost + fails * (book.visit + LAST) + 1e-6


def test_leaving_it_as_it_is_says_what_giving_up_costs_and_what_is_likeliest():
    """Demonstration job A: nothing that is likely enough costs less than giving up, if that is
    cheap; where giving up costs more, work is preferred, and nothing is said of it."""
    posterior = calibrate(demos()["a"], 1, size=400)

    def at(last):
        book = price_book().but(figures={"replace": last})
        return options(posterior, book, size=100, most=2, effects=False)

    found = at(2_000.0)
    first = found.offers[0]
    likeliest = max(found.offers, key=lambda one: one.odds)
    assert found.preferred is first
    assert likeliest.odds > 0.0
    text = first.why.text()
    assert "new ducts for $2,000" in text
    assert f"{100.0 * likeliest.odds:.0f} of 100" in text
    dear = at(60_000.0)
    assert dear.preferred.changes
    assert "new ducts" not in dear.offers[0].why.text()
