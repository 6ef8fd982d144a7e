"""Where a field's value goes in the document, and back: ``place`` and ``text_of``.

A document is the job without its trials, complete or not yet.  Most fields have a path in
``data/fields.csv``; the rules here are for those that describe several parts at once.
"""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from typing import Any

from inchwater.app.visits import aside_places, line_places
from inchwater.app.visits.fields import NONE, Field
from inchwater.app.visits.supply import (
    place_rooms,
    place_run_fittings,
    place_runs,
    place_trunk,
    supply_text,
)
from inchwater.app.visits.table import (
    IN_USE,
    is_cells,
    place_table,
    place_table_includes,
    place_tap,
    table_text,
)
from inchwater.app.visits.values import NotYetError, Size, Typed, fact_text, size_text
from inchwater.units import System

Document = dict[str, Any]


def place(document: Document, field: Field, value: Any) -> Document:
    """The document with a field's value in its place; the given document is left as it is.

    Parameters
    ----------
    document : dict
        The job without its trials.
    field : Field
        A field that is not a reading.
    value : any
        What ``parsing.parse`` made of the text; None makes it unknown again.

    Raises
    ------
    NotYetError
        If the field has no meaning until another one is there.
    """
    new = deepcopy(document)
    rule = _RULES.get(field.name)
    if rule:
        rule(new, value)
    elif field.path:
        _set(new, field.path.split("."), _in_file(value, field.how))
    return dict(pruned(new))


def text_of(document: Document, field: Field, system: System) -> str:
    """What stands in the field when the document is all that is known; empty if unknown.

    Values that differ between filters or returns come with semicolons: they are told, and stay
    as long as nobody types over them.
    """
    supply = supply_text(document, field, system)
    if supply is not None:
        return supply
    rule = line_places.TEXTS.get(field.name) or aside_places.TEXTS.get(field.name)
    if rule is not None:
        return rule(document.get("survey", {}), system)
    if field.name == "return_count":
        openings = _openings(document.get("survey", {}))
        return str(len(openings)) if openings else ""
    if field.name == "filter_at":
        filters = document.get("survey", {}).get("filters")
        return "" if filters is None else filters[0].get("at", "") if filters else NONE
    unit = document.get("survey", {}).get("unit", {})
    if field.path is None or (field.name == "table" and is_cells(unit)):
        return ""
    if field.name == "tap" and unit.get("tap") == IN_USE:
        return ""
    found = [_text(one, field, system) for one in _get(document, field.path.split("."))]
    distinct = list(dict.fromkeys(found))
    if len(distinct) > 1 and field.kind == "choice":
        return ""
    return "; ".join(distinct)


def pruned(value: Any) -> Any:
    """A document without empty objects: a key that is there says that something is known."""
    if isinstance(value, dict):
        kept = {key: pruned(one) for key, one in value.items()}
        return {key: one for key, one in kept.items() if one is not None and one != {}}
    if isinstance(value, list):
        return [pruned(one) for one in value]
    return value


# --- by path ------------------------------------------------------------------------------------


def _set(node: Document, path: list[str], value: Any) -> None:
    key, rest = path[0], path[1:]
    if not rest:
        if value is None:
            node.pop(key, None)
        else:
            node[key] = value
        return
    if rest[0] == "*":
        if value is not None and not node.get(key):
            node[key] = [{"id": f"{_LETTERS[key]}1"}]
        for one in node.get(key, []):
            _set(one, rest[1:], value)
        return
    _set(node.setdefault(key, {}), rest, value)


def _get(node: Document, path: list[str]) -> list[Any]:
    key, rest = path[0], path[1:]
    if key not in node:
        return []
    if not rest:
        return [node[key]]
    if rest == ["*"]:
        return list(node[key])
    if rest[0] == "*":
        return [found for one in node[key] for found in _get(one, rest[1:])]
    return _get(node[key], rest)


_LETTERS = {"filters": "f", "coils": "c", "returns": "g"}


def _in_file(value: Any, how: str) -> Any:
    if isinstance(value, Typed):
        return value.fact(how)
    if isinstance(value, tuple):
        return [] if value == (NONE,) else list(value)
    return value


def _text(value: Any, field: Field, system: System) -> str:
    if field.kind == "size":
        return size_text(value, system)
    if field.kind == "quantity":
        return fact_text(value, field.quantity or "", system)
    if field.kind == "choices":
        return ",".join(value) or NONE
    if field.kind == "table":
        return table_text(value)
    return str(value)


