"""Fan laws between taps, a curve between two, and taps that a table lacks."""

from __future__ import annotations

import csv
from importlib import resources

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater.errors import PartError, TableError, UnknownNameError
from inchwater.parts import blowers, coefficients
from inchwater.parts.blower_tables import Cell
from inchwater.parts.fan_laws import (
    at_speed,
    between,
    curves_of,
    fill_tap,
    known_taps,
    speed_through,
)
from inchwater.parts.laws import PowerLaw
from inchwater.units import from_si, to_si


def cell(tap, inwc, cfm=None, watts=None, rpm=None):
    return Cell(
        tap,
        to_si(inwc, "inwc"),
        None if cfm is None else to_si(cfm, "cfm"),
        watts,
        None if rpm is None else to_si(rpm, "rpm"),
    )


def rows(tap, *cfm, start=0.3):
    return [cell(tap, start + 0.1 * i, q) for i, q in enumerate(cfm)]


HIGH = rows("high", 1400, 1310, 1220, 1120, 1010)
LOW = rows("low", 1050, 965, 870, 765, 645)
TABLE = [*HIGH, *LOW]


def invented(name):
    """An invented table of the rehearsal, from a generator with a wheel and three motors."""
    text = resources.files("inchwater.rehearsal").joinpath(f"data/{name}.csv").read_text("utf-8")
    return [
        cell(r["tap"], float(r["tesp_inwc"]), float(r["airflow_cfm"]), float(r["power_w"]))
        for r in csv.DictReader(text.splitlines())
    ]


@pytest.mark.parametrize(
    ("ratio", "cfm", "inwc", "watts"),
    [(1.1, 1100.0, 0.605, 532.4), (0.9, 900.0, 0.405, 291.6)],
)
def test_the_three_laws(ratio, cfm, inwc, watts):
    """Airflow with the speed, pressure with its square, watts with its cube.

    AMCA and a trade summary of the fan laws (read): 1000 cfm, 0.50 in. w.c., 400 W at 1.1 times
    the speed are 1100 cfm, 0.605 and 532.4 W; at 0.9 times 900, 0.405 and 291.6.
    """
    known = blowers.tap_curve(
        [cell("a", 0.5, 1000.0, 400.0, 1000.0), cell("a", 0.6, 950.0, 390.0)], "a"
    )
    moved = at_speed(known, ratio, "b")
    first = moved.rows[0]
    assert (moved.tap, first.tap) == ("b", "b")
    assert from_si(first.airflow, "cfm") == pytest.approx(cfm, rel=1e-9)
    assert from_si(first.tesp, "inwc") == pytest.approx(inwc, rel=1e-9)
    assert first.power == pytest.approx(watts, rel=1e-9)
    assert from_si(first.speed, "rpm") == pytest.approx(1000.0 * ratio, rel=1e-9)


def test_a_slower_fan_meets_its_system_at_less():
    """Fan 1.0 − 0.0005·Q on 0.5·(Q/1000)²: 1000 cfm; at 0.8 of the speed 800 cfm and 0.320.

    Closed form (computed).
    """
    fan = blowers.tap_curve([cell("a", 1.0 - 0.0005 * q, q) for q in (1800.0, 200.0)], "a")
    slow = at_speed(fan, 0.8)
    system = PowerLaw.through(to_si(0.5, "inwc"), to_si(1000.0, "cfm"), 2.0)
    for curve, cfm, inwc in ((fan, 1000.0, 0.5), (slow, 800.0, 0.320)):
        assert from_si(float(curve.airflow(to_si(inwc, "inwc"))), "cfm") == pytest.approx(cfm)
        assert from_si(float(system.drop(to_si(cfm, "cfm"))), "inwc") == pytest.approx(inwc)


@given(st.floats(0.5, 1.6), st.floats(0.0, 400.0), st.floats(1.0, 100.0))
def test_more_pressure_never_moves_more_air_at_any_speed(ratio, tesp, more):
    """The moved curve falls wherever the known one does."""
    curve = at_speed(blowers.tap_curve(TABLE, "high"), ratio)
    assert curve.airflow(tesp + more) < curve.airflow(tesp)


@given(st.floats(0.6, 1.5), st.floats(0.0, 250.0))
def test_the_speed_that_meets_a_cell_is_found(ratio, tesp):
    """A cell of the curve at some speed leads back to that speed."""
    curve = blowers.tap_curve(TABLE, "high")
    airflow = float(at_speed(curve, ratio).airflow(tesp))
    if airflow > 0.1:
        assert speed_through(curve, tesp, airflow) == pytest.approx(ratio, rel=1e-6)


