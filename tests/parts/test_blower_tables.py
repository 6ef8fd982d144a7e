"""Blower tables that cannot be right, named by tap and cell; and some that only look odd."""

from __future__ import annotations

import pytest

from inchwater.errors import TableError
from inchwater.parts.blower_tables import Cell, check_table
from inchwater.units import to_si


def cells(tap: str, *pairs: tuple[float, float | None]) -> list[Cell]:
    """Cells from (in. w.c., cfm) pairs; None is a dash."""
    return [Cell(tap, to_si(p, "inwc"), None if q is None else to_si(q, "cfm")) for p, q in pairs]


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        (
            [],
            "table: an empty table came; two cells of the tap in use are the least. "
            "Type the two columns on either side of your reading.",
        ),
        (
            cells("3", (0.5, 900)),
            "table, tap '3': one cell came; two cells with an airflow are the least. "
            "Type the two columns on either side of your reading.",
        ),
        (
            cells("3", (0.5, None), (0.6, None)),
            "table, tap '3': no airflow came; two cells with an airflow are the least. "
            "Type the two columns on either side of your reading.",
        ),
        (
            [*cells("2", (0.5, 900), (0.6, 850)), *cells("3", (0.5, 900), (0.6, 950))],
            "table, tap '3': 950 cfm at 0.60 in. w.c. after 900 cfm at 0.50 in. w.c. came; "
            "airflow falls, or holds, as the pressure rises. "
            "Compare these two cells with the printed table.",
        ),
        (
            cells("3", (0.3, 900), (0.4, 903), (0.5, 906), (0.6, 909)),
            "table, tap '3': 906 cfm at 0.50 in. w.c. after 900 cfm at 0.30 in. w.c. came; "
            "airflow falls, or holds, as the pressure rises. "
            "Compare these two cells with the printed table.",
        ),
        (
            cells("3", (0.5, 900), (0.6, None), (0.7, 800)),
            "table, tap '3': a dash at 0.60 in. w.c. with numbers on both sides came; "
            "a dash ends the usable range of a tap. "
            "Look at that cell again, or leave it out if it cannot be read.",
        ),
        (
            cells("3", (0.5, 900), (0.5, 850)),
            "table, tap '3': 0.50 in. w.c. twice came; a tap has one airflow at one pressure. "
            "Take one of the two cells out.",
        ),
        (
            [Cell("3", 100.0, 0.4), Cell("3", 125.0, -0.3)],
            "table, tap '3', 0.50 in. w.c.: an airflow of -0.3 m³/s came; it is a number above "
            "zero, or a dash where the tap is not to be used.",
        ),
        (
            [Cell("3", 100.0, 0.4), Cell("3", 125.0, float("nan"))],
            "table, tap '3', 0.50 in. w.c.: an airflow of nan m³/s came; it is a number above "
            "zero, or a dash where the tap is not to be used.",
        ),
        (
            [Cell("3", 100.0, 0.4, power=0.0), Cell("3", 125.0, 0.3)],
            "table, tap '3', 0.40 in. w.c.: a power of 0 W came; it is a number above "
            "zero, or a dash where the tap is not to be used.",
        ),
        (
            [Cell("3", -10.0, 0.4), Cell("3", 125.0, 0.3)],
            "table, tap '3': a pressure of -10 Pa came; external static pressure in a table is "
            "zero or more.",
        ),
        (
            [Cell("3", 100.0, 0.4), Cell("3", float("inf"), 0.3)],
            "table, tap '3': a pressure of inf Pa came; external static pressure in a table is "
            "zero or more.",
        ),
    ],
)
def test_a_table_that_cannot_be_right_is_refused(rows, message):
    """The text names the tap, the cells, and what to do next."""
    with pytest.raises(TableError) as caught:
        check_table(rows)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    "rows",
    [
        cells("two cells", (0.6, 1000), (0.7, 950)),
        cells("from zero", (0.0, 1200), (0.1, 1150)),
        cells("dashes at both ends", (0.1, None), (0.2, 900), (0.3, 850), (0.4, None)),
        cells("level within rounding", (0.2, 1195), (0.3, 1200), (0.4, 1195)),
        cells("typed from the right", (0.7, 950), (0.6, 1000)),
        [*cells("a", (0.2, 900), (0.6, 800)), *cells("b", (0.3, 700), (0.5, 600))],
    ],
    ids=lambda rows: rows[0].tap,
)
def test_a_table_that_only_looks_odd_passes(rows):
    """Two cells, dashes at the ends, rounding, other columns per tap are all in print."""
    check_table(rows)


def test_one_cell_or_a_shaft_speed_is_enough_beside_another_tap():
    """A tap that fan laws can fill is no fault; its numbers still have to be numbers."""
    rows = cells("2", (0.5, 900), (0.6, 850))
    check_table([*rows, *cells("3", (0.5, 1000))])
    check_table([*rows, Cell("3", 125.0, None, None, 100.0)])
    with pytest.raises(TableError) as caught:
        check_table([*rows, Cell("3", 125.0, -0.4)])
    assert str(caught.value) == (
        "table, tap '3', 0.50 in. w.c.: an airflow of -0.4 m³/s came; it is a number above zero, "
        "or a dash where the tap is not to be used."
    )
