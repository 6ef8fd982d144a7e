"""Whether an honest reading is as expected nine times in ten, on houses with their own readings."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

import pytest

import inchwater
from inchwater import planning
from inchwater.errors import OutsideTableError
from inchwater.planning.steps import stage_of
from inchwater.rehearsal import virtual_house
from inchwater.rehearsal.instruments_true import Observer
from inchwater.rehearsal.state import state
from inchwater.rehearsal.visits import COOLING

HOUSES = 60


def judged_after_every_change(seed: int) -> list[tuple[str, bool]]:
    """The stage of each change and whether each honest reading after it is as expected."""
    house = virtual_house(seed)
    there = set(house.roles.values())
    roles = [role for role in ("first", "filter-drop") if role in there]
    job = replace(house.with_trials(roles), changes=house.job.changes)
    posterior = inchwater.calibrate(job, 1, size=600)
    found = []
    for change in job.changes:
        try:
            (step,) = planning.work_plan(posterior, (change,)).steps
        except OutsideTableError:
            continue  # no number is given, so none can be wrong
        world = house.after((change,))
        truth = state(world, COOLING)
        observer = Observer(world.seed, f"step {change.id}")
        for one in step.expected:
            read = {"static": observer.statics, "drop": observer.drops}[one.quantity]
            read(truth, (one.at,))
            said = planning.judged(one, observer.readings[-1].value)
            found.append((stage_of(step.changes, job.survey), said.inside))
    return found


def test_an_honest_reading_is_inside_nine_times_in_ten():
    """Over all, and for each kind of step: the houses' truth and meters know nothing of the model.

    Measured over 90 houses with a flow reading more: 0.94 over all, 0.92 (returns) to 0.98 (runs
    hung anew).  One kind of step here has some 150 readings of 60 houses, two or more of one house
    at a time, so that 0.06 below is three of its standard errors.
    """
    inside = defaultdict(list)
    for seed in range(HOUSES):
        for stage, held in judged_after_every_change(seed):
            inside[stage].append(held)
    every = [held for of in inside.values() for held in of]
    assert len(every) > 1500
    assert sum(every) / len(every) == pytest.approx(0.93, abs=0.03)
    for stage, of in inside.items():
        assert sum(of) / len(of) >= 0.84, (stage, len(of))
