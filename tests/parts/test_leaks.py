"""Leaks: a power of the pressure, finite at zero, in and out."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater.air import STANDARD
from inchwater.errors import PartError, UnknownNameError
from inchwater.parts import leaks
from inchwater.units import to_si

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


@given(st.floats(0.0, 0.3), st.floats(5.0, 100.0))
def test_a_test_gives_its_flow_back(airflow, pressure):
    """The tested leak passes the test's flow at the test's pressure, for suction too."""
    coefficient = leaks.measured_coefficient(airflow, -pressure)
    assert leaks.leak_flow(pressure, coefficient, leaks.exponent()) == pytest.approx(
        airflow, rel=1e-12, abs=1e-300
    )
    assert 0.0 < leaks.measured_sigma_ln() < leaks.sealing(None)[1]


@pytest.mark.parametrize("what", [leaks.sealing, leaks.sealing_class])
def test_better_sealing_leaks_less(what):
    """The words stand in their order; not looked at is between them and least certain."""
    sealed, taped, unknown, unsealed = (
        what(word) for word in ("sealed", "taped", None, "unsealed")
    )
    assert sealed[0] < taped[0] < unknown[0] < unsealed[0]
    assert unknown[1] > max(sealed[1], unsealed[1])


def test_words_of_sealing_are_told():
    """Another word is told the choices; each has words for a page."""
    with pytest.raises(UnknownNameError) as caught:
        leaks.sealing("glued")
    assert str(caught.value) == (
        "leakage.sealing: 'glued' came; choices are sealed, taped, unsealed, unknown."
    )
    assert dict(leaks.SEALING) == {
        "sealed": "sealed with mastic, all joints",
        "taped": "taped",
        "unsealed": "joints left open",
        "unknown": "not looked at",
    }


@given(st.floats(1.0, 100.0), st.floats(0.0, 300.0), PRESSURES)
def test_a_class_is_a_leak_of_a_surface(leakage_class, surface, pressure):
    """Coefficient and exponent of a class give the flow of the class."""
    coefficient, exponent = leaks.class_coefficient(leakage_class, surface)
    assert leaks.leak_flow(pressure, coefficient, exponent) == pytest.approx(
        leaks.leakage_class_flow(leakage_class, pressure, surface), rel=1e-12
    )


def test_class_and_share_of_a_word_agree_on_an_ordinary_house():
    """On 370 ft² of duct at 56 Pa the class leaks the share of 975 cfm, within 10 %."""
    for word in ("sealed", "taped", "unsealed", None):
        share = leaks.sealing(word)[0] * to_si(975.0, "cfm")
        coefficient, exponent = leaks.class_coefficient(
            leaks.sealing_class(word)[0], to_si(370.0, "ft2")
        )
        assert leaks.leak_flow(56.0, coefficient, exponent) == pytest.approx(share, rel=0.10)


def test_a_hole_passes_what_it_stands_for():
    """The hole's flow at its pressure is the leak's."""
    area = leaks.hole_area(0.04, 25.0)
    assert 0.6 * area * (2.0 * 25.0 / STANDARD.density) ** 0.5 == pytest.approx(0.04)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: leaks.measured_coefficient(-to_si(50.0, "cfm"), 25.0),
            "leakage.airflow: -50 cfm came; a test's airflow is zero or more.",
        ),
        (
            lambda: leaks.measured_coefficient(0.1, 0.0),
            "leak.pressure: 0 Pa came; a leak's flow is known at a pressure that drives it.",
        ),
        (
            lambda: leaks.class_coefficient(12.0, -1.0),
            "leakage.surface: -1 m² came; a duct's surface is zero or more.",
        ),
    ],
)
def test_leaks_that_cannot_be(call, message):
    """A negative flow, a test without pressure and a negative surface are refused."""
    with pytest.raises(PartError) as caught:
        call()
    assert str(caught.value) == message


def test_a_test_at_an_odd_pressure_is_said():
    """Between 10 and 125 Pa nothing is said, of suction too."""
    assert leaks.beyond(25.0) is None
    assert leaks.beyond(-50.0) is None
    assert leaks.beyond(3.0) == (
        "A duct test at 3 Pa is outside the 10 to 125 Pa where such tests are done: the leak at "
        "working pressure is taken from it with doubt."
    )
