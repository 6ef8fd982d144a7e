"""Coils: by capacity, by rating, dry and wet, clean and dusty."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater.errors import NotPossibleError, PartError, UnknownNameError
from inchwater.parts import coils
from inchwater.units import to_si


@given(st.floats(1.0, 5.0))
def test_a_coil_is_sized_for_its_capacity(tons):
    """At 400 cfm per ton every default coil has the same drop."""
    law, sigma_ln = coils.coil_law(to_si(tons, "ton"), wet=False)
    assert law.drop(to_si(400.0 * tons, "cfm")) == pytest.approx(to_si(0.20, "inwc"), rel=1e-12)
    assert sigma_ln == 0.30


def test_water_on_the_fins_costs_more():
    """Wet is 1.35 times dry, at any flow."""
    dry, _ = coils.coil_law(10_000.0, wet=False)
    wet, _ = coils.coil_law(10_000.0, wet=True)
    assert wet.drop(0.4) == pytest.approx(1.35 * dry.drop(0.4), rel=1e-12)


@pytest.mark.parametrize(
    ("wet", "rated_wet", "factor"),
    [(False, False, 1.0), (True, True, 1.0), (True, False, 1.35), (False, True, 1 / 1.35)],
)
def test_a_rating_is_moved_to_the_state_that_is_wanted(wet, rated_wet, factor):
    """A dry rating serves a wet coil and the other way round."""
    law, sigma_ln = coils.coil_law_from_rating(50.0, 0.5, wet=wet, rated_wet=rated_wet)
    assert law.drop(0.5) == pytest.approx(50.0 * factor, rel=1e-12)
    assert sigma_ln < coils.coil_law(10_000.0, wet=False)[1]


def test_dust_goes_with_the_words():
    """Clean is one, dusty more, caked most; not having looked is in between and less certain."""
    clean, dusty, caked, unknown = (
        coils.condition_factor(word) for word in ("clean", "dusty", "caked", None)
    )
    assert 1.0 == clean[0] < unknown[0] < dusty[0] < caked[0]
    assert unknown[1] > clean[1]


def test_ice_stops_the_diagnosis():
    """An iced coil has no steady resistance: thaw it first."""
    with pytest.raises(NotPossibleError) as caught:
        coils.condition_factor("iced")
    assert str(caught.value) == (
        "coil.condition: iced came; a coil with ice on it has no steady resistance. "
        "Thaw it with the blower alone, find out why it froze, and read the statics again."
    )


def test_a_coil_has_a_capacity():
    """A capacity of zero is refused."""
    with pytest.raises(PartError) as caught:
        coils.coil_law(0.0, wet=True)
    assert str(caught.value) == "capacity: 0 W came; a coil's capacity is above zero."


def test_an_unknown_condition_is_told_the_choices():
    """Conditions are three and unknown."""
    with pytest.raises(UnknownNameError) as caught:
        coils.condition_factor("green")
    assert str(caught.value) == (
        "coil.condition: 'green' came; choices are clean, dusty, caked, unknown."
    )
