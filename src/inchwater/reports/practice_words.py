"""What a practice round is said in: places, changes, cautions, what was hidden."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from inchwater import units
from inchwater.errors import joined
from inchwater.findings import Caution, cautions_for, cautions_of
from inchwater.findings.cautions import ACT_OF_CHANGE
from inchwater.findings.labels import counted, duct_size, face_size, inches, trunk_label
from inchwater.parts.filters import GRADES
from inchwater.parts.fittings import FITTINGS
from inchwater.quantity import Said, said
from inchwater.rehearsal.practice import Round, Taken
from inchwater.rehearsal.practice_hidden import Hidden
from inchwater.rehearsal.practice_places import Spot
from inchwater.survey import KINDS, Branch, Change, Grille, Survey, place_of
from inchwater.units import System

_PLENUMS = {
    "before-filter": "Static before the filter",
    "return": "Static at the return",
    "before-coil": "Static before the coil",
    "supply": "Static in the supply plenum",
}
_AT_UNIT = {
    "airflow": "Airflow at the unit, by flow plate",
    "power": "Watts of the blower",
    "voltage": "Volts under load",
    "speed": "Speed of the blower",
    "temperature-rise": "Temperature rise, heat on",
}
# The groups in which places are offered: title, and what belongs to it.
GROUPS = (
    "Static at the plenums",
    "Across filter and coil",
    "At the unit",
    "Registers, by hood",
    "Static in single ducts",
)


def group_of(spot: Spot) -> str:
    """The title under which a place is offered."""
    if spot.quantity == "static":
        return GROUPS[0] if spot.at in _PLENUMS else GROUPS[4]
    if spot.quantity == "drop":
        return GROUPS[1]
    return GROUPS[2] if spot.at == "unit" else GROUPS[3]


def spot_said(quantity: str, at: str, survey: Survey) -> str:
    """What is read where: ``Static at the return``, ``Register by hood, den``."""
    kind, part = place_of(at)
    if quantity == "static" and at in _PLENUMS:
        return _PLENUMS[at]
    if quantity == "drop":
        return "Drop across the coil" if kind == "coil:" else f"Drop across filter {part}"
    if at == "unit":
        return _AT_UNIT[quantity]
    room = _room(part, survey)
    if kind == "register:":
        return f"Register by hood, {room}"
    if kind == "return:":
        return f"Static behind return grille {part}"
    return f"Static in trunk {part}" if kind == "trunk:" else f"Static in the run to {room}"


def figure_said(taken: Taken, system: System) -> str:
    """What a display shows last, with its unit."""
    figures, label = figures_said(taken, system)
    return f"{figures[-1]} {label}"


def figures_said(taken: Taken, system: System) -> tuple[tuple[str, ...], str]:
    """What a display showed look by look, and the unit of it."""
    looks = range(1, taken.looks + 1)
    unit = units.unit(taken.display.reading.unit)
    if system == "ip":
        return tuple(taken.display.shown(look) for look in looks), unit.label
    kind = KINDS[taken.display.reading.quantity]
    values = (abs(taken.display.written(look, "").value) for look in looks)
    texts = tuple(units.shown(value, kind, system)[1] for value in values)
    return texts, units.unit(units.SHOWN[kind][system][0]).label


def state_said(now: Round | Taken) -> str:
    """In which state something is read: ``cooling call, filter out, after ch1 and ch3``."""
    condition = now.condition
    after = now.in_force if isinstance(now, Round) else now.after
    words = [f"{condition['call']} call"]
    if "out" in condition.values():
        words.append("filter out")
    if after:
        words.append(f"after {joined(after, 'and')}")
    return ", ".join(words)


# --- changes -------------------------------------------------------------------------------------


def change_said(change: Change, survey: Survey) -> str:
    """A change as a technician says it, with its sizes."""
    to, count = change.to, len(change.targets)
    size = face_size(Grille(to.get("width"), to.get("height")))
    sized = f", {size}" if size else ""
    if change.kind == "filter":
        grade = GRADES[to["grade"]].label if "grade" in to else "the same class"
        return f"{'New filter' if count == 1 else counted(count, 'new filter')}: {grade}{sized}"
    if change.kind == "grille":
        return f"{_one_or(count, 'larger return grille')}{sized}"
    if change.kind == "add-return":
        return f"One return more: {size} grille, {_new_duct(to)}"
    if change.kind == "enlarge-run":
        return _enlarged(change, survey)
    if change.kind == "tighten-run":
        return f"{counted(count, 'flex run')} pulled tight"
    if change.kind == "add-run":
        return f"One supply run more: {_new_duct(to)}, {size} register"
    if change.kind == "fitting":
        old, new = (FITTINGS[str(to[key])].label.lower() for key in ("from", "into"))
        return f"{counted(count, 'fitting')} exchanged: {old} for {new}"
    if change.kind == "register":
        return f"{_one_or(count, 'larger register')}{sized}"
    if change.kind == "tap":
        now = survey.unit.calls.get("cooling", survey.unit.tap)
        return f"Cooling on tap {to['tap']} (as found: {now})"
    return change.kind.replace("-", " ").capitalize()


def _one_or(count: int, noun: str) -> str:
    return f"A {noun}" if count == 1 else counted(count, noun)


def _new_duct(to: Mapping[str, Any]) -> str:
    length = to.get("length")
    feet = "" if length is None else f"{length.value:g} {length.unit} of "
    return f"{feet}{inches(to.get('diameter'))} {to.get('material', 'duct')}"


def _enlarged(change: Change, survey: Survey) -> str:
    new = f"{inches(change.to.get('diameter'))} {change.to.get('material', 'duct')}"
    branches = _branches(survey)
    trunks = [id_ for id_ in change.targets if id_ in branches and branches[id_].is_trunk]
    if trunks:
        return f"{trunk_label(trunks[0], survey)}: replaced by {new}"
    rooms = joined([_room(id_, survey) for id_ in change.targets], "and")
    return f"{_one_or(len(change.targets), 'run')} replaced by {new}: {rooms}"


# --- cautions ------------------------------------------------------------------------------------


def cautions_of_change(change: Change, survey: Survey) -> tuple[Caution, ...]:
    """What can hurt where this change is made."""
    return cautions_for(survey, ACT_OF_CHANGE[change.kind])


def cautions_of_group(title: str, survey: Survey) -> tuple[Caution, ...]:
    """What can hurt where the readings of a group are taken."""
    if title == GROUPS[2]:
        watts = cautions_for(survey, "reading", watts=True)
        return (*watts, *(one for one in cautions_for(survey, "cabinet") if one not in watts))
    acts = ("reading",) if title == GROUPS[3] else ("reading", "test-point")
    return cautions_of(survey, acts)


def cautions_of_filter(survey: Survey) -> tuple[Caution, ...]:
    """What can hurt where the filter is pulled: that of the act itself first."""
    found = cautions_for(survey, "filter")
    return (
        *(c for c in found if c.id == "filter-out"),
        *(c for c in found if c.id != "filter-out"),
    )


# --- what was hidden -----------------------------------------------------------------------------

_TOLD: dict[str, str] = {
    "return-leak": "{share} of the blower's air is drawn in through leaks of the return side.",
    "loading": "Dust on {parts}: up to {times} times the clean drop.",
    "grade": "Another class than the survey says: {parts}, {word}.",
    "blower": "The blower moves {share} {more} air than its printed table says.",
    # True of a motor that holds its airflow as well: it turns faster for it.
    "dirt": "Dirt on the wheel takes {share} of the air that each turn of it moves.",
    "volts": "The unit gets {share} {more} voltage than its nominal one.",
    "coil": "The coil is dirty: it takes {times} times what a clean one does.",
    "crush": "Crushed or half shut: {parts}, up to {times} times the resistance of its length.",
    "register": "Register half shut: {parts}, up to {times} times the resistance of an open one.",
    "boot": "Boot badly joined: {parts}, up to {times} times the resistance of a good one.",
    "sag": "Hangs in folds, and nobody wrote it down: {parts}.",
    "size": "Another size than the survey says: {parts}.",
    "forgotten": "A fitting that nobody wrote down: {parts}.",
    "supply-leak": "{share} of the blower's air is lost before it reaches a room.",
}


def hidden_said(found: Iterable[Hidden], survey: Survey) -> tuple[Said, ...]:
    """What the survey did not say, each kind in one sentence."""
    kinds: dict[tuple[str, str], list[Hidden]] = {}
    for one in found:
        # Filters of two true classes are two sentences.
        kinds.setdefault((one.kind, one.word if one.kind == "grade" else ""), []).append(one)
    return tuple(_told(kind, ones, survey) for (kind, _), ones in kinds.items())


def _told(kind: str, ones: Sequence[Hidden], survey: Survey) -> Said:
    first = ones[0]
    most = max(one.amount for one in ones)
    off = first.amount - 1.0 if kind == "blower" else first.amount
    word = GRADES[first.word].label if first.word in GRADES else first.word
    return said(
        _TOLD[kind],
        parts=joined([_part(one, survey) for one in ones], "and"),
        share=(abs(off), "ratio"),
        more="more" if off > 0.0 else "less",
        times=f"{most:.1f}",
        word=word,
    )


def _part(one: Hidden, survey: Survey) -> str:
    if one.kind in ("loading", "grade"):
        return f"filter {one.at}"
    if one.kind == "crush" and one.at in {back.id for back in survey.returns or ()}:
        return f"return {one.at}"
    room = _room(one.at, survey)
    if one.kind == "size":
        branch = _branches(survey).get(one.at)
        written = f", not {duct_size(branch.duct)}" if branch else ""
        return f"{room} ({units.from_si(one.amount, 'in'):.0f}-inch{written})"
    if one.kind == "forgotten" and one.word in FITTINGS:
        return f"{room} ({FITTINGS[one.word].label.lower()})"
    return room


# --- parts by their rooms ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Line:
    """One line of what was surveyed: the part, and what was written of it."""

    part: str
    words: str


def _branches(survey: Survey) -> dict[str, Branch]:
    if survey.supply is None:
        return {}
    return {branch.id: branch for branch, _ in survey.supply.walk()}


def _room(part: str, survey: Survey) -> str:
    """The room that a run goes to; two runs to one room keep their ids."""
    branches = _branches(survey)
    if part not in branches:
        return part
    if branches[part].is_trunk:
        return f"trunk {part}"
    rooms = [one.room for one in branches.values()]
    room = branches[part].room
    return f"{room} ({part})" if room and rooms.count(room) > 1 else room or part
