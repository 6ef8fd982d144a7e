"""New filters are bought by what their label says: what is asked for, and what is known by it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater.calibration.priors import spread
from inchwater.network import compile_network
from inchwater.parts.filters import GRADES, filter_law
from inchwater.planning.filter_labels import wanted_label
from inchwater.planning.proposals import proposals
from inchwater.planning.steps import parts_of
from inchwater.rehearsal import demos, virtual_house
from inchwater.rehearsal.boxes import with_boxes
from inchwater.survey import Fact, Filter, How, apply
from inchwater.units import to_si

WASHED = ("washable-1in", "electronic-cleaner")


def inch(value):
    return Fact(value, "in", How.SEEN)


def with_filter(**facts):
    survey = demos()["a"].survey
    return replace(survey, filters=(Filter("f1", **facts),))


def made(survey):
    return {one.key: one for one in proposals(survey, state={"call": "cooling"}, most=200)}


@given(
    st.sampled_from(sorted(set(GRADES) - set(WASHED))),
    st.floats(8.0, 30.0),
    st.floats(8.0, 48.0),
    st.integers(1, 3),
)
def test_a_label_is_the_middle_of_its_class(key, width, height, count):
    """What is asked for lies on the class's own law, within half of a label's last digit."""
    label = wanted_label(key, inch(width), inch(height), count)
    flow, drop = label["rated_airflow"], label["rated_drop"]
    assert flow.value % 25.0 == 0.0
    law, _ = filter_law(to_si(width, "in"), to_si(height, "in"), key, count)
    half = to_si(0.005, "inwc")
    assert abs(drop.si - float(law.drop(flow.si))) <= half * 1.001
    assert {one.how for one in label.values()} == {How.STATED}


@pytest.mark.parametrize("key", WASHED)
def test_what_is_washed_has_no_label(key):
    """It is not bought, so nothing is asked of its box."""
    assert wanted_label(key, inch(20.0), inch(25.0)) == {}


def test_without_a_size_nothing_is_asked():
    """No airflow can be named for a face that nobody knows."""
    assert wanted_label("pleat-1in-merv8", None, inch(25.0)) == {}
    assert wanted_label("pleat-1in-merv8", inch(20.0), None) == {}


def test_every_new_filter_that_is_bought_is_asked_for_by_its_label():
    """All proposals that bring a filter of known class and size say its drop and airflow."""
    kinds = set()
    for survey in (virtual_house(seed).job.survey for seed in range(8)):
        for one in proposals(survey, state={"call": "cooling"}, most=200):
            if one.impossible or not one.changes:
                continue
            after = survey
            for change in one.changes:
                after = apply(after, change)
            ids = {change.id for change in one.changes}
            for filter_ in after.filters or ():
                if filter_.renewed.get("filter") in ids and filter_.width and filter_.height:
                    washed = filter_.grade in WASHED
                    assert (filter_.rated_drop is None) == washed
                    kinds |= {one.key.partition(":")[0]} if not washed else set()
    assert kinds >= {"clean", "filter-grille", "deep-11", "low-drop", "return", "cabinet"}


def test_the_same_product_again_keeps_what_its_label_says():
    """Where the label of the one that is there was read, a clean one of it says the same."""
    printed = {"rated_drop": Fact(0.22, "inwc"), "rated_airflow": Fact(1000.0, "cfm")}
    survey = with_filter(
        grade="pleat-1in-merv11",
        condition="loaded",
        width=inch(20.0),
        height=inch(25.0),
        **printed,
    )
    (change,) = made(survey)["clean:f1"].changes
    assert dict(change.to) == {"grade": "pleat-1in-merv11", **printed}
    (other,) = made(survey)["low-drop:f1"].changes
    assert other.to["rated_drop"] != printed["rated_drop"]


def test_by_its_label_a_new_filter_is_known_better():
    """A label is kept to within a tenth (parts/data/ratings.csv), a class to within a third."""
    survey = with_filter(
        grade="pleat-1in-merv8", condition="loaded", width=inch(20.0), height=inch(25.0)
    )
    (change,) = made(survey)["deep-11:f1"].changes
    bare = replace(change, to={"grade": change.to["grade"]})
    found = []
    for one in (change, bare):
        network = compile_network(apply(survey, one))
        (product,) = (p for p in network.parameters if p.role == "filter")
        found.append(spread(product))
    assert found[0] == pytest.approx(0.10)
    assert found[1] >= 0.30


def test_a_box_that_is_read_outranks_what_was_asked_for():
    """What a bought product says replaces what its label was to say at most."""
    survey = with_filter(
        grade="pleat-1in-merv8", condition="loaded", width=inch(20.0), height=inch(25.0)
    )
    (change,) = made(survey)["deep-11:f1"].changes
    drops = [with_boxes(seed, survey, change).to["rated_drop"].value for seed in range(40)]
    assert len(set(drops)) > 5
    assert np.median(drops) == pytest.approx(change.to["rated_drop"].value, rel=0.5)


def test_the_list_of_parts_says_what_the_label_has_to_say():
    """Who buys the filter reads drop and airflow, in the units of labels."""
    survey = with_filter(
        grade="pleat-1in-merv8", condition="loaded", width=inch(20.0), height=inch(25.0)
    )
    found = made(survey)
    said = "by its label at most 0.10 in. w.c. at 1,050 cfm"
    assert parts_of(found["deep-11:f1"].changes, survey) == (
        "filter cabinet",
        f"1 × filter 4 in media, MERV 11, {said}",
        "sheet metal, listed tape and mastic",
    )
    (clean,) = parts_of(found["clean:f1"].changes, survey)
    assert clean == (
        "1 × filter 1 in pleated, MERV 8, by its label at most 0.14 in. w.c. at 1,050 cfm"
    )
