"""Changes that can be made but are worth a question: nothing new, no larger, sizes that clash."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from typing import Any

from inchwater import units
from inchwater.errors import DoubtError
from inchwater.survey.changes import apply
from inchwater.survey.check_areas import area_doubts, duct_area, duct_words
from inchwater.survey.ducts import Branch, Duct, filled
from inchwater.survey.facts import Fact
from inchwater.survey.job import Change, Survey

# A size in another unit is the same size to within its rounding. [m], [Pa], [m3/s]
_DIGITS = 7
# What says how a thing is known, or what changed it, and not what it is.
_KNOWING = {"renewed", "before", "calls_how"}


def change_doubts(survey: Survey, changes: Sequence[Change]) -> tuple[DoubtError, ...]:
    """What is worth a question about changes, each made after those before it.

    Parameters
    ----------
    survey : Survey
        What is installed before the first.
    changes : sequence of Change
        Such as can be made.

    Returns
    -------
    tuple of DoubtError
        Changes that leave everything as it is, enlarged ducts that are no larger, and sizes that
        no longer fit each other; none of them is refused.

    Raises
    ------
    InchwaterError
        If a change cannot be made.
    """
    found: list[DoubtError] = []
    for change in changes:
        after = apply(survey, change)
        found += _of_one(change, survey, after)
        survey = after
    return tuple(found)


def _of_one(change: Change, before: Survey, after: Survey) -> Iterator[DoubtError]:
    if change.kind == "nothing":
        return
    if _plain(before) == _plain(after):
        yield _nothing_new(change)
        return
    if change.kind in ("enlarge-run", "enlarge-return"):
        yield from _no_larger(change, before, after)
    if change.kind == "shorten-run":
        yield from _no_shorter(change, before, after)
    asked = {str(one) for one in area_doubts(before)}
    yield from (one for one in area_doubts(after) if str(one) not in asked)


def _nothing_new(change: Change) -> DoubtError:
    where = f"changes.{change.id}"
    if change.kind == "tap":
        return DoubtError(
            where=where,
            came=f"tap {change.to['tap']}",
            right="it is in use already, so this changes nothing",
            do="Choose another tap.",
        )
    return DoubtError(
        where=where,
        came=", ".join(change.targets),
        right="what is asked for is there already, so this changes nothing",
        do="Choose something else, or leave it out.",
    )


def _no_larger(change: Change, before: Survey, after: Survey) -> Iterator[DoubtError]:
    old, new = _ducts(before), _ducts(after)
    for target in change.targets:
        was, becomes = duct_area(old[target]), duct_area(new[target])
        if was is None or becomes is None or round(becomes - was, _DIGITS) > 0.0:
            continue
        yield DoubtError(
            where=f"changes.{change.id}.to.{'width' if 'width' in change.to else 'diameter'}",
            came=f"{target}, {duct_words(old[target])}, with {duct_words(new[target])}",
            right="a duct that is enlarged has more area than before",
            do="Check the size.",
        )


def _no_shorter(change: Change, before: Survey, after: Survey) -> Iterator[DoubtError]:
    old, new = _ducts(before), _ducts(after)
    for target in change.targets:
        was, becomes = old[target].length, new[target].length
        if was is None or becomes is None or round(was.si - becomes.si, _DIGITS) > 0.0:
            continue
        yield DoubtError(
            where=f"changes.{change.id}.to.length",
            came=f"{target}, {_said(was)} long, with {_said(becomes)}",
            right="a run that is shortened is shorter than before",
            do="Check the length.",
        )


def _said(length: Fact) -> str:
    return f"{length.value:g} {units.unit(length.unit).label}"


def _ducts(survey: Survey) -> dict[str, Duct]:
    """Every duct by its id, as the network sees it."""
    returns = {one.id: one.duct for one in survey.returns or ()}
    if survey.supply is None:
        return returns
    like = survey.supply.run_like
    return returns | {
        branch.id: branch.duct if branch.is_trunk else filled(branch.duct, like)
        for branch, _ in survey.supply.walk()
    }


def _plain(one: Any) -> Any:
    """What is installed as plain values, without how it is known or which change renewed it."""
    if isinstance(one, Fact):
        return round(one.si, _DIGITS)
    if isinstance(one, Survey):
        supply = one.supply and (
            one.supply.id,
            _plain(one.supply.branches),
            _plain(one.supply.section),
            _plain(_ducts(one)),
        )
        rest = [_plain(getattr(one, f.name)) for f in fields(one) if f.name != "supply"]
        return (supply, rest)
    if is_dataclass(one):
        # A branch's duct is compared apart, with what it shares with the other runs.
        left_out = {*_KNOWING, "duct"} if isinstance(one, Branch) else _KNOWING
        names = [f.name for f in fields(one) if f.name not in left_out]
        return [(name, _plain(getattr(one, name))) for name in names]
    if isinstance(one, Mapping):
        return {key: _plain(value) for key, value in one.items()}
    if isinstance(one, tuple):
        return tuple(_plain(value) for value in one)
    return one