@given(st.floats(0.0, 1.0), st.floats(75.0, 175.0))
def test_a_curve_between_two_lies_between_them(share, tesp):
    """At every pressure that both have, and at the ends it is one or the other."""
    one, other = (blowers.tap_curve(TABLE, tap) for tap in ("high", "low"))
    found = between(one, other, share, "med").airflow(tesp)
    assert other.airflow(tesp) - 1e-12 <= found <= one.airflow(tesp) + 1e-12
    assert between(one, other, 0.0).airflow(tesp) == pytest.approx(one.airflow(tesp), rel=1e-9)
    assert between(one, other, 1.0).airflow(tesp) == pytest.approx(other.airflow(tesp), rel=1e-9)


def test_a_curve_between_two_keeps_to_what_both_have():
    """Its range is the common one; watts only where both have them; a dash below still bounds."""
    one = blowers.tap_curve([cell("a", 0.3, 900, 300), cell("a", 0.6, 800, 280)], "a")
    other = blowers.tap_curve(
        [cell("b", 0.2), cell("b", 0.4, 700, 200), cell("b", 0.8, 600, 180)], "b"
    )
    found = between(one, other, 0.5)
    assert found.range == pytest.approx((to_si(0.4, "inwc"), to_si(0.6, "inwc")))
    assert found.power(to_si(0.4, "inwc")) == pytest.approx((300 - 20 / 3 + 200) / 2, rel=1e-9)
    assert found.rows[0].airflow is None
    bare = blowers.tap_curve([cell("c", 0.4, 700), cell("c", 0.8, 600)], "c")
    assert between(one, bare, 0.5).power(100.0) is None


def test_curves_without_a_common_column_are_continued():
    """Two cells of one tap above all of the other's: the middle is still drawn."""
    one = blowers.tap_curve([cell("a", 0.3, 900), cell("a", 0.4, 870)], "a")
    other = blowers.tap_curve([cell("b", 0.6, 700), cell("b", 0.7, 660)], "b")
    found = between(one, other, 0.5)
    assert found.range == pytest.approx((to_si(0.3, "inwc"), to_si(0.7, "inwc")))
    at = to_si(0.5, "inwc")
    assert found.airflow(at) == pytest.approx((one.airflow(at) + other.airflow(at)) / 2, rel=1e-2)


def test_taps_follow_their_airflow():
    """The tap that moves most comes first, however the table is printed; one cell is no tap."""
    assert known_taps([*LOW, *HIGH, cell("med", 0.5, 1000)]) == ("high", "low")


def test_every_tap_that_can_be_drawn_is_drawn():
    """Two cells, one cell, a shaft speed: by falling airflow; a tap of dashes is left out."""
    table = [
        *(cell("high", p, q, None, 1080) for p, q in ((0.4, 1310), (0.5, 1220))),
        cell("low", 0.5, None, None, 810),
        cell("med", 0.5, 1080),
        cell("off", 0.5),
    ]
    assert list(curves_of(table)) == ["high", "med", "low"]


def test_a_table_without_a_drawn_tap_is_refused():
    """One cell of each tap: nothing to begin from."""
    with pytest.raises(TableError) as caught:
        curves_of([cell("high", 0.5, 1220), cell("low", 0.5, 900)])
    assert str(caught.value) == (
        "table, tap 'high': one cell came; two cells with an airflow are the least. "
        "Type the two columns on either side of your reading."
    )


# --- taps that a table lacks -------------------------------------------------------------------


def test_one_cell_places_a_tap():
    """The curve meets its cell; what it is made of, and how well, is said."""
    filled = fill_tap([*TABLE, cell("med", 0.5, 1080)], "med")
    (curve,) = filled.curves
    assert from_si(float(curve.airflow(to_si(0.5, "inwc"))), "cfm") == pytest.approx(1080, rel=1e-6)
    assert filled.taps == ("high",)
    assert filled.sigma_ln == 0.04
    assert filled.said == (
        "Of tap med one cell is known; the rest is tap high at 0.94 of its shaft speed by the fan "
        "laws, good to some 4 % near that cell."
    )


@pytest.mark.parametrize(
    "name", ["three-ton-psc", "three-ton-constant-torque", "four-ton-constant-airflow"]
)
def test_the_width_of_a_placed_tap_holds_on_invented_tables(name):
    """Each tap from one cell of it and its neighbour: inside the sigma near the cell.

    The tables are invented by a generator with a wheel, a casing and three kinds of motors; half
    of the sigma is left for what a generator does not know.
    """
    table = invented(name)
    at, errors = to_si(0.5, "inwc"), []
    taps = known_taps(table)
    for tap in taps:
        others = [c for c in table if c.tap != tap]
        own = [c for c in table if c.tap == tap and abs(c.tesp - at) < 1.0]
        (curve,) = fill_tap([*others, *own], tap).curves
        true = blowers.tap_curve(table, tap)
        near = to_si(np.array([0.3, 0.4, 0.6, 0.7]), "inwc")
        errors += list(np.log(curve.airflow(near) / true.airflow(near)))
    root = float(np.sqrt(np.mean(np.square(errors))))
    assert 0.0 < root < 0.6 * coefficients.value("blowers", "fan law sigma_ln cell")


