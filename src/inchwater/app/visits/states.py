"""What was different in another trial, in words: ``filter out; door den shut; call heating``.

The words become a trial's condition; a name on the line is a room, an id, or what the part is
called, and it is found in the document of the survey.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from inchwater.app.visits.line_names import name_of, named, walk
from inchwater.app.visits.supply import runs_in
from inchwater.errors import InputError, UnknownNameError
from inchwater.survey import CALLS
from inchwater.survey.typed_numbers import normal

Document = dict[str, Any]
# What can be in another state: what it is called, and the words of its states.
_STATES = {
    "filter": {"in": "in", "out": "out"},
    "door": {"open": "open", "shut": "shut", "closed": "shut"},
    "zone": {"open": "open", "shut": "shut", "closed": "shut"},
    "bypass": {"open": "open", "shut": "shut", "closed": "shut"},
    "register": {"open": "open", "closed": "closed", "shut": "closed"},
    "run": {
        "capped": "pulled-capped",
        "pulled-capped": "pulled-capped",
        "pulled open": "pulled-open",
        "pulled-open": "pulled-open",
        "in place": "in-place",
        "in-place": "in-place",
    },
    "coil": {"wet": "wet", "dry": "dry"},
}
_HINT = (
    "Say filter out, door den shut, zone up shut, register den closed, run den capped, "
    "bypass shut, call heating, tap 2 or coil wet; several with semicolons."
)
# One thing: what it is, the name of the part, its state.
State = tuple[str, str, str]


def parse_state(label: str, text: str) -> tuple[State, ...]:
    """The things that were different, as ``(what, name, state)``.

    Raises
    ------
    InputError
        If a piece says no state that a system can be in.
    """
    found = []
    for piece in re.split(r"[;,\n]", normal(text)):
        words = piece.strip(" .")
        if not words:
            continue
        what, _, rest = words.partition(" ")
        what, rest = what.lower(), " ".join(rest.split())
        what = what if what in _STATES else what.removesuffix("s")
        if what == "call":
            call = rest.lower().removeprefix("for ").replace(" low", "-low")
            if call in CALLS:
                found.append(("call", "", call))
                continue
        elif what == "tap" and rest:
            found.append(("tap", "", rest))
            continue
        elif what in _STATES:
            said = next(
                (
                    (name, state)
                    for spoken, state in sorted(_STATES[what].items(), key=lambda s: -len(s[0]))
                    if (name := _before(rest, spoken)) is not None
                ),
                None,
            )
            if said is not None:
                found.append((what, *said))
                continue
        raise InputError(where=label, came=repr(words[:40]), right="no such state", do=_HINT)
    return tuple(found)


def _before(rest: str, spoken: str) -> str | None:
    """The name that stands before a state's words; None if these words do not end the text."""
    found = re.fullmatch(rf"(?:(.*?)\s+)?(?:is\s+|was\s+)?{re.escape(spoken)}", rest, re.I)
    return None if found is None else (found[1] or "").strip()


def condition_of(document: Document, states: Iterable[State], label: str) -> dict[str, str]:
    """A trial's condition, with the ids of the parts that were named.

    Parameters
    ----------
    document : dict
        The job without its trials.
    states : iterable of State
        As :func:`parse_state` gives them; a part without a name means all of its kind.

    Raises
    ------
    UnknownNameError
        If the survey has no part of that name; the text lists those that it has.
    """
    survey = document.get("survey", {})
    condition = {}
    for what, name, state in states:
        if what in ("call", "tap", "coil"):
            condition[what] = state
            continue
        parts = _parts(survey, what)
        if name:
            one = named(name, parts)
            chosen = [] if one is None else [one]
        else:
            chosen = parts if what in ("filter", "bypass") else []
        if not chosen:
            raise UnknownNameError(
                where=label,
                came=f"{what} {name}".strip(),
                right=f"there are {', '.join(name_of(one) for one in parts)}"
                if parts
                else f"no {what} is typed yet",
                do="Name one of them." if parts else "Describe it first.",
            )
        condition |= {f"{what}:{one['id']}": state for one in chosen}
    return condition


def state_text(document: Document, condition: dict[str, str]) -> str:
    """A condition as it could be typed."""
    survey = document.get("survey", {})
    pieces = []
    for key, state in condition.items():
        what, _, id_ = key.partition(":")
        if not id_:
            pieces.append(f"{what} {state}")
            continue
        one = named(id_, _parts(survey, what))
        pieces.append(f"{what} {id_ if one is None else name_of(one)} {state}")
    return "; ".join(pieces)


def _parts(survey: Document, what: str) -> list[Document]:
    supply = survey.get("supply", {})
    if what in ("run", "register"):
        return runs_in(supply)
    if what == "zone":
        zones = {one["zone"] for one in walk(supply.get("branches", [])) if "zone" in one}
        return [{"id": zone} for zone in sorted(zones)]
    key = {"filter": "filters", "door": "rooms", "bypass": "bypasses"}[what]
    return survey.get(key) or []
