"""Shapes of published blower tables, five manuals and a college blog (read; makers left unnamed).

The interpolator is fed the read airflow rows, normalised at 0.5 in. w.c.; its slopes there must lie
within three SD of those computed from all rows of the family.
"""

from __future__ import annotations

import numpy as np
import pytest

from inchwater.parts import blowers
from inchwater.parts.blower_tables import Cell
from inchwater.units import to_si

ROWS = {
    "psc high": (0.1, [1.211, 1.153, 1.100, 1.079, 1.0, 0.911, 0.816]),
    "psc mid": (0.1, [1.245, 1.196, 1.168, 1.084, 1.0, 0.930, 0.846]),
    "psc low": (0.1, [1.320, 1.247, 1.165, 1.093, 1.0, 0.907, 0.742]),
    "psc half-horse high": (0.2, [1.166, 1.114, 1.039, 1.0, 0.959]),
    "psc three-quarter-horse high": (0.2, [1.104, 1.062, 1.027, 1.0, 0.954]),
    "torque furnace top": (
        0.1,
        [1.152, 1.120, 1.082, 1.042, 1.0, 0.953, 0.901, 0.846, 0.782, 0.717],
    ),
    "torque furnace lowest": (
        0.1,
        [1.164, 1.132, 1.091, 1.050, 1.0, 0.945, 0.889, 0.825, 0.750, 0.670],
    ),
    "torque air handler top": (
        0.1,
        [1.124, 1.097, 1.061, 1.030, 1.0, 0.965, 0.935, 0.902, 0.868, 0.838],
    ),
    "torque air handler middle": (
        0.1,
        [1.232, 1.169, 1.114, 1.063, 1.0, 0.931, 0.868, 0.799, 0.740, 0.701],
    ),
}
# Percent of airflow per 0.1 in. w.c. at 0.3, 0.5, 0.8: (mean, SD) over the family's rows.
SLOPES = {
    "psc high": {0.5: (-5.6, 2.1)},
    "psc mid": {0.5: (-5.6, 2.1)},
    "psc low": {0.5: (-5.6, 2.1)},
    "psc half-horse high": {0.5: (-5.6, 2.1)},
    "psc three-quarter-horse high": {0.5: (-5.6, 2.1)},
    "torque furnace top": {0.3: (-3.6, 1.0), 0.5: (-4.4, 0.9), 0.8: (-7.1, 1.2)},
    "torque furnace lowest": {0.3: (-3.7, 1.2), 0.5: (-5.3, 2.1), 0.8: (-8.6, 2.9)},
    "torque air handler top": {0.3: (-3.2, 1.5), 0.5: (-3.2, 0.9), 0.8: (-3.8, 2.1)},
    "torque air handler middle": {0.3: (-4.7, 1.0), 0.5: (-6.6, 1.7), 0.8: (-8.1, 2.9)},
}


def curve_of(name: str) -> blowers.TapCurve:
    """The curve through a read row."""
    start, row = ROWS[name]
    return blowers.tap_curve(
        [Cell(name, to_si(start + 0.1 * i, "inwc"), value) for i, value in enumerate(row)], name
    )


def slope(curve: blowers.TapCurve, inwc: float) -> float:
    """Percent of airflow per 0.1 in. w.c., by the tables' own central difference."""
    low, middle, high = (curve.airflow(to_si(inwc + d, "inwc")) for d in (-0.1, 0.0, 0.1))
    return float(100.0 * (high - low) / 2.0 / middle)


@pytest.mark.parametrize("name", ROWS)
def test_the_interpolator_falls_through_a_read_row(name):
    """A curve through a published row never rises, and keeps its printed values."""
    curve = curve_of(name)
    fine = curve.airflow(np.linspace(*curve.range, 400))
    assert np.all(np.diff(fine) < 0.0)
    assert [curve.airflow(cell.tesp) for cell in curve.rows] == pytest.approx(ROWS[name][1])


@pytest.mark.parametrize("name", ROWS)
def test_a_cell_that_was_left_out_comes_back(check, name):
    """Through the other cells the curve meets one it was not told (2.5 %; a row has a kink)."""
    start, row = ROWS[name]
    left_out = len(row) // 2
    cells = [
        Cell(name, to_si(start + 0.1 * i, "inwc"), value)
        for i, value in enumerate(row)
        if i != left_out
    ]
    at = start + 0.1 * left_out
    check(
        formula="table between",
        source="school-curves",
        place="airflow over that at 0.5 in. w.c.",
        case=f"{name}, the cell at {at:.1f} in. w.c. left out",
        says=row[left_out],
        got=float(blowers.tap_curve(cells, name).airflow(to_si(at, "inwc"))),
        rel=0.025,
        status="read",
    )


@pytest.mark.parametrize(
    ("name", "inwc", "mean", "sd"),
    [(n, p, *each) for n, row in SLOPES.items() for p, each in row.items()],
)
def test_the_slope_of_a_read_row(name, inwc, mean, sd):
    """The slope lies within three SD of its family, at the point and by the curve's own slope."""
    curve = curve_of(name)
    assert slope(curve, inwc) == pytest.approx(mean, abs=3.0 * sd)
    airflow, own = curve.airflow_and_slope(to_si(inwc, "inwc"))
    assert 100.0 * own * to_si(0.1, "inwc") / airflow == pytest.approx(mean, abs=3.0 * sd)


@pytest.mark.parametrize(
    ("motor", "mean", "sd"),
    [("psc", -5.6, 2.1), ("constant-torque", -4.4, 0.9), ("constant-airflow", -0.2, 0.2)],
)
def test_the_slope_of_the_generic_curve(motor, mean, sd):
    """A unit without a table falls at 0.5 in. w.c. as its family does, within three SD."""
    curve = blowers.generic_curve(motor, 10_000.0)
    assert slope(curve, 0.5) == pytest.approx(mean, abs=3.0 * sd)


def test_the_families_fall_in_their_order():
    """PSC falls most, torque two thirds to as much, constant airflow hardly."""
    falls = [-slope(blowers.generic_curve(motor, 10_000.0), 0.5) for motor in blowers.MOTORS]
    assert falls == sorted(falls, reverse=True)
    assert falls[2] < 0.1 * falls[1]
