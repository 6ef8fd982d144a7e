"""What people type: numbers in all their ways to write them, units, doubts and limits."""

from __future__ import annotations

import pytest

from inchwater import units
from inchwater.errors import DoubtError, InputError
from inchwater.survey import (
    parse_airflow,
    parse_altitude,
    parse_capacity,
    parse_diameter,
    parse_length,
    parse_number,
    parse_quantity,
    parse_size,
    parse_static,
    parse_volts,
    parse_watts,
)


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        ("0.29", 0.29),
        (" 0.29 ", 0.29),
        ("0,29", 0.29),
        ("0,290", 0.29),
        (".29", 0.29),
        (",29", 0.29),
        ("5.", 5.0),
        ("1,200", 1200.0),
        ("1,200.5", 1200.5),
        ("1.200,5", 1200.5),
        ("1 200", 1200.0),
        ("1\u202f200,5", 1200.5),
        ("1'200", 1200.0),
        ("1,200,000", 1_200_000.0),
        ("1.200.000", 1_200_000.0),
        ("12,3456", 12.3456),
        ("−3", -3.0),
        ("- 3", -3.0),
        ("+3", 3.0),
        ("1e3", 1000.0),
        ("½", 0.5),
        ("2½", 2.5),
        ("2 1/2", 2.5),
        ("2-1/2", 2.5),
        ("−3/4", -0.75),
        ("1 200 1/4", 1200.25),
        ("٣٫٥".replace("٫", "."), 3.5),
        ("\uff13", 3.0),
    ],
)
def test_a_number_is_understood_as_people_write_it(typed, number):
    """Decimal comma, thousands separators, minus signs, fractions, digits of other scripts."""
    assert parse_number("Field", typed) == number


@pytest.mark.parametrize(
    ("typed", "text"),
    [
        ("", "Field: nothing came; a number is wanted."),
        ("   ", "Field: nothing came; a number is wanted."),
        ("abc", "Field: 'abc' came; a number is wanted."),
        ("nan", "Field: 'nan' came; a number is wanted."),
        ("-inf", "Field: '-inf' came; a number is wanted."),
        ("Infinity", "Field: 'Infinity' came; a number is wanted."),
        ("-", "Field: '-' came; a number is wanted."),
        ("--5", "Field: '--5' came; a number is wanted."),
        ("1/0", "Field: '1/0' came; a number alone is wanted. Leave '/0' out."),
        ("1/2/3", "Field: '1/2/3' came; a number alone is wanted. Leave '/3' out."),
        ("10²", "Field: '10²' came; a number alone is wanted. Leave '²' out."),
        ("0.29 in", "Field: '0.29 in' came; a number alone is wanted. Leave 'in' out."),
        ("1 2", "Field: '1 2' came; one number such as 0.29 or 1,200 is wanted."),
        ("1.2.3", "Field: '1.2.3' came; one number such as 0.29 or 1,200 is wanted."),
        ("1,2,3", "Field: '1,2,3' came; one number such as 0.29 or 1,200 is wanted."),
        ("1e999", "Field: '1e999' came; no quantity is that large."),
        ("9" * 400, f"Field: '{'9' * 59}… came; no quantity is that large."),
        ("x" * 400, f"Field: '{'x' * 59}… came; a number is wanted."),
    ],
)
def test_what_is_no_number_says_what_is_wanted(typed, text):
    """Empty, words, not-a-numbers, several numbers, numbers without end."""
    with pytest.raises(InputError) as caught:
        parse_number("Field", typed)
    assert str(caught.value) == text
    assert type(caught.value) is InputError


@pytest.mark.parametrize("sign", ["", "-", "−", "+"])
@pytest.mark.parametrize(
    ("typed", "unit", "inches"),
    [
        ("0.29", "inwc", 0.29),
        ("0,29", "inwc", 0.29),
        ("0.29 in", "inwc", 0.29),
        ('0.29"', "inwc", 0.29),
        ("0.29 in. w.c.", "inwc", 0.29),
        ("0.29 inH2O", "pa", 0.29),
        ("0.29″ w.c.", "pa", 0.29),
    ],
)
def test_the_side_gives_the_sign(sign, typed, unit, inches):
    """Pressures need no sign: return is negative whichever was typed, supply positive."""
    pascals = units.to_si(inches, "inwc")
    assert parse_static("Return static", sign + typed, unit, "return") == -pascals
    if sign in ("", "+"):
        assert parse_static("Supply static", sign + typed, unit, "supply") == pascals


