"""Reads the coefficient tables of ``parts/data``: each number with unit, source, place and status.

A table has the columns key, value, unit, source, place and status, and may have more; values
become SI on reading.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType

from inchwater import units
from inchwater.errors import FormatError, UnknownNameError

COLUMNS = ("key", "value", "unit", "source", "place", "status")
STATUSES = ("read", "memory", "computed", "common practice, no source", "proposed")


@dataclass(frozen=True, slots=True)
class Coefficient:
    """One number of a table: its value in SI and where it is from.

    ``status`` is one of read, memory, computed, "common practice, no source" and proposed; ``more``
    holds the table's further columns as text.
    """

    key: str
    value: float
    source: str
    place: str
    status: str
    more: Mapping[str, str]

    def number(self, column: str) -> float:
        """A further column as a number. [as the column says]"""
        return float(self.more[column])


@cache
def table(name: str, package: str = "inchwater.parts.data") -> Mapping[str, Coefficient]:
    """The coefficients of ``<name>.csv`` in a data package by key, in the file's order.

    Raises
    ------
    FormatError
        at the file and line if a column is missing, a status unknown or a key comes twice.
    """
    text = resources.files(package).joinpath(f"{name}.csv").read_text("utf-8")
    reader = csv.DictReader(text.splitlines())
    missing = [column for column in COLUMNS if column not in (reader.fieldnames or ())]
    if missing:
        raise FormatError(
            where=f"{name}.csv",
            came=f"a header without {', '.join(missing)}",
            right=f"the columns {', '.join(COLUMNS)} are needed",
        )
    found: dict[str, Coefficient] = {}
    for row in reader:
        where = f"{name}.csv, line {reader.line_num}"
        if row["status"] not in STATUSES:
            raise FormatError(
                where=where,
                came=f"the status {row['status']!r}",
                right=f"a status is one of {', '.join(STATUSES)}",
            )
        if row["key"] in found:
            raise FormatError(
                where=where, came=f"{row['key']!r} a second time", right="a key comes once"
            )
        found[row["key"]] = Coefficient(
            key=row["key"],
            value=units.to_si(float(row["value"]), row["unit"]),
            source=row["source"],
            place=row["place"],
            status=row["status"],
            more={column: row[column] for column in row if column not in COLUMNS},
        )
    return MappingProxyType(found)


def value(name: str, key: str) -> float:
    """One coefficient's value in SI."""
    return table(name)[key].value


def choose(name: str, choices: Mapping[str, object], where: str) -> None:
    """Raise UnknownNameError with the choices if ``name`` is not among them."""
    if name not in choices:
        raise UnknownNameError(
            where=where, came=repr(name), right=f"choices are {', '.join(choices)}"
        )
