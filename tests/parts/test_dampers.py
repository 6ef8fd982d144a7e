"""Dampers: loss by angle, from open over the tested angles to shut."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater.errors import PartError, UnknownNameError
from inchwater.parts import dampers

KINDS = st.sampled_from(sorted(dampers.DAMPERS))
ANGLES = st.floats(0.0, math.pi / 2.0)


@pytest.mark.parametrize("key", dampers.DAMPERS)
def test_the_curve_goes_through_its_four_points(key):
    """Open, at both ends of the tested angles, and shut, the loss is the row's."""
    found = dampers.damper(key)
    assert found.label
    for point in (found.open, found.low, found.high, found.shut):
        loss, _ = dampers.damper_loss(key, point.angle)
        assert loss == pytest.approx(point.loss_coefficient, rel=1e-9)
        assert point.source
        assert point.place
    assert found.open.angle == dampers.OPEN
    assert found.shut.angle == pytest.approx(dampers.SHUT)


@given(KINDS, ANGLES, ANGLES)
def test_turning_towards_shut_always_costs_more(key, one, other):
    """The loss rises with the angle, over the joints too."""
    low, high = sorted((one, other))
    assert dampers.damper_loss(key, low)[0] <= dampers.damper_loss(key, high)[0] * (1.0 + 1e-12)


@pytest.mark.parametrize("key", dampers.DAMPERS)
def test_no_kink_where_the_line_bends(key):
    """Value and slope of the logarithm are the same on both sides of the tested angles' ends."""
    found = dampers.damper(key)
    step = 1e-6
    for angle in (found.low.angle, found.high.angle):
        below, at, above = (
            math.log(dampers.damper_loss(key, angle + shift)[0]) for shift in (-step, 0.0, step)
        )
        assert (above - at) / step == pytest.approx((at - below) / step, rel=1e-4)
        assert (above - at) / step == pytest.approx(found.slope, rel=1e-4)


@given(KINDS, ANGLES)
def test_an_angle_off_a_handle_is_less_certain_than_a_stop(key, angle):
    """Between open and shut the spread holds the reading of the angle as well."""
    _, sigma = dampers.damper_loss(key, angle)
    found = dampers.damper(key)
    points = (found.open, found.low, found.high, found.shut)
    assert sigma >= min(point.sigma_ln for point in points) - 1e-12
    if found.low.angle < angle < found.high.angle:
        assert sigma > found.slope * dampers.reading()


def test_together_is_as_one_by_one():
    """An array of angles gives the losses that its members give."""
    angles = np.radians([0.0, 5.0, 45.0, 80.0, 90.0])
    losses, sigmas = dampers.damper_loss("opposed", angles)
    for angle, loss, sigma in zip(angles, losses, sigmas, strict=True):
        assert dampers.damper_loss("opposed", float(angle)) == pytest.approx((loss, sigma))


def test_a_zone_damper_is_tighter_than_a_balancing_damper():
    """Shut, a motor's damper passes less than a hand damper; open they are alike."""
    shut = {key: dampers.damper_loss(key, dampers.SHUT)[0] for key in ("round", "zone")}
    assert shut["zone"] > 2.0 * shut["round"]
    assert dampers.damper_loss("zone", 0.0) == dampers.damper_loss("round", 0.0)


def test_a_kind_nobody_looked_at_is_a_round_blade():
    """None is the single blade in a round duct."""
    assert dampers.damper(None) is dampers.DAMPERS["round"]
    with pytest.raises(UnknownNameError) as caught:
        dampers.damper("gate")
    assert str(caught.value) == (
        "damper.kind: 'gate' came; choices are round, single, opposed, zone."
    )


def test_the_usual_damper_goes_by_the_duct():
    """A rectangular duct has a blade of its shape, others the round one."""
    assert dampers.usual_kind("rectangular") == "single"
    assert {dampers.usual_kind(shape) for shape in ("round", "oval", None)} == {"round"}


@pytest.mark.parametrize(("angle", "came"), [(-0.1, "-6°"), (1.7, "97°"), (math.nan, "nan°")])
def test_a_blade_turns_a_quarter_round(angle, came):
    """An angle outside open to shut is refused, in degrees."""
    with pytest.raises(PartError) as caught:
        dampers.damper_loss(None, np.array([0.5, angle]))
    assert str(caught.value) == (f"damper: {came} came; a blade turns from open, 0°, to shut, 90°.")


def test_almost_shut_is_said_to_be_a_guess():
    """Between the last tested angle and shut the sentence comes; elsewhere none does."""
    assert dampers.beyond("round", math.radians(70.0)) == (
        "A damper at 70° is almost shut: above 60° the gap round its blade decides, "
        "and its loss is a guess."
    )
    for angle in (0.0, 30.0, 60.0, 90.0):
        assert dampers.beyond("round", math.radians(angle)) is None
    assert dampers.beyond("opposed", math.radians(70.0)) is None
