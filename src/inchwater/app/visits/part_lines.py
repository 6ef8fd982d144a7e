"""One line for each part, ``hall: grille 20 x 25, 14-inch flex, 12 ft``, read into parts.

``parse_lines`` is for every field of kind ``lines``; where the lines go in the document, and back
into text, is in ``line_places.py``.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from inchwater.app.visits.part_words import DUCT_HINT, Words, duct_said
from inchwater.app.visits.room_words import room_said
from inchwater.errors import DoubtError, InputError, UnknownNameError
from inchwater.survey.typed_ducts import unit_said
from inchwater.survey.typed_numbers import normal
from inchwater.units import SHOWN, System

Document = dict[str, Any]
MOST = 60
_GAP = r"([0-9.]+)\s*-?\s*(inches|inch|in\b|\"|mm\b)?"
# A line of the returns that is named so is the drop or trunk that the others lead into.
_COMMON = re.compile(r"common\b", re.IGNORECASE)
# Where a filter stands that is in no grille.
UNIT = "unit"
_RETURN_KINDS = (
    (r"panned(?: joist| bay)?", "panned"),
    (r"stud(?:[ -](?:bay|cavity|wall))?|wall cavity", "stud"),
    (r"platform", "platform"),
    (r"open", "open"),
    (r"common(?: drop| trunk)?", "common"),
    (r"ducted", "ducted"),
)
_CONDITIONS = (
    (r"clean|new", "clean"),
    (r"used|grey|gray", "used"),
    (r"loaded|dirty|matted", "loaded"),
)
# How a class of filter is said: depth, MERV, and what it is made of.
_MADE_OF = (
    (r"fib(?:er|re)glass", "fiberglass"),
    (r"pleat(?:ed|s)?", "pleat"),
    (r"media", "media"),
    (r"washable", "washable"),
    (r"electronic", "electronic"),
)
_RETURN_HINT = (
    "Say the grille (grille 20 x 25), the duct (14-inch, or 16 x 8), its length in feet, and "
    "ducted, panned, stud bay, platform or open."
)
_FILTER_HINT = "Say its size (20 x 25), its class (1-inch MERV 8), and clean, used or loaded."
_DOOR_HINT = (
    "Say undercut 30 x 3/4, grille 12 x 6, jumper 12 x 6 8-inch flex 10 ft, or none; to sleep or "
    "to live in; design 110 cfm, cooling 3000 Btu/h, heating 4000 Btu/h."
)


@dataclass(frozen=True, slots=True)
class Line:
    """What one line says: the part's name and its document."""

    name: str
    said: Document


def parse_lines(field: str, label: str, text: str, units: System) -> tuple[Line, ...]:
    """The parts of a text with a line for each.

    Parameters
    ----------
    field : str
        Name of a field of kind ``lines``.
    label : str
        Its label, for errors.
    text : str
        Lines, or pieces with semicolons between them: ``name: words``.
    units : "ip" or "si"
        In which a size without a unit is meant.

    Raises
    ------
    InputError
        If a line has no name, two lines have the same one, or a word was not understood.
    """
    make = _BY_FIELD[field]
    lines = []
    for piece in re.split(r"[\n;]", text):
        if not piece.strip(" ,."):
            continue
        name, colon, words = normal(piece).partition(":")
        name = " ".join(name.split())
        if not colon or not name or len(name) > 80 or not name.isprintable():
            raise InputError(
                where=label,
                came=repr(piece.strip()[:40]),
                right="each line is a name, a colon, and what it is",
                do="Type it like " + _EXAMPLES[field] + ".",
            )
        if field == "returns_each" and _COMMON.match(name) and "common" not in words.lower():
            words += ", common"
        try:
            said = make(Words(f"{label}, {name}", words, units))
        except DoubtError as doubt:
            # One number of many is doubtful: there is no value to take in the whole text's place.
            raise InputError(
                where=doubt.where, came=doubt.came, right=doubt.right, do="Type its unit with it."
            ) from None
        lines.append(Line(name, said))
    if len(lines) > MOST:
        raise InputError(
            where=label, came=f"{len(lines)} lines", right=f"one unit has at most {MOST} of these"
        )
    twice = [one.name for n, one in enumerate(lines) if one.name in {o.name for o in lines[:n]}]
    if twice and field != "filters_each":
        raise InputError(
            where=label,
            came=f"{twice[0]} twice",
            right="a part has one line",
            do="Give the other one a name of its own, or take it away.",
        )
    return tuple(lines)


_EXAMPLES = {
    "returns_each": "“hall: grille 20 x 25, 14-inch flex, 12 ft”",
    "filters_each": "“hall: 20 x 25, 1-inch MERV 8, used”",
    "trunks": "“t1: 16 x 8 metal, 20 ft, feeds den, kitchen”",
    "runs_each": "“den: 6-inch flex, 25 ft, slack”",
    "doors": "“den: undercut 30 x 3/4”",
}


