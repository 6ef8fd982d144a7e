"""What to read next as a table: minutes, what each reading is expected to save, what is left."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inchwater.planning import money
from inchwater.reports.tables import Row, Table

if TYPE_CHECKING:
    from inchwater.planning import ReadingValue


def next_readings_table(ranked: Sequence[ReadingValue]) -> Table:
    """The readings in their order, money in US dollars; the same in both systems of units."""
    return Table(
        "Money that each reading is expected to save",
        ("Reading", "min", "Saves", "a min", "Pays"),
        tuple(
            Row(
                f"reading-{number}",
                one.title,
                ("–", "–", "–", "–")
                if one.candidate is None
                else (
                    f"{one.minutes:.0f}",
                    money(one.value),
                    money(one.per_minute),
                    "yes" if one.pays else "no",
                ),
            )
            for number, one in enumerate(ranked)
        ),
    )
