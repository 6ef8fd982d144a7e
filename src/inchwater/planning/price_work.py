"""What a change is made of: pieces of work by their kind in the price book, with their ducts."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from inchwater import units
from inchwater.parts.filters import GRADES
from inchwater.survey import Branch, Change, Fact, Survey, filters_of

# Kinds of change that are priced once, however many parts they name.
_ONCE = ("tap", "add-run", "add-return")
# Kinds whose duct has a usual length where none is said.
_LENGTHS = {"add-return": "length:return", "add-run": "length:run", "enlarge-run": "length:run"}
# From about this depth on a filter needs a cabinet of its own. [m]
_CABINET_DEPTH = units.to_si(3.5, "in")


@dataclass(frozen=True, slots=True)
class Task:
    """A piece of work: its kind in the book, how often, and the duct that it brings [ft, ft2]."""

    kind: str
    count: float = 1.0
    length: float = 0.0
    area: float = 0.0
    label: str = ""


def tasks(change: Change, survey: Survey, usual: Callable[[str], float]) -> Iterator[Task]:
    """The pieces of work of one change.

    Parameters
    ----------
    survey : Survey
        As found, before the change.
    usual : function of str
        A figure of the price book by its key: the length of a duct that nobody has measured. [ft]
    """
    kind = change.kind
    count = 1.0 if kind in _ONCE else float(max(len(change.targets), 1))
    if kind == "filter":
        yield from _filters(change, survey)
        return
    if kind not in _LENGTHS:
        yield Task(kind, count)
        return
    branches = {} if survey.supply is None else {b.id: b for b, _ in survey.supply.walk()}
    otherwise = usual(_LENGTHS[kind])
    for target in change.targets if kind == "enlarge-run" else ("",):
        branch = branches.get(target)
        length = _feet(change.to.get("length")) or _own_length(branch) or otherwise
        # A return whose duct nobody has sized takes about as much as one of 14 inches.
        diameter = _feet(change.to.get("diameter")) or units.from_si(units.to_si(14.0, "in"), "ft")
        trunk = branch is not None and branch.is_trunk
        yield Task("enlarge-trunk" if trunk else kind, 1.0, length, length * diameter)


def _filters(change: Change, survey: Survey) -> Iterator[Task]:
    for old in filters_of(survey):
        if old.id not in change.targets:
            continue
        grade = change.to.get("grade", old.grade)
        deep = not is_shallow(grade)
        yield Task("filter-deep" if deep else "filter", float(change.to.get("count", old.count)))
        if old.at == "unit" and needs_cabinet(change, old.grade):
            yield Task("filter-cabinet")
        elif "width" in change.to or "height" in change.to:
            # A filter in a grille fills it: another size is another grille.
            yield Task("grille")


def _own_length(branch: Branch | None) -> float:
    return 0.0 if branch is None else _feet(branch.duct.length)


def _feet(fact: Fact | None) -> float:
    return 0.0 if fact is None else units.from_si(fact.si, "ft")


def needs_cabinet(change: Change, old: str | None) -> bool:
    """Whether a change of a filter of class ``old`` takes a cabinet of its own."""
    new = change.to.get("grade")
    if new in (None, old):
        # Another face in the same class is another cabinet, too.
        return "width" in change.to or "height" in change.to
    return is_shallow(old) and not is_shallow(str(new))


def is_shallow(grade: str | None) -> bool:
    """Whether a filter of this class fits a slot, as a usual one does where nobody knows."""
    known = GRADES.get(grade or "")
    return known is None or known.depth is None or known.depth < _CABINET_DEPTH
