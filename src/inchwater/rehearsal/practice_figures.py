"""The figures of a practice round from ``data/practice.csv``: minutes, limits, displays."""

from __future__ import annotations

import functools

from inchwater import units
from inchwater.rehearsal.figures import rows


@functools.cache
def practice(key: str) -> float:
    """A figure of the file: minutes as minutes, everything else in SI."""
    row = rows("practice")[key]
    value = float(row["value"])
    return value if row["unit"] == "min" else units.to_si(value, row["unit"])


def plates() -> tuple[float, ...]:
    """What a unit's plate may allow, one of them in each round. [Pa]"""
    return tuple(practice(key) for key in rows("practice") if key.startswith("plate "))
