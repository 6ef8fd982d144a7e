"""Names on typed lines: which part of the document a line speaks of, and ids for new ones."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Any

from inchwater.app.visits.part_lines import Line
from inchwater.errors import UnknownNameError

Document = dict[str, Any]
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,63}")


def line_text(name: str, words: list[str]) -> str:
    """One line: a name, a colon, and what it is."""
    return f"{name}: {', '.join(words)}".rstrip()


def name_of(part: Document) -> str:
    """What a part is called on its line: its room, its name, or its id."""
    return str(part.get("room") or part.get("name") or part["id"])


def named(name: str, parts: Iterable[Document]) -> Document | None:
    """The part of this room, name or id; None if there is none."""
    wanted = name.lower()
    parts = list(parts)
    for key in ("room", "name", "id"):
        for part in parts:
            if str(part.get(key, "")).lower() == wanted:
                return part
    return None


def found(name: str, parts: Iterable[Document], label: str) -> Document:
    """The part of this room, name or id; UnknownNameError with those that are there."""
    parts = list(parts)
    part = named(name, parts)
    if part is None:
        raise UnknownNameError(
            where=label,
            came=repr(name),
            right=f"there are {', '.join(name_of(one) for one in parts)}",
            do="Name one of them.",
        )
    return part


def ids_of(
    lines: tuple[Line, ...], old: list[Document], letter: str, others: Iterable[str] = ()
) -> dict[str, str]:
    """An id for each line's name: the old part's, the name itself, or a new one."""
    known = {line.name: named(line.name, old) for line in lines}
    ids = {name: str(part["id"]) for name, part in known.items() if part is not None}
    taken = {*ids.values(), *(one["id"] for one in old), *others}
    for line in lines:
        if line.name in ids:
            continue
        # A name that looks like an id is one; any other name is a room's.
        plain = re.fullmatch(rf"{letter}[0-9]+|common", line.name)
        free = (f"{letter}{n}" for n in range(1, 10_000) if f"{letter}{n}" not in taken)
        if plain and line.name not in taken and _ID.fullmatch(line.name):
            ids[line.name] = line.name
        else:
            ids[line.name] = next(free)
        taken.add(ids[line.name])
    return ids


def walk(branches: list[Document]) -> Iterator[Document]:
    """Every branch, trunks before what hangs on them."""
    for one in branches:
        yield one
        yield from walk(one.get("branches", []))
