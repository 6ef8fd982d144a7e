"""Whether a tap can run on a unit: it stands in the table, or its name places it beside one.

Names and order decide here, without the model's physics, which a virtual house must not share; the
curve of such a tap is the network's, by the fan laws of ``parts.fan_laws``.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from itertools import pairwise
from statistics import median

from inchwater import units
from inchwater.survey.ranges import range_of
from inchwater.survey.unit import BlowerTable, Unit

# Numbers up to this one are the taps' own; larger ones name the airflow that a motor holds.
_LARGEST_NUMBER = 20.0


def can_run(unit: Unit, tap: str) -> bool:
    """Whether a tap is in the unit's table, or lies next to one that is; any, without a table."""
    return unit.table is None or tap in unit.table.taps or tap_guess(unit, tap) is not None


def tap_guess(unit: Unit, tap: str) -> str | None:
    """What is assumed of a tap of which the table has too little; None if it has it or cannot say.

    Parameters
    ----------
    unit : Unit
        Its motor decides whether a number names an airflow.
    tap : str
        As somebody named it.
    """
    table = unit.table
    if table is None:
        return None
    known = _airflows(table)
    if not known or tap in known:
        return None
    if tap in table.taps:
        return _of_few_cells(table, tap)
    if unit.motor in (None, "constant-airflow") and _is_setting(tap, known):
        return f"Setting {tap} is not in the table; it is taken to hold the airflow of its name."
    return _by_neighbours(tap, known)


def _airflows(table: BlowerTable) -> dict[str, float]:
    """The usual airflow of every tap with two cells at the least. [m3/s]"""
    cells: dict[str, list[float]] = {}
    for row in table.rows:
        if row.airflow is not None:
            cells.setdefault(row.tap, []).append(row.airflow)
    return {tap: median(found) for tap, found in cells.items() if len(found) > 1}


def _of_few_cells(table: BlowerTable, tap: str) -> str | None:
    own = [row for row in table.rows if row.tap == tap]
    if any(row.airflow is not None for row in own):
        return f"Of tap {tap} one cell is known; the rest is taken from the tap nearest to it."
    if any(row.speed is not None for row in own):
        return f"Of tap {tap} only the shaft speed is known; it is taken from the nearest tap."
    return None


def _is_setting(tap: str, known: Mapping[str, float]) -> bool:
    """Whether a number names an airflow, as the names of the other settings do."""
    named = {name: value for name in known if (value := _number(name)) is not None}
    wanted, near = _number(tap), range_of("named_airflow")
    if wanted is None or wanted <= _LARGEST_NUMBER or not named:
        return False
    return all(
        value > 0.0 and near.holds(known[name] / units.to_si(value, "cfm"))
        for name, value in named.items()
    )


def _by_neighbours(tap: str, known: Mapping[str, float]) -> str | None:
    """A tap between two printed ones, or next to the last one, by its name."""
    wanted = _rank(tap)
    ranked = {name: rank for name in known if (rank := _rank(name)) is not None}
    # One name that says nothing of its place, and that of all others is open.
    if wanted is None or len(ranked) < len(known):
        return None
    kind, place = wanted
    if any(other != kind or rank == place for other, rank in ranked.values()):
        return None
    order = sorted(ranked, key=lambda name: ranked[name][1])
    rising = all(known[one] < known[other] for one, other in pairwise(order))
    falling = all(known[one] > known[other] for one, other in pairwise(order))
    # A single tap: words speak for themselves, numbers do not; and some tables say both.
    if rising == falling if kind == "number" else not rising:
        return None
    for under, over in pairwise(order):
        if ranked[under][1] < place < ranked[over][1]:
            return f"Tap {tap} is not in the table; it lies somewhere between {under} and {over}."
    nearest = min(order, key=lambda name: abs(ranked[name][1] - place))
    if not range_of(f"tap_beside_{kind}").holds(abs(ranked[nearest][1] - place)):
        return None
    slower = (place < ranked[nearest][1]) is rising
    where = "below" if slower else "above"
    return f"Tap {tap} is not in the table; it is taken as the tap {where} {nearest}."


def _rank(tap: str) -> tuple[str, float] | None:
    """What kind of name a tap has, and where it stands among names of its kind."""
    number = _number(tap)
    if number is not None:
        return ("number", number) if number <= _LARGEST_NUMBER else None
    word = "-".join(tap.lower().replace("_", " ").replace("-", " ").split())
    return None if word not in _words() else ("word", _words()[word])


def _number(tap: str) -> float | None:
    return float(tap) if tap.strip().isdecimal() else None


@cache
def _words() -> Mapping[str, float]:
    """The rank of every name of a speed lead, from the table that the parts use too."""
    text = files("inchwater").joinpath("parts/data/tap_names.csv").read_text("utf-8")
    return {row["key"]: float(row["value"]) for row in csv.DictReader(text.splitlines())}
