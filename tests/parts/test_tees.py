"""Tees: their curves are whole, continuous, gain where they must, and say where they end."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater.errors import PartError, UnknownNameError
from inchwater.parts.tees import TEES, tee

AREAS = st.floats(0.1, 1.0)
SHARES = st.floats(0.0, 1.0)


@pytest.mark.parametrize("key", TEES)
def test_every_law_is_whole(key):
    """A law has its words, a spread and a place for its equation, and is finite everywhere."""
    law = tee(key)
    assert law.key == key
    assert law.label
    assert law.leg in ("branch", "run")
    assert law.way in ("diverging", "converging")
    assert 0.0 < law.sigma_ln < 1.0
    assert law.source
    assert law.place
    for area in (0.1, 0.35, 0.4, 0.444, 0.5, 1.0):
        curve = law.curve(area)
        assert curve.shape == (65,)
        assert np.isfinite(curve).all()


@pytest.mark.parametrize("key", TEES)
@given(AREAS, st.floats(0.0, 0.999))
def test_a_curve_has_no_step_in_the_share(key, area, share):
    """A thousandth more air changes the loss by no more than its steepest slope allows."""
    law = tee(key)
    step = abs(float(law.loss(share + 0.001, area) - law.loss(share, area)))
    assert step <= 0.001 * (8.0 + 4.0 / area**2)


@pytest.mark.parametrize("key", TEES)
@given(st.floats(0.1, 0.999), SHARES)
def test_a_law_has_no_step_in_the_area(key, area, share):
    """An area ratio a thousandth larger changes the loss little: the forms are joined."""
    law = tee(key)
    one, other = (float(law.loss(share, ratio)) for ratio in (area, area + 0.001))
    assert abs(other - one) <= 0.001 * (40.0 + 10.0 / area**3)


@given(AREAS, SHARES)
def test_a_gentler_angle_into_a_branch_costs_less(area, share):
    """Into a branch, 30° costs no more than 45°, 45° than 60°."""
    thirty, fortyfive, sixty = (
        float(tee(f"take-off-{angle}").loss(share, area)) for angle in (30, 45, 60)
    )
    assert thirty <= fortyfive + 1e-12
    assert fortyfive <= sixty + 1e-12


@given(AREAS, st.floats(0.05, 1.0))
def test_a_square_take_off_is_the_dearest(area, share):
    """Square off the trunk costs more than at 45°, unless the branch is the whole trunk."""
    if area <= 4.0 / 9.0:
        square = float(tee("take-off-90").loss(share, area))
        assert square > float(tee("take-off-45").loss(share, area))


@given(AREAS, SHARES)
def test_into_a_branch_there_is_no_gain(area, share):
    """A diverging branch never gains."""
    for key in ("take-off-90", "take-off-60", "take-off-45", "take-off-30", "end-tee-leg"):
        assert float(tee(key).loss(share, area)) >= 0.0


@pytest.mark.parametrize("key", ["join-90", "join-45"])
@given(AREAS)
def test_a_trickle_from_a_branch_is_drawn_along(key, area):
    """A branch that brings hardly any air to a fast trunk gains up to one velocity pressure."""
    assert -1.0 <= float(tee(key).loss(0.0, area)) <= -0.9


@given(AREAS, SHARES)
def test_joining_at_an_angle_pulls_the_trunk_along(area, share):
    """The trunk's own air loses less beside a branch at 45° than the plain mixing loss."""
    assert float(tee("past-join-45").loss(share, area)) <= 1.0 - share**2 + 1e-12


@pytest.mark.parametrize("key", ["past-take-off", "past-join-90", "past-join-45"])
def test_a_trunk_whose_branch_is_shut_loses_nothing(key):
    """With all of the air going straight on, the tee is not felt."""
    assert float(tee(key).loss(1.0, 0.5)) == pytest.approx(0.0, abs=1e-12)


def test_a_run_past_a_large_take_off_gains():
    """Slowed air regains pressure: the loss is negative and stays so."""
    assert float(tee("past-take-off").loss(0.7, 1.0)) == pytest.approx(-0.072, abs=5e-4)


@given(AREAS)
def test_the_legs_of_an_end_tee_are_alike(area):
    """A tee across the end is symmetrical: each half sees the same."""
    law = tee("end-tee-join")
    half = float(law.loss(0.5, area))
    assert half == pytest.approx(float(law.curve(area, 3)[1]))


@given(AREAS, st.lists(SHARES, min_size=2, max_size=9))
def test_many_shares_are_as_one_by_one(area, shares):
    """An array of shares gives what each gives alone."""
    for law in TEES.values():
        together = law.loss(np.array(shares), area)
        assert together == pytest.approx([float(law.loss(share, area)) for share in shares])


@given(AREAS, st.floats(0.05, 1.0), st.floats(0.05, 1.0))
def test_a_take_off_far_down_the_trunk_sees_slower_air(area, remaining, share):
    """What others have taken before no longer has to be turned; the branch's own loss stays."""
    share *= remaining
    for key in ("take-off-90", "end-tee-leg"):
        first = float(tee(key).loss(share, area))
        later = float(tee(key).loss(share, area, remaining))
        assert first - later == pytest.approx(1.0 - remaining**2, rel=1e-9, abs=1e-9)
    # On what remains, a tee is a tee of its own.
    for law in TEES.values():
        alone = float(law.loss(min(share / remaining, 1.0), area)) * remaining**2
        assert float(law.loss(share, area, remaining)) == pytest.approx(alone, rel=1e-9, abs=1e-9)


def test_nothing_can_be_left_of_a_trunk_that_is_empty():
    """Of the trunk's air some has to remain for a take-off."""
    with pytest.raises(PartError) as caught:
        tee("take-off-90").curve(0.5, remaining=0.0)
    assert str(caught.value) == ("remaining: 0 came; of the trunk's air some remains, at most all.")


def test_a_branch_too_small_or_too_large_is_said():
    """The equations are known from a tenth of the trunk to the whole of it."""
    law = tee("take-off-90")
    assert law.beyond(0.1) is None
    assert law.beyond((8.0 * 0.0254) ** 2 / (0.2032**2)) is None
    assert law.beyond(1.5) == (
        "A branch with 1.5 times the section of the trunk lies outside 0.1 to 1, where the losses "
        "of tees are known; this one's is a guess."
    )
    assert law.beyond(0.05) == (
        "A branch with 0.05 times the section of the trunk lies outside 0.1 to 1, where the losses "
        "of tees are known; this one's is a guess."
    )


def test_a_share_of_more_than_all_is_refused():
    """Shares are from none to all of the air."""
    with pytest.raises(PartError) as caught:
        tee("wye-leg-45").loss(np.array([0.5, 1.2]), 0.5)
    assert str(caught.value) == "share: 1.2 came; a share lies from 0 to 1."


def test_a_branch_without_area_is_refused():
    """An area ratio of zero is refused by name, and so is a curve of one point."""
    with pytest.raises(PartError) as caught:
        tee("wye-leg-45").curve(0.0)
    assert str(caught.value) == "area_ratio: 0 came; it is a number above zero."
    with pytest.raises(PartError) as caught:
        tee("wye-leg-45").curve(0.5, 1)
    assert str(caught.value) == "count: 1 came; a curve has two points or more."


def test_an_unknown_tee_is_told_the_choices():
    """The choices are all keys of the table."""
    with pytest.raises(UnknownNameError) as caught:
        tee("cross")
    assert str(caught.value) == f"tee: 'cross' came; choices are {', '.join(TEES)}."