@pytest.mark.parametrize(
    ("typed", "unit", "came"),
    [
        ("-0.42", "inwc", "0.42"),
        ("−0,42", "inwc", "0.42"),
        ("-150", "inwc", "150"),
        ("-105 Pa", "inwc", "105 Pa"),
        ('-0.42"', "pa", "0.42 in. w.c."),
    ],
)
def test_a_minus_before_a_supply_static_is_asked_about(typed, unit, came):
    """It is what swapped tubes show; the number can be used without it, never kept with it."""
    with pytest.raises(DoubtError) as caught:
        parse_static("Supply static", typed, unit, "supply")
    assert str(caught.value) == (
        f"Supply static: −{came} came. Static on the supply side is positive. "
        f"Check that the two tubes were not swapped. Use {came}, or read again."
    )
    assert (caught.value.suggestion, caught.value.keep) == (came, "")
    with pytest.raises(InputError) as refused:
        parse_static("Supply static", typed, unit, "supply", keep=True)
    # "in. w.c." ends with a full stop of its own.
    assert str(refused.value) == (
        f"Supply static: −{came} came; static on the supply side is positive. "
        "Check that the two tubes were not swapped, and read again."
    )
    assert not isinstance(refused.value, DoubtError)


def test_the_number_of_a_minus_is_used_as_it_was_meant():
    """*Use* leaves the unit that was typed where it was."""
    for typed, pascals in (("-105 Pa", 105.0), ("-0.42", units.to_si(0.42, "inwc"))):
        with pytest.raises(DoubtError) as caught:
            parse_static("Supply static", typed, "inwc", "supply")
        assert parse_static("Supply static", caught.value.suggestion, "inwc", "supply") == pascals


@pytest.mark.parametrize(
    ("typed", "text", "suggestion", "other"),
    [
        (
            "29",
            "29 with its point is 0.29; 29 Pa is 0.12. Use 0.29 / Use 0.12 / Keep 29",
            "0.29",
            "0.12",
        ),
        (
            "072",
            "72 with its point is 0.72; 72 Pa is 0.29. Use 0.72 / Use 0.29 / Keep 72",
            "0.72",
            "0.29",
        ),
        ("11", "11 with its point is 0.11. Use 0.11 / Keep 11", "0.11", ""),
        ("29.0", "29 Pa is 0.12. Use 0.12 / Keep 29", "0.12", ""),
        ("290", "290 Pa is 1.16. Use 1.16 / Keep 290", "1.16", ""),
        (
            "0.29 Pa",
            "0.29 in. w.c. is more usual than 0.29 Pa. Use 0.29 in. w.c. / Keep 0.29 Pa",
            "0.29 in. w.c.",
            "",
        ),
    ],
)
def test_what_else_a_static_could_be(typed, text, suggestion, other):
    """Two digits have lost their point sooner than they are pascals; a typed unit can be wrong."""
    with pytest.raises(DoubtError) as caught:
        parse_static("Return static", typed, "inwc", "return")
    came = text.rpartition("Keep ")[2]
    range_ = "12–370 Pa" if "Pa" in typed else "0.05–1.5 in. w.c"
    assert str(caught.value) == f"Return static: {came} came. Ducts show {range_}. {text}"
    assert (caught.value.suggestion, caught.value.other) == (suggestion, other)
    assert caught.value.keep == came
    for value in filter(None, (suggestion, other)):
        assert parse_static("Return static", value, "inwc", "return") < 0.0


def test_pascals_are_understood_when_they_are_typed():
    """A unit behind the number goes before the field's."""
    assert parse_static("Supply static", "150 Pa", "inwc", "supply") == 150.0
    assert parse_static("Supply static", "150", "pa", "supply") == 150.0


