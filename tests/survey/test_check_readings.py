"""Readings of every kind: where each can be taken, with which sign, and in which condition."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inchwater import units
from inchwater.survey import (
    KINDS,
    READ_AT,
    Coil,
    Reading,
    Return,
    Survey,
    Trial,
    Unit,
    parts_read_at,
    problems,
)
from tests.survey.houses import fact, house, job

UNITS = {
    "pressure": "pa",
    "airflow": "m3s",
    "temperature_rise": "k_rise",
    "power": "w",
    "voltage": "v",
    "speed": "rads",
}
USUAL = {
    "static": 40.0,
    "drop": 35.0,
    "airflow": 0.1,
    "temperature-rise": 20.0,
    "power": 400.0,
    "voltage": 238.0,
    "speed": 90.0,
}


def reading(quantity: str, at: str, value: float | None = None) -> Reading:
    """A reading in SI units with words in place of what was typed."""
    value = USUAL[quantity] if value is None else value
    unit = UNITS[KINDS[quantity]]
    return Reading("a", at, quantity, "as shown", unit, value)


def texts(one: Reading, survey: Survey | None = None, **condition: str) -> list[str]:
    """What is wrong with a reading in a condition, as texts; ``filter_f1`` is ``filter:f1``."""
    said = {key.replace("_", ":"): state for key, state in condition.items()}
    trial = Trial("tr1", condition=said, readings=(one,))
    return [str(problem) for problem in problems(job(survey, trials=(trial,)))]


@pytest.mark.parametrize(
    ("quantity", "at", "value"),
    [
        ("static", "trunk:t1", 45.0),
        ("static", "run:r1", 20.0),
        ("static", "run:r1", -5.0),
        ("static", "return:g1", -50.0),
        ("drop", "filter:f1", 40.0),
        ("drop", "filter:f1", 0.0),
        ("airflow", "unit", 0.5),
        ("airflow", "register:r3", 0.06),
        ("airflow", "register:r3", 0.0),
        ("airflow", "grille:g1", 0.4),
        ("power", "unit", 410.0),
        ("voltage", "unit", 238.0),
        ("speed", "unit", 90.0),
    ],
)
def test_every_quantity_is_read_at_its_places(quantity, at, value):
    """With the sign of its side; beside fast air a static may be a little below zero."""
    assert texts(reading(quantity, at, value)) == []


def test_a_cased_coil_has_a_drop_and_a_heating_call_a_rise():
    """A furnace nobody has described has its coil on top, known by the id ``coil``."""
    furnace = Survey(Unit("furnace", fact(3, "ton"), heat_output=fact(60000, "btuh")))
    assert texts(reading("drop", "coil:coil"), furnace) == []
    assert texts(reading("drop", "filter:filter"), furnace) == []
    named = replace(furnace, coils=(Coil("c1", inside_unit=False),))
    assert texts(reading("drop", "coil:c1"), named) == []
    assert texts(reading("temperature-rise", "unit"), furnace, call="heating") == []


@pytest.mark.parametrize("quantity", READ_AT)
def test_a_quantity_is_refused_where_it_cannot_be_read(quantity):
    """The error lists where it is read."""
    places = {place for found in READ_AT.values() for place in found}
    for place in places - set(READ_AT[quantity]):
        at = place + "r1" if place.endswith(":") else place
        (text,) = texts(reading(quantity, at))
        start = f"trials[0].readings[0].at: {quantity} at {at} came; {quantity} is read at "
        assert text.startswith(start)
        for allowed in READ_AT[quantity]:
            assert allowed.removesuffix(":") in text.removeprefix(start)


@pytest.mark.parametrize(
    ("one", "condition", "text"),
    [
        (
            reading("static", "trunk:r1"),
            {},
            ".at: 'trunk:r1' came; the trunks are t1. Add the trunk first.",
        ),
        (
            reading("static", "run:t1"),
            {},
            ".at: 'run:t1' came; the runs are r1, r2, r3. Add the run first.",
        ),
        (
            reading("airflow", "register:r9"),
            {},
            ".at: 'register:r9' came; the runs are r1, r2, r3. Add the run first.",
        ),
        (
            reading("airflow", "grille:g2"),
            {},
            ".at: 'grille:g2' came; the returns with a grille are g1. Add the return first.",
        ),
        (
            reading("drop", "filter:f2"),
            {},
            ".at: 'filter:f2' came; the filters are f1. Add the filter first.",
        ),
        (
            reading("drop", "coil:c1"),
            {},
            ".at: the drop across c1 came; this coil stands inside the cabinet, where no probe "
            "reaches both its sides. Read the static on each side of the unit.",
        ),
        (
            reading("static", "return:g1", 50.0),
            {},
            ": 50 Pa at return:g1 came; static on the return side is negative. "
            "Check that the two tubes were not swapped.",
        ),
        (
            reading("static", "run:r1", -13.0),
            {},
            ": −13 Pa at run:r1 came; static on the supply side is positive. "
            "Check that the two tubes were not swapped.",
        ),
        (
            reading("drop", "filter:f1", -30.0),
            {},
            ": −30 Pa at filter:f1 came; a drop is positive: the side that the air comes from "
            "less the other. Check that the two tubes were not swapped.",
        ),
        (
            reading("drop", "filter:f1", 1300.0),
            {},
            ": 1300 Pa came; residential blowers reach at most 1,200 Pa, 5 in. w.c. "
            "Check the unit, and read again.",
        ),
        (
            reading("drop", "filter:f1"),
            {"filter_f1": "out"},
            ".at: the drop across f1 came; filter f1 is out in this trial. "
            "Enter it in the trial in which it was read.",
        ),
        (
            reading("airflow", "register:r1"),
            {"run_r1": "pulled-open"},
            ".at: the airflow at r1 came; run r1 is pulled off in this trial. "
            "Enter it in the trial in which it was read.",
        ),
        (
            reading("static", "run:r1"),
            {"run_r1": "pulled-capped"},
            ".at: the static in r1 came; run r1 is pulled off in this trial. "
            "Enter it in the trial in which it was read.",
        ),
        (
            reading("airflow", "register:r1", -0.1),
            {},
            ": −211.888 cfm came; the airflows of registers and grilles run from 0 to 4,000 cfm.",
        ),
        (
            reading("temperature-rise", "unit", units.to_si(200.0, "degf_rise")),
            {"call": "heating"},
            ": 200 °F came; temperature rises run from 3.6 to 130 °F.",
        ),
        (
            reading("speed", "unit", units.to_si(5000.0, "rpm")),
            {},
            ": 5000 rpm came; the speeds of blowers run from 50 to 4,000 rpm.",
        ),
        (
            reading("temperature-rise", "unit"),
            {"call": "cooling"},
            ": a temperature rise in a trial with the call cooling came; the heat is known in a "
            "full heating call only: the plate prints it for that. "
            "Read it in a heating call, all stages on, and say call heating.",
        ),
        (
            reading("temperature-rise", "unit"),
            {"call": "heating-low"},
            ": a temperature rise in a trial with the call heating-low came; the heat is known in "
            "a full heating call only: the plate prints it for that. "
            "Read it in a heating call, all stages on, and say call heating.",
        ),
        (
            reading("temperature-rise", "unit"),
            {},
            ": a temperature rise in a trial that says no call came; the heat is known in a full "
            "heating call only: the plate prints it for that. "
            "Read it in a heating call, all stages on, and say call heating.",
        ),
    ],
)
def test_what_is_wrong_with_a_reading(one, condition, text):
    """Parts that are not there, signs of the side, sizes, and what the condition took away."""
    assert texts(one, **condition) == [f"trials[0].readings[0]{text}"]


def test_a_unit_without_heat_has_no_rise():
    """Nothing heats the air there."""
    survey = replace(house(), unit=replace(house().unit, heat="none"))
    assert texts(reading("temperature-rise", "unit"), survey, call="heating") == [
        "trials[0].readings[0]: a temperature rise came; this unit is said to have no heat. "
        "Correct what heats it, or leave the reading out."
    ]


def test_nothing_is_read_at_parts_that_nobody_has_described():
    """Three numbers name no run; a common return has no grille to read behind."""
    bare = Survey(Unit("air-handler", fact(3, "ton")))
    for kind in ("trunk:", "run:", "register:", "return:", "grille:"):
        assert parts_read_at(bare, kind) == ()
    assert texts(reading("static", "run:r1"), bare) == [
        "trials[0].readings[0].at: 'run:r1' came; no run is known yet. Add the run first."
    ]
    common = replace(house(), returns=(*house().returns, Return("drop", "common")))
    assert parts_read_at(common, "return:") == ("g1",)


@pytest.mark.parametrize(
    ("typed", "unit", "said"),
    [("845 rpm", "rpm", 845.0), ("845", "rpm", 845.0), ("88.5 rad/s", "rpm", 845.1)],
)
def test_a_typed_speed_is_held_against_its_value(typed, unit, said):
    """As any other number that is said twice."""
    value = units.to_si(said, "rpm")
    one = Reading("a", "unit", "speed", typed, unit, value)
    assert texts(one) == []
    assert texts(replace(one, value=value * 1.1)) != []


@pytest.mark.parametrize("typed", ["36 °F", "36", "20 K", "20 °C", "36f"])
def test_a_typed_rise_is_a_difference_of_temperatures(typed):
    """Degrees of a difference have no offset: 36 °F is 20 K."""
    one = Reading("a", "unit", "temperature-rise", typed, "degf_rise", 20.0)
    assert texts(one, call="heating") == []
    wrong = replace(one, value=21.0)
    assert texts(wrong, call="heating") == [
        f"trials[0].readings[0].value_k: 21 K for a came; what was typed, {typed!r} in "
        f"{'K' if typed.startswith('20') else '°F'}, is 20 K. Correct the one that is wrong."
    ]
