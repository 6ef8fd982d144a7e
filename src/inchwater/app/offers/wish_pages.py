"""What the page of targets shows: each with its bounds, who says so, and what can be wished."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from inchwater import units
from inchwater.app.core.words import with_status
from inchwater.app.offers.wishing import CALL_CHOICES, TITLES
from inchwater.app.visits.control_parts import return_choices, run_choices
from inchwater.app.visits.values import fact_text
from inchwater.criteria import Target
from inchwater.findings.labels import part_label, trunk_label
from inchwater.survey import WISHES, Survey
from inchwater.survey.wishes import parts_wished
from inchwater.units import System

_FOR_ALL = {
    "filter": "all filters",
    "run": "all runs",
    "trunk": "all trunks",
    "return": "all returns",
    "room": "all rooms",
}


@dataclass(frozen=True, slots=True)
class Held:
    """Bounds that several targets share: of what, in which call, who says so, and other figures."""

    bounds: str
    of: str
    source: str
    note: str
    stated: bool
    needed: bool
    others: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ShownWish:
    """One thing that is wanted, with its bounds as they hold and what can be wished instead."""

    key: str
    title: str
    unit: str
    low: bool
    high: bool
    held: tuple[Held, ...]
    parts: tuple[tuple[str, str], ...]
    all_parts: str
    calls: tuple[tuple[str, str], ...]


def wishes_shown(
    survey: Survey, wanted: dict[str, tuple[Target, ...]], system: System
) -> list[ShownWish]:
    """Everything that can be wished of a system, in the page's order."""
    calls = tuple(one for one in CALL_CHOICES if one[0] == "cooling" or one[0] in survey.unit.calls)
    shown = []
    for key, title in TITLES.items():
        what = WISHES[key]
        parts = _parts(survey, what.part)
        if what.part and not parts and what.part != "room":
            # Nothing here that it could be wished of.
            continue
        shown.append(
            ShownWish(
                key=key,
                title=title,
                unit=units.unit(units.SHOWN[what.kind][system][0]).label,
                low=what.bounds in ("low", "both"),
                high=what.bounds in ("high", "both"),
                held=_held(key, wanted, system),
                parts=parts,
                all_parts=_FOR_ALL.get(what.part, ""),
                calls=calls,
            )
        )
    return shown


def other_targets(wanted: dict[str, tuple[Target, ...]], system: System) -> tuple[Held, ...]:
    """What is wanted and cannot be wished otherwise: what a maker's own table asks for."""
    keys = {one.key for found in wanted.values() for one in found} - set(TITLES)
    return tuple(held for key in sorted(keys) for held in _held(key, wanted, system, title=True))


def _held(
    key: str, wanted: dict[str, tuple[Target, ...]], system: System, title: bool = False
) -> tuple[Held, ...]:
    """Targets of a key with the same bounds and source are told together."""
    together: dict[tuple[Any, ...], list[tuple[str, Target]]] = {}
    for call, found in wanted.items():
        for one in found:
            if one.key == key:
                same = (one.low, one.high, one.source, one.louder, one.faster, one.stated)
                together.setdefault(same, []).append((call, one))
    return tuple(_told(rows, len(wanted) > 1, system, title) for rows in together.values())


def _told(
    rows: Sequence[tuple[str, Target]], many_calls: bool, system: System, title: bool
) -> Held:
    one = rows[0][1]
    names = list(dict.fromkeys(target.label for _, target in rows))
    of = names[0] if len(names) == 1 else f"{names[0]}, and {len(names) - 1} more like it"
    if not one.subject and not title:
        of = ""
    calls = list(dict.fromkeys(call.replace("-", " ") for call, _ in rows))
    if many_calls:
        of = f"{of}{', ' if of else ''}{' and '.join(calls)} call".capitalize()
    return Held(
        bounds=one.bounds(system),
        of=of,
        source=with_status(one.source, one.status),
        note=one.note,
        stated=one.stated,
        needed=one.needed,
        others=tuple(dict.fromkeys(o.text(system) for _, t in rows for o in t.others)),
    )


def _parts(survey: Survey, part: str) -> tuple[tuple[str, str], ...]:
    """The parts of a kind by id, as the page names them."""
    if not part:
        return ()
    named = {one.value: one.label for one in (*run_choices(survey), *return_choices(survey))}
    rooms = {room.id: room.name or room.id for room in survey.rooms or ()}
    found = []
    for id_ in parts_wished(survey, part):
        if part == "filter":
            label = part_label(f"filter:{id_}", survey)
        elif part == "trunk":
            label = trunk_label(id_, survey)
        else:
            label = rooms.get(id_, id_) if part == "room" else named.get(id_, id_)
        found.append((id_, label))
    return tuple(found)


def made_shown(
    wishes: Sequence[dict[str, Any]], survey: Survey, system: System
) -> list[dict[str, str]]:
    """The wishes that stand, in words, with what takes each of them back."""
    shown = []
    for one in wishes:
        what = WISHES[one["key"]]
        label = units.unit(units.SHOWN[what.kind][system][0]).label
        sides = [
            f"{word} {fact_text(one[side], what.kind, system)}"
            for side, word in (("low", "at least"), ("high", "at most"))
            if side in one
        ]
        parts = dict(_parts(survey, what.part))
        about = [parts.get(one["part"], one["part"])] if "part" in one else []
        about += [f"{dict(CALL_CHOICES)[one['call']]} call"] if "call" in one else []
        of = f", {', '.join(about)}" if about else ""
        shown.append(
            {
                "key": one["key"],
                "call": one.get("call", ""),
                "part": one.get("part", ""),
                "text": f"{TITLES[one['key']]}{of}: {', '.join(sides)} {label}".strip(),
            }
        )
    return shown
