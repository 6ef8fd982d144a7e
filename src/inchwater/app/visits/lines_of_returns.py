"""Returns and filters as lines: where they go in the document, and the lines that stand there.

A field's lines are the whole list: a part that has no line any more is gone.  Ids stay where a
name is still there, because readings and changes may point at them.
"""

from __future__ import annotations

from typing import Any

from inchwater.app.visits.line_names import found, ids_of, line_text, name_of, named
from inchwater.app.visits.part_lines import UNIT, Line
from inchwater.app.visits.part_words import duct_words, size_words
from inchwater.app.visits.values import NotYetError
from inchwater.errors import InputError
from inchwater.units import System

Document = dict[str, Any]
_SAID_OF_RETURN = ("kind", "into", "duct")
_SAID_OF_FILTER = ("grade", "condition", "width", "height", "count")


def place_returns_each(document: Document, lines: tuple[Line, ...] | None) -> None:
    """Make the returns those of the lines; one common return takes in all that name no other."""
    survey = document.setdefault("survey", {})
    old = survey.get("returns", [])
    if lines is None:
        survey.pop("returns", None)
        return
    ids = ids_of(lines, old, "g")
    new = []
    for line in lines:
        was = named(line.name, old) or {}
        kept = {key: one for key, one in was.items() if key not in _SAID_OF_RETURN}
        one = kept | {"id": ids[line.name], **line.said}
        if "grille" in line.said:
            one["grille"] = was.get("grille", {}) | line.said["grille"]
        elif "grille" in one:
            # The kind of a grille is said in a field of its own.
            one["grille"] = {k: v for k, v in one["grille"].items() if k == "kind"}
        if line.said.get("kind") != "common" and line.name != one["id"]:
            one["room"] = line.name
        new.append(one)
    common = [one["id"] for one in new if one.get("kind") == "common"]
    for one in new:
        into = one.get("into")
        if into is not None:
            one["into"] = (
                ids.get(str(into)) or found(into, new, "Several returns, one line each")["id"]
            )
        elif len(common) == 1 and one["id"] != common[0]:
            one["into"] = common[0]
    survey["returns"] = new
    _drop_filters(survey, {one.get("filter") for one in old} - {one.get("filter") for one in new})


def returns_text(survey: Document, system: System) -> str:
    """The lines of the returns; empty if none is known."""
    returns = survey.get("returns", [])
    common = [one["id"] for one in returns if one.get("kind") == "common"]
    return "\n".join(line_text(name_of(one), _return_words(one, common, system)) for one in returns)


def _return_words(one: Document, common: list[str], system: System) -> list[str]:
    words: list[str] = []
    grille = one.get("grille", {})
    if "width" in grille and "height" in grille:
        words.append(f"grille {size_words(grille, system)}")
    duct = duct_words(one.get("duct", {}), system)
    kind = str(one.get("kind", ""))
    if kind and (kind != "ducted" or not duct):
        words.append({"stud": "stud bay"}.get(kind, kind))
    words += duct
    if one.get("into") and len(common) != 1:
        words.append(f"into {one['into']}")
    return words


def place_filters_each(document: Document, lines: tuple[Line, ...] | None) -> None:
    """Make the filters those of the lines: each in the grille of the return that it is named by."""
    survey = document.setdefault("survey", {})
    old = survey.get("filters", [])
    returns = survey.get("returns", [])
    by_id = {one["id"]: one for one in old}
    # Whose filter was which, so that it keeps its id and what no line says of it.
    was_of = {one["id"]: by_id.get(one.pop("filter", None)) for one in returns}
    if lines is None:
        survey.pop("filters", None)
        return
    at_unit = [one for one in old if one.get("at", "unit") == "unit"]
    taken = set(by_id)
    new: list[Document] = []
    for line in lines:
        home = None if line.name.lower() == UNIT else _home(line.name, returns)
        was = was_of.pop(home["id"], None) if home else at_unit.pop(0) if at_unit else None
        kept = {key: one for key, one in (was or {}).items() if key not in _SAID_OF_FILTER}
        id_ = kept.get("id") or next(f"f{n}" for n in range(1, 1000) if f"f{n}" not in taken)
        taken.add(id_)
        new.append(kept | {"id": id_, "at": "unit" if home is None else "grille", **line.said})
        if home is not None:
            home["filter"] = id_
    survey["filters"] = new


def _home(name: str, returns: list[Document]) -> Document:
    """The return in whose grille a filter sits."""
    label = "Several filters, one line each"
    if not returns:
        raise NotYetError(
            where=label,
            came=name,
            right="it counts once the returns are typed, or the line is named “unit”",
        )
    home = found(name, returns, label)
    if "filter" in home:
        raise InputError(
            where=label,
            came=f"{name} twice",
            right="a grille holds one filter",
            do="Name the other one “unit” if it stands there.",
        )
    return home


def filters_text(survey: Document, system: System) -> str:
    """The lines of the filters; empty if none is known."""
    lines = []
    homes = {one.get("filter"): one for one in survey.get("returns", [])}
    for one in survey.get("filters", []):
        name = name_of(homes[one["id"]]) if one["id"] in homes else UNIT
        words = [size_words(one, system)] if "width" in one and "height" in one else []
        words += [one[key] for key in ("grade", "condition") if key in one]
        if one.get("count", 1) > 1:
            words.append(f"{one['count']} side by side")
        lines.append(line_text(name, words))
    return "\n".join(lines)


def _drop_filters(survey: Document, gone: set[str | None]) -> None:
    """Take away the filters of grilles that are no more."""
    if "filters" in survey:
        survey["filters"] = [one for one in survey["filters"] if one["id"] not in gone - {None}]
