"""Calls, heat kit, bypass and leakage: fields that stand for a list or a pair in the document."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from inchwater.app.visits.fields import NONE
from inchwater.app.visits.values import NotYetError, Typed, fact_text
from inchwater.errors import InputError
from inchwater.survey import CALLS
from inchwater.survey.typed_numbers import normal
from inchwater.units import System

Document = dict[str, Any]
_CALL = "|".join(sorted(CALLS, key=len, reverse=True))
_LINE = re.compile(rf"({_CALL})(?:\s*[=:]\s*|\s+(?:on\s+|is\s+)?)(?:tap\s+)?([^\s=:-].*)")
_SIDES = ("supply", "return")


def parse_calls(label: str, text: str) -> dict[str, str]:
    """Which tap each call runs on, from ``cooling 4, heating 2, fan 1``.

    Raises
    ------
    InputError
        If a piece names no call, or a call twice.
    """
    calls: dict[str, str] = {}
    for piece in re.split(r"[,;\n]", normal(text)):
        if not piece.strip():
            continue
        # "heating low" is a tap called low; "heating low 2" the low stage on tap 2.
        said = re.sub(r"^(cooling|heating) low\b(?=.*\w)", r"\1-low", piece.strip(), flags=re.I)
        found = _LINE.fullmatch(said[:1].lower() + said[1:])
        if found is None or found[1] in calls:
            raise InputError(
                where=label,
                came=repr(piece.strip()[:40]),
                right=f"each of {', '.join(CALLS)} stands once, with its tap behind it",
                do="Type it like “cooling 4, heating 2, fan 1”.",
            )
        calls[found[1]] = found[2].strip()
    return calls


def place_calls(document: Document, calls: dict[str, str] | None) -> None:
    """Say which tap each call runs on; how it is known stays for the calls that stay."""
    unit = _unit(document)
    known = {call: how for call, how in unit.get("calls_how", {}).items() if call in (calls or {})}
    usual = next(iter(unit.get("calls_how", {}).values()), None)
    _put(unit, "calls", calls)
    if usual is not None:
        known = dict.fromkeys(calls or {}, usual) | known
    _put(unit, "calls_how", known or None)


def calls_text(survey: Document, system: System) -> str:
    """The line of the calls; empty if none is known."""
    calls = survey.get("unit", {}).get("calls", {})
    return ", ".join(f"{call} {calls[call]}" for call in CALLS if call in calls)


def place_calls_how(document: Document, how: str | None) -> None:
    """Say how it is known which tap each call runs on."""
    unit = _unit(document)
    calls = unit.get("calls", {})
    if how is not None and not calls:
        raise NotYetError(
            where="How the calls are known",
            came=how,
            right="it counts once the calls are typed",
        )
    _put(unit, "calls_how", dict.fromkeys(calls, how) if how and calls else None)


def calls_how_text(survey: Document, system: System) -> str:
    """How the calls are known, where all are known alike."""
    said = set(survey.get("unit", {}).get("calls_how", {}).values())
    return str(said.pop()) if len(said) == 1 else ""


def place_heat_kit_at(document: Document, at: str | None) -> None:
    """Say whether the heat kit stands in the cabinet or behind the coil, or that there is none."""
    unit = _unit(document)
    kit = unit.get("heat_kit")
    if at is None:
        if kit is not None:
            kit.pop("inside_unit", None)
        return
    unit["heat_kit"] = (kit or {}) | {"inside_unit": at == "cabinet"}


def heat_kit_at_text(survey: Document, system: System) -> str:
    """Where the heat kit stands; empty if unknown."""
    kit = survey.get("unit", {}).get("heat_kit", {})
    return "" if "inside_unit" not in kit else "cabinet" if kit["inside_unit"] else "section"


def place_bypass(document: Document, kind: str | None) -> None:
    """Say whether a duct leads from the supply plenum back to the return, and what stands in it."""
    survey = document.setdefault("survey", {})
    if kind is None or kind == NONE:
        _put(survey, "bypasses", [] if kind else None)
        return
    first = {"id": "b1", **(survey.get("bypasses") or [{}])[0], "kind": kind}
    survey["bypasses"] = [first, *survey.get("bypasses", [])[1:]]


def bypass_text(survey: Document, system: System) -> str:
    """What the bypass is; empty if unknown."""
    ways = survey.get("bypasses")
    return "" if ways is None else ways[0].get("kind", "") if ways else NONE


def place_bypass_duct(document: Document, key: str, value: Typed | None) -> None:
    """A size of the bypass's duct: ``diameter``, ``length``, or its blade's angle ``damper``."""
    ways = document.get("survey", {}).get("bypasses")
    if not ways:
        if value is None:
            return
        raise NotYetError(
            where="Bypass",
            came=value.text,
            right="its size counts once it is said that there is one",
        )
    _put(ways[0].setdefault("duct", {}), key, None if value is None else value.fact("seen"))


def bypass_duct_text(survey: Document, key: str, quantity: str, system: System) -> str:
    """A size of the bypass's duct as it stands in its field."""
    ways = survey.get("bypasses") or [{}]
    fact = ways[0].get("duct", {}).get(key)
    return "" if fact is None else fact_text(fact, quantity, system)


