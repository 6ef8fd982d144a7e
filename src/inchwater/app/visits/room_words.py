"""What a room is for and needs, on its line: ``to sleep, design 110 cfm, cooling 3000 Btu/h``."""

from __future__ import annotations

from typing import Any

from inchwater import units
from inchwater.app.visits.part_words import Words
from inchwater.app.visits.values import fact_text
from inchwater.survey.typed_numbers import measured
from inchwater.units import System

Document = dict[str, Any]
_NUMBER = r"([0-9][0-9.,]*)"
_PURPOSES = ((r"to sleep(?: in)?", "sleep"), (r"to live in", "living"), (r"other use", "other"))
_SAID = {"sleep": "to sleep", "living": "to live in", "other": "other use"}
# The word before each need, the units that tell it, its key and its kind of quantity.
_NEEDS = (
    (r"(?:design\s+)?", r"cfm|l/s|m3/h|m³/h", "airflow", "airflow", "design"),
    (r"cooling\s+", r"btu/?h|kw|w", "cooling_load", "heat_output", "cooling"),
    (r"heating\s+", r"btu/?h|kw|w", "heating_load", "heat_output", "heating"),
)


def room_said(words: Words) -> Document:
    """What is said of a room's use, design airflow and loads; it is taken out of the words."""
    said: Document = {}
    if purpose := words.one_of(_PURPOSES):
        said["purpose"] = purpose
    for before, spoken, key, kind, _ in _NEEDS:
        found = words.take(rf"\b{before}{_NUMBER}\s*({spoken})(?![\w/])")
        if found is not None:
            usual = units.SHOWN[kind]["ip"][0]
            typed = f"{found[1].rstrip('.,')} {found[2]}"
            number, name, _ = measured(words.where, typed, usual, units.kind_of(kind))
            said[key] = {"value": number, "unit": name, "how": "stated"}
    return said


def room_words(room: Document, system: System) -> list[str]:
    """The same in words, as it can be typed; empty where nothing is known."""
    words = [_SAID[room["purpose"]]] if room.get("purpose") in _SAID else []
    for _, _, key, kind, before in _NEEDS:
        if key in room:
            label = units.unit(units.SHOWN[kind][system][0]).label
            words.append(f"{before} {fact_text(room[key], kind, system)} {label}")
    return words
