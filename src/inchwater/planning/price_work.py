"""What a change is made of: pieces of work by their kind in the price book, with their ducts."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from inchwater import units
from inchwater.parts.filters import GRADES
from inchwater.survey import Branch, Change, Duct, Fact, Filter, Survey, filters_of

# Kinds of change that are priced once, however many parts they name.
_ONCE = ("tap", "add-run", "add-return", "cabinet", "plenum", "motor", "clean-wheel", "nothing")
# Kinds whose duct has a usual length where none is said.
_LENGTHS = {
    "add-return": "length:return",
    "add-run": "length:run",
    "enlarge-run": "length:run",
    "enlarge-return": "length:return",
    "move-run": "length:run",
    "insulate": "length:run",
}
# Kinds that name a branch or return, whose own length counts where none is said.
_OWN = ("enlarge-run", "enlarge-return", "move-run", "insulate")
# From about this depth on a filter needs a cabinet of its own. [m]
_CABINET_DEPTH = units.to_si(3.5, "in")
_USUAL_DIAMETER = 14.0 / 12.0  # [ft]


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
    branches = _branches(survey)
    ducts = {b.id: b.duct for b in branches}
    ducts |= {one.id: one.duct for one in survey.returns or ()}
    trunks = {b.id for b in branches if b.is_trunk}
    otherwise = usual(_LENGTHS[kind])
    for target in change.targets if kind in _OWN else ("",):
        duct = ducts.get(target, Duct())
        length = _feet(change.to.get("length")) or _feet(duct.length) or otherwise
        # Duct whose size nobody has said takes about as much as one of 14 inches.
        diameter = _feet(change.to.get("diameter") or duct.diameter) or _USUAL_DIAMETER
        area = 0.0 if kind == "insulate" else length * diameter
        yield Task(
            "enlarge-trunk" if kind == "enlarge-run" and target in trunks else kind,
            1.0,
            length,
            area,
        )


def all_larger(survey: Survey) -> tuple[Change, ...]:
    """A larger duct in place of each run, trunk and return duct that the survey names."""
    supply = tuple(b.id for b in _branches(survey))
    returns = tuple(one.id for one in survey.returns or () if one.kind == "ducted")
    kinds = {"enlarge-run": supply, "enlarge-return": returns}
    return tuple(Change(kind, kind, targets) for kind, targets in kinds.items() if targets)


def _branches(survey: Survey) -> tuple[Branch, ...]:
    """The runs and trunks that the survey names."""
    return () if survey.supply is None else tuple(b for b, _ in survey.supply.walk())


def _filters(change: Change, survey: Survey) -> Iterator[Task]:
    for old in filters_of(survey):
        if old.id not in change.targets:
            continue
        grade = change.to.get("grade", old.grade)
        deep = not is_shallow(grade)
        yield Task("filter-deep" if deep else "filter", float(change.to.get("count", old.count)))
        if _frame_changes(change, old):
            # A filter in a grille fills it: one that does not fit is another grille.
            yield Task("filter-cabinet" if old.at == "unit" else "grille")


def _feet(fact: Fact | None) -> float:
    return 0.0 if fact is None else units.from_si(fact.si, "ft")


def builds_cabinet(change: Change, survey: Survey) -> bool:
    """Whether a change puts in a filter at the unit that takes a cabinet of its own."""
    return change.kind == "filter" and any(
        old.id in change.targets and takes_cabinet(change, old) for old in filters_of(survey)
    )


def takes_cabinet(change: Change, old: Filter) -> bool:
    """Whether a change of this filter at the unit takes a cabinet of its own."""
    return old.at == "unit" and _frame_changes(change, old)


def _frame_changes(change: Change, old: Filter) -> bool:
    """Whether the new filter does not fit where the old one is: too deep, or of another face."""
    deep = not is_shallow(change.to.get("grade", old.grade))
    return "width" in change.to or "height" in change.to or (is_shallow(old.grade) and deep)


def is_shallow(grade: str | None) -> bool:
    """Whether a filter of this class fits a slot, as a usual one does where nobody knows."""
    known = GRADES.get(grade or "")
    return known is None or known.depth is None or known.depth < _CABINET_DEPTH
