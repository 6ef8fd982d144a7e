"""Evidence: a check against the outside that both asserts and goes on record.

A test takes the fixture ``check`` and names what is checked (a row of ``references/formulas.csv``)
and by which publication (a row of ``references/publications.csv``).  Nothing is checked by its own
source.  ``pytest --evidence FILE`` runs such tests only and writes their records;
``tools/evidence.py`` turns these into ``docs/evidence.md``.
"""

from __future__ import annotations

import csv
import importlib
import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from fnmatch import fnmatchcase
from functools import cache
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
SOURCE = HERE.parent / "src" / "inchwater"
STATUSES = ("read", "memory", "computed", "common practice")
# Significant digits that a found value is kept to, so that two runs give the same bytes.
DIGITS = 5
# A check of a formula beyond this many adds nothing to the count.
MOST_OF_ONE = 15
DATA_ROW = re.compile(r"([\w/]+)\.csv (.+)")


@dataclass(frozen=True, slots=True)
class Publication:
    """A document or library outside the project, and the words by which a source names it."""

    key: str
    title: str
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula, table or fact of ours: what it is called, where it stands, what it is from."""

    key: str
    label: str
    group: str
    code: str
    own: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Record:
    """One check as it came out.  ``says`` is one number, or the two ends of a range.

    With ``differs`` it is a stated disagreement: ours over theirs lies between its two numbers.
    """

    formula: str
    source: str
    place: str
    case: str
    says: tuple[float, ...]
    got: float
    unit: str
    rel: float
    abs: float
    status: str
    test: str
    differs: tuple[float, ...] = ()

    def as_dict(self) -> dict[str, object]:
        """The record as JSON has it."""
        return asdict(self)

    @classmethod
    def from_dict(cls, row: Mapping[str, Any]) -> Record:
        """The record that JSON had."""
        return cls(**{**row, "says": tuple(row["says"]), "differs": tuple(row["differs"])})


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@cache
def publications() -> Mapping[str, Publication]:
    """All publications by key, in the file's order."""
    return {
        row["key"]: Publication(row["key"], row["title"], tuple(row["marks"].lower().split("|")))
        for row in _rows(HERE / "references" / "publications.csv")
    }


@cache
def formulas() -> Mapping[str, Formula]:
    """All formulas, tables and facts by key, in the file's order."""
    return {
        row["key"]: Formula(
            row["key"],
            row["label"],
            row["group"],
            row["code"],
            tuple(part.strip() for part in row["own"].split(";")),
        )
        for row in _rows(HERE / "references" / "formulas.csv")
    }


@cache
def own_sources(key: str) -> tuple[str, ...]:
    """What a formula of ours is from, each source once.

    A part of ``own`` such as ``parts/data/flex.csv factor*`` is read from the source and place of
    the rows of that data file; any other part is the source itself.
    """
    found: dict[str, dict[str, None]] = {}
    for part in formulas()[key].own:
        if not (match := DATA_ROW.fullmatch(part)):
            found.setdefault(part, {})
            continue
        rows = [r for r in _rows(SOURCE / f"{match[1]}.csv") if fnmatchcase(r["key"], match[2])]
        assert rows, f"{key}: no row {match[2]!r} in {match[1]}.csv"
        for row in rows:
            places = found.setdefault(row["source"], {})
            if row["place"] and not row["place"].startswith("same"):
                places[row["place"]] = None
    return tuple(
        f"{source} ({'; '.join(places)})" if places else source for source, places in found.items()
    )


def publications_in(text: str) -> set[str]:
    """The publications that a text names."""
    lowered = text.lower()
    return {key for key, p in publications().items() if any(mark in lowered for mark in p.marks)}


def own_publications(key: str) -> set[str]:
    """The publications that a formula of ours is from: none of them can check it."""
    return publications_in(" | ".join(own_sources(key)))


def resolve(code: str) -> object:
    """What a dotted name under ``inchwater`` stands for."""
    parts = code.split(".")
    for cut in range(len(parts), 0, -1):
        try:
            found: object = importlib.import_module(".".join(["inchwater", *parts[:cut]]))
        except ModuleNotFoundError:
            continue
        for name in parts[cut:]:
            found = getattr(found, name)
        return found
    raise AssertionError(f"inchwater.{code} is not there")


