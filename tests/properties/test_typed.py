"""Properties of what people type: no text is a trace, and every way to write a number is one."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from inchwater import units
from inchwater.errors import DoubtError, InchwaterError
from inchwater.survey import (
    Duct,
    Fact,
    How,
    parse_altitude,
    parse_capacity,
    parse_length,
    parse_number,
    parse_runs,
    parse_size,
    parse_static,
    parse_volts,
    supply_of,
)
from inchwater.survey.ranges import range_of

# What a thumb in a glove hits, and everything else.
typed = st.text("0123456789.,-−+eE'\" xin×fptPawc", max_size=12) | st.text(max_size=20)
PARSERS = {
    "number": lambda text: (parse_number("Field", text),),
    "static": lambda text: (parse_static("Field", text, "inwc", "return"),),
    "capacity": lambda text: (parse_capacity("Field", text),),
    "altitude": lambda text: (parse_altitude("Field", text),),
    "volts": lambda text: (parse_volts("Field", text),),
    "length": lambda text: (parse_length("Field", text),),
    "size": lambda text: parse_size("Field", text),
}


def attempt(parse, text):
    """What a parser makes of a text: numbers, or the error of ours."""
    try:
        return parse(text)
    except InchwaterError as error:
        return error


@pytest.mark.parametrize("name", PARSERS)
@given(text=typed)
@example(text="0.0e0.")
def test_any_text_is_a_number_or_an_error_of_ours(name, text):
    """Never another exception, never a number without end, never an error without advice."""
    outcome = attempt(PARSERS[name], text)
    if isinstance(outcome, InchwaterError):
        assert outcome.where == "Field"
        assert outcome.came
        assert outcome.right
        assert len(str(outcome)) < 400
    else:
        assert all(math.isfinite(number) for number in outcome)


@given(typed)
def test_any_line_is_runs_or_an_error_of_ours(text):
    """The same for a line about the runs."""
    outcome = attempt(parse_runs, text)
    if not isinstance(outcome, InchwaterError):
        assert sum(group.count for group in outcome) == len(supply_of(outcome).branches)


said_of_runs = st.lists(
    st.sampled_from(
        [
            *("two", "3", "6", "8x12", "3-1/4 x 10", "1/0", "½", "6-inch", '10"', "20 ft", "5 m"),
            *("flex", "spiral", "lined metal", "pvc", "oval", "round", "rectangular", "slack"),
            *("about", "~", "sag", "sagging", "hangers every", "hung", "apart", "every", "4 in"),
            *("damper", "dampers", "half", "three-quarters", "shut", "open", "at", "30°", "110°"),
            *("registers", "register of", "x", "by", "and", ";", "plus", "between hangers", "-"),
        ]
    ),
    max_size=9,
).map(" ".join)


@given(said_of_runs)
def test_any_words_about_runs_are_runs_or_an_error_of_ours(text):
    """What a technician says, in any order, twice, or half of it."""
    outcome = attempt(parse_runs, text)
    if isinstance(outcome, InchwaterError):
        assert outcome.came
        assert outcome.right
        return
    supply = supply_of(outcome)
    meant = [group.duct for group in outcome for _ in range(group.count)]
    assert [run.duct for run in supply.runs] == meant


@given(st.integers(0, 999_999_999), st.integers(0, 99))
def test_every_way_to_write_a_number_is_that_number(whole, hundredths):
    """Grouped or not, with point or comma: the same number."""
    number = whole + hundredths / 100
    english = f"{whole:,}.{hundredths:02d}"
    ways = [
        f"{whole}.{hundredths:02d}",
        f"{whole},{hundredths:02d}",
        english,
        english.replace(",", " "),
        english.replace(",", "\u202f").replace(".", ","),
        english.replace(",", "'"),
        english.replace(",", "_").replace(".", ",").replace("_", "."),
    ]
    for way in ways:
        assert parse_number("Field", way) == pytest.approx(number, rel=1e-15)
        assert parse_number("Field", f" −{way} ") == pytest.approx(-number, rel=1e-15)


@given(st.floats(0.05, 1.5), st.sampled_from(["return", "supply"]), st.booleans())
def test_a_static_is_the_same_in_either_unit(inches, side, minus):
    """Only its magnitude and its side count; a minus is asked about where it tells of a swap."""
    sign = "-" if minus else ""
    pascals = units.to_si(inches, "inwc")
    expected = -pascals if side == "return" else pascals
    for text in (f"{sign}{inches!r}", f"{sign}{pascals!r} Pa"):
        outcome = attempt(lambda one: parse_static("Field", one, "inwc", side), text)
        if minus and side == "supply":
            assert isinstance(outcome, DoubtError)
            outcome = parse_static("Field", outcome.suggestion, "inwc", side)
        assert outcome == pytest.approx(expected, rel=1e-9)


@given(st.floats(12.5, 373.0))
def test_pascals_in_a_field_of_inches_are_always_asked_about(pascals):
    """Whatever usual pressure was meant, the suggestion is that pressure, and it is accepted."""
    with pytest.raises(DoubtError) as caught:
        parse_static("Field", f"{pascals:.2f}", "inwc", "supply")
    used = parse_static("Field", caught.value.suggestion, "inwc", "supply")
    assert used == pytest.approx(pascals, abs=units.to_si(0.0051, "inwc"))


@given(st.floats(0.05, 1.5))
def test_inches_in_a_field_of_pascals_are_always_asked_about(inches):
    """The same the other way round; the field's unit has whole pascals."""
    with pytest.raises(DoubtError) as caught:
        parse_static("Field", f"{inches:.3f}", "pa", "supply")
    suggested = float(caught.value.suggestion)
    assert suggested == pytest.approx(units.to_si(round(inches, 3), "inwc"), abs=0.51)


