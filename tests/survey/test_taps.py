"""Taps that a table lacks: allowed by their names exactly where the parts can draw their curve."""

from __future__ import annotations

from itertools import chain, combinations

import pytest

from inchwater import units
from inchwater.errors import InchwaterError
from inchwater.parts.fan_laws import fill_tap
from inchwater.survey import BlowerTable, TableRow, Unit
from inchwater.survey.taps import can_run, tap_guess
from tests.survey.houses import fact

# The airflow of each tap at 0.3 in. w.c. [cfm]; it falls by 40 cfm to each next column.
NUMBERED = {"1": 700, "2": 820, "3": 940, "4": 1060, "5": 1180}
FROM_FAST = {"1": 1180, "2": 1060, "3": 940, "4": 820}
WORDS = {"low": 700, "med-low": 820, "Medium": 940, "MED_HIGH": 1060, "high": 1180}
SETTINGS = {"800": 800, "1000": 1000, "1200": 1200}
MISNAMED = {"800": 1000, "1000": 1300}
ODD = {"red": 700, "black": 1100}
MIXED = {"low": 700, "5": 1180}
BOTH_WAYS = {"1": 700, "2": 1180, "4": 940}
ASKED = ("1", "2", "3", "4", "5", "6", "7", "0", "low", "medium", "high", "red", "900", "1400", "x")


def table(flows: dict[str, int], columns: int = 3) -> BlowerTable:
    """A table of these taps."""
    return BlowerTable(
        "t",
        tuple(
            TableRow(
                tap,
                units.to_si(0.3 + 0.1 * column, "inwc"),
                units.to_si(flow - 40.0 * column, "cfm"),
            )
            for tap, flow in flows.items()
            for column in range(columns)
        ),
    )


def subsets(flows: dict[str, int]):
    """Every choice of some of the taps."""
    some = chain.from_iterable(combinations(flows, n) for n in range(1, len(flows) + 1))
    return [{tap: flows[tap] for tap in names} for names in some]


@pytest.mark.parametrize("motor", [None, "psc", "constant-airflow"])
@pytest.mark.parametrize(
    "flows", [NUMBERED, FROM_FAST, WORDS, SETTINGS, MISNAMED, ODD, MIXED, BOTH_WAYS]
)
def test_a_tap_can_run_where_its_curve_can_be_drawn(flows, motor):
    """Every part of every table, every name: the survey's answer is that of the fan laws.

    Where the fan laws name the printed taps on both sides, so does the question.
    """
    for some in subsets(flows):
        unit = Unit("air-handler", fact(3, "ton"), motor, table=table(some))
        for tap in ASKED:
            if tap in some:
                assert can_run(unit, tap)
                assert tap_guess(unit, tap) is None
                continue
            try:
                said = fill_tap(unit.table.rows, tap, motor in (None, "constant-airflow")).said
            except InchwaterError:
                said = None
            guess = tap_guess(unit, tap)
            assert can_run(unit, tap) == (said is not None), (list(some), tap)
            assert (guess is None) == (said is None), (list(some), tap)
            if said is not None and "between" in said:
                assert guess == said


def with_cell(**known: float | None) -> Unit:
    """A unit with two whole taps and one of which a single cell is known."""
    whole = table({"5": 1180, "4": 1060})
    cell = TableRow("3", units.to_si(0.4, "inwc"), **{"airflow": None, **known})
    return Unit("air-handler", fact(3, "ton"), table=BlowerTable("t", (*whole.rows, cell)))


def test_a_tap_of_one_cell_is_asked_about():
    """It can run; one without an airflow and a speed is the table's dash, and is not guessed."""
    assert tap_guess(with_cell(airflow=0.45), "3") == (
        "Of tap 3 one cell is known; the rest is taken from the tap nearest to it."
    )
    assert tap_guess(with_cell(speed=100.0), "3") == (
        "Of tap 3 only the shaft speed is known; it is taken from the nearest tap."
    )
    assert tap_guess(with_cell(), "3") is None
    assert can_run(with_cell(), "3")


def test_what_is_assumed_of_a_tap_is_said():
    """Between, beside or by the airflow of its name."""

    def said(flows, tap):
        return tap_guess(Unit("air-handler", fact(3, "ton"), table=table(flows)), tap)

    assert said({"low": 700, "high": 1180}, "medium") == (
        "Tap medium is not in the table; it lies somewhere between low and high."
    )
    assert said(NUMBERED, "6") == "Tap 6 is not in the table; it is taken as the tap above 5."
    assert said(FROM_FAST, "5") == "Tap 5 is not in the table; it is taken as the tap below 4."
    assert said({"high": 1180}, "medium") == (
        "Tap medium is not in the table; it is taken as the tap below high."
    )
    assert said(SETTINGS, "900") == (
        "Setting 900 is not in the table; it is taken to hold the airflow of its name."
    )


def test_without_a_table_any_tap_can_run():
    """Nobody has said which there are."""
    unit = Unit("air-handler", fact(3, "ton"))
    assert can_run(unit, "turbo")
    assert tap_guess(unit, "turbo") is None
