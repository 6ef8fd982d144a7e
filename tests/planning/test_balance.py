"""Damper positions for the rooms' shares."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np

from inchwater.calibration import calibrate
from inchwater.planning import options, price_book
from inchwater.planning.evaluate import Evaluator
from inchwater.planning.proposed_balance import balance
from inchwater.survey import Room
from tests.network.surveys import attic, job, seen, supply_of, trial

STATICS = {"before_filter": 0.12, "return": 0.30, "supply": 0.30}


def uneven(**wanted):
    """Two rooms on an 8-inch and a 6-inch run that are to have the same."""
    rooms = (Room("wide", **wanted), Room("narrow", **wanted))
    branches = attic().supply.branches
    named = [replace(b, room={"r1": "wide", "r4": "narrow"}.get(b.id)) for b in branches]
    return replace(supply_of(attic(), named), rooms=rooms)


@cache
def evaluator(kind):
    wanted = {
        "load": {"cooling_load": seen(6000, "btuh")},
        "design": {"airflow": seen(170, "cfm")},
        "none": {},
    }[kind]
    return Evaluator.of(calibrate(job(uneven(**wanted), trial(**STATICS)), 5, size=200), 200)


def shares(changes):
    flow = evaluator("load").predict(changes).solution.flow
    return float(np.median(flow["r1"] / flow["r4"]))


def test_the_dampers_give_each_room_its_share():
    """Equal loads, unequal runs: the wide one is throttled until both have nearly the same."""
    found = balance(evaluator("load"), price_book())
    assert [change.targets for change in found.changes] == [("r1",)]
    assert shares(()) > 1.3
    # The blade stands in steps of 5°, and 20 % are the published tolerance (ANSI/ACCA 5 QI-2010).
    assert abs(shares(found.changes) - 1.0) < 0.15
    assert found.label == "one damper set for the rooms' shares"
    assert found.replaces == {"damper:r1"}
    assert found.price.value > 0.0


def test_it_is_among_the_changes_where_shares_are_wanted():
    """With loads or designs of the rooms; without either there is nothing to balance by."""
    assert balance(evaluator("design"), price_book()) is not None
    assert balance(evaluator("none"), price_book()) is None
    ev = evaluator("load")
    one = balance(ev, price_book())
    columns = [k for k, a in enumerate(ev.base.asked) if "room-share" in a.key]
    assert columns
    before = (ev.base.off[:, columns] > 0.0).any(axis=1).mean()
    after = (ev.outcome(one.changes).off[:, columns] > 0.0).any(axis=1).mean()
    assert after < before
    found = options(ev.posterior, most=1, size=100, effects=False)
    assert found.tried > 1
