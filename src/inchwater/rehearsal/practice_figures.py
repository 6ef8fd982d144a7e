"""The figures of a practice round from ``data/practice.csv``: minutes, limits, displays."""

from __future__ import annotations

import csv
import functools
from collections.abc import Mapping
from importlib import resources

from inchwater import units


@functools.cache
def _rows() -> Mapping[str, Mapping[str, str]]:
    text = resources.files(__package__).joinpath("data/practice.csv").read_text("utf-8")
    return {row["key"]: row for row in csv.DictReader(text.splitlines())}


@functools.cache
def practice(key: str) -> float:
    """A figure of the file: minutes as minutes, everything else in SI."""
    row = _rows()[key]
    value = float(row["value"])
    return value if row["unit"] == "min" else units.to_si(value, row["unit"])


def plates() -> tuple[float, ...]:
    """What a unit's plate may allow, one of them in each round. [Pa]"""
    return tuple(practice(key) for key in _rows() if key.startswith("plate "))