def test_pascals_typed_as_inches_are_asked_about():
    """The question names the range, what it would be in pascals, and both answers."""
    with pytest.raises(DoubtError) as caught:
        parse_static("Supply static", "150", "inwc", "supply")
    assert str(caught.value) == (
        "Supply static: 150 came. Ducts show 0.05–1.5 in. w.c. 150 Pa is 0.60. Use 0.60 / Keep 150"
    )
    assert caught.value.to_dict() == {
        "error": {
            "kind": "DoubtError",
            "where": "Supply static",
            "came": "150",
            "right": "Ducts show 0.05–1.5 in. w.c.",
            "do": "150 Pa is 0.60. Use 0.60 / Keep 150",
            "suggestion": "0.60",
            "other": "",
            "keep": "150",
        }
    }


def test_inches_typed_as_pascals_are_asked_about():
    """The same the other way round."""
    with pytest.raises(DoubtError) as caught:
        parse_static("Return static", "-0.6", "pa", "return")
    assert str(caught.value) == (
        "Return static: 0.6 came. Ducts show 12–370 Pa. 0.6 in. w.c. is 149. Use 149 / Keep 0.6"
    )
    assert caught.value.suggestion == "149"


def test_the_suggestion_of_a_doubt_is_accepted():
    """*Use* puts the suggestion into the field, which then is read without a question."""
    for typed, unit in (("150", "inwc"), ("0.6", "pa")):
        with pytest.raises(DoubtError) as caught:
            parse_static("Supply static", typed, unit, "supply")
        used = parse_static("Supply static", caught.value.suggestion, unit, "supply")
        assert used == pytest.approx(150.0, abs=1.0)


@pytest.mark.parametrize("typed", ["0", "0.03", "2.9", "4.99"])
def test_a_rare_static_can_be_kept(typed):
    """It is asked about without a suggestion, and *Keep* keeps it."""
    with pytest.raises(DoubtError) as caught:
        parse_static("Supply static", typed, "inwc", "supply")
    assert str(caught.value) == (
        f"Supply static: {typed} came. Ducts show 0.05–1.5 in. w.c. "
        f"Check zero, tube and place, and read again. Type another / Keep {typed}"
    )
    assert caught.value.suggestion == ""
    kept = parse_static("Supply static", typed, "inwc", "supply", keep=True)
    assert kept == units.to_si(float(typed), "inwc")


@pytest.mark.parametrize(
    ("typed", "unit", "keep", "text"),
    [
        (
            "150",
            "inwc",
            True,
            "Supply static: 150 in. w.c. came; ducts show 0.05–1.5 in. w.c. and residential "
            "blowers reach at most 5. 150 stays as you typed it and is left out. Check the gauge's "
            "unit, and read again.",
        ),
        (
            "6",
            "inwc",
            False,
            "Supply static: 6 in. w.c. came; ducts show 0.05–1.5 in. w.c. and residential "
            "blowers reach at most 5. Check the unit, and read again.",
        ),
        (
            "1300",
            "pa",
            False,
            "Supply static: 1300 Pa came; ducts show 12–370 Pa and residential blowers reach at "
            "most 1200. Check the unit, and read again.",
        ),
        (
            "0.29 psi",
            "inwc",
            False,
            "Supply static: '0.29 psi' came; a number with in. w.c. or Pa behind it is wanted.",
        ),
        ("", "inwc", False, "Supply static: nothing came; a number is wanted."),
    ],
)
def test_what_no_blower_reaches_is_refused_even_when_kept(typed, unit, keep, text):
    """*Keep* lifts questions, never limits."""
    with pytest.raises(InputError) as caught:
        parse_static("Supply static", typed, unit, "supply", keep=keep)
    assert str(caught.value) == text
    assert not isinstance(caught.value, DoubtError)


@pytest.mark.parametrize(
    ("typed", "unit", "tons"),
    [
        ("3", "ton", 3.0),
        ("2,5", "ton", 2.5),
        ("3 tons", "ton", 3.0),
        ("36 kBtu/h", "ton", 3.0),
        ("36000 Btu/h", "ton", 3.0),
        ("36,000 btuh", "kw_cooling", 3.0),
        ("36 MBH", "ton", 3.0),
        ("10.550557 kW", "ton", 3.0),
        ("10.550557", "kw_cooling", 3.0),
    ],
)
def test_a_capacity_is_tons_kilowatts_or_the_plate_s_btu(typed, unit, tons):
    """12,000 Btu/h are a ton by definition (UNI-09)."""
    assert parse_capacity("Capacity", typed, unit) == pytest.approx(
        units.to_si(tons, "ton"), rel=1e-7
    )


