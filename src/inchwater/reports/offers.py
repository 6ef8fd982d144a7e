"""What could be done as a table: what it costs, what it brings, the odds that it reaches."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inchwater.planning import money
from inchwater.reports.tables import Row, Table
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.planning import Frontier


def offers_table(found: Frontier, system: System = "ip") -> Table:
    """The offers by rising price, money in US dollars; the preferred one says so."""
    air = found.offers[0].estimates["airflow"].label(system)
    pressure = found.offers[0].estimates["tesp"].label(system)
    return Table(
        "What could be done, by price",
        ("Option", "Price", "from", "to", air, pressure, "in 100", "In the end"),
        tuple(
            Row(
                f"offer-{number}",
                f"{number}, preferred" if one is found.preferred else f"{number}",
                (
                    money(one.price.value),
                    money(one.price.low),
                    money(one.price.high),
                    one.estimates["airflow"].text(system),
                    one.estimates["tesp"].text(system),
                    f"{100.0 * one.odds:.0f}",
                    money(one.expected_cost),
                ),
            )
            for number, one in enumerate(found.offers, 1)
        ),
    )
