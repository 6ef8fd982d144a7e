"""What trade and code say against a change: what forbids it, and what has to be settled first.

The sentences of ``data/work_limits.csv`` are our own words over the sources that stand beside
them.  Local codes outrank them all.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache

from inchwater.findings.cautions import TRIGGERS
from inchwater.parts.filters import GRADES
from inchwater.planning.rows import cited, read_rows
from inchwater.quantity import Said, said
from inchwater.survey import Change, Return, Survey, filters_of

# Rooms that no return may draw from, as people name them.
_NO_RETURN = re.compile(
    r"\b(garage|bath(room)?|kitchen|closet|furnace|boiler|mechanical|crawl|attic|laundry)", re.I
)
_NO_OPEN = ("garage", "crawlspace", "attic", "roof")
_OPEN_BURNER = "natural-draft"
_CLASS = re.compile(r"merv(\d+)")


@dataclass(frozen=True, slots=True)
class WorkLimit:
    """One sentence against a change, with its source; ``forbids`` or else questions."""

    key: str
    kinds: frozenset[str]
    trigger: str
    forbids: bool
    text: str
    source: str
    status: str


@cache
def work_limits() -> tuple[WorkLimit, ...]:
    """All of them, in the order of the file."""
    return tuple(
        WorkLimit(
            key=row["key"],
            kinds=frozenset(row["kinds"].split()),
            trigger=row["trigger"],
            forbids=row["weight"] == "forbids",
            text=row["text"],
            source=cited(row),
            status=row["status"],
        )
        for row in read_rows("work_limits")
    )


def against(changes: tuple[Change, ...], survey: Survey) -> tuple[Said | None, tuple[Said, ...]]:
    """What forbids these changes, or None, and what questions them.

    Parameters
    ----------
    changes : tuple of Change
        Made together.
    survey : Survey
        As found, before any of them.

    Returns
    -------
    Said or None
        The first sentence that forbids one of them, with its source.
    tuple of Said
        What has to be settled before the work, each with its source.
    """
    forbids, questions = None, []
    for one in work_limits():
        if not any(
            change.kind in one.kinds and _holds(one.trigger, change, survey) for change in changes
        ):
            continue
        remark = " (from memory)" if one.status == "memory" else ""
        sentence = said("{text} {source}.", text=one.text, source=f"{one.source}{remark}")
        if not one.forbids:
            questions.append(sentence)
        elif forbids is None:
            forbids = sentence
    return forbids, tuple(questions)


def _holds(trigger: str, change: Change, survey: Survey) -> bool:
    if trigger in TRIGGERS:
        return TRIGGERS[trigger](survey)
    return _OWN[trigger](change, survey)


def _returns(change: Change, survey: Survey) -> list[Return]:
    return [one for one in survey.returns or () if one.id in change.targets]


def _named_room(change: Change, survey: Survey) -> bool:
    named = [one.room or "" for one in _returns(change, survey)]
    named.append(str(change.to.get("room", "")))
    rooms = {room.id: room.name or "" for room in survey.rooms or ()}
    return any(_NO_RETURN.search(f"{name} {rooms.get(name, '')}") for name in named)


def _open_space(change: Change, survey: Survey) -> bool:
    drawn = any(one.kind == "open" for one in _returns(change, survey))
    return drawn and survey.place.space in _NO_OPEN


def _open_beside_burner(change: Change, survey: Survey) -> bool:
    drawn = any(one.kind in ("open", "platform") for one in _returns(change, survey))
    burners = survey.place.fuel_appliances or ()
    return drawn and any(_OPEN_BURNER in one for one in burners)


def _less_class(change: Change, survey: Survey) -> bool:
    new = _merv(str(change.to.get("grade", "")))
    old = [_merv(one.grade) for one in filters_of(survey) if one.id in change.targets]
    return new is not None and any(one is not None and new < one for one in old)


def _merv(grade: str | None) -> int | None:
    found = _CLASS.search(grade or "")
    if found:
        return int(found[1])
    # A fibreglass filter holds back next to nothing, whatever its class.
    return 1 if grade in GRADES and str(grade).startswith("fiberglass") else None


_OWN: Mapping[str, Callable[[Change, Survey], bool]] = {
    "named-room": _named_room,
    "open-space": _open_space,
    "open-beside-burner": _open_beside_burner,
    "garage": lambda change, survey: survey.place.space == "garage",
    "platform": lambda change, survey: any(
        one.kind == "platform"
        for one in (_returns(change, survey) if change.targets else survey.returns or ())
    ),
    "less-class": _less_class,
}
