"""What is wanted: windows from presets and from the job's own targets."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inchwater.criteria import goal, plate, preset, presets
from inchwater.errors import InputError, UnknownNameError
from inchwater.survey import Fact, How, Targets
from inchwater.units import from_si
from tests.solved import three_numbers


def survey():
    return three_numbers().survey


def test_the_standard_window_scales_with_the_capacity():
    """2.5 ton with the standard preset want 875 to 1,125 cfm, 1,000 in the middle."""
    wanted = goal(survey(), Targets())
    assert from_si(wanted.low, "cfm") == pytest.approx(875)
    assert from_si(wanted.high, "cfm") == pytest.approx(1125)
    assert from_si(wanted.middle, "cfm") == pytest.approx(1000)
    assert wanted.source == (
        "Parker, Sherwin, Raustad, Shirey: FSEC-PF-321-97, ASHRAE Transactions 1997, abstract"
    )


def test_a_stated_bound_outranks_the_preset():
    """One stated bound replaces the preset's, the other stays, and the source says so."""
    wanted = goal(survey(), Targets(airflow_per_capacity_low=Fact(400, "cfm_ton")))
    assert from_si(wanted.low, "cfm") == pytest.approx(1000)
    assert from_si(wanted.high, "cfm") == pytest.approx(1125)
    assert wanted.source == "stated for this job"


def test_bounds_the_wrong_way_round_are_refused():
    """A low bound above the high one is refused in the trade's unit."""
    with pytest.raises(InputError) as caught:
        goal(survey(), Targets(airflow_per_capacity_low=Fact(460, "cfm_ton")))
    assert str(caught.value) == (
        "targets.airflow_per_capacity_low: 460 cfm/ton came; it lies below the high bound, "
        "450 cfm/ton. Correct one of the two bounds, or leave both out for the preset."
    )


def test_an_unknown_preset_is_refused_with_the_choices():
    """The text lists the presets that there are."""
    with pytest.raises(UnknownNameError) as caught:
        preset("tropical")
    assert str(caught.value) == (
        "targets.preset: 'tropical' came; presets are standard, humid, dry, dehumidify, tolerance."
    )


def test_every_preset_is_a_window():
    """Low lies below high, and each says who says so."""
    for one in presets().values():
        assert 0 < one.low < one.high
        assert one.source


def test_without_a_plate_the_typical_figure_stands_in_as_typical():
    """No plate: 0.50 in. w.c., known as typical; a plate that was seen outranks it."""
    limit, how = plate(survey())
    assert from_si(limit, "inwc") == pytest.approx(0.50)
    assert how is How.TYPICAL
    seen = replace(survey(), unit=replace(survey().unit, tesp_rating=Fact(0.8, "inwc", How.SEEN)))
    limit, how = plate(seen)
    assert from_si(limit, "inwc") == pytest.approx(0.80)
    assert how is How.SEEN
