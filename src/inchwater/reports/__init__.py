"""What an answer looks like: pictures as SVG, and the same numbers as tables.

One drawing serves page, print and paper (``docs/decisions/0010-pictures.md``).
"""

from inchwater.reports.budget import budget
from inchwater.reports.curves import curves
from inchwater.reports.frontier import frontier, offer_said
from inchwater.reports.interval import interval
from inchwater.reports.next_readings import next_readings_table
from inchwater.reports.offers import (
    frontier_table,
    offer_effects_tables,
    offer_readings_table,
    offers_table,
    price_said,
    price_table,
)
from inchwater.reports.path import path
from inchwater.reports.ports import do_not_drill, ports, sketch
from inchwater.reports.tables import (
    Row,
    Table,
    budget_table,
    curves_table,
    flows_table,
    path_table,
    ports_table,
    runs_table,
    tree_table,
)
from inchwater.reports.tree import tree

__all__ = [
    "Row",
    "Table",
    "budget",
    "budget_table",
    "curves",
    "curves_table",
    "do_not_drill",
    "flows_table",
    "frontier",
    "frontier_table",
    "interval",
    "next_readings_table",
    "offer_effects_tables",
    "offer_readings_table",
    "offer_said",
    "offers_table",
    "path",
    "path_table",
    "ports",
    "ports_table",
    "price_said",
    "price_table",
    "runs_table",
    "sketch",
    "tree",
    "tree_table",
]
