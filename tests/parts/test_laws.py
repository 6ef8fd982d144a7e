"""Power laws of filters and coils: through a point, signed, and in other air."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater.air import STANDARD, Air
from inchwater.errors import PartError
from inchwater.parts.laws import PowerLaw

EXPONENTS = st.floats(1.0, 2.0)
FLOWS = st.floats(1e-4, 2.0)


@given(st.floats(1.0, 300.0), FLOWS, EXPONENTS)
def test_a_law_goes_through_its_point_both_ways(drop, flow, exponent):
    """The law gives the drop at the flow, the flow at the drop, and is odd."""
    law = PowerLaw.through(drop, flow, exponent)
    assert law.drop(flow) == pytest.approx(drop, rel=1e-12)
    assert law.drop(-flow) == pytest.approx(-drop, rel=1e-12)
    assert law.flow(drop) == pytest.approx(flow, rel=1e-12)
    assert law.flow(-drop) == pytest.approx(-flow, rel=1e-12)


@given(FLOWS, EXPONENTS)
def test_the_slope_is_that_of_the_drop(flow, exponent):
    """The slope equals a central difference."""
    law = PowerLaw(100.0, exponent)
    step = flow * 1e-6
    difference = (law.drop(flow + step) - law.drop(flow - step)) / (2.0 * step)
    assert law.drop_and_slope(flow)[1] == pytest.approx(difference, rel=1e-6)


@pytest.mark.parametrize(("exponent", "slope"), [(1.0, 100.0), (1.4, 0.0), (2.0, 0.0)])
def test_still_air_is_finite(exponent, slope):
    """Zero flow has no drop and a finite slope."""
    assert PowerLaw(100.0, exponent).drop_and_slope(0.0) == (0.0, slope)


@given(st.lists(st.floats(-1.0, 1.0), min_size=1, max_size=10), EXPONENTS)
def test_together_is_as_one_by_one(flows, exponent):
    """Arrays of flows and of coefficients give what each gives alone."""
    coefficients = np.linspace(50.0, 150.0, len(flows))
    drop, slope = PowerLaw(coefficients, exponent).drop_and_slope(np.array(flows))
    for index, flow in enumerate(flows):
        alone = PowerLaw(float(coefficients[index]), exponent).drop_and_slope(flow)
        assert drop[index] == pytest.approx(alone[0], rel=1e-12, abs=1e-300)
        assert slope[index] == pytest.approx(alone[1], rel=1e-12, abs=1e-300)


def test_thin_air_counts_as_much_as_the_law_is_turbulent():
    """A square law scales with density alone, a linear one with viscosity alone."""
    thin = Air(STANDARD.density * 0.8, STANDARD.viscosity * 1.1)
    assert PowerLaw(100.0, 2.0).in_air(thin).coefficient == pytest.approx(80.0)
    assert PowerLaw(100.0, 1.0).in_air(thin).coefficient == pytest.approx(110.0)
    between = PowerLaw(100.0, 1.5).in_air(thin).coefficient
    assert between == pytest.approx(100.0 * np.sqrt(0.8 * 1.1))


@given(st.floats(0.1, 10.0), FLOWS)
def test_dirt_multiplies_the_drop(factor, flow):
    """`times` multiplies the drop at every flow."""
    law = PowerLaw(100.0, 1.4)
    assert law.times(factor).drop(flow) == pytest.approx(factor * law.drop(flow), rel=1e-12)


def test_a_law_needs_a_point():
    """A point at zero flow or zero drop makes no law."""
    with pytest.raises(PartError) as caught:
        PowerLaw.through(25.0, 0.0, 1.4)
    assert str(caught.value) == (
        "flow: 0 came; the point of a pressure law is positive and finite."
    )
    with pytest.raises(PartError) as caught:
        PowerLaw.through(-3.0, 0.5, 1.4)
    assert str(caught.value) == (
        "drop: -3 came; the point of a pressure law is positive and finite."
    )


@given(EXPONENTS, st.floats(1.0, 300.0), st.floats(0.05, 0.3), st.floats(1.2, 4.0))
def test_two_points_of_a_law_are_the_law(exponent, drop, flow, apart):
    """Two points give back coefficient and exponent, with nothing left over."""
    law = PowerLaw.through(drop, flow, exponent)
    found, rest = PowerLaw.fitted([drop, float(law.drop(flow * apart))], [flow, flow * apart])
    assert found.exponent == pytest.approx(exponent, abs=1e-9)
    assert found.coefficient == pytest.approx(law.coefficient, rel=1e-9)
    assert rest == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("steep", "held"), [(0.5, 1.0), (3.0, 2.0)])
def test_points_of_no_law_leave_a_rest(steep, held):
    """Outside the first to the second power the exponent is held and the rest says so."""
    found, rest = PowerLaw.fitted([10.0, 10.0 * 2.0**steep], [0.2, 0.4])
    assert found.exponent == held
    assert rest == pytest.approx(0.5 * abs(steep - held) * np.log(2.0))
