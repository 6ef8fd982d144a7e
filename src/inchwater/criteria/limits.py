"""The criteria and limits of a system, each with its source and how well it is known.

The numbers live in ``criteria/data/*.csv`` in the unit of their source; here they become SI.  A
row whose status is ``memory`` or ``common practice, no source`` is a typical figure, never a rule.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources

from inchwater import units
from inchwater.parts.coefficients import table

_DATA = "inchwater.criteria.data"


@dataclass(frozen=True, slots=True)
class Criterion:
    """One limit: what is compared, between which bounds [SI], and who says so."""

    key: str
    label: str
    quantity: str
    low: float | None
    high: float | None
    unit: str
    source: str
    place: str
    status: str
    note: str

    @property
    def cited(self) -> str:
        """Source with its place, as it is printed."""
        return cited(self.source, self.place)


@dataclass(frozen=True, slots=True)
class OtherFigure:
    """What another source says of the same criterion [SI]."""

    key: str
    low: float | None
    high: float | None
    unit: str
    source: str
    place: str
    status: str


@dataclass(frozen=True, slots=True)
class Guidance:
    """How much pressure a kind of part usually may take [Pa], and who says so."""

    key: str
    drop: float
    source: str
    place: str
    status: str


def cited(source: str, place: str) -> str:
    """Source and place in one line; the place is left out where there is none."""
    return f"{source}, {place}" if place else source


def read_rows(name: str) -> list[dict[str, str]]:
    """The rows of one of the package's data files."""
    text = resources.files(_DATA).joinpath(name).read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))


def bound(text: str, unit: str) -> float | None:
    """A bound of a data file in SI; an empty cell is no bound."""
    return units.to_si(float(text), unit) if text else None


@cache
def criteria() -> dict[str, Criterion]:
    """Every criterion by its key, in the order of the file."""
    return {
        row["key"]: Criterion(
            key=row["key"],
            label=row["label"],
            quantity=row["quantity"],
            low=bound(row["low"], row["unit"]),
            high=bound(row["high"], row["unit"]),
            unit=row["unit"],
            source=row["source"],
            place=row["place"],
            status=row["status"],
            note=row["note"],
        )
        for row in read_rows("limits.csv")
    }


@cache
def other_figures(key: str) -> tuple[OtherFigure, ...]:
    """What other sources say of the criterion ``key``; empty where none was found."""
    return tuple(
        OtherFigure(
            key=key,
            low=bound(row["low"], row["unit"]),
            high=bound(row["high"], row["unit"]),
            unit=row["unit"],
            source=row["source"],
            place=row["place"],
            status=row["status"],
        )
        for row in read_rows("disagreements.csv")
        if row["key"] == key
    )


def guidance(kind: str) -> Guidance | None:
    """What a part of this kind usually may take: filter, coil, supply, return, grille."""
    row = table("guidance", _DATA).get(kind)
    return None if row is None else Guidance(kind, row.value, row.source, row.place, row.status)


def verdict_odds() -> tuple[float, float]:
    """The odds from which a criterion is called met, and up to which it is called not met [-]."""
    rows = table("odds", _DATA)
    return rows["met"].value, rows["not-met"].value
