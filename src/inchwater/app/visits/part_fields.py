"""Fields of readings at single parts: a run's static, a filter's drop, a register under a hood.

A system has as many as it has parts, so they stand in no table; a field's name says quantity, kind
of place and the part's id (``static-run-r1``), and is all that is needed to make the field again.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import cast

from inchwater.app.visits.fields import Field
from inchwater.survey import KINDS, Quantity, Survey, parts_read_at, place_of

# A draft keeps the name of its field; a longer one is said in the job file only.
_LONGEST = 50
# What each is called, and where it is read.
_WORDS = {
    ("drop", "filter"): (
        "Drop across filter {id}",
        "One tube on each side of it, read as a difference. No sign needed.",
    ),
    ("drop", "coil"): (
        "Drop across coil {id}",
        "One tube on each side of it, read as a difference. No sign needed.",
    ),
    ("static", "trunk"): (
        "Static in trunk {id}",
        "Just before its first take-off, the tip into the air. No sign needed.",
    ),
    ("static", "run"): (
        "Static in run {id}",
        "Just after its take-off, the tip into the air. A minus counts here.",
    ),
    ("static", "return"): (
        "Static behind grille {id}",
        "Behind the grille and its filter, before the duct. No sign needed.",
    ),
    ("airflow", "register"): (
        "Register of run {id}",
        "By hood, sealed all round, at the same steady call.",
    ),
    ("airflow", "grille"): (
        "Return grille {id}",
        "By hood, sealed all round, at the same steady call.",
    ),
}
# Under which title each kind of place is folded on the page, in this order.
_FOLDS = (
    ("Across filter and coil", (("drop", "filter"), ("drop", "coil"))),
    ("Registers and grilles, by hood", (("airflow", "register"), ("airflow", "grille"))),
    ("Static in single ducts", (("static", "trunk"), ("static", "run"), ("static", "return"))),
)
_NAME = re.compile(r"(drop|static|airflow)-([a-z]+)-(\w[\w-]*)", re.ASCII)


@dataclass(frozen=True, slots=True)
class PartFields:
    """The fields of one kind under a title, for the parts that a system has."""

    title: str
    fields: tuple[Field, ...]


def name_of(quantity: str, at: str) -> str:
    """The name of the field of a reading at a part: letters, digits, dashes and lines only."""
    kind, id_ = place_of(at)
    return f"{quantity}-{kind.removesuffix(':')}-{id_.replace('.', '_2e')}"


def part_field(name: str) -> Field | None:
    """The field of this name; None if no reading at a part is called so."""
    found = _NAME.fullmatch(name)
    if found is None or found.group(1, 2) not in _WORDS or len(name) > _LONGEST:
        return None
    quantity, kind, written = found.groups()
    id_ = written.replace("_2e", ".")
    label, where = _WORDS[quantity, kind]
    return Field(
        group="second",
        name=name,
        label=label.format(id=id_),
        help=where,
        kind="quantity",
        thin=False,
        quantity=KINDS[cast(Quantity, quantity)],
        point=f"{kind}:{id_}",
        reading=quantity,
        path=None,
        how="seen",
        waits_for=(),
        choice_set="",
    )


def part_fields(survey: Survey | None) -> tuple[PartFields, ...]:
    """The fields of all parts of a system at which something can be read, by what is read.

    Parameters
    ----------
    survey : Survey, optional
        What is described; a part that nobody has described has no field.
    """
    if survey is None:
        return ()
    return tuple(
        PartFields(title, found)
        for title, kinds in _FOLDS
        if (found := tuple(one for kind in kinds for one in _of_kind(survey, *kind)))
    )


def _of_kind(survey: Survey, quantity: str, kind: str) -> list[Field]:
    ids = parts_read_at(survey, f"{kind}:")
    if kind == "filter" and survey.filters is None:
        ids = ()
    if kind == "coil":
        ids = tuple(coil.id for coil in survey.coils or () if not coil.inside_unit)
    rooms = _rooms(survey, kind)
    found = []
    for id_ in ids:
        one = part_field(name_of(quantity, f"{kind}:{id_}"))
        if one is None:
            continue
        room = rooms.get(id_)
        found.append(one if not room or room == id_ else replace(one, label=f"{one.label}, {room}"))
    return found


def _rooms(survey: Survey, kind: str) -> dict[str, str]:
    """The rooms of runs or returns by their ids, as far as they are known."""
    names = {room.id: room.name or room.id for room in survey.rooms or ()}
    if kind in ("return", "grille"):
        ends = [(one.id, one.room) for one in survey.returns or ()]
    elif kind in ("run", "register") and survey.supply is not None:
        ends = [(one.id, one.room) for one in survey.supply.runs]
    else:
        return {}
    return {id_: names.get(room, room) for id_, room in ends if room}
