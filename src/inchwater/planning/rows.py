"""The rows of the data files of planning, as they are written."""

from __future__ import annotations

import csv
from importlib import resources


def read_rows(name: str) -> list[dict[str, str]]:
    """The rows of ``<name>.csv``, in the file's order."""
    text = resources.files("inchwater.planning.data").joinpath(f"{name}.csv").read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))


def cited(row: dict[str, str]) -> str:
    """The source of a row with its place, where it has one."""
    return row["source"] if row["place"] == "-" else f"{row['source']}, {row['place']}"
