"""A practice round as a document: its house's seed and its acts; everything else is computed again.

``{"format": "inchwater-practice", "version": 1, "seed": 7, "house": "1f…", "acts": [{"do": "read",
"quantity": "static", "at": "supply", "looks": 3}, {"do": "done"}]}``; page and prompt share it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, get_args

from inchwater.errors import FormatError, InputError
from inchwater.rehearsal.practice import DOES, Act
from inchwater.rehearsal.practice_house import house_mark
from inchwater.survey import Quantity
from inchwater.survey.form import short

FORMAT, VERSION = "inchwater-practice", 1
# A round of some hundred acts is a few kilobytes; more than this is another kind of file.
LARGEST = 200_000
MOST_ACTS = 500
# Larger seeds do not fit a database's whole numbers.
MOST_SEED = 10**9
_QUANTITIES: tuple[str, ...] = get_args(Quantity)
# What an act needs to be said with.
_NEEDS = {
    "read": ("quantity", "at"),
    "call": ("at",),
    "change": ("at",),
    "take-back": ("at",),
}
_KEYS = ("do", "quantity", "at", "looks")


def round_to_dict(seed: int, acts: Sequence[Act]) -> dict[str, Any]:
    """A round as plain values."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "seed": seed,
        "house": house_mark(seed),
        "acts": [act_to_dict(act) for act in acts],
    }


def act_to_dict(act: Act) -> dict[str, Any]:
    """One act as plain values; what it does not need is left out."""
    found: dict[str, Any] = {"do": act.do}
    if act.quantity:
        found["quantity"] = act.quantity
    if act.at:
        found["at"] = act.at
    if act.looks != 1:
        found["looks"] = act.looks
    return found


def round_from_dict(document: Any) -> tuple[int, tuple[Act, ...]]:
    """The seed and the acts of a document, checked one by one; whether they can be done is not.

    Raises
    ------
    FormatError
        If it is not such a document, or of another version: the text says where.
    """
    if not isinstance(document, Mapping) or document.get("format") != FORMAT:
        came = repr(document.get("format")) if isinstance(document, Mapping) else "no object"
        raise _refused("practice round", came, f'an object with "format": "{FORMAT}" is wanted')
    if document.get("version") != VERSION:
        came = repr(document.get("version"))
        raise _refused("version", came, f"this version of Inchwater reads version {VERSION}")
    seed = _seed(document.get("seed"))
    if document.get("house") != house_mark(seed):
        raise FormatError(
            where="house",
            came=short(document.get("house")),
            right=f"in this version of Inchwater house {seed} is another one, {house_mark(seed)}",
            do="Start another round; this one can be read in the version that it was played in.",
        )
    acts = document.get("acts")
    if not isinstance(acts, list) or len(acts) > MOST_ACTS:
        came = "no list" if not isinstance(acts, list) else f"{len(acts)} acts"
        raise _refused("acts", came, f"a list of at most {MOST_ACTS} acts is wanted")
    return seed, tuple(act_from_dict(one, f"acts[{number}]") for number, one in enumerate(acts))


def act_from_dict(document: Any, where: str = "act") -> Act:
    """One act of plain values.

    Raises
    ------
    FormatError
        If it is not one; the text says where.
    """
    if not isinstance(document, Mapping):
        raise _refused(where, type(document).__name__, "an act is an object")
    do = document.get("do")
    if not isinstance(do, str) or do not in DOES:
        raise _refused(f"{where}.do", repr(do), f"acts are {', '.join(DOES)}")
    strange = [key for key in document if key not in _KEYS]
    if strange:
        raise _refused(f"{where}.{strange[0]}", "that key", f"an act has {', '.join(_KEYS)}")
    quantity, at = document.get("quantity", ""), document.get("at", "")
    needs = _NEEDS.get(do, ())
    if ("quantity" in needs) != (quantity in _QUANTITIES):
        right = f"it is one of {', '.join(_QUANTITIES)}" if needs else "it belongs to a read"
        raise _refused(f"{where}.quantity", repr(quantity), right)
    if not isinstance(at, str) or ("at" in needs) != bool(at):
        right = "a place, a call or a change is named" if "at" in needs else "this act has none"
        raise _refused(f"{where}.at", repr(at), right)
    looks = document.get("looks", 1)
    if isinstance(looks, bool) or not isinstance(looks, int) or looks < 1:
        raise _refused(f"{where}.looks", repr(looks), "a whole number from 1 up is wanted")
    return Act(do, at, quantity, looks)


def load_round(source: bytes | str | Path) -> tuple[int, tuple[Act, ...]]:
    """The seed and the acts of a file, or of a file's bytes.

    Raises
    ------
    FormatError
        If it is no such file.
    OSError
        If it cannot be opened.
    """
    if isinstance(source, bytes):
        raw = source
    else:
        with Path(source).open("rb") as file:
            raw = file.read(LARGEST + 1)
    if len(raw) > LARGEST:
        raise _refused("practice round", "a larger file", f"at most {LARGEST // 1000} kB are read")
    try:
        document = json.loads(raw.decode("utf-8-sig"))
    except (ValueError, RecursionError) as problem:
        raise _refused(
            "practice round", "no JSON", "a practice round is JSON in UTF-8"
        ) from problem
    return round_from_dict(document)


def save_round(path: str | Path, seed: int, acts: Sequence[Act]) -> None:
    """Write a round to a file; an older state of it is replaced."""
    Path(path).write_text(json.dumps(round_to_dict(seed, acts), indent=1) + "\n", encoding="utf-8")


def seed_of(typed: str) -> int:
    """The seed that somebody typed; InputError if it is no whole number within its bounds."""
    text = typed.strip()
    if not (text.isascii() and text.isdigit()) or len(text) > 10 or int(text) > MOST_SEED:
        raise InputError(
            where="seed",
            came=repr(typed),
            right=f"a house's number is a whole one from 0 to {MOST_SEED:,}",
            do="Type one such as 7, or leave it out for any house.",
        )
    return int(text)


def _seed(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= MOST_SEED:
        raise _refused("seed", repr(value), f"a whole number from 0 to {MOST_SEED:,} is wanted")
    return value


def _refused(where: str, came: str, right: str) -> FormatError:
    return FormatError(
        where=where,
        came=came,
        right=right,
        do="Choose a file that 'inchwater rehearse --save' or the practice page wrote.",
    )
