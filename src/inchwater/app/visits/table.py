"""The blower table on the page: pasted whole, or cell by cell around the reading.

Two cells of one tap are a table.  Cells wait as drafts until two of them are complete.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from inchwater.app.visits.fields import CELLS, FIELDS, NONE
from inchwater.app.visits.values import NotYetError, Typed, in_system, number_text
from inchwater.errors import InputError
from inchwater.survey import TableRow
from inchwater.survey.facts import UNITS_BY_KIND, shortest
from inchwater.units import System

Document = dict[str, Any]
# The tap of typed cells, as long as nobody said which one it is.
IN_USE = "in use"
LEAST = 2


def is_cells(unit: Document) -> bool:
    """Whether the unit's table is small enough to stand in the fields for single cells."""
    rows = unit.get("table", {}).get("rows", [])
    keys = {key.partition("_")[0] for row in rows for key in row}
    return (
        0 < len(rows) <= len(CELLS)
        and len({row["tap"] for row in rows}) == 1
        and keys == {"tap", "tesp", "airflow"}
    )


def cell_texts(document: Document, system: System) -> dict[str, str]:
    """What stands in the fields of the cells when the document is all that is known."""
    unit = document.get("survey", {}).get("unit", {})
    if not is_cells(unit):
        return {}
    texts = {}
    for cell, row in zip(CELLS, unit["table"]["rows"], strict=False):
        for key, value in row.items():
            quantity, _, name = key.partition("_")
            if name:
                field = FIELDS[f"{cell}_{quantity}"]
                texts[field.name] = in_system(value, name, field.quantity or "", system)
    return texts


def place_cells(document: Document, cells: dict[str, dict[str, Typed]]) -> None:
    """Make the complete cells the table; take the table away when fewer than two are left.

    Parameters
    ----------
    document : dict
        Changed in place.
    cells : dict
        By cell: ``{"tesp": Typed, "airflow": Typed}``, complete ones only.

    Raises
    ------
    InputError
        If a whole table is there.
    """
    unit = document.setdefault("survey", {}).setdefault("unit", {})
    if "table" in unit and not is_cells(unit):
        raise InputError(
            where="Cells of the table",
            came="a single cell",
            right="the whole table is here already",
            do="Clear the whole table first if the cells are to take its place.",
        )
    if len(cells) < LEAST:
        unit.pop("table", None)
        if unit.get("tap") == IN_USE:
            unit.pop("tap")
        return
    tap = unit.setdefault("tap", IN_USE)
    rows = [
        {"tap": tap, f"tesp_{one['tesp'].unit}": one["tesp"].value}
        | {f"airflow_{one['airflow'].unit}": one["airflow"].value}
        for one in cells.values()
    ]
    unit["table"] = {"id": "t1", **unit.get("table", {}), "rows": rows}


def place_table(document: Document, rows: list[Document] | None) -> None:
    """Put a whole table in the unit; a tap that it does not have is unknown again."""
    unit = document.setdefault("survey", {}).setdefault("unit", {})
    if rows is None:
        if not is_cells(unit):
            unit.pop("table", None)
        return
    unit["table"] = {"id": "t1", **unit.get("table", {}), "rows": rows}
    taps = list(dict.fromkeys(row["tap"] for row in rows))
    if unit.get("tap") not in taps:
        unit.pop("tap", None)
    if len(taps) == 1:
        unit["tap"] = taps[0]


def place_tap(document: Document, tap: str | None) -> None:
    """Say which tap is in use; typed cells belong to it."""
    unit = document.setdefault("survey", {}).setdefault("unit", {})
    if is_cells(unit):
        unit["tap"] = tap or IN_USE
        for row in unit["table"]["rows"]:
            row["tap"] = unit["tap"]
    elif tap is None:
        unit.pop("tap", None)
    else:
        unit["tap"] = tap


def place_table_includes(document: Document, words: tuple[str, ...] | None) -> None:
    """Say what was inside the unit when the table was measured; None is unknown."""
    table = document.get("survey", {}).get("unit", {}).get("table")
    if table is None:
        if words is None:
            return
        raise NotYetError(
            where=FIELDS["table_includes"].label,
            came=", ".join(words),
            right="it counts once there is a table, of two cells at least",
        )
    if words is None:
        table.pop("includes", None)
    else:
        table["includes"] = [word for word in words if word != NONE]


def rows_in_file(rows: Iterable[TableRow]) -> list[Document]:
    """The rows of a table as a job file holds them."""
    kinds = {"tesp": "pressure", "airflow": "airflow", "power": "power", "speed": "speed"}
    documents = []
    for row in rows:
        document: Document = {"tap": row.tap}
        for quantity, kind in kinds.items():
            si = getattr(row, quantity)
            if si is not None:
                unit, value = shortest(si, UNITS_BY_KIND[kind])
                document[f"{quantity}_{unit}"] = value
        documents.append(document)
    return documents


def table_text(rows: list[Document]) -> str:
    """The rows of a table as the lines that could have been pasted."""
    columns = list(dict.fromkeys(key for row in rows for key in row))
    lines = [",".join(columns)]
    lines += [",".join(_cell(row.get(column, "")) for column in columns) for row in rows]
    return "\n".join(lines)


def _cell(value: Any) -> str:
    return value if isinstance(value, str) else number_text(float(value))
