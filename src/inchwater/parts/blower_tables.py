"""What a printed blower table may look like: the checks that every table passes before use.

The survey and the importer call :func:`check_table`; ``blowers`` makes curves of checked cells.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Protocol

from inchwater.errors import TableError
from inchwater.parts import coefficients
from inchwater.units import shown


class TableCell(Protocol):
    """Anything that can stand as a cell of a blower table; the survey's rows do."""

    @property
    def tap(self) -> str:
        """The blower speed, as printed."""

    @property
    def tesp(self) -> float:
        """External static pressure. [Pa]"""

    @property
    def airflow(self) -> float | None:
        """Airflow; None is the dash: do not run here. [m3/s]"""

    @property
    def power(self) -> float | None:
        """Electric power, if printed. [W]"""

    @property
    def speed(self) -> float | None:
        """Shaft speed, if printed. [rad/s]"""


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: tap, tesp [Pa], airflow [m3/s], power [W], speed [rad/s]."""

    tap: str
    tesp: float
    airflow: float | None
    power: float | None = None
    speed: float | None = None


def cells_of(rows: Iterable[TableCell]) -> tuple[Cell, ...]:
    """The rows as cells; TableError if there are none."""
    cells = tuple(Cell(row.tap, row.tesp, row.airflow, row.power, row.speed) for row in rows)
    if not cells:
        raise TableError(
            where="table",
            came="an empty table",
            right="two cells of the tap in use are the least",
            do="Type the two columns on either side of your reading.",
        )
    return cells


def check_table(rows: Iterable[TableCell]) -> None:
    """Raise TableError if a blower table cannot be right, naming the tap and the cells.

    Parameters
    ----------
    rows : iterable of cells
        All taps together, in any order.

    Raises
    ------
    TableError
        for an empty table; a tap with fewer than two cells, with one pressure twice, with a dash
        between numbers, or with airflow that rises with pressure by more than rounding (0.5 %); a
        cell that is not a positive number.  One cell, or a shaft speed, is enough for a tap beside
        another that has two: it is filled by the fan laws.
    """
    cells = cells_of(rows)
    by_tap = {cell.tap: [c for c in cells if c.tap == cell.tap] for cell in cells}
    flows = {tap: sum(c.airflow is not None for c in own) for tap, own in by_tap.items()}
    for tap, own in by_tap.items():
        placed = flows[tap] == 1 or (flows[tap] == 0 and any(c.speed for c in own))
        if placed and max(flows.values()) > 1:
            for cell in own:
                _check_numbers(f"table, tap {tap!r}", cell)
        else:
            check_tap(tap, cells)


def check_tap(tap: str, cells: tuple[Cell, ...]) -> tuple[Cell, ...]:
    """The cells of one tap by rising pressure, checked as :func:`check_table` does."""
    found = sorted((cell for cell in cells if cell.tap == tap), key=lambda cell: cell.tesp)
    where = f"table, tap {tap!r}"
    for cell in found:
        _check_numbers(where, cell)
    for before, after in pairwise(found):
        if before.tesp == after.tesp:
            raise TableError(
                where=where,
                came=f"{_pressure(after)} twice",
                right="a tap has one airflow at one pressure",
                do="Take one of the two cells out.",
            )
    usable = [cell for cell in found if cell.airflow is not None]
    if len(usable) < 2:
        raise TableError(
            where=where,
            came="one cell" if usable else "no airflow",
            right="two cells with an airflow are the least",
            do="Type the two columns on either side of your reading.",
        )
    first, last = usable[0].tesp, usable[-1].tesp
    for cell in found:
        if cell.airflow is None and first < cell.tesp < last:
            raise TableError(
                where=where,
                came=f"a dash at {_pressure(cell)} with numbers on both sides",
                right="a dash ends the usable range of a tap",
                do="Look at that cell again, or leave it out if it cannot be read.",
            )
    _check_fall(where, usable)
    return tuple(found)


def _check_numbers(where: str, cell: Cell) -> None:
    """Every number of a cell is finite and of a sign that it can have."""
    if not (math.isfinite(cell.tesp) and cell.tesp >= 0.0):
        raise TableError(
            where=where,
            came=f"a pressure of {cell.tesp:g} Pa",
            right="external static pressure in a table is zero or more",
        )
    for name, value, unit in (
        ("an airflow", cell.airflow, "m³/s"),
        ("a power", cell.power, "W"),
        ("a speed", cell.speed, "rad/s"),
    ):
        if value is not None and not (math.isfinite(value) and value > 0.0):
            raise TableError(
                where=f"{where}, {_pressure(cell)}",
                came=f"{name} of {value:g} {unit}",
                right="it is a number above zero, or a dash where the tap is not to be used",
            )


def _check_fall(where: str, usable: list[Cell]) -> None:
    """Airflow does not rise with pressure by more than rounding, over any distance."""
    rounding = coefficients.value("blowers", "rounding")
    least, lowest = usable[0], math.inf
    for cell in usable:
        airflow = cell.airflow or 0.0
        if airflow > lowest * (1.0 + rounding):
            raise TableError(
                where=where,
                came=f"{_airflow(cell)} at {_pressure(cell)} after "
                f"{_airflow(least)} at {_pressure(least)}",
                right="airflow falls, or holds, as the pressure rises",
                do="Compare these two cells with the printed table.",
            )
        if airflow < lowest:
            least, lowest = cell, airflow


def _pressure(cell: Cell) -> str:
    _, text, label = shown(cell.tesp, "pressure", "ip")
    return f"{text} {label}"


def _airflow(cell: Cell) -> str:
    if cell.airflow is None:
        return "a dash"
    _, text, label = shown(cell.airflow, "airflow", "ip")
    return f"{text} {label}"
