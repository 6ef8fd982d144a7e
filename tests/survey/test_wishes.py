"""What an owner wants, what plates say of heat, and a year's use: what of it cannot be."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inchwater import units
from inchwater.survey import (
    WISHES,
    Fact,
    HeatKit,
    Place,
    RiseRange,
    Room,
    Targets,
    Wish,
    YearlyUse,
    job_from_dict,
    job_to_dict,
    problems,
)
from inchwater.survey.facts import UNITS_BY_KIND
from inchwater.survey.ranges import range_of
from tests.properties.jobs import jobs
from tests.survey.houses import fact, house, job

ROOMS = (Room("den"), Room("bed", "Bedroom", purpose="sleep"))


def texts(survey=None, *wishes):
    """The problems of a house with these wishes, as texts."""
    survey = replace(house(), rooms=ROOMS) if survey is None else survey
    return [str(one) for one in problems(job(survey, targets=Targets(wishes=wishes)))]


def unit_with(**more):
    """The house with another plate."""
    return replace(house(), unit=replace(house().unit, **more))


@pytest.mark.parametrize("key", sorted(WISHES))
def test_every_wish_has_a_range_of_its_kind_and_a_unit_to_be_typed_in(key):
    """A key that no range limits, or that nobody can type, would be found here."""
    one = WISHES[key]
    assert range_of(one.range).kind == one.kind
    assert one.bounds in ("low", "high", "both")
    assert one.part in ("", "filter", "run", "trunk", "return", "room")
    for name in UNITS_BY_KIND[one.kind]:
        assert units.unit(name).kind == one.kind


def test_wishes_of_parts_and_calls_that_there_are_are_no_problem():
    """One of each sort, the same key for two parts among them."""
    assert (
        texts(
            None,
            Wish("airflow", fact(900, "cfm"), fact(1100, "cfm"), call="heating"),
            Wish("noise", high=fact(27, "nc"), part="bed"),
            Wish("noise", high=fact(33, "nc"), part="den"),
            Wish("filter-face", high=fact(250, "fpm"), part="f1"),
            Wish("rise", fact(35, "degf_rise"), fact(60, "degf_rise"), call="heating-low"),
            Wish("room-share", high=fact(15, "pct")),
        )
        == []
    )


@pytest.mark.parametrize(
    ("wish", "text"),
    [
        (
            Wish("silence", high=Fact(1.0, "nc")),
            "targets.wishes[0].key: 'silence' came; wishes are " + ", ".join(WISHES) + ".",
        ),
        (
            Wish("tesp", low=Fact(0.3, "inwc")),
            "targets.wishes[0].low: a low bound came; tesp has a high bound alone. "
            "Leave it out, or give it as high.",
        ),
        (
            Wish("quieter", high=Fact(3.0, "db")),
            "targets.wishes[0].high: a high bound came; quieter has a low bound alone. "
            "Leave it out, or give it as low.",
        ),
        (
            Wish("power"),
            "targets.wishes[0]: power without a bound came; a wish says at least, at most, or "
            "both. Give a bound, or leave the wish out.",
        ),
        (
            Wish("noise", high=Fact(3.0, "db")),
            "targets.wishes[0].high.unit: 'db' came; one of nc is wanted.",
        ),
        (
            Wish("noise", high=Fact(8.0, "nc")),
            "targets.wishes[0].high: 8.0 NC came; noise criteria run from 15 to 65 NC.",
        ),
        (
            Wish("noise", high=Fact(30.0, "nc"), call="defrost"),
            "targets.wishes[0].call: 'defrost' came; the calls are cooling, cooling-low, heating, "
            "heating-low, fan.",
        ),
        (
            Wish("noise", high=Fact(30.0, "nc"), part="attic"),
            "targets.wishes[0].part: 'attic' came; the rooms are den, bed.",
        ),
        (
            Wish("tesp", high=Fact(0.5, "inwc"), part="f1"),
            "targets.wishes[0].part: 'f1' came; tesp is of the whole system. Leave the part out.",
        ),
        (
            Wish("trunk-velocity", high=Fact(700.0, "fpm"), part="r3"),
            "targets.wishes[0].part: 'r3' came; the trunks are t1.",
        ),
    ],
)
def test_a_wish_that_cannot_be_is_told_where_and_why(wish, text):
    """Key, bounds, unit, number, call and part."""
    assert texts(None, wish) == [text]


def test_the_same_wish_twice_is_asked_about():
    """Nothing says which of the two is meant."""
    one = Wish("tesp", high=fact(0.5, "inwc"))
    assert texts(None, one, replace(one, high=fact(0.6, "inwc"))) == [
        "targets.wishes[1]: tesp twice came; a wish for the same call and part stands there once. "
        "Keep the one that is meant."
    ]


@pytest.mark.parametrize(
    ("survey", "text"),
    [
        (
            unit_with(heat_output=fact(60, "kw"), heat_output_low=fact(70, "kw")),
            "survey.unit.heat_output_low: 70 kW beside 60 kW in the full stage came; a low stage "
            "gives less heat than the full one. Check both on the plate.",
        ),
        (
            unit_with(rise={"heating": RiseRange(fact(60, "degf_rise"), fact(40, "degf_rise"))}),
            "survey.unit.rise.heating: 60 °F to 40 °F came; a plate allows a rise from a lower to "
            "a higher figure. Check both on the plate.",
        ),
        (
            unit_with(rise={"cooling": RiseRange(fact(20, "degf_rise"), fact(40, "degf_rise"))}),
            "survey.unit.rise.cooling: 'cooling' came; the calls are heating, heating-low.",
        ),
        (
            unit_with(sensible_share=fact(75, "1")),
            "survey.unit.sensible_share: 75 came; rated sensible shares run from 0.4 to 1. "
            "Did you mean 75 %?",
        ),
        (
            unit_with(heat_kit=HeatKit(least_airflow=fact(6, "cfm"))),
            "survey.unit.heat_kit.least_airflow: 6 cfm came; airflows run from 20 to 10,000 cfm.",
        ),
        (
            replace(
                house(), place=Place(duct_air=fact(70, "degf"), duct_dew_point=fact(80, "degf"))
            ),
            "place.duct_dew_point: 80 °F came; it is no higher than the air's temperature, 70 °F. "
            "Check both.",
        ),
        (
            replace(
                house(),
                use=YearlyUse({"cooling": fact(5000, "h"), "heating": fact(4000, "h")}),
            ),
            "survey.use.hours: 9,000 h in all calls together came; a year has at most 8,784 h. "
            "Check the hours of each call.",
        ),
        (
            replace(house(), use=YearlyUse(energy={"defrost": fact(10, "kwh")})),
            "survey.use.energy.defrost: 'defrost' came; the calls are cooling, cooling-low, "
            "heating, heating-low, fan.",
        ),
        (
            replace(house(), rooms=(Room("den", cooling_load=fact(36, "kw")),)),
            "survey.rooms[0].cooling_load: 36 kW came; the loads of rooms run from 0 to 18 kW. "
            "Did you mean 36 W?",
        ),
    ],
)
def test_a_plate_or_a_year_that_cannot_be_is_told(survey, text):
    """What is on a plate, around the ducts, in a year and in a room."""
    assert texts(survey) == [text]


@settings(max_examples=40, deadline=None)
@given(jobs(), st.data())
def test_a_wish_for_a_part_that_is_not_there_is_always_a_problem(one, data):
    """Whatever house it is: no part is called so."""
    key = data.draw(st.sampled_from(sorted(key for key, w in WISHES.items() if w.part)))
    bound = Fact(range_of(WISHES[key].range).low, UNITS_BY_KIND[WISHES[key].kind][-1])
    sides = ("low", "high") if WISHES[key].bounds == "both" else (WISHES[key].bounds,)
    wish = Wish(key, part="no-such-part", **dict.fromkeys(sides, bound))
    asked = replace(one, targets=replace(one.targets, wishes=(*one.targets.wishes, wish)))
    assert len(problems(asked)) == len(problems(one)) + 1
    assert job_from_dict(job_to_dict(one)).targets.wishes == one.targets.wishes