@pytest.mark.parametrize(
    ("typed", "unit", "text", "suggestion"),
    [
        (
            "36",
            "ton",
            "Capacity: 36 came. Units run from 0.5 to 10 ton. 36 kBtu/h is 3. "
            "Use 3, or type the unit.",
            "3",
        ),
        (
            "42000",
            "ton",
            "Capacity: 42000 came. Units run from 0.5 to 10 ton. 42000 Btu/h is 3.5. "
            "Use 3.5, or type the unit.",
            "3.5",
        ),
        (
            "10.5",
            "ton",
            "Capacity: 10.5 came. Units run from 0.5 to 10 ton. 10.5 kW is 2.99. "
            "Use 2.99, or type the unit.",
            "2.99",
        ),
        (
            "36",
            "kw_cooling",
            "Capacity: 36 came. Units run from 1.8 to 35 kW. 36 kBtu/h is 10.6. "
            "Use 10.6, or type the unit.",
            "10.6",
        ),
    ],
)
def test_a_plate_in_btu_is_asked_about(typed, unit, text, suggestion):
    """The unit that comes nearest to a half ton is offered, and the offer is accepted."""
    with pytest.raises(DoubtError) as caught:
        parse_capacity("Capacity", typed, unit)
    assert str(caught.value) == text
    assert caught.value.suggestion == suggestion
    assert parse_capacity("Capacity", suggestion, unit) > 0.0


@pytest.mark.parametrize(
    ("typed", "text"),
    [
        (
            "0",
            "Capacity: 0 ton came; units run from 0.5 to 10 ton. Check the number on the plate.",
        ),
        (
            "-3",
            "Capacity: -3 ton came; units run from 0.5 to 10 ton. Check the number on the plate.",
        ),
        (
            "300",
            "Capacity: 300 ton came; units run from 0.5 to 10 ton. Check the number on the plate.",
        ),
        (
            "36 ton",
            "Capacity: 36 ton came; units run from 0.5 to 10 ton. Check the number on the plate.",
        ),
        (
            "3 Btu/h",
            "Capacity: 3 Btu/h came; units run from 0.5 to 10 ton. Check the number on the plate.",
        ),
        ("3 hp", "Capacity: '3 hp' came; a number with ton or kW behind it is wanted."),
    ],
)
def test_a_capacity_that_no_unit_has_is_refused(typed, text):
    """Zero, negative, too much, and units of something else."""
    with pytest.raises(InputError) as caught:
        parse_capacity("Capacity", typed)
    assert str(caught.value) == text
    assert not isinstance(caught.value, DoubtError)


@pytest.mark.parametrize(
    ("parse", "typed", "si"),
    [
        (parse_altitude, "5,280 ft", 1609.344),
        (parse_altitude, "5280", 1609.344),
        (parse_altitude, "1600 m", 1600.0),
        (parse_altitude, "-20", -6.096),
        (parse_volts, "238 V", 238.0),
        (parse_watts, "0.41 kW", 410.0),
        (parse_airflow, "1,200", 0.56633693184),
        (parse_airflow, "560 L/s", 0.56),
        (parse_airflow, "2000 m³/h", 2000 / 3600),
        (parse_length, "25 ft", 7.62),
        (parse_length, "25'", 7.62),
        (parse_length, "25’", 7.62),
        (parse_length, "7.6m", 7.6),
        (parse_length, "25 in", 0.635),
        (parse_diameter, '6"', 0.1524),
        (parse_diameter, "6-inch", 0.1524),
        (parse_diameter, "150 mm", 0.15),
    ],
)
def test_quantities_are_read_in_the_field_s_unit_or_in_their_own(parse, typed, si):
    """A unit behind the number goes before the field's (factors: NIST SP 811, appendix B)."""
    assert parse("Field", typed) == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize(
    ("parse", "typed", "text"),
    [
        (
            parse_volts,
            "24",
            "Field: 24 V came; the volts of circuits run from 90 to 300 V. "
            "Check the number and its unit.",
        ),
        (
            parse_watts,
            "-410",
            "Field: -410 W came; the watts of blowers run from 5 to 5,000 W. "
            "Check the number and its unit.",
        ),
        (
            parse_altitude,
            "90000",
            "Field: 90000 ft came; altitudes run from −1,400 to 18,000 ft. "
            "Check the number and its unit.",
        ),
        (
            parse_length,
            "0",
            "Field: 0 ft came; pieces of duct run from 0.33 to 200 ft. "
            "Check the number and its unit.",
        ),
        (
            parse_length,
            "25 yards",
            "Field: '25 yards' came; a number with in, ft, mm or m behind it is wanted.",
        ),
        (
            parse_airflow,
            "0.5",
            "Field: 0.5 cfm came. Airflows run from 20 to 10,000 cfm. 0.5 m³/s is 1060. "
            "Use 1060, or type the unit.",
        ),
        (
            parse_diameter,
            "150",
            "Field: 150 in came. Ducts run from 3.1 to 43 in. 150 mm is 5.91. "
            "Use 5.91, or type the unit.",
        ),
    ],
)
def test_a_quantity_that_cannot_be_says_what_can(parse, typed, text):
    """The range in the field's unit; another unit is offered when it explains the number."""
    with pytest.raises(InputError) as caught:
        parse("Field", typed)
    assert str(caught.value) == text


