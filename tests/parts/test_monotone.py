"""The monotone cubic: through its points, never rising where they fall, straight outside."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater.parts.monotone import Monotone


@st.composite
def falling_points(draw):
    """Points with rising x and falling or level y."""
    count = draw(st.integers(2, 12))
    gaps = draw(st.lists(st.floats(1.0, 100.0), min_size=count, max_size=count))
    falls = draw(st.lists(st.floats(0.0, 0.2), min_size=count, max_size=count))
    return np.cumsum(gaps), 2.0 - np.cumsum(falls)


@given(falling_points())
def test_it_falls_wherever_its_points_fall(points):
    """The curve goes through its points and never rises between or beyond them."""
    x, y = points
    curve = Monotone(x, y)
    assert curve(x) == pytest.approx(y, abs=1e-12)
    fine = np.linspace(x[0] - 20.0, x[-1] + 20.0, 500)
    assert np.all(np.diff(curve(fine)) <= 1e-12)


@given(falling_points(), st.floats(-50.0, 1300.0))
def test_the_slope_is_that_of_the_curve(points, at):
    """The slope equals a central difference away from the points."""
    x, y = points
    curve = Monotone(x, y)
    step = 1e-4
    if np.min(np.abs(x - at)) > step:
        difference = (curve(at + step) - curve(at - step)) / (2.0 * step)
        assert curve.value_and_slope(at)[1] == pytest.approx(difference, abs=1e-8)


def test_outside_it_is_straight():
    """Beyond the ends the given slopes hold, however far."""
    curve = Monotone(np.array([0.0, 1.0]), np.array([5.0, 4.0]), slope_below=-2.0, slope_above=-3.0)
    assert curve(-10.0) == pytest.approx(25.0)
    assert curve(11.0) == pytest.approx(-26.0)
    assert curve(0.5) == pytest.approx(4.5)


@given(falling_points(), st.floats(-50.0, 1300.0))
def test_its_pieces_are_the_curve(points, at):
    """A solver that reads the cubic pieces gets what the curve itself says, outside too."""
    x, y = points
    curve = Monotone(x, y)
    assert curve.left.shape == (len(x) + 1,)
    assert curve.power.shape == (4, len(x) + 1)
    piece = int(np.sum(curve.x <= at))
    distance = at - curve.left[piece]
    assert curve.power[:, piece] @ distance ** np.arange(4) == pytest.approx(curve(at), abs=1e-9)
