"""Straight duct: the friction's shape, its slope, and sizes that no duct has."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inchwater.air import STANDARD, Air
from inchwater.errors import PartError, UnknownNameError
from inchwater.parts import ducts

FLOWS = st.floats(1e-6, 1.0)
DIAMETERS = st.floats(0.08, 0.56)
ROUGHNESSES = st.floats(0.0, 3e-3)


@given(st.floats(1.0, 1e6), st.floats(0.0, 0.03))
def test_the_factor_solves_colebrook(reynolds, relative):
    """Above Re 4000 the factor satisfies Colebrook's equation; below 2000 it is 64/Re."""
    factor = ducts.friction_factor(reynolds, relative)
    if reynolds <= 2000.0:
        assert factor == pytest.approx(64.0 / reynolds, rel=1e-14)
    elif reynolds >= 4000.0:
        left = 1.0 / np.sqrt(factor)
        right = -2.0 * np.log10(relative / 3.7 + 2.51 / (reynolds * np.sqrt(factor)))
        assert left == pytest.approx(right, rel=1e-9)


@pytest.mark.parametrize("edge", [2000.0, 4000.0])
@pytest.mark.parametrize("relative", [0.0, 0.001, 0.006, 0.02])
def test_the_blend_has_neither_jump_nor_corner(edge, relative):
    """Factor and slope meet at both ends of the blend."""
    step = 1e-3
    low, middle, high = (
        float(ducts.friction_factor(edge + side * step, relative)) for side in (-1.0, 0.0, 1.0)
    )
    assert high == pytest.approx(low, rel=1e-5)
    assert (high - middle) / step == pytest.approx((middle - low) / step, abs=2e-8)


@given(FLOWS, st.floats(1.001, 2.0), DIAMETERS, ROUGHNESSES)
def test_more_flow_costs_more(flow, factor, diameter, rough):
    """Friction rises with the flow everywhere, through the blend too."""
    less, _ = ducts.friction_drop(flow, diameter, 10.0, rough, STANDARD)
    more, _ = ducts.friction_drop(flow * factor, diameter, 10.0, rough, STANDARD)
    assert more > less > 0.0


@given(FLOWS, DIAMETERS, ROUGHNESSES)
def test_backward_flow_turns_the_sign(flow, diameter, rough):
    """Friction is odd in the flow, its slope even."""
    forth, slope = ducts.friction_drop(flow, diameter, 10.0, rough, STANDARD)
    back, slope_back = ducts.friction_drop(-flow, diameter, 10.0, rough, STANDARD)
    assert back == -forth
    assert slope_back == slope


@given(FLOWS, DIAMETERS, ROUGHNESSES)
def test_the_slope_is_that_of_the_drop(flow, diameter, rough):
    """The slope equals a central difference of the drop, in all three regimes."""
    step = flow * 1e-5
    low, _ = ducts.friction_drop(flow - step, diameter, 10.0, rough, STANDARD)
    high, _ = ducts.friction_drop(flow + step, diameter, 10.0, rough, STANDARD)
    _, slope = ducts.friction_drop(flow, diameter, 10.0, rough, STANDARD)
    assert slope == pytest.approx((high - low) / (2.0 * step), rel=2e-4)


def test_still_air_costs_nothing_and_has_a_slope():
    """At zero flow the drop is zero and the slope is that of laminar flow."""
    drop, slope = ducts.friction_drop(0.0, 0.15, 10.0, 9e-4, STANDARD)
    assert drop == 0.0
    assert slope == pytest.approx(128.0 * STANDARD.viscosity * 10.0 / (np.pi * 0.15**4), rel=1e-12)


@settings(max_examples=30)
@given(st.lists(st.floats(-0.3, 0.3), min_size=1, max_size=20), DIAMETERS)
def test_together_is_as_one_by_one(flows, diameter):
    """An array of flows gives what each flow gives alone, within 1e-12."""
    together = ducts.friction_drop(np.array(flows), diameter, 5.0, 9e-4, STANDARD)
    for index, flow in enumerate(flows):
        alone = ducts.friction_drop(flow, diameter, 5.0, 9e-4, STANDARD)
        assert together[0][index] == pytest.approx(alone[0], rel=1e-12, abs=1e-300)
        assert together[1][index] == pytest.approx(alone[1], rel=1e-12)


