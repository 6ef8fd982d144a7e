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


@given(st.floats(1.0, 2.0), st.booleans(), st.booleans())
def test_a_table_of_a_coil_gives_its_own_law(exponent, wet, rated_wet):
    """Points lead back to their exponent, moved to the wanted state as one rating is."""
    flows = [0.3, 0.45, 0.6]
    law, sigma = coils.coil_law_from_points(
        [60.0 * (q / 0.5) ** exponent for q in flows], flows, wet, rated_wet
    )
    single, single_sigma = coils.coil_law_from_rating(60.0, 0.5, wet, rated_wet)
    assert law.exponent == pytest.approx(exponent, abs=1e-9)
    assert law.drop(0.5) == pytest.approx(single.drop(0.5), rel=1e-9)
    assert sigma == pytest.approx(single_sigma)


def test_columns_that_are_no_coil_are_refused():
    """A drop that falls with the airflow names the columns."""
    with pytest.raises(PartError) as caught:
        coils.coil_law_from_points([60.0, 40.0], [to_si(q, "cfm") for q in (800.0, 1200.0)])
    assert str(caught.value) == (
        "coil.rated_drop: 0.24 in. w.c. at 800 cfm, 0.16 in. w.c. at 1200 cfm came; a coil's drop "
        "rises with the first to the second power of the airflow. Read the print again: each drop "
        "belongs to its own airflow."
    )


def test_years_foul_a_coil():
    """New is clean, seven and a half years double it, and a negative age is refused."""
    assert coils.fouling_factor(0.0)[0] == 1.0
    assert coils.fouling_factor(15.0)[0] == pytest.approx(3.0)
    with pytest.raises(PartError) as caught:
        coils.fouling_factor(-1.0)
    assert str(caught.value) == "coil.years: -1 came; a coil's age is zero or more."


def test_air_that_no_coil_is_printed_at_is_said():
    """Too little, too much, and water that may blow off each have their sentence."""
    capacity = to_si(3.0, "ton")

    def said(per_ton, wet):
        return coils.beyond(to_si(3.0 * per_ton, "cfm"), capacity, wet)

    assert said(400.0, True) is None
    assert said(500.0, False) is None
    assert said(100.0, False) == (
        "A coil at 100 cfm per ton has less air than the 150 to which its drop is known."
    )
    assert said(700.0, True) == (
        "A coil at 700 cfm per ton has more air than the 600 to which its drop is known."
    )
    assert said(500.0, True) == (
        "A wet coil at 500 cfm per ton is above the 450 where water may blow off its fins: its "
        "drop is less certain."
    )