# --- by rule ------------------------------------------------------------------------------------


def _unit_kind(document: Document, kind: str | None) -> None:
    survey = document.setdefault("survey", {})
    _set(survey, ["unit", "kind"], kind)
    if kind is None:
        survey.pop("coils", None)
        return
    coils = survey.get("coils") or [{"id": "c1"}]
    for coil in coils:
        coil["inside_unit"] = kind != "furnace"
    survey["coils"] = coils


def _coil_condition(document: Document, word: str | None) -> None:
    coils = document.get("survey", {}).get("coils")
    if coils is None and word is not None:
        raise NotYetError(
            where="Coil face",
            came=word,
            right="it counts once the kind of unit is chosen, which says where the coil is",
        )
    for coil in coils or []:
        _set(coil, ["condition"], word)


def _filter_at(document: Document, at: str | None) -> None:
    survey = document.setdefault("survey", {})
    if at == NONE:
        survey["filters"] = []
    elif at is not None:
        survey["filters"] = survey.get("filters") or [{"id": "f1"}]
    for one in survey.get("filters", []):
        _set(one, ["at"], at)
    if at is None and survey.get("filters") in ([], [{"id": "f1"}]):
        survey.pop("filters")
    _link_filters(survey)


def _filter_size(document: Document, size: Size | None) -> None:
    for key in ("width", "height"):
        value = None if size is None else size.fact(key)
        _set(document, ["survey", "filters", "*", key], value)
    _link_filters(document["survey"])


def _openings(survey: Document) -> list[Document]:
    """The returns that have a grille; a common drop has none."""
    return [one for one in survey.get("returns") or [] if one.get("kind") != "common"]


def _return_count(document: Document, count: int | None) -> None:
    survey = document.setdefault("survey", {})
    old = _openings(survey)
    common = [one for one in survey.get("returns") or [] if one not in old]
    if count is None:
        survey.pop("returns", None)
    else:
        like = {key: value for key, value in (old[0] if old else {}).items() if key != "id"}
        taken = {one["id"] for one in (*old, *common)}
        new = (f"g{number}" for number in range(1, 1000) if f"g{number}" not in taken)
        more = [{"id": next(new), **deepcopy(like)} for _ in range(count - len(old))]
        survey["returns"] = [*old[:count], *more, *common]
    _link_filters(survey)


def _return_grille(document: Document, size: Size | None) -> None:
    survey = document.setdefault("survey", {})
    if size is not None and not _openings(survey):
        survey["returns"] = [{"id": "g1"}, *(survey.get("returns") or [])]
    for one in _openings(survey):
        for key in ("width", "height"):
            value = None if size is None else size.fact(key)
            _set(one, ["grille", key], value)


def _link_filters(survey: Document) -> None:
    """Give each return its own filter where they sit in the grilles, and none elsewhere."""
    filters = survey.get("filters")
    returns = _openings(survey)
    if len({one.get("at") for one in filters or ()}) > 1:
        # Some in grilles and some at the unit were typed line by line, each with its place.
        return
    if filters and filters[0].get("at") == "grille":
        if not returns:
            returns = [{"id": "g1"}]
            survey["returns"] = [*returns, *(survey.get("returns") or [])]
        like = {key: value for key, value in filters[0].items() if key != "id"}
        taken = {one["id"] for one in filters}
        new = (f"f{number}" for number in range(1, 1000) if f"f{number}" not in taken)
        while len(filters) < len(returns):
            filters.append({"id": next(new), **deepcopy(like)})
        del filters[len(returns) :]
        for one, own in zip(returns, filters, strict=True):
            one["filter"] = own["id"]
    else:
        for one in returns:
            one.pop("filter", None)


_RULES: dict[str, Callable[[Document, Any], None]] = {
    "unit_kind": _unit_kind,
    "coil_condition": _coil_condition,
    "filter_at": _filter_at,
    "filter_size": _filter_size,
    "return_count": _return_count,
    "return_grille": _return_grille,
    "table": place_table,
    "tap": place_tap,
    "table_includes": place_table_includes,
    "runs": place_runs,
    "rooms": place_rooms,
    "run_fittings": place_run_fittings,
    **line_places.PLACES,
    **aside_places.PLACES,
    "trunk_diameter": lambda document, value: place_trunk(document, "diameter", value),
    "trunk_length": lambda document, value: place_trunk(document, "length", value),
}
