"""Bypasses: open, with a damper, with a humidifier."""

from __future__ import annotations

import math

import pytest

from inchwater.air import STANDARD
from inchwater.errors import PartError, UnknownNameError
from inchwater.parts import bypasses, dampers, ducts
from inchwater.units import from_si, to_si


@pytest.mark.parametrize("key", bypasses.BYPASSES)
def test_every_bypass_is_whole(key):
    """A bypass has words and a usual duct."""
    found = bypasses.bypass(key)
    assert found.label
    assert 0.1 < found.diameter < 0.4
    assert 0.5 < found.length < 5.0


def test_one_that_nobody_looked_into_is_open():
    """None is open, which passes the most."""
    assert bypasses.bypass(None) is bypasses.BYPASSES["open"]
    with pytest.raises(UnknownNameError) as caught:
        bypasses.bypass("valve")
    assert str(caught.value) == ("bypass.kind: 'valve' came; choices are open, damper, humidifier.")


def test_a_humidifier_takes_its_rated_air_at_its_rated_pressure():
    """Pad and 6 in bypass pass 180 cfm at 0.2 in. w.c. between the plenums, within 10 %."""
    pad, _ = bypasses.humidifier_law()
    usual = bypasses.bypass("humidifier")
    loss, _ = bypasses.open_loss()
    flow = to_si(180.0, "cfm")
    friction, _ = ducts.friction_drop(
        flow, usual.diameter, usual.length, ducts.roughness("metal"), STANDARD
    )
    ends, _ = ducts.local_drop(flow, ducts.circle_area(usual.diameter), loss, STANDARD)
    total = from_si(float(pad.drop(flow) + friction + ends), "inwc")
    assert total == pytest.approx(0.2, rel=0.10)


def test_a_damper_at_a_known_angle_is_that_damper():
    """With an angle the loss is the damper's; without one it is half shut and hardly known."""
    angle = math.radians(30.0)
    assert bypasses.bypass_damper_loss(angle) == pytest.approx(dampers.damper_loss(None, angle))
    unknown, wide = bypasses.bypass_damper_loss(None)
    assert unknown == pytest.approx(dampers.damper_loss(None, math.radians(60.0))[0])
    assert wide > 2.0 * bypasses.bypass_damper_loss(angle)[1]
    with pytest.raises(PartError) as caught:
        bypasses.bypass_damper_loss(2.0)
    assert str(caught.value) == ("damper: 115° came; a blade turns from open, 0°, to shut, 90°.")


def test_the_open_loss_is_its_ends_and_turns():
    """Sharp entry, two pleated elbows, free exit."""
    loss, sigma = bypasses.open_loss()
    assert loss == pytest.approx(0.57 + 1.0 + 2.0 * 0.3973)
    assert 0.0 < sigma < 0.25


def test_a_bypass_of_an_odd_size_is_said():
    """A pad on a trunk and a bypass wider than a trunk have their sentence."""
    assert bypasses.beyond("humidifier", to_si(6.0, "in")) is None
    assert bypasses.beyond(None, to_si(12.0, "in")) is None
    assert bypasses.beyond("humidifier", to_si(12.0, "in")) == (
        "A bypass humidifier of 12 in is outside the 4 to 9 in that such have: its pad's drop is "
        "a guess."
    )
    assert bypasses.beyond("damper", to_si(20.0, "in")) == (
        "A bypass with a damper of 20 in is outside the 4 to 16 in that such have: its loss is a "
        "guess."
    )
