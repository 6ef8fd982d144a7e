"""Every field of lines: the rule that places it in the document, and the one that reads it back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from inchwater.app.visits import lines_of_returns, lines_of_supply
from inchwater.units import System

Document = dict[str, Any]

PLACES: dict[str, Callable[[Document, Any], None]] = {
    "returns_each": lines_of_returns.place_returns_each,
    "filters_each": lines_of_returns.place_filters_each,
    "trunks": lines_of_supply.place_trunks,
    "runs_each": lines_of_supply.place_runs_each,
    "doors": lines_of_supply.place_doors,
}
TEXTS: dict[str, Callable[[Document, System], str]] = {
    "returns_each": lines_of_returns.returns_text,
    "filters_each": lines_of_returns.filters_text,
    "trunks": lines_of_supply.trunks_text,
    "runs_each": lines_of_supply.runs_each_text,
    "doors": lines_of_supply.doors_text,
}