@given(st.integers(2, 20))
def test_a_capacity_on_a_plate_is_offered_in_tons(half_tons):
    """6 to 120 kBtu/h in halves of a ton, and the same in Btu/h."""
    tons = half_tons / 2
    for number in (tons * 12.0, tons * 12_000.0):
        outcome = attempt(lambda text: parse_capacity("Field", text), f"{number:g}")
        if isinstance(outcome, DoubtError):
            assert float(outcome.suggestion) == pytest.approx(tons, rel=5e-3)
        else:
            # 6 kBtu/h is also a plausible 6 tons: nothing is guessed where both can be.
            assert range_of("capacity").holds(units.to_si(number, "ton"))
    exact = parse_capacity("Field", f"{tons * 12:g} kBtu/h")
    assert exact == pytest.approx(units.to_si(tons, "ton"), rel=1e-12)


lengths = st.integers(5, 60)
groups = st.lists(
    st.tuples(
        st.integers(1, 12),
        st.integers(4, 20),
        lengths,
        st.booleans(),
        st.sampled_from([None, "tight", "slack", "draped", "kinked"]),
        st.sampled_from([None, "flex", "metal", "duct board", "pvc", "lined"]),
    ),
    min_size=1,
    max_size=4,
)


@given(groups, st.sampled_from(["; ", " and ", " plus "]), st.booleans())
def test_runs_are_understood_as_they_were_meant(said, between, marks):
    """Whatever was said of each group, in words or in marks, comes out of the line."""
    lines, meant = [], []
    for count, inches, feet, about, slack, material in said:
        hangs = None if material in ("metal", "duct board", "pvc", "lined") else slack
        size = f'{inches}"' if marks else f"{inches}-inch"
        long = f"{feet}'" if marks else f"{feet} ft"
        words = [str(count), size, f"about {long}" if about else long, hangs, material]
        lines.append(", ".join(word for word in words if word))
        how = How.STATED if about else How.SEEN
        made_of = material.replace(" ", "") if material else None
        duct = Duct(made_of, Fact(inches, "in"), Fact(feet, "ft", how), hangs)
        meant.append((count, duct))
    read = parse_runs(between.join(lines))
    assert [(group.count, group.duct) for group in read] == meant
    expected = [duct for count, duct in meant for _ in range(count)]
    assert [run.duct for run in supply_of(read).runs] == expected
