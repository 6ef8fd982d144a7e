"""What a printed table hides: the step to which its cells are rounded, and what is between columns.

A table says 1,340 where the blower moved anything from 1,337.5 to 1,342.5; between two columns the
curve that is drawn through them is a guess that widens with their distance.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from inchwater.parts import coefficients
from inchwater.parts.blower_tables import Cell, TableCell, cells_of

# Relative distance from a whole number of steps that is arithmetic of units and no digit. [-]
_WHOLE = 1e-6
# Mean variance of a value drawn linearly between two independent cells, over that of one. [-]
_BETWEEN = 2.0 / 3.0


@dataclass(frozen=True, slots=True)
class TableNoise:
    """Sigma of ln of a tap's airflow and of its watts (None without watts). [-]"""

    airflow: float
    power: float | None


def printed_step(values: Sequence[float], quantity: str) -> float:
    """The step to which printed values were rounded: the widest that all are a multiple of.

    Parameters
    ----------
    values : sequence of float
        Airflows [m3/s] or watts [W] of a table.
    quantity : {"airflow", "power"}

    Returns
    -------
    float
        [m3/s or W], 0 if the values are a multiple of none: then they were not rounded for print.

    References
    ----------
    ``data/blowers.csv``: 25, 5 and 1 cfm in three published manuals (read).

    Examples
    --------
    >>> from inchwater.units import from_si, to_si
    >>> round(from_si(printed_step([to_si(q, "cfm") for q in (1340, 1275)], "airflow"), "cfm"))
    5
    """
    for key, row in coefficients.table("blowers").items():
        if key.startswith(f"{quantity} step"):
            steps = np.asarray(values) / row.value
            if np.all(np.abs(steps - np.rint(steps)) <= _WHOLE * np.maximum(np.abs(steps), 1.0)):
                return row.value
    return 0.0


def table_noise(rows: Iterable[TableCell], tap: str) -> TableNoise:
    """How far a tap's true curve may lie from that through its printed cells.

    Parameters
    ----------
    rows : iterable of cells
        The whole table: its step is that of all cells together.
    tap : str
        One of its taps.

    Notes
    -----
    Rounding is even over one step, so a cell's sigma is the step over √12, and between two cells
    2/3 of its variance is left.  It is taken relative to the tap's middle cell, for which a half
    step of 5 cfm is 0.2 %.  What lies between columns grows with the square of their distance.

    References
    ----------
    Rounding: variance of the even distribution, step²/12.  Columns: ``data/blowers.csv``, computed
    from nine read rows of published tables.
    """
    return _table_noise(cells_of(rows), tap)


@lru_cache(maxsize=256)
def _table_noise(cells: tuple[Cell, ...], tap: str) -> TableNoise:
    own = sorted((c for c in cells if c.tap == tap), key=lambda cell: cell.tesp)
    usable = [cell for cell in own if cell.airflow is not None]
    step = printed_step([c.airflow for c in cells if c.airflow is not None], "airflow")
    airflow = _rounded(step, [c.airflow for c in usable if c.airflow is not None])
    gaps = [after.tesp - before.tesp for before, after in pairwise(usable)]
    widest = max(gaps, default=0.0) / coefficients.value("blowers", "column distance")
    columns = coefficients.value("blowers", "column sigma_ln") * widest**2
    return TableNoise(float(np.hypot(airflow, columns)), _power_noise(cells, usable))


def _power_noise(cells: Sequence[Cell], usable: Sequence[Cell]) -> float | None:
    watts = [cell.power for cell in usable if cell.power is not None]
    if len(watts) < 2:
        return None
    return _rounded(printed_step([c.power for c in cells if c.power is not None], "power"), watts)


def _rounded(step: float, values: Sequence[float]) -> float:
    """Relative sigma of a value between two cells that were rounded to a step. [-]"""
    if not values:
        return 0.0
    return float(step * np.sqrt(_BETWEEN / 12.0) / np.median(values))
