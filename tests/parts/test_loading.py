"""Loading: what hours and dust do to a filter's drop and to its law."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater.errors import PartError, UnknownNameError
from inchwater.parts import loading
from inchwater.parts.filters import GRADES
from inchwater.parts.laws import PowerLaw

KEYS = st.sampled_from(sorted(GRADES))


@given(KEYS, st.floats(0.0, 9000.0), st.floats(1.0, 2000.0))
def test_hours_only_ever_load(key, hours, more):
    """A new filter has its clean drop, and each hour adds to it."""
    factor, sigma = loading.hours_factor(hours, key)
    assert loading.hours_factor(0.0, key)[0] == 1.0
    assert loading.hours_factor(hours + more, key)[0] > factor >= 1.0
    assert 0.0 < sigma < 1.0


@given(KEYS, st.floats(0.001, 0.3), st.integers(2, 4))
def test_dust_spreads_over_the_face(key, dust, count):
    """The same dust on more face loads less; twice of both loads the same."""
    one, _ = loading.dust_factor(dust, 0.5, 0.6, key)
    several, _ = loading.dust_factor(dust, 0.5, 0.6, key, count)
    shared, _ = loading.dust_factor(count * dust, 0.5, 0.6, key, count)
    assert 1.0 < several < one
    assert shared == pytest.approx(one, rel=1e-12)


@pytest.mark.parametrize("what", ["hours", "dust"])
def test_deeper_filters_load_slower(what):
    """From 1 in to 5 in the same hours and the same dust load less."""
    keys = ["pleat-1in-merv11", "pleat-2in-merv11", "media-4in-merv11", "media-5in-merv11"]
    factors = [
        loading.hours_factor(2000.0, key)[0]
        if what == "hours"
        else loading.dust_factor(0.05, 0.5, 0.6, key)[0]
        for key in keys
    ]
    assert factors == sorted(factors, reverse=True)
    assert len(set(factors)) == len(factors)


def test_a_filter_nobody_looked_at_loads_least_surely():
    """None has the widest spread; arrays of hours give arrays."""
    factors, sigma = loading.hours_factor(np.array([0.0, 2000.0]))
    assert factors == pytest.approx([1.0, 2.0])
    assert sigma > loading.hours_factor(0.0, "pleat-1in-merv8")[1]


@given(st.floats(1.0, 2.0), st.floats(1.0, 4.0), st.floats(0.1, 1.0))
def test_a_cake_flattens_the_law(exponent, factor, flow):
    """The loaded law goes through the grown drop and bends from the clean exponent towards one."""
    clean = PowerLaw(80.0, exponent)
    loaded = loading.loaded_law(clean, factor, flow)
    assert loaded.drop(flow) == pytest.approx(factor * clean.drop(flow), rel=1e-12)
    assert 1.0 <= loaded.exponent <= exponent + 1e-12
    # Slope of clean drop and linear cake added up.
    slope = clean.drop_and_slope(flow)[1] + (factor - 1.0) * clean.drop(flow) / flow
    assert loaded.drop_and_slope(flow)[1] == pytest.approx(slope, rel=1e-9)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: loading.hours_factor(-5.0),
            "filter.hours: -5 came; what a filter has behind it since it was new is zero or more.",
        ),
        (
            lambda: loading.dust_factor(-0.1, 0.5, 0.5),
            "filter.dust: -0.1 came; what a filter has behind it since it was new is zero or more.",
        ),
        (
            lambda: loading.dust_factor(0.1, 0.0, 0.5),
            "filter.width: 0 m came; a filter has a face to breathe.",
        ),
        (
            lambda: loading.loaded_law(PowerLaw(80.0, 1.4), 0.9, 0.5),
            "filter.condition: 0.9 times the clean drop came; dust never makes a filter easier to "
            "breathe through.",
        ),
    ],
)
def test_loads_that_cannot_be(call, message):
    """Negative hours and dust, no face, and a drop below clean are refused."""
    with pytest.raises(PartError) as caught:
        call()
    assert str(caught.value) == message


def test_classes_are_those_of_filters():
    """An unknown class is told the choices."""
    with pytest.raises(UnknownNameError) as caught:
        loading.hours_factor(10.0, "sieve")
    assert str(caught.value).startswith("filter.grade: 'sieve' came; choices are fiberglass-1in,")


def test_past_what_a_filter_is_built_for_is_said():
    """Up to four times the clean drop nothing is said."""
    assert loading.beyond(4.0) is None
    assert loading.beyond(5.5) == (
        "A filter at 5.5 times its clean drop is past the 4 times to which loading is known: it "
        "bows, leaks round its frame or tears. Change it and read again."
    )
