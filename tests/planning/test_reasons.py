"""What an option costs in the end: the reasons for which it fails, and what is next for each."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from inchwater.calibration import calibrate
from inchwater.planning import Proposal, options, price_book
from inchwater.planning.evaluate import Outcome
from inchwater.planning.offers import _expected
from inchwater.planning.tried import Tried, reasons
from inchwater.planning.wanted import Asked
from inchwater.rehearsal import demos

AIR = Asked("cooling:airflow", "airflow", 1.0, 2.0)
TESP = Asked("cooling:tesp", "external static pressure", -np.inf, 1.0)
ASKED = (AIR, TESP)


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
    expected = _expected([nothing], all_, book)[0]
    assert expected == pytest.approx(0.3 * (book.visit + 400.0) + 0.2 * (book.visit + 600.0))


def test_leaving_it_as_it_is_says_what_giving_up_costs_and_what_is_likeliest():
    """Demonstration job A: nothing that is likely enough costs less than new ducts."""
    posterior = calibrate(demos()["a"], 1, size=400)
    found = options(posterior, size=100, most=2, effects=False)
    first = found.offers[0]
    likeliest = max(found.offers, key=lambda one: one.odds)
    assert found.preferred is first
    assert likeliest.odds > 0.0
    text = first.why.text()
    assert "new ducts for $5,600" in text
    assert f"{100.0 * likeliest.odds:.0f} of 100" in text
    # Where giving up costs more, work is preferred, and nothing is said of it.
    dear = options(
        posterior,
        price_book().but(figures={"replace": 60_000.0}),
        size=100,
        most=2,
        effects=False,
    )
    assert dear.preferred.changes
    assert "new ducts" not in dear.offers[0].why.text()