def rounded(value: float) -> float:
    """A value to the digits that are kept."""
    return float(f"{value:.{DIGITS}g}")


def away(says: tuple[float, ...], got: float) -> float:
    """How far a value is from what was said: signed, zero inside a range."""
    low, high = says[0], says[-1]
    return min(got - low, 0.0) + max(got - high, 0.0) if len(says) > 1 else got - low


def allowed(record: Record) -> float:
    """The tolerance of a record in its own unit."""
    nearest = min(record.says, key=lambda end: abs(record.got - end))
    return max(record.rel * abs(nearest), record.abs)


def holds(record: Record) -> bool:
    """Whether a value lies within its tolerance, or within its stated disagreement."""
    if record.differs:
        return record.differs[0] <= record.got / record.says[0] <= record.differs[1]
    # Half a unit of the last kept digit belongs to the rounding, not to the value.
    slack = 0.5 * 10.0 ** (1 - DIGITS) * _size(record.got)
    return _size(away(record.says, record.got)) <= allowed(record) + slack


def check(
    records: list[Record],
    test: str,
    *,
    formula: str,
    source: str,
    place: str,
    case: str,
    says: float | tuple[float, float],
    got: float,
    unit: str = "",
    rel: float = 0.0,
    abs: float = 0.0,
    status: str,
    differs: tuple[float, float] | None = None,
) -> None:
    """Put a check on record and assert that it holds.

    Parameters
    ----------
    records, test
        Given by the fixture: where the record goes, and the test that makes it.
    formula, source : str
        Keys of ``formulas.csv`` and ``publications.csv``.
    place, case : str
        Page, table or equation; the inputs in words.
    says : float or (low, high)
        What the publication says, never computed with what is checked.
    got : float
        What the project gives, in the same ``unit``.
    rel, abs : float
        Tolerance; the larger of both holds.
    status : str
        How the figure came here: read, memory, computed, common practice.
    differs : (low, high), optional
        In the place of a tolerance: a disagreement that is told and not counted, ours over theirs.
    """
    assert formula in formulas(), f"{formula!r} is not in formulas.csv"
    assert source in publications(), f"{source!r} is not in publications.csv"
    assert status in STATUSES, f"{status!r} is no status"
    own = own_publications(formula)
    assert source not in own, f"{formula} is from {source}: its own source cannot check it"
    ends = tuple(float(end) for end in says) if isinstance(says, tuple) else (float(says),)
    record = Record(
        formula,
        source,
        place,
        case,
        ends,
        rounded(float(got)),
        unit,
        rel,
        abs,
        status,
        test,
        tuple(differs or ()),
    )
    if differs:
        agrees = rel or abs or differs[0] < 1.0 < differs[1]
        assert not agrees, "this is an agreement"
    else:
        room = allowed(record)
        # A tolerance as large as the value would let anything of its sign pass.
        assert len(ends) > 1 or room > 0.0, "a number needs a tolerance"
        assert room <= 0.7 * max(map(_size, ends)) or not any(ends), "this check could hardly fail"
    records.append(record)
    assert holds(record), (
        f"{formula}: {publications()[source].title}, {place}, {case}: says "
        f"{' to '.join(f'{end:g}' for end in ends)} {unit}, we get {got:g} "
        f"({f'stated as {differs}' if differs else f'tolerance {room:g}'})"
    )


def _size(value: float) -> float:
    return -value if value < 0.0 else value


def agreeing(records: list[Record]) -> list[Record]:
    """The checks that are no stated disagreements."""
    return [record for record in records if not record.differs]


def counted(records: list[Record]) -> int:
    """How many checks count: of one formula no more than ``MOST_OF_ONE``, no disagreement."""
    numbers: dict[str, int] = {}
    for record in agreeing(records):
        numbers[record.formula] = numbers.get(record.formula, 0) + 1
    return sum(min(number, MOST_OF_ONE) for number in numbers.values())
