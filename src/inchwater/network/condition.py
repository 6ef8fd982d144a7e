"""A trial's condition against the survey: every key has to point at a part that is there."""

from __future__ import annotations

from collections.abc import Mapping

from inchwater.errors import InputError, UnknownNameError
from inchwater.survey import CALLS, Survey

_WORDS: Mapping[str, tuple[str, ...]] = {
    "call": CALLS,
    "coil": ("wet", "dry"),
    "filter": ("in", "out"),
    "run": ("in-place", "pulled-open", "pulled-capped"),
    "register": ("open", "closed"),
    "door": ("open", "shut"),
    "zone": ("open", "shut"),
    "bypass": ("open", "shut"),
}


def check_condition(survey: Survey, state: Mapping[str, str]) -> None:
    """Refuse a condition that the survey cannot have.

    Raises
    ------
    InputError
        If a key or a word is none of a condition's.
    UnknownNameError
        If a part is not in the survey; the text lists those that are.
    """
    parts = {
        "filter": [f.id for f in survey.filters or ()],
        "run": [run.id for run in survey.supply.runs] if survey.supply else [],
    }
    parts["register"] = parts["run"]
    parts["door"] = [room.id for room in survey.rooms or ()]
    parts["bypass"] = [one.id for one in survey.bypasses or ()]
    zones = [] if survey.supply is None else [b.zone for b, _ in survey.supply.walk() if b.zone]
    parts["zone"] = list(dict.fromkeys(zones))
    for key, word in state.items():
        if key in ("tap", "volts"):
            continue
        what, _, id_ = key.partition(":")
        where = f"condition.{key}"
        if what not in _WORDS or (what in parts) != bool(id_):
            raise InputError(
                where=where,
                came=repr(key),
                right="a condition has call, tap, coil, filter:<id>, run:<id>, register:<id>, "
                "door:<room>, zone:<name>, bypass:<id>",
            )
        if word not in _WORDS[what]:
            raise InputError(
                where=where, came=repr(word), right=f"{what} is {' or '.join(_WORDS[what])}"
            )
        if id_ and id_ not in parts[what]:
            known = ", ".join(parts[what]) or "none of them yet"
            raise UnknownNameError(
                where=where,
                came=repr(id_),
                right=f"this survey has {known}",
                do="Add the part to the survey first.",
            )
