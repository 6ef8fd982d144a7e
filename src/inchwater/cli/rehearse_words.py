"""What is typed in a practice round, in the trade's words, made into its acts.

``read supply``, ``hood r3``, ``wait``, ``call heating``, ``filter out``, ``make ch4``,
``back ch4``, ``done``, ``cannot``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from inchwater.errors import InputError, UnknownNameError

if TYPE_CHECKING:
    from inchwater.rehearsal.practice import Act, Round
    from inchwater.survey import Quantity

# What can be typed, and what it does; the list is printed as it stands here.
VERBS: Mapping[str, str] = {
    "read PLACE [LOOKS]": "static: return, supply, before-filter, before-coil, trunk:t1, run:r1",
    "drop PART [LOOKS]": "difference across a filter or coil: drop f1",
    "hood RUN [LOOKS]": "one register by hood: hood r1; 'hood all' does every one",
    "plate, watts, volts, rpm, rise": "at the unit; rise in a heating call",
    "again [LOOKS]": "look at the display again",
    "wait": "look until two figures in a row are the same",
    "call CALL": "set the thermostat: cooling, heating, fan",
    "filter out, filter in": "pull it, put it back",
    "make CHANGE": "pay for a change and make it: make ch1",
    "back CHANGE": "take a change back; what was paid stays paid",
    "done": "the goal is met: end the round",
    "cannot": "no set of these changes can reach the goal: end the round",
}
# What is only asked, and changes nothing.
ASKED: Mapping[str, str] = {
    "goal": "what is wanted, and what the round took so far",
    "survey": "what was written down of the house",
    "table": "the blower table",
    "places": "where something can be read, and the minutes of it",
    "changes": "the ten changes with their prices",
    "readings": "what you wrote down",
    "tool": "what Inchwater makes of your readings",
    "job FILE": "write your readings as a job file, for every other command",
    "save FILE": "write the round, to go on another time",
    "help": "this list",
    "quit": "leave; with --save the round can be continued",
}
_AT_UNIT: Mapping[str, Quantity] = {
    "plate": "airflow",
    "watts": "power",
    "volts": "voltage",
    "rpm": "speed",
    "rise": "temperature-rise",
}
_ENDS = {"done": "done", "cannot": "cannot"}


def acts_of(line: str, now: Round) -> tuple[Act, ...]:
    """The acts that a line says.

    Parameters
    ----------
    line : str
        One line as typed.
    now : Round
        Where ``wait`` looks how long a display needs, and ``hood all`` which registers there are.

    Raises
    ------
    InputError
        If it says nothing that is known; the text lists what can be said.
    """
    from inchwater.rehearsal.practice import Act

    words = line.split()
    verb, rest = (words[0].lower(), words[1:]) if words else ("", [])
    if verb in _AT_UNIT:
        return (Act("read", "unit", _AT_UNIT[verb], _looks(line, rest)),)
    if verb in _ENDS and not rest:
        return (Act("done") if verb == "done" else Act("cannot"),)
    known = _VERBS.get(verb)
    if known is None or (verb in _ENDS and rest):
        raise _not_understood(line)
    return known(line, rest, now)


def _read(line: str, rest: list[str], now: Round) -> tuple[Act, ...]:
    from inchwater.rehearsal.practice import Act

    if rest and rest[0].lower() in (*_AT_UNIT, "drop", "hood"):
        # "read plate" is as good as "plate".
        return acts_of(" ".join(rest), now)
    place, looks = _place(line, rest)
    return (Act("read", place, "static", looks),)


def _drop(line: str, rest: list[str], now: Round) -> tuple[Act, ...]:
    from inchwater.rehearsal.practice import Act

    part, looks = _place(line, rest)
    spots = [spot.at for spot in now.spots if spot.quantity == "drop"]
    return (Act("read", _one(part, spots, "drop"), "drop", looks),)


def _hood(line: str, rest: list[str], now: Round) -> tuple[Act, ...]:
    from inchwater.rehearsal.practice import Act

    run, looks = _place(line, rest)
    spots = [spot.at for spot in now.spots if spot.at.startswith("register:")]
    chosen = spots if run == "all" else [_one(run, spots, "hood")]
    return tuple(Act("read", at, "airflow", looks) for at in chosen)


def _again(line: str, rest: list[str], now: Round) -> tuple[Act, ...]:
    from inchwater.rehearsal.practice import Act

    return (Act("look", looks=_looks(line, rest)),)


def _wait(line: str, rest: list[str], now: Round) -> tuple[Act, ...]:
    from inchwater.rehearsal.practice import Act

    if rest:
        raise _not_understood(line)
    last = now.current
    # Without a display the act itself is refused, in its own words.
    looks = 1 if last is None else last.display.looks_until_still(last.looks)
    return (Act("look", looks=looks),)


def _call(line: str, rest: list[str], now: Round) -> tuple[Act, ...]:
    from inchwater.rehearsal.practice import Act

    return (Act("call", _single(line, rest)),)


def _filter(line: str, rest: list[str], now: Round) -> tuple[Act, ...]:
    from inchwater.rehearsal.practice import Act

    word = _single(line, rest)
    if word not in ("out", "in"):
        raise _not_understood(line)
    return (Act("filter-out") if word == "out" else Act("filter-in"),)


def _make(line: str, rest: list[str], now: Round) -> tuple[Act, ...]:
    from inchwater.rehearsal.practice import Act

    return (Act("change", _single(line, rest)),)


def _back(line: str, rest: list[str], now: Round) -> tuple[Act, ...]:
    from inchwater.rehearsal.practice import Act

    return (Act("take-back", _single(line, rest)),)


_VERBS: Mapping[str, Callable[[str, list[str], Round], tuple[Act, ...]]] = {
    "read": _read,
    "drop": _drop,
    "hood": _hood,
    "again": _again,
    "wait": _wait,
    "call": _call,
    "filter": _filter,
    "make": _make,
    "back": _back,
}


def _single(line: str, rest: list[str]) -> str:
    if len(rest) != 1:
        raise _not_understood(line)
    return rest[0].lower()


def _place(line: str, rest: list[str]) -> tuple[str, int]:
    if not rest:
        raise _not_understood(line)
    return rest[0].lower(), _looks(line, rest[1:])


def _looks(line: str, rest: list[str]) -> int:
    if not rest:
        return 1
    if len(rest) > 1 or not (rest[0].isascii() and rest[0].isdigit()) or len(rest[0]) > 4:
        raise _not_understood(line)
    return int(rest[0])


def _one(part: str, places: list[str], verb: str) -> str:
    """The place that a part's id, or the place itself, means."""
    for at in places:
        if part in (at, at.partition(":")[2]):
            return at
    raise UnknownNameError(
        where=verb,
        came=repr(part),
        right=f"it can be read at {', '.join(at.partition(':')[2] for at in places) or 'no part'}",
        do="Choose one of them.",
    )


def _not_understood(line: str) -> InputError:
    return InputError(
        where="rehearse",
        came=repr(line.strip()) if line.strip() else "nothing",
        right=f"acts are {'; '.join(VERBS)}",
        do="Type one of them; 'help' in the prompt says what each does.",
    )
