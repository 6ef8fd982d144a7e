"""Changes in the order in which they are best made, parted into steps, each with what it takes.

What is cheap to undo and tells most comes first, cuts after it, the speed last.  A change that
stands on another stays behind it.
"""

from __future__ import annotations

import math
import re
import string
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from inchwater import units
from inchwater.errors import InchwaterError
from inchwater.findings.labels import duct_size, face_size, inches
from inchwater.parts.filters import GRADES
from inchwater.planning.price_book import PriceBook
from inchwater.planning.price_work import builds_cabinet, tasks
from inchwater.planning.rows import read_rows
from inchwater.quantity import in_sentence
from inchwater.survey import Change, Duct, Fact, Grille, Survey, apply

# Stages whose work is at one opening of the return; all other stages are worked at one place each.
_BY_TARGET = ("return",)
# The row of a filter at the unit that takes a cabinet of its own: no kind of change by itself.
CABINET = "filter-cabinet"


@dataclass(frozen=True, slots=True)
class Kind:
    """What making one kind of change takes, a row of ``steps.csv``.

    Its word is the change's kind, or ``filter-cabinet`` where a filter takes another cabinet.

    ``title`` and ``parts`` are texts of which the first whose holes can be filled counts; what
    stands in square brackets may be lacking.
    """

    stage: str
    rank: int
    title: tuple[str, ...]
    parts: tuple[str, ...]
    tools: tuple[str, ...]
    take_back: str


@cache
def kinds() -> Mapping[str, Kind]:
    """Every kind of work, by its word: the kinds of change, and ``filter-cabinet``."""
    return {
        row["kind"]: Kind(
            stage=row["stage"],
            rank=int(row["rank"]),
            title=tuple(row["title"].split("|")),
            parts=tuple(row["parts"].split("|")),
            tools=tuple(filter(None, row["tools"].split(";"))),
            take_back=row["take_back"],
        )
        for row in read_rows("steps")
    }


def stage_of(changes: Sequence[Change], survey: Survey) -> str:
    """The stage that a step's changes belong to; that of its last one."""
    return _kind(changes[-1], survey).stage


def _kind(change: Change, survey: Survey) -> Kind:
    return kinds()[_word(change, survey)]


def _word(change: Change, survey: Survey) -> str:
    return CABINET if builds_cabinet(change, survey) else change.kind


def in_steps(changes: Sequence[Change], survey: Survey) -> tuple[tuple[Change, ...], ...]:
    """Changes parted into steps, in the order in which they are best made.

    Parameters
    ----------
    changes : sequence of Change
        In an order in which they can be made.
    survey : Survey
        What is installed before any of them.
    """
    ordered = _ordered(changes, survey)
    if not _can_be_made(ordered, survey):
        ordered = list(changes)
    steps: list[list[Change]] = []
    for change in ordered:
        if steps and _place(steps[-1][-1], survey) == _place(change, survey):
            steps[-1].append(change)
        else:
            steps.append([change])
    return tuple(tuple(step) for step in steps)


def _ordered(changes: Sequence[Change], survey: Survey) -> list[Change]:
    """By rank; a change stays behind those before it that it stands on or shares a part with."""
    left = list(changes)
    ordered: list[Change] = []
    while left:
        free = [one for n, one in enumerate(left) if not any(_stands_on(one, b) for b in left[:n])]
        # Lists keep their order among equals, so what was given first stays first.
        chosen = min(free, key=lambda one: _kind(one, survey).rank)
        left.remove(chosen)
        ordered.append(chosen)
    return ordered


def _stands_on(later: Change, earlier: Change) -> bool:
    named = {*later.targets, str(later.to.get("at", ""))}
    made = {*earlier.targets, str(earlier.to.get("id", ""))} - {""}
    return bool(named & made) or later.kind == earlier.kind == "tap"


def _can_be_made(changes: Sequence[Change], survey: Survey) -> bool:
    try:
        for change in changes:
            survey = apply(survey, change)
    except InchwaterError:
        return False
    return True


def _place(change: Change, survey: Survey) -> tuple[str, ...]:
    """What is done in one go: the same stage, and of the return the same opening."""
    word = _word(change, survey)
    stage = kinds()[word].stage
    if word == "filter":
        return ("filter",)
    if stage in _BY_TARGET:
        held = {one.filter: one.id for one in survey.returns or () if one.filter}
        return (stage, *sorted(held.get(target, target) for target in change.targets), word)
    return (stage,)


# --- words ---------------------------------------------------------------------------------------


def label_of(changes: Sequence[Change], survey: Survey) -> str:
    """What a step does, in a sentence without its full stop."""
    made = _alike(changes, survey)
    titles = [next(_filled(_kind(one, survey).title, one, survey)) for one in made]
    first, *rest = dict.fromkeys(titles)
    return "; ".join((first, *(in_sentence(one) for one in rest)))


def _alike(changes: Sequence[Change], survey: Survey) -> list[Change]:
    """Changes of which those that do the same to several parts are one."""
    found: list[Change] = []
    for change in changes:
        own = (_word(change, survey), dict(change.to))
        for n, one in enumerate(found):
            if (_word(one, survey), dict(one.to)) == own and change.targets:
                found[n] = replace(one, targets=(*one.targets, *change.targets))
                break
        else:
            found.append(change)
    return found


