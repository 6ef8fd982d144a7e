"""What a printed table hides: its step, and what lies between its columns."""

from __future__ import annotations

import numpy as np
import pytest

from inchwater.parts.blower_tables import Cell
from inchwater.parts.blowers import tap_curve
from inchwater.parts.table_noise import printed_step, table_noise
from inchwater.units import from_si, to_si


def row(airflows, unit="cfm", start=0.1, distance=0.1, watts=None):
    """A tap's cells at even columns in in. w.c."""
    return [
        Cell("a", to_si(start + distance * i, "inwc"), to_si(float(q), unit), watts and watts[i])
        for i, q in enumerate(airflows)
    ]


@pytest.mark.parametrize(
    ("airflows", "unit", "step"),
    [
        ((1350, 1300, 1225), "cfm", 25.0),
        ((1350, 1310, 1230), "cfm", 10.0),
        ((1340, 1275), "cfm", 5.0),
        ((1341, 1275), "cfm", 1.0),
        ((640, 615, 590), "ls", 5.0),
        ((2300, 2150, 2000), "m3h", 50.0),
    ],
)
def test_the_step_of_a_table_is_found(airflows, unit, step):
    """Cells that are all a multiple of a usual step were rounded to it, in the unit of print."""
    found = printed_step([to_si(float(q), unit) for q in airflows], "airflow")
    assert from_si(found, unit) == pytest.approx(step)


def test_cells_that_were_not_rounded_have_no_step():
    """Values with digits of their own, as a calculation leaves them."""
    assert printed_step([0.55123, 0.53017], "airflow") == 0.0


@pytest.mark.parametrize("step", [1.0, 5.0, 25.0])
def test_sigma_is_that_of_rounded_tables(step):
    """A curve drawn through rounded cells misses the true one by the sigma that is told.

    Tried on straight rows, in which columns hide nothing: root mean square over many places.
    """
    rng = np.random.default_rng(11)
    errors = []
    for _ in range(1000):
        true = 1403.3 + rng.uniform(-20.0, 20.0) - 46.7 * np.arange(9)
        curve = tap_curve(row(step * np.rint(true / step)), "a")
        at = rng.uniform(0.1, 0.9)
        found = from_si(float(curve.airflow(to_si(at, "inwc"))), "cfm")
        errors.append(found / np.interp(at, 0.1 + 0.1 * np.arange(9), true) - 1.0)
    cells = row(step * np.rint((1403.3 - 46.7 * np.arange(9)) / step))
    told = table_noise(cells, "a").airflow
    columns = table_noise(row(1234.5678 - 45.6789 * np.arange(9)), "a").airflow
    expected = np.sqrt(told**2 - columns**2)
    assert np.sqrt(np.mean(np.square(errors))) == pytest.approx(expected, rel=0.2)


def test_wide_columns_hide_more():
    """Two cells 0.4 in. w.c. apart: a published PSC row bends by about 2.5 % between them.

    Published 2.5-ton row, normalised (read): 1.100 at 0.3, 1.000 at 0.5, 0.816 at 0.7; the straight
    line from 0.3 to 0.7 misses the middle by 4.2 %, two thirds of which is usual over its length.
    """
    row_read = [1.100, 1.079, 1.0, 0.911, 0.816]
    curve = tap_curve([Cell("a", 0.0, row_read[0]), Cell("a", 4.0, row_read[-1])], "a")
    missed = np.array([curve.airflow(float(i)) / q - 1.0 for i, q in enumerate(row_read)])
    told = table_noise(row([1100.5, 816.5], distance=0.4), "a").airflow
    assert np.sqrt(np.mean(np.square(missed))) == pytest.approx(told, rel=0.2)
    narrow = table_noise(row([1100.5, 816.5], distance=0.1), "a").airflow
    assert told == pytest.approx(16.0 * narrow, rel=0.05)


def test_watts_have_a_step_of_their_own():
    """Low settings are coarse in watts: 5 W on 65 W; without watts there is nothing to tell."""
    noise = table_noise(row([800, 795], watts=[65.0, 90.0]), "a")
    assert noise.power == pytest.approx(5.0 * np.sqrt(2.0 / 36.0) / 77.5)
    assert table_noise(row([800, 795]), "a").power is None
