"""What the boxes of new filters say in a virtual house, and what the filters then do."""

from dataclasses import replace

import numpy as np
import pytest

from inchwater.rehearsal import virtual_house
from inchwater.rehearsal.boxes import with_boxes
from inchwater.rehearsal.changes_true import changed
from inchwater.rehearsal.parts_true import clean_drop
from inchwater.rehearsal.world import world_from_dict


@pytest.fixture(scope="module")
def houses():
    return [virtual_house(seed) for seed in range(24)]


def test_a_change_of_one_size_of_filter_names_its_product(houses):
    """Most changes that bring a filter say its drop; those that bring several sizes cannot."""
    filters = [one for h in houses for one in h.job.changes if one.kind == "filter"]
    named = [one for one in filters if "rated_drop" in one.to]
    assert 0.7 < len(named) / len(filters) <= 1.0
    for house in houses:
        for change in house.job.changes:
            assert ("rated_drop" in change.to) == ("rated_airflow" in change.to)
            if change.kind in ("tap", "register", "enlarge-run", "fitting", "tighten-run"):
                assert "rated_drop" not in change.to


def test_a_filter_keeps_to_its_box_within_a_tenth(houses):
    """One sigma, of the product that is put in: at the printed airflow, clean."""
    ratios = []
    for house in houses:
        world = world_from_dict(house.world)
        for change in house.job.changes:
            if change.kind != "filter" or "rated_drop" not in change.to:
                continue
            after = {one.id: one for one in changed(world, change).filters}
            for id_ in change.targets:
                drop = clean_drop(after[id_], change.to["rated_airflow"].si)
                ratios.append(drop / change.to["rated_drop"].si)
    assert len(ratios) > 20
    assert np.std(np.log(ratios)) == pytest.approx(0.1, abs=0.04)
    assert np.mean(ratios) == pytest.approx(1.0, abs=0.05)


def test_a_filter_that_nobody_described_has_no_box(houses):
    """Without a size there is no product to buy."""
    house = houses[0]
    change = next(one for one in house.job.changes if one.kind == "filter")
    bare = replace(change, to={})
    survey = replace(
        house.job.survey, filters=tuple(replace(f, width=None) for f in house.job.survey.filters)
    )
    assert with_boxes(0, survey, bare) == bare