def parts_of(changes: Sequence[Change], survey: Survey) -> tuple[str, ...]:
    """What has to be bought or brought for changes, what is alike in one line."""
    made = _alike(changes, survey)
    lines = [next(_filled(_kind(one, survey).parts, one, survey)).split(";") for one in made]
    return added_up(line for some in lines for line in some if line)


def added_up(lines: Iterable[str]) -> tuple[str, ...]:
    """Lines of parts with what is counted (``2 × register 12 × 8``) added up, the rest once."""
    found: dict[str, int] = {}
    for line in lines:
        counted = _COUNTED.match(line)
        what = line[counted.end() :] if counted else line
        found[what] = found.get(what, 0) + (int(counted[1]) if counted else 0)
    return tuple(f"{count} × {what}" if count else what for what, count in found.items())


def tools_of(changes: Sequence[Change], survey: Survey) -> tuple[str, ...]:
    """The tools for changes, each once, those to read with first."""
    found = dict.fromkeys(("manometer with its tips and tubing", "plugs for test holes"))
    for change in changes:
        found |= dict.fromkeys(_kind(change, survey).tools)
    return tuple(found)


def take_back_of(changes: Sequence[Change], survey: Survey) -> tuple[str, ...]:
    """How changes are taken back, or that they cannot be."""
    return tuple(dict.fromkeys(_kind(one, survey).take_back for one in reversed(changes)))


def time_of(changes: Sequence[Change], survey: Survey, book: PriceBook) -> tuple[float, int]:
    """How long a step takes [min], and how many people it needs."""
    ready = book.ready(changes, survey)
    alone = book.price(changes, survey).minutes - (0.0 if ready is None else ready.minutes)
    people = 1.0
    for change in changes:
        for task in tasks(change, survey, book.usual):
            figure = book.figures.get(f"people:{task.kind}")
            people = max(people, 1.0 if figure is None else figure.value)
    return alone / people, math.ceil(people)


def _filled(texts: Sequence[str], change: Change, survey: Survey) -> Iterator[str]:
    """Each text whose holes can all be filled; at the end the last one with its holes cut out.

    What stands in square brackets is left out where its own holes cannot be filled.
    """
    words = _words(change, survey)

    def known(text: str) -> bool:
        return all(words.get(name) for _, name, _, _ in string.Formatter().parse(text) if name)

    texts = [_OPTIONAL.sub(lambda one: one[1] if known(one[1]) else "", text) for text in texts]
    yield from (text.format(**words) for text in texts if known(text))
    last = texts[-1].format_map({name: words.get(name, "") for name in _HOLES})
    yield " ".join(last.split())


_OPTIONAL = re.compile(r"\[([^]]*)\]")
_COUNTED = re.compile(r"(\d+) (?:× )?(?=[a-z])")
_HOLES = (
    *("size", "diameter", "length", "grade", "angle", "tap", "motor", "kind", "from", "into"),
    *("at", "id", "count", "n", "targets", "label"),
)


def _words(change: Change, survey: Survey) -> dict[str, str]:
    to = change.to
    grade = str(to.get("grade", ""))
    words = {
        "size": face_size(Grille(to.get("width"), to.get("height"))),
        "diameter": inches(to.get("diameter")),
        "length": _said(to.get("length")),
        "grade": GRADES[grade].label if grade in GRADES else grade,
        "angle": _said(to.get("angle")),
        "count": str(to.get("count", max(len(change.targets), 1))),
        "n": str(max(len(change.targets), 1)),
        "targets": ", ".join(_named(one, survey) for one in change.targets),
        "label": _label(to.get("rated_drop"), to.get("rated_airflow")),
    }
    for key in ("tap", "motor", "kind", "from", "into", "at", "id"):
        words[key] = str(to.get(key, "")).replace("-", " ") if key != "id" else str(to.get(key, ""))
    if change.kind == "tap":
        words["tap"] = f"tap {to['tap']}"
        named = [one for one in change.targets if one != "unit"]
        words["targets"] = ", ".join(f"the {one.replace('-', ' ')} call" for one in named)
    return words


def _label(drop: Fact | None, airflow: Fact | None) -> str:
    """What a filter's label has to say, in the units that labels are printed in."""
    if drop is None or airflow is None:
        return ""
    rating = (drop.si, "pressure"), (airflow.si, "airflow")
    return " at ".join(" ".join(units.shown(*one, "ip")[1:]) for one in rating)


def _said(fact: Fact | None) -> str:
    return "" if fact is None else f"{fact.value:g} {units.unit(fact.unit).label}"


def _named(id_: str, survey: Survey) -> str:
    """A part as people find it: its id, with its room or size where these are known."""
    for branch, _ in survey.supply.walk() if survey.supply else ():
        if branch.id == id_:
            more = branch.room or (duct_size(branch.duct) if branch.duct != Duct() else "")
            return f"{id_} ({more})" if more and more != id_ else id_
    for one in survey.returns or ():
        if one.id == id_ and one.room:
            return f"{id_} ({one.room})"
    room = survey.room_called(id_)
    return room.name or room.id if room is not None else id_