def test_samples_meet_parts_in_a_grid():
    """Samples down, parts across: sizes broadcast with flows."""
    flows = np.full((5, 3), 0.05)
    drop, slope = ducts.friction_drop(
        flows, np.array([0.1, 0.15, 0.2]), np.array([4.0, 5.0, 6.0]), 9e-4, STANDARD
    )
    assert drop.shape == slope.shape == (5, 3)
    assert np.all(np.diff(drop, axis=1) < 0.0)


def test_thin_air_costs_less_pressure():
    """The same volume flow in thinner air costs about the density ratio less."""
    thin = Air(STANDARD.density * 0.832, STANDARD.viscosity)
    here, _ = ducts.friction_drop(0.05, 0.15, 10.0, 9e-4, STANDARD)
    there, _ = ducts.friction_drop(0.05, 0.15, 10.0, 9e-4, thin)
    assert 0.832 < there / here < 0.85


@given(st.floats(-0.5, 0.5), st.floats(-0.8, 3.0))
def test_a_local_loss_is_its_coefficient_times_velocity_pressure(flow, loss):
    """The drop is signed with the flow; a negative coefficient is a gain and is kept."""
    drop, slope = ducts.local_drop(flow, 0.03, loss, STANDARD)
    pressure = ducts.velocity_pressure(flow, 0.03, STANDARD)
    assert drop == pytest.approx(np.sign(flow) * loss * pressure, rel=1e-12, abs=1e-300)
    assert slope * flow == pytest.approx(2.0 * drop, rel=1e-12, abs=1e-300)


@given(DIAMETERS, DIAMETERS)
def test_equivalents_lie_between_the_sides(a, b):
    """A rectangular duct's equivalent is symmetrical and below the round of equal area."""
    found = ducts.equivalent_diameter_rectangular(a, b)
    assert found == pytest.approx(ducts.equivalent_diameter_rectangular(b, a), rel=1e-14)
    assert found < np.sqrt(4.0 * a * b / np.pi)
    assert ducts.hydraulic_diameter(a, b) <= found


def test_an_oval_without_flats_is_round():
    """A flat oval as wide as it is high has about its own diameter as equivalent."""
    assert ducts.equivalent_diameter_oval(0.3, 0.3) == pytest.approx(0.3, rel=0.002)


def test_a_duct_needs_a_diameter():
    """Zero diameter is refused by name."""
    with pytest.raises(PartError) as caught:
        ducts.friction_drop(0.1, np.array([0.15, 0.0]), 5.0, 9e-4, STANDARD)
    assert str(caught.value) == "diameter: 0 came; it is a number above zero."


def test_a_duct_needs_a_length():
    """A negative length is refused by name, and so is one that is not a number."""
    with pytest.raises(PartError) as caught:
        ducts.friction_drop(0.1, 0.15, -2.0, 9e-4, STANDARD)
    assert str(caught.value) == "length: -2 came; it is a number above zero."
    with pytest.raises(PartError) as caught:
        ducts.friction_drop(0.1, 0.15, float("nan"), 9e-4, STANDARD)
    assert str(caught.value) == "length: nan came; it is a number above zero."


def test_an_oval_cannot_be_lower_than_its_ends():
    """The major side of an oval is not smaller than the minor."""
    with pytest.raises(PartError) as caught:
        ducts.equivalent_diameter_oval(0.2, 0.3)
    assert str(caught.value) == "major − minor: -0.1 came; it is a number not below zero."


def test_smooth_walls_cost_less_than_rough_ones():
    """At one flow PVC costs least, then metal, then board and stretched flex, then liner."""
    drops = [
        float(ducts.friction_drop(0.05, 0.15, 10.0, ducts.roughness(material), STANDARD)[0])
        for material in ("pvc", "metal", "ductboard", "flex", "lined")
    ]
    assert drops == sorted(drops)
    assert drops[0] < drops[1] < drops[2] < drops[4]


def test_an_unknown_material_is_told_the_choices():
    """Materials are flex, metal, ductboard, PVC and lined metal."""
    with pytest.raises(UnknownNameError) as caught:
        ducts.roughness("clay")
    assert (
        str(caught.value)
        == "material: 'clay' came; choices are flex, metal, ductboard, pvc, lined."
    )