def _return(words: Words) -> Document:
    said: Document = {}
    if into := words.take(r"\binto\s+(?:the\s+)?([\w .-]+?)(?=,|$)"):
        said["into"] = into[1].strip()
    said["grille"] = words.size(r"\bgrille\s+")
    said["kind"] = words.one_of(_RETURN_KINDS)
    if said["grille"] is None and said["kind"] != "common":
        # A return's first pair of sizes is its grille's, if no duct is said with it: that is what
        # one measures first.
        said["grille"] = words.size(after=r"(?!\s*(?:\w+\s+)?(?:metal|lined|duct|oval))")
    duct = duct_said(words)
    said["duct"] = duct or None
    words.finish(_RETURN_HINT)
    if said["kind"] is None and duct:
        said["kind"] = "ducted"
    return {key: one for key, one in said.items() if one is not None}


def _filter(words: Words) -> Document:
    said: Document = {"condition": words.one_of(_CONDITIONS)}
    if several := words.take(r"\b([2-6]|two|three|four|five|six)\s+side by side\b"):
        said["count"] = {"two": 2, "three": 3, "four": 4, "five": 5, "six": 6}.get(
            several[1]
        ) or int(several[1])
    size = words.take(r"([0-9.]+)\s*[x×]\s*([0-9.]+)\s*[x×]\s*([0-9.]+)")
    depth = None
    if size is not None:
        # 20 x 25 x 1: the third number is the depth.
        words.text += f" {size[1]} x {size[2]}"
        depth = size[3]
    said["grade"] = _grade(words, depth)
    face = words.size()
    words.finish(_FILTER_HINT)
    return {key: one for key, one in said.items() if one is not None} | (face or {})


def _grade(words: Words, depth: str | None) -> str | None:
    """The class of a filter by what is said of it; None where nothing is."""
    from inchwater.parts.filters import GRADES

    keys = "|".join(re.escape(key) for key in sorted(GRADES, key=len, reverse=True))
    if exact := words.take(rf"(?<![\w-])({keys})(?![\w-])"):
        return exact[1]
    made_of = words.one_of(_MADE_OF)
    merv = words.take(r"\bmerv[ -]*([0-9]+)\b")
    deep = words.take(r"\b([1-6])\s*-?\s*(?:inches|inch|in\b|\")")
    depth = depth or (deep[1] if deep else None)
    if not (made_of or merv):
        return None
    said = [
        *([made_of] if made_of else []),
        *([f"{float(depth):g}in"] if depth else []),
        *([f"merv{merv[1]}"] if merv else []),
    ]
    found = [key for key in GRADES if set(said) <= set(key.split("-"))]
    if len(found) != 1:
        raise UnknownNameError(
            where=words.where,
            came=" ".join(said),
            right=(
                f"this can be {', '.join(found)}"
                if found
                else f"the classes are {', '.join(GRADES)}"
            ),
            do="Type one of these words.",
        )
    return found[0]


def _trunk(words: Words) -> Document:
    said: Document = {}
    if feeds := words.take(r"\bfeeds\s+(.*)$"):
        names = re.split(r",|\band\b", feeds[1])
        said["feeds"] = [" ".join(name.split()) for name in names if name.strip(" .")]
    said |= _branch(words)
    return said


def _branch(words: Words) -> Document:
    said: Document = {}
    if zone := words.take(r"\bzone\s+([\w.-]+)"):
        said["zone"] = zone[1]
    said["duct"] = duct_said(words)
    words.finish(DUCT_HINT)
    return said


def _door(words: Words) -> Document:
    return room_said(words) | _ways_out(words)


def _ways_out(words: Words) -> Document:
    if words.take(r"\b(?:none|nothing|sealed)\b"):
        words.finish(_DOOR_HINT)
        return {"transfers": []}
    if words.take(r"\b(?:usual|door|not known)\b"):
        words.finish(_DOOR_HINT)
        return {}
    # The gap may be said before its word, and alone where nobody measured the door.
    words.text = re.sub(rf"({_GAP})\s+undercut\b", r"undercut \1", words.text)
    transfers = []
    # A jumper's own duct belongs to it, so each way is read from its word to the next one.
    for piece in re.findall(
        r"(?:undercut|grille|jumper).*?(?=undercut|grille|jumper|$)", words.text
    ):
        words.text = words.text.replace(piece, " ", 1)
        way = Words(words.where, piece, words.units)
        kind = way.take(r"undercut|grille|jumper")
        transfer: Document = {"kind": kind[0] if kind else ""}
        transfer |= way.size(check=False) or {}
        if transfer["kind"] == "undercut" and len(transfer) == 1:
            transfer |= _gap(way)
        if transfer["kind"] == "jumper":
            duct = duct_said(way)
            transfer |= {"duct": duct} if duct else {}
        way.finish(_DOOR_HINT)
        transfers.append(transfer)
    words.finish(_DOOR_HINT)
    return {"transfers": transfers} if transfers else {}


def _gap(way: Words) -> Document:
    """The height of a gap that is said without the width of its door."""
    found = way.take(_GAP)
    if found is None:
        return {}
    unit = unit_said(found[2]) if found[2] else SHOWN["length"][way.units][0]
    return {"height": {"value": float(found[1]), "unit": unit, "how": "seen"}}


_BY_FIELD: dict[str, Callable[[Words], Document]] = {
    "returns_each": _return,
    "filters_each": _filter,
    "trunks": _trunk,
    "runs_each": _branch,
    "doors": _door,
}
