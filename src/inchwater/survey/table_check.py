"""Blower tables that cannot be right: airflow rising with pressure, holes, too few cells.

These rules need no physics; they hold for every printed table.
"""

from __future__ import annotations

import itertools
import math
import statistics
from collections.abc import Iterable, Iterator

from inchwater import units
from inchwater.errors import DoubtError, InchwaterError, TableError
from inchwater.survey.ranges import range_of, said_range
from inchwater.survey.unit import TableRow

# In a row of even steps, a gap wider than this many steps is a missing cell.
_GAP = 1.5
_EVEN = 4


def check_table(rows: Iterable[TableRow], where: str = "table") -> None:
    """Refuse a table that cannot be right.

    Parameters
    ----------
    rows : iterable of TableRow
        Its cells, SI; in any order.
    where : str
        What an error calls the table.

    Raises
    ------
    TableError
        Naming tap and pressure.
    """
    for problem in table_problems(rows, where):
        raise problem


def table_problems(rows: Iterable[TableRow], where: str = "table") -> Iterator[InchwaterError]:
    """Everything in a table that cannot be right, in the table's order; as ``check_table``."""
    by_tap: dict[str, list[TableRow]] = {}
    for row in rows:
        by_tap.setdefault(row.tap, []).append(row)
    if not by_tap:
        yield TableError(
            where=where,
            came="no cell",
            right="two cells of one tap are the least",
            do="Type the two cells around the reading.",
        )
    columns = sorted({row.tesp for cells in by_tap.values() for row in cells})
    # One cell, or a shaft speed, places a tap beside another that is drawn.
    drawn = any(sum(row.airflow is not None for row in cells) > 1 for cells in by_tap.values())
    for cells in by_tap.values():
        yield from _tap_problems(sorted(cells, key=lambda row: row.tesp), columns, where, drawn)


def table_doubts(rows: Iterable[TableRow], capacity: float) -> Iterator[DoubtError]:
    """The cell whose airflow lies farthest outside what a unit of this capacity [W] moves."""
    wanted = range_of("table_airflow_per_capacity")
    cells = [row for row in rows if row.airflow is not None and row.airflow > 0.0]
    odd = [row for row in cells if not wanted.holds((row.airflow or 0.0) / capacity)]
    if not odd:
        return
    middle = math.sqrt(wanted.low * wanted.high) * capacity
    worst = max(odd, key=lambda row: abs(math.log((row.airflow or middle) / middle)))
    yield DoubtError(
        where=f"survey.unit.table, tap {worst.tap}",
        came=f"{_cfm(worst.airflow or 0.0)} at {_inwc(worst.tesp)} on "
        f"{units.from_si(capacity, 'ton'):.3g} tons",
        right=f"the cells of tables run from {wanted.text('cfm_ton')}",
        do="Check this cell and the capacity, and keep them if they are printed so.",
    )


def _tap_problems(
    cells: list[TableRow], columns: list[float], where: str, drawn: bool
) -> Iterator[InchwaterError]:
    name = f"{where}, tap {cells[0].tap}"
    for row in cells:
        yield from _cell_problems(row, name)
    for one, other in itertools.pairwise(cells):
        if one.tesp == other.tesp:
            yield TableError(
                where=name,
                came=f"two cells at {_inwc(one.tesp)}",
                right="a tap has one cell at each pressure",
                do="Remove one of the two.",
            )
            return
    usable = [(row.tesp, row.airflow) for row in cells if row.airflow is not None]
    if drawn and (len(usable) == 1 or (not usable and any(row.speed for row in cells))):
        return
    if len(usable) < 2:
        came = "1 cell with airflow" if usable else "no cell with airflow"
        yield TableError(
            where=name,
            came=came,
            right="two are the least from which a line can be drawn",
            do="Type another cell of this tap, or leave the tap out.",
        )
        return
    low, high = usable[0][0], usable[-1][0]
    yield from _holes(cells, columns, low, high, name)
    # Tables are rounded, so a flat one may seem to rise a little, but not by little and little.
    # A hair more, because the cells were converted.
    rounding = 1.0 + range_of("table_rise").high + 1e-9
    (p, q), *others = usable
    for next_p, next_q in others:
        if next_q > q * rounding:
            yield TableError(
                where=name,
                came=f"{_cfm(next_q)} at {_inwc(next_p)} after {_cfm(q)} at {_inwc(p)}",
                right="airflow falls as external static rises",
                do="Check these two cells, and that the row was not read backwards.",
            )
        if next_q < q:
            p, q = next_p, next_q


def _cell_problems(row: TableRow, name: str) -> Iterator[InchwaterError]:
    pressures, flows = range_of("table_tesp"), range_of("table_airflow")
    if not pressures.holds(row.tesp):
        yield TableError(
            where=name,
            came=f"a column at {_inwc(row.tesp)}",
            right=said_range("table_tesp", "inwc"),
            do="Check whether the column is in Pa.",
        )
    if row.airflow is not None and not flows.holds(row.airflow):
        yield TableError(
            where=name,
            came=f"{_cfm(row.airflow)} at {_inwc(row.tesp)}",
            right=said_range("table_airflow", "cfm"),
            do="Leave the airflow out where the table prints a dash.",
        )


def _holes(
    cells: list[TableRow], columns: list[float], low: float, high: float, name: str
) -> Iterator[InchwaterError]:
    for row in cells:
        if row.airflow is None and low < row.tesp < high:
            yield TableError(
                where=name,
                came=f"a dash at {_inwc(row.tesp)} between two cells with airflow",
                right="dashes stand only at the ends of a row",
                do="Check this cell, or that the row was not shifted.",
            )
            return
    there = [row.tesp for row in cells]
    steps = [b - a for a, b in itertools.pairwise(there)]
    step = statistics.median(steps)
    missing = [c for c in columns if low < c < high and c not in there]
    if len(there) >= _EVEN and not missing:
        missing = [
            a + step
            for a, b in itertools.pairwise(there)
            if low <= a < high and b - a > _GAP * step
        ]
    if missing:
        yield TableError(
            where=name,
            came=f"no cell at {_inwc(missing[0])}",
            right="between the first and the last cell of a tap none is left out",
            do="Type the missing cell.",
        )


def _inwc(pressure: float) -> str:
    # The table's own column, so 0.1 stays 0.1 and 0.25 stays 0.25.
    return f"{units.from_si(pressure, 'inwc'):.4g} {units.unit('inwc').label}"


def _cfm(airflow: float) -> str:
    return f"{units.from_si(airflow, 'cfm'):,.0f} {units.unit('cfm').label}"
