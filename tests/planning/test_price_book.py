"""What work costs: lines, ranges, the trip's least, the firm's own rate, and prices that cannot be.

Published ranges are those that consumer price guides give, as cited in the data files.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater.errors import FormatError, InputError
from inchwater.planning import book_from_csv, price_book
from inchwater.planning.price_book import FREE
from inchwater.planning.price_work import tasks
from inchwater.rehearsal import demos
from inchwater.survey import Change, Fact, How, Place

BOOK = price_book()
FEET = Fact(20, "ft", How.SEEN)
SURVEY = replace(demos()["a"].survey, place=Place(space="basement"))


def inch(value):
    return Fact(value, "in", How.SEEN)


def run(space=None, survey=SURVEY):
    """The supply runs of a survey in another place."""
    return replace(survey, place=replace(survey.place, space=space))


def enlarge(*ids, to=7.0):
    return Change("ch1", "enlarge-run", ids, {"diameter": inch(to)})


IDS = tuple(one.id for one in SURVEY.supply.runs)


def test_nothing_costs_nothing():
    """Doing nothing has no price, no trip, and no lines."""
    assert BOOK.price((), SURVEY) == FREE


@pytest.mark.parametrize(
    ("change", "low", "high"),
    [
        # A replaced run and an added one: consumer price guides 2021-2024, 270-500 and 250-500.
        (enlarge(IDS[0]), 175.0, 500.0),
        (
            Change(
                "ch1",
                "add-run",
                (),
                {"id": "x", "diameter": inch(6), "length": Fact(20, "ft", How.SEEN)},
            ),
            250.0,
            500.0,
        ),
        # An hour of a technician who is there already, with the least of a call: 75-350.
        (Change("ch1", "tap", ("unit",), {"tap": "3"}), 75.0, 350.0),
        # Minor duct repair: 200-700, a single fitting its low part.
        (Change("ch1", "fitting", (IDS[0],), {"into": "elbow-90-smooth"}), 150.0, 700.0),
    ],
)
def test_prices_lie_in_what_guides_publish(change, low, high):
    """One change of each kind that has a published range costs something within it."""
    price = BOOK.price((change,), SURVEY)
    assert low <= price.value <= high
    assert price.low <= price.value <= price.high


def test_a_small_job_costs_the_trip_at_the_least():
    """What is missing to the least of a visit is a line of its own."""
    price = BOOK.price((Change("ch1", "tap", ("unit",), {"tap": "3"}),), SURVEY)
    assert price.value == BOOK.trip
    assert price.lines[-1].label == "the least that a visit with work costs"
    assert sum(line.value for line in price.lines) == pytest.approx(price.value)


def test_the_lines_sum_to_the_price_and_the_attic_is_made_ready_once():
    """Two runs in an attic: two lines and one of getting ready, each run dearer than downstairs."""
    attic = run("attic")
    one, two = BOOK.price((enlarge(IDS[0]),), attic), BOOK.price((enlarge(*IDS[:2]),), attic)
    assert sum("attic" in line.label for line in two.lines) == 1
    assert sum(line.value for line in two.lines) == pytest.approx(two.value)
    assert two.value < 2.0 * one.value
    assert one.value > BOOK.price((enlarge(IDS[0]),), SURVEY).value
    # 30 % more minutes for the access, and nothing more for what is bought.
    above, below = (BOOK.price((enlarge(IDS[0]),), s).lines[0] for s in (attic, SURVEY))
    assert above.minutes == pytest.approx(1.3 * below.minutes)


def test_the_rate_is_asked_once_and_has_no_range_then():
    """Twice the rate is twice the labour; materials stay, and the range narrows."""
    twice = BOOK.but(rate=2.0 * BOOK.rate)
    here, there = (book.price((enlarge(IDS[0]),), SURVEY) for book in (BOOK, twice))
    labour = here.lines[0].minutes * BOOK.rate / 60.0
    assert there.value == pytest.approx(here.value + labour)
    assert there.lines[0].minutes == here.lines[0].minutes
    same = BOOK.but(rate=BOOK.rate).price((enlarge(IDS[0]),), SURVEY)
    assert same.value == here.value
    assert same.high - same.low < here.high - here.low


@given(
    rate=st.floats(1.0, 1000.0), trip=st.floats(0.0, 500.0), space=st.sampled_from(["attic", None])
)
def test_more_work_never_costs_less_whatever_the_book(rate, trip, space):
    """Adding a run to the work adds to the price, its low and its high end in order."""
    book, survey = BOOK.but(rate=rate, trip=trip), run(space)
    prices = [book.price((enlarge(*IDS[:n]),), survey) for n in (1, 2, 3)]
    assert prices[0].value <= prices[1].value <= prices[2].value
    for price in prices:
        assert 0.0 <= price.low <= price.value <= price.high < math.inf
        assert price.value >= trip


def test_a_deep_filter_in_a_shallow_slot_takes_a_cabinet():
    """The class of the filter that is there decides; a pleat for a pleat is a filter alone."""
    survey = demos()["b"].survey
    at_unit = next(f for f in survey.filters if f.at == "unit")
    shallow = replace(
        survey, filters=tuple(replace(f, grade="pleat-1in-merv8") for f in survey.filters)
    )
    deep = Change("ch1", "filter", (at_unit.id,), {"grade": "media-4in-merv11"})
    plain = Change("ch1", "filter", (at_unit.id,), {"grade": "pleat-1in-merv11"})
    words = [line.label for line in BOOK.price((deep,), shallow).lines]
    assert "a filter cabinet built in" in words
    assert "a filter cabinet built in" not in [
        line.label for line in BOOK.price((plain,), shallow).lines
    ]


def test_a_deep_filter_in_a_grille_takes_another_grille():
    """A frame for a filter of an inch holds none of four inches, at the unit or in a grille."""
    survey = demos()["b"].survey
    grilled = replace(
        survey,
        filters=tuple(replace(f, at="grille", grade="pleat-1in-merv8") for f in survey.filters),
    )

    def tasks_of(grade):
        change = Change("ch1", "filter", (survey.filters[0].id,), {"grade": grade})
        return [task.kind for task in tasks(change, grilled, lambda key: 1.0)]

    assert tasks_of("pleat-1in-merv11") == ["filter"]
    assert tasks_of("media-4in-merv11") == ["filter-deep", "grille"]


# --- what no price can be -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("given_", "where", "came"),
    [
        ({"rate": -5.0}, "price_book.rate", "-5"),
        ({"rate": math.nan}, "price_book.rate", "nan"),
        ({"visit": -1.0}, "price_book.visit", "-1"),
        ({"figures": {"material:grille": math.inf}}, "price_book.material:grille", "inf"),
    ],
)
def test_negative_prices_and_those_that_are_no_number_are_refused(given_, where, came):
    """The error names the key, what came and what would be right."""
    with pytest.raises(InputError) as caught:
        BOOK.but(**given_)
    least = "above zero" if where.endswith("rate") else "zero or more"
    assert str(caught.value) == (
        f"{where}: {came} came; a price is a number, {least}. Correct it, or leave it out for the "
        "planning figure."
    )


def test_a_rate_of_nothing_is_refused():
    """An hour of work is never free."""
    with pytest.raises(InputError) as caught:
        BOOK.but(rate=0.0)
    assert str(caught.value) == (
        "price_book.rate: 0 came; an hour of work costs more than nothing. Type the firm's rate in "
        "US dollars an hour, or leave it out."
    )


def test_a_kind_without_a_price_is_refused():
    """A missing row is named, and what to add."""
    bare = replace(BOOK, figures={k: v for k, v in BOOK.figures.items() if k != "minutes:register"})
    change = Change("ch1", "register", (IDS[0],), {"width": inch(12), "height": inch(6)})
    with pytest.raises(InputError) as caught:
        bare.price((change,), SURVEY)
    assert str(caught.value) == (
        "price_book.minutes:register: no figure came; register has a price where its minutes are "
        "known. Add a row minutes:register to the price book."
    )


def test_a_firm_s_own_file_replaces_what_it_names():
    """Only the rows that it has; a row without a range has none."""
    own = book_from_csv("key,value\nrate,140\nmaterial:grille,90\n")
    assert (own.rate, own.visit) == (140.0, BOOK.visit)
    assert own.figures["material:grille"].low == own.figures["material:grille"].high == 90.0


def test_new_ducts_cost_no_less_than_a_larger_one_for_each():
    """The planning figure in a small house, all its ducts in a large one; a firm's own stands.

    5600 is the upper end of two consumer price guides for a full duct replacement.
    """
    few = replace(SURVEY, supply=replace(SURVEY.supply, branches=SURVEY.supply.branches[:2]))
    assert BOOK.at_last(few) == 5600.0
    costly = BOOK.but(rate=400.0)
    returns = tuple(one.id for one in SURVEY.returns if one.kind == "ducted")
    every = [Change("a", "enlarge-run", tuple(b.id for b, _ in SURVEY.supply.walk()))]
    every += [Change("b", "enlarge-return", returns)] if returns else []
    assert costly.at_last(SURVEY) == costly.price(every, SURVEY).value > 5600.0
    assert costly.at_last(SURVEY) > costly.at_last(few)
    own = costly.but(figures={"replace": 3000.0})
    assert own.at_last(SURVEY) == 3000.0
    assert book_from_csv("key,value\nreplace,5600\nrate,400\n").at_last(SURVEY) == 5600.0


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("name,cost\nrate,3\n", "price book: a header without key, value came; the columns key "
         "and value are needed."),
        ("key,value\nrate,\n", "price book, line 2: '' came; a price is a number, zero or more."),
        ("key,value,low,high\nvisit,250,300,400\n", "price_book.visit: 250 between 300 and 400 "
         "came; the low figure is at most the value, and the high one at least that. Correct the "
         "three figures."),
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_read_is_refused(text, said):
    """Columns, numbers and ranges, each in a sentence of its own."""
    with pytest.raises((FormatError, InputError)) as caught:
        book_from_csv(text)
    assert str(caught.value) == said