def test_a_shaft_speed_places_a_tap():
    """Only the rpm of the tap is known, and that of its neighbour at the same pressure."""
    table = [
        cell("high", 0.4, 1310, 600, 1080),
        cell("high", 0.5, 1220, 580, 1090),
        cell("med", 0.5, None, None, 981),
    ]
    filled = fill_tap(table, "med")
    known = blowers.tap_curve(table, "high")
    (curve,) = filled.curves
    assert curve.rows == at_speed(known, 0.9, "med").rows
    assert filled.sigma_ln == 0.08
    assert "only the shaft speed is known; it is taken as tap high at 0.90" in filled.said


def test_a_setting_is_named_by_its_airflow():
    """A motor that holds its airflow: 1000 among 1200 and 800 moves what its name says."""
    table = invented("four-ton-constant-airflow")
    filled = fill_tap(table, "1000", holds_airflow=True)
    (curve,) = filled.curves
    at = to_si(0.4, "inwc")
    assert from_si(float(curve.airflow(at)), "cfm") == pytest.approx(1000, rel=0.02)
    low, high = (blowers.tap_curve(table, tap).power(at) for tap in ("800", "1200"))
    assert low < curve.power(at) < high
    with pytest.raises(UnknownNameError):
        fill_tap(table, "1000")


@pytest.mark.parametrize(
    ("tap", "taps", "said"),
    [
        ("med", ("high", "low"), "Tap med is not in the table; it lies somewhere between low and"),
        ("Medium High", ("high", "low"), "Tap Medium High is not in the table; it lies somewhere"),
    ],
)
def test_a_tap_between_two_lies_somewhere_between(tap, taps, said):
    """By its name it stands between two printed ones: both curves, and where is open."""
    filled = fill_tap(TABLE, tap)
    assert filled.taps == taps
    assert [curve.tap for curve in filled.curves] == list(taps)
    assert filled.sigma_ln == 0.0
    assert filled.said.startswith(said)


@pytest.mark.parametrize(
    ("printed", "tap", "share"),
    [(("high", "med"), "low", 0.88), (("med", "low"), "high", 1.0 / 0.88), (("4", "3"), "2", 0.88)],
)
def test_a_tap_past_the_last_is_one_step_away(printed, tap, share):
    """Below the lowest or above the highest: 12 % less or more at its middle cell, within 10 %."""
    table = [*rows(printed[0], 1400, 1310, 1220), *rows(printed[1], 1250, 1165, 1080)]
    filled = fill_tap(table, tap)
    (neighbour,) = filled.taps
    at = to_si(0.4, "inwc")
    known = blowers.tap_curve(table, neighbour).airflow(at)
    assert filled.curves[0].airflow(at) == pytest.approx(share * known, rel=1e-6)
    assert filled.sigma_ln == 0.10


@pytest.mark.parametrize(
    ("table", "tap"),
    [
        (TABLE, "turbo"),
        (TABLE, "3"),
        ([*rows("5", 1400, 1310), *rows("4", 1250, 1165)], "1"),
        ([*rows("5", 1400, 1310), *rows("black", 1250, 1165)], "4"),
        ([cell("high", 0.5, 1200)], "low"),
        ([*rows("low", 1400, 1310), *rows("high", 1250, 1165)], "med"),
        (rows("4", 1250, 1165), "3"),
    ],
)
def test_a_tap_of_which_nothing_is_known_is_refused(table, tap):
    """A name without a place or too far away, names against the airflow: the taps are listed."""
    with pytest.raises(UnknownNameError) as caught:
        fill_tap(table, tap)
    taps = ", ".join(dict.fromkeys(c.tap for c in table))
    assert str(caught.value) == f"tap: {tap!r} came; the table has taps {taps}."


def test_taps_may_be_numbered_from_the_fastest():
    """Where tap 1 is the fastest, the tap past the last number is the slower one."""
    table = [*rows("1", 1400, 1310, 1220), *rows("2", 1250, 1165, 1080)]
    at = to_si(0.4, "inwc")
    (curve,) = fill_tap(table, "3").curves
    assert curve.airflow(at) < blowers.tap_curve(table, "2").airflow(at)


def test_a_cell_that_no_speed_meets_is_refused():
    """A cell of another unit's table: no shaft speed brings the neighbour there."""
    with pytest.raises(PartError) as caught:
        fill_tap([*TABLE, cell("med", 0.5, 20_000)], "med")
    assert str(caught.value) == (
        "airflow: 9.43895 m³/s at 124.544 Pa came; a tap near to 'high' moves about as much."
    )
    with pytest.raises(PartError) as caught:
        at_speed(blowers.tap_curve(TABLE, "high"), 0.0)
    assert str(caught.value) == "ratio: 0 came; it is a number above zero."
