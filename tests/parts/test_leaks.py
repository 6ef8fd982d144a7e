"""Leaks: a power of the pressure, finite at zero, in and out."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater.errors import PartError
from inchwater.parts import leaks

EXPONENTS = st.floats(0.5, 1.0)
PRESSURES = st.floats(1e-4, 400.0)


@given(PRESSURES, EXPONENTS, st.floats(1.001, 3.0))
def test_more_pressure_leaks_more_and_suction_leaks_in(pressure, exponent, factor):
    """The flow rises with pressure and takes its sign."""
    flow = leaks.leak_flow(pressure, 0.01, exponent)
    assert leaks.leak_flow(pressure * factor, 0.01, exponent) > flow > 0.0
    assert leaks.leak_flow(-pressure, 0.01, exponent) == -flow


@given(PRESSURES, EXPONENTS)
def test_the_slope_is_that_of_the_flow(pressure, exponent):
    """The slope equals a central difference, below the linear part too."""
    step = pressure * 1e-6
    low, high = (leaks.leak_flow(p, 0.01, exponent) for p in (pressure - step, pressure + step))
    slope = leaks.leak_flow_and_slope(pressure, 0.01, exponent)[1]
    assert slope == pytest.approx((high - low) / (2.0 * step), rel=1e-4)


def test_no_pressure_no_leak_and_a_finite_slope():
    """At zero pressure nothing leaks, and a solver still has a slope."""
    flow, slope = leaks.leak_flow_and_slope(0.0, 0.01, 0.6)
    assert flow == 0.0
    assert slope == pytest.approx(1.2 * 0.01 * leaks.LINEAR_BELOW**-0.4)


@pytest.mark.parametrize("exponent", [0.5, 0.6, 0.65, 1.0])
def test_the_cubic_meets_the_power(exponent):
    """Value and slope are the power law's where the cubic ends."""
    edge = leaks.LINEAR_BELOW
    below = leaks.leak_flow_and_slope(edge * (1.0 - 1e-9), 0.01, exponent)
    assert below[0] == pytest.approx(0.01 * edge**exponent, rel=1e-7)
    assert below[1] == pytest.approx(exponent * 0.01 * edge ** (exponent - 1.0), rel=1e-7)


@given(st.floats(0.001, 0.4), st.floats(0.1, 1.0), st.floats(5.0, 300.0), EXPONENTS)
def test_a_fraction_leaks_at_its_pressure(fraction, airflow, pressure, exponent):
    """The coefficient of a fraction gives that fraction back, for suction too."""
    coefficient = leaks.leak_coefficient(fraction, airflow, -pressure, exponent)
    assert leaks.leak_flow(pressure, coefficient, exponent) == pytest.approx(
        fraction * airflow, rel=1e-12
    )


def test_together_is_as_one_by_one():
    """Samples of pressures and of coefficients broadcast."""
    pressures = np.array([[-50.0, 0.0, 0.01], [80.0, 5.0, -0.02]])
    coefficients = np.array([0.01, 0.02, 0.03])
    together = leaks.leak_flow(pressures, coefficients, 0.6)
    for index in np.ndindex(2, 3):
        alone = leaks.leak_flow(float(pressures[index]), float(coefficients[index[1]]), 0.6)
        assert together[index] == pytest.approx(alone, rel=1e-12, abs=1e-300)


def test_a_leak_is_known_at_a_pressure():
    """A fraction at no pressure defines no leak."""
    with pytest.raises(PartError) as caught:
        leaks.leak_coefficient(0.1, 0.5, np.array([20.0, 0.0]), 0.6)
    assert str(caught.value) == (
        "leak.pressure: 0 Pa came; a leak's flow is known at a pressure that drives it."
    )
