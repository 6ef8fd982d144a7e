"""Sections: areas, equivalents, and shapes that were described badly."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater.errors import PartError
from inchwater.parts import ducts
from inchwater.parts.sections import Section, section_of

SIDES = st.floats(0.05, 0.8)


@given(SIDES, SIDES, st.sampled_from(["rectangular", "oval"]))
def test_turning_a_section_changes_nothing(width, height, shape):
    """Width and height may be exchanged: area, perimeter and equivalents stay."""
    one, other = Section(shape, width, height), Section(shape, height, width)
    for name in ("area", "perimeter", "equivalent_diameter", "hydraulic_diameter", "aspect"):
        assert getattr(one, name) == pytest.approx(getattr(other, name), rel=1e-14)


@given(SIDES, SIDES)
def test_an_equivalent_lies_between_hydraulic_and_equal_area(width, height):
    """A rectangular duct acts smaller than the round duct of its area, larger than hydraulic."""
    section = Section("rectangular", width, height)
    equal = math.sqrt(4.0 / math.pi * section.area)
    assert section.hydraulic_diameter <= section.equivalent_diameter < equal


@given(SIDES)
def test_an_oval_without_flats_is_round(diameter):
    """A flat oval as wide as it is high has the circle's area and about its diameter."""
    oval, circle = Section("oval", diameter, diameter), Section.round(diameter)
    assert oval.area == pytest.approx(circle.area, rel=1e-12)
    assert oval.perimeter == pytest.approx(circle.perimeter, rel=1e-12)
    assert oval.equivalent_diameter == pytest.approx(diameter, rel=0.002)
    assert circle.equivalent_diameter == diameter
    assert circle.hydraulic_diameter == pytest.approx(diameter, rel=1e-12)


@given(SIDES, SIDES)
def test_sections_and_ducts_agree(width, height):
    """The equivalents are those that the friction functions give."""
    assert Section("rectangular", width, height).equivalent_diameter == pytest.approx(
        ducts.equivalent_diameter_rectangular(width, height), rel=1e-12
    )
    major, minor = max(width, height), min(width, height)
    assert Section("oval", width, height).equivalent_diameter == pytest.approx(
        ducts.equivalent_diameter_oval(major, minor), rel=1e-12
    )


@given(SIDES, st.floats(1.01, 8.0))
def test_flattening_at_one_perimeter_costs_diameter(side, aspect):
    """Of two ducts of one area the flatter has the smaller equivalent."""
    square = Section("rectangular", side, side)
    flat = Section("rectangular", side * aspect**0.5, side / aspect**0.5)
    assert flat.area == pytest.approx(square.area, rel=1e-12)
    assert flat.equivalent_diameter < square.equivalent_diameter


def test_a_section_is_built_from_what_was_said():
    """Without a shape, a diameter means round and two sides mean rectangular."""
    assert section_of(None, diameter=0.2) == Section.round(0.2)
    assert section_of(None, width=0.3, height=0.2) == Section("rectangular", 0.3, 0.2)
    assert section_of("oval", 0.2, 0.3, 0.15) == Section("oval", 0.3, 0.15)


@pytest.mark.parametrize(
    ("given_", "text"),
    [
        (
            ("rectangular", 0.2, None, 0.1),
            "width: nothing came; its width is needed for rectangular duct. "
            "Measure it, or describe the duct by another shape.",
        ),
        (
            ("round", None, 0.2, 0.1),
            "diameter: nothing came; its diameter is needed for round duct. "
            "Measure it, or describe the duct by another shape.",
        ),
        (
            ("oval", None, 0.2, None),
            "height: nothing came; its height is needed for oval duct. "
            "Measure it, or describe the duct by another shape.",
        ),
        ((None, 0.0), "diameter: 0 came; it is a number above zero."),
        (("oval", None, 0.2, -0.1), "height: -0.1 came; it is a number above zero."),
        ((None, None, float("nan"), 0.1), "width: nan came; it is a number above zero."),
        (("star", 0.2), "shape: 'star' came; choices are round, rectangular, oval."),
    ],
)
def test_a_section_that_cannot_be_is_refused(given_, text):
    """What is missing or impossible is named."""
    with pytest.raises(PartError) as caught:
        section_of(*given_)
    assert str(caught.value) == text


def test_house_duct_is_within_range():
    """The usual sizes are silent about their range."""
    for section in (
        Section.round(4 * 0.0254),
        Section.round(20 * 0.0254),
        Section("rectangular", 0.3556, 0.2032),
        Section("rectangular", 14 * 0.0254, 3.25 * 0.0254),
        Section("oval", 0.3, 0.15),
    ):
        assert section.beyond() is None


def test_a_section_says_when_it_leaves_its_range():
    """Too flat, too small and too large are said in a sentence."""
    assert Section("rectangular", 0.9, 0.1).beyond() == (
        "A duct 9.0 times as wide as high is flatter than the tables of equivalent diameters go "
        "(8 to 1); its friction is a guess."
    )
    assert Section.round(0.0508).beyond() == (
        "A duct that acts as one of 2.0 in is smaller than house duct (3 to 30 in); "
        "its losses are a guess."
    )
    assert Section.round(1.016).beyond() == (
        "A duct that acts as one of 40.0 in is larger than house duct (3 to 30 in); "
        "its losses are a guess."
    )