def place_leakage(document: Document, side: str, key: str, value: Any) -> None:
    """What is known of one side's leakage: a test's flow, its pressure, or how it was sealed."""
    survey = document.setdefault("survey", {})
    found: dict[str, Document] = {one["side"]: one for one in survey.get("leakage", [])}
    mine = found.setdefault(side, {"side": side})
    _put(mine, key, value.fact("measured") if isinstance(value, Typed) else value)
    kept = [found[name] for name in _SIDES if len(found.get(name, {})) > 1]
    _put(survey, "leakage", kept or None)


def leakage_text(survey: Document, side: str, key: str, quantity: str | None, units: System) -> str:
    """What stands in a field of leakage; empty if unknown."""
    found: Document = next((one for one in survey.get("leakage", []) if one["side"] == side), {})
    if key not in found:
        return ""
    return fact_text(found[key], quantity, units) if quantity else str(found[key])


def _unit(document: Document) -> Document:
    unit: Document = document.setdefault("survey", {}).setdefault("unit", {})
    return unit


def _put(node: Document, key: str, value: Any) -> None:
    if value is None:
        node.pop(key, None)
    else:
        node[key] = value


_Place = Callable[[Document, Any], None]
_Text = Callable[[Document, System], str]


def _of_bypass(key: str, quantity: str) -> tuple[_Place, _Text]:
    def place(document: Document, value: Any) -> None:
        place_bypass_duct(document, key, value)

    def text(survey: Document, system: System) -> str:
        return bypass_duct_text(survey, key, quantity, system)

    return place, text


def _of_leakage(side: str, key: str, quantity: str | None) -> tuple[_Place, _Text]:
    def place(document: Document, value: Any) -> None:
        place_leakage(document, side, key, value)

    def text(survey: Document, system: System) -> str:
        return leakage_text(survey, side, key, quantity, system)

    return place, text


_RULES: dict[str, tuple[_Place, _Text]] = {
    "calls": (place_calls, calls_text),
    "calls_how": (place_calls_how, calls_how_text),
    "heat_kit_at": (place_heat_kit_at, heat_kit_at_text),
    "bypass": (place_bypass, bypass_text),
    "bypass_diameter": _of_bypass("diameter", "length"),
    "bypass_damper": _of_bypass("damper", "angle"),
    **{
        f"{side}_leak_{key}": _of_leakage(side, key, quantity)
        for side in _SIDES
        for key, quantity in (("airflow", "airflow"), ("pressure", "pressure"), ("sealing", None))
    },
}
PLACES: dict[str, _Place] = {name: rule[0] for name, rule in _RULES.items()}
TEXTS: dict[str, _Text] = {name: rule[1] for name, rule in _RULES.items()}