def test_a_quantity_that_cannot_be_is_not_kept():
    """*Keep* lifts the question but not the limit behind it."""
    with pytest.raises(InputError) as caught:
        parse_quantity("Airflow", "0.5", "cfm", "airflow", keep=True)
    assert str(caught.value) == (
        "Airflow: 0.5 cfm came; airflows run from 20 to 10,000 cfm. Check the number and its unit."
    )


@pytest.mark.parametrize(
    ("typed", "unit", "size"),
    [
        ("20x25", "in", (0.508, 0.635)),
        ("20 × 25 × 1", "in", (0.508, 0.635, 0.0254)),
        ("20X25X4 in", "in", (0.508, 0.635, 0.1016)),
        ('20" x 25"', "in", (0.508, 0.635)),
        ("20 by 25", "in", (0.508, 0.635)),
        ("500*600 mm", "in", (0.5, 0.6)),
        ("500 x 600", "mm", (0.5, 0.6)),
        ('6"', "in", (0.1524,)),
    ],
)
def test_a_nominal_size_is_width_height_and_depth(typed, unit, size):
    """A unit behind the last number counts for all."""
    assert parse_size("Filter", typed, unit) == pytest.approx(size, rel=1e-12)


@pytest.mark.parametrize(
    ("typed", "text"),
    [
        ("", "Filter: nothing came; a size such as 20 × 25 or 20 × 25 × 1 is wanted."),
        ("20x", "Filter: '20x' came; a size such as 20 × 25 or 20 × 25 × 1 is wanted."),
        ("1x2x3x4", "Filter: '1x2x3x4' came; a size such as 20 × 25 or 20 × 25 × 1 is wanted."),
        ("large x 20", "Filter: 'large' came; a number is wanted."),
        (
            "0x20",
            "Filter: 0 in came; faces of grilles and filters run from 2 to 63 in. "
            "Check the number and its unit.",
        ),
        (
            "500x600",
            "Filter: 500 in came. Faces of grilles and filters run from 2 to 63 in. "
            "500 mm is 19.7. Use 19.7, or type the unit.",
        ),
    ],
)
def test_what_is_no_size_says_what_is(typed, text):
    """Missing numbers, too many, words, zero, millimetres typed as inches."""
    with pytest.raises(InputError) as caught:
        parse_size("Filter", typed)
    assert str(caught.value) == text


@pytest.mark.parametrize(
    ("typed", "text"),
    [
        ("1e-05", "Field: 0.00001 ft came; pieces of duct run from 0.33 to 200 ft."),
        ("1e9", "Field: 1,000,000,000 ft came; pieces of duct run from 0.33 to 200 ft."),
        ("1234567.5", "Field: 1,234,567.5 ft came; pieces of duct run from 0.33 to 200 ft."),
    ],
)
def test_numbers_are_told_as_people_write_them(typed, text):
    """No exponents, and commas where there are many digits."""
    with pytest.raises(InputError) as caught:
        parse_length("Field", typed)
    assert str(caught.value) == f"{text} Check the number and its unit."
