"""A blower table from a CSV file, as a spreadsheet of any country saves it.

Columns ``tap``, a pressure and an airflow, optionally ``power_w`` and ``speed_rpm``; commas,
semicolons or tabs between them, decimal points or commas; a dash or an empty cell is the table's
own dash: do not run here.
"""

from __future__ import annotations

import csv
import difflib
import io
import os
from pathlib import Path

from inchwater import units
from inchwater.errors import InputError, TableError
from inchwater.survey.files import Source, read_text
from inchwater.survey.form import short
from inchwater.survey.table_check import check_table
from inchwater.survey.typed_numbers import parse_number
from inchwater.survey.unit import BlowerTable, TableRow

# A printed table has some hundred cells; more than this is another kind of file.
LARGEST = 200_000
_DASHES = {"", "-", "--", "---", "–", "—", "−"}
_TESP = {"tesp_inwc": "inwc", "tesp_pa": "pa"}
_AIRFLOW = {"airflow_cfm": "cfm", "airflow_m3h": "m3h", "airflow_ls": "ls", "airflow_m3s": "m3s"}
_MORE = {"power_w": "w", "speed_rpm": "rpm"}
_WANTED = "tap,tesp_inwc,airflow_cfm are wanted, optionally power_w,speed_rpm"
_KNOWN = ("tap", *_TESP, *_AIRFLOW, *_MORE)


def read_table(
    source: Source,
    id: str = "table",
    includes: frozenset[str] | None = None,
) -> BlowerTable:
    """The blower table in a CSV file or in its text.

    Parameters
    ----------
    source : path, str or open file
        A path or an open file, or the text itself when it has a line break.  Columns: ``tap``;
        ``tesp_inwc`` or ``tesp_pa``; ``airflow_cfm``, ``airflow_m3h``, ``airflow_ls`` or
        ``airflow_m3s``; optionally ``power_w`` and ``speed_rpm``.
    id : str
        Of the table in the job.
    includes : frozenset of str, optional
        What the table's zero of external static already holds; None is unknown.

    Returns
    -------
    BlowerTable
        Rows in the file's order, SI.

    Raises
    ------
    TableError
        If it is empty, has not these columns, or cannot be right as a table.
    FormatError
        If it is too large or not text.
    InputError
        If the file cannot be opened, or a cell is no number.
    """
    name = "table"
    if isinstance(source, str) and any(end in source for end in "\n\r"):
        source = io.StringIO(source)
    elif isinstance(source, (str, os.PathLike)):
        name = Path(source).name or name
    text = read_text(source, name, LARGEST, old_windows=True)
    lines = [(n, line) for n, line in enumerate(text.splitlines(), start=1) if line.strip()]
    if not lines:
        raise TableError(where=name, came="nothing", right=f"the columns {_WANTED}")
    header_line = lines[0][1]
    separator = next((one for one in (";", "\t") if one in header_line), ",")
    columns = _columns(name, header_line, separator)
    if len(lines) == 1:
        raise TableError(
            where=name,
            came="a header and no cell",
            right="two cells of one tap are the least",
            do="Add the two cells around the reading.",
        )
    rows = [_row(f"{name}, line {number}", line, separator, columns) for number, line in lines[1:]]
    check_table(rows, name)
    return BlowerTable(id=id, rows=tuple(rows), includes=includes)


def _columns(name: str, header: str, separator: str) -> list[str]:
    if "\x00" in header:
        raise TableError(
            where=name,
            came="a file that is not text",
            right=f"a CSV file is wanted; the columns {_WANTED}",
            do="Save the sheet as CSV first.",
        )
    columns = [_cell.lower() for _cell in _cells(header, separator)]
    for column in columns:
        if column not in _KNOWN:
            near = difflib.get_close_matches(column, _KNOWN, n=1, cutoff=0.5)
            raise TableError(
                where=f"{name}, header",
                came=f"the column {short(column)}",
                right=f"the columns {_WANTED}",
                do=f"Did you mean {near[0]}?" if near else "Write one line for each cell.",
            )
        if columns.count(column) > 1:
            raise TableError(
                where=f"{name}, header",
                came=f"the column '{column}' twice",
                right="each column stands there once",
            )
    for group in (("tap",), tuple(_TESP), tuple(_AIRFLOW)):
        there = [column for column in columns if column in group]
        if len(there) != 1:
            came = " and ".join(there) or f"no column {' or '.join(group)}"
            raise TableError(
                where=f"{name}, header",
                came=came,
                right=f"the columns {_WANTED}",
                do="Give each quantity once, in one unit." if there else "Add the column.",
            )
    return columns


def _row(where: str, line: str, separator: str, columns: list[str]) -> TableRow:
    cells = _cells(line, separator)
    if len(cells) != len(columns):
        advice = (
            "Put semicolons between the cells when numbers have decimal commas."
            if separator == "," and len(cells) > len(columns)
            else "Check the line, and leave the airflow empty where the table prints a dash."
        )
        raise TableError(
            where=where,
            came=f"{len(cells)} cell{'s' if len(cells) > 1 else ''}",
            right=f"the header has {len(columns)} columns",
            do=advice,
        )
    named = dict(zip(columns, cells, strict=True))
    if not named["tap"]:
        raise TableError(
            where=f"{where}, tap",
            came="nothing",
            right="the name of the tap stands in every line, as the table prints it",
        )
    tesp = _number(where, named, _TESP)
    if tesp is None:
        raise TableError(
            where=f"{where}, tesp",
            came="nothing",
            right="the external static of the cell stands in every line",
        )
    power = _number(where, named, {"power_w": "w"})
    speed = _number(where, named, {"speed_rpm": "rpm"})
    return TableRow(named["tap"], tesp, _number(where, named, _AIRFLOW), power, speed)


def _number(where: str, named: dict[str, str], choices: dict[str, str]) -> float | None:
    """The SI value of the one of these columns that is there; None for a dash or no column."""
    for column, unit in choices.items():
        if column in named and named[column] not in _DASHES:
            at = f"{where}, {column}"
            number = parse_number(at, named[column])
            if number < 0.0 or (number == 0.0 and column not in _TESP):
                raise TableError(
                    where=at,
                    came=named[column],
                    right="a number above zero is wanted",
                    do="Leave the cell empty where the table prints a dash.",
                )
            return units.to_si(number, unit)
    return None


def _cells(line: str, separator: str) -> list[str]:
    try:
        (cells,) = csv.reader([line], delimiter=separator)
    except csv.Error as trouble:
        raise InputError(
            where="table", came=short(line), right=f"CSV is wanted ({trouble})"
        ) from None
    return [cell.strip() for cell in cells]
