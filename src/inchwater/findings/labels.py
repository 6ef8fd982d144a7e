"""What a technician calls a part: its size and where it is, one alone or several alike together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inchwater import units
from inchwater.parts.filters import GRADES
from inchwater.survey.ducts import Branch, Duct, Grille, Return
from inchwater.survey.facts import Fact
from inchwater.survey.job import Survey
from inchwater.survey.unit import Filter

_NUMBERS = ("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten")
# What carries a return's air, by its kind.
_RETURNS = {
    "panned": "panned return",
    "stud": "stud-bay return",
    "platform": "return platform",
    "open": "open return plenum",
    "common": "common return",
}
# What stands for a whole side, or for what a side loses.
_LUMPS = {
    "return": "Return grille and duct",
    "supply": "Supply ducts and registers",
    "return:leak": "Return leaks, air drawn in",
    "supply:leak": "Supply leaks, air lost",
}
_BYPASSES = {"humidifier": "Humidifier", "damper": "Bypass with its damper"}


def counted(number: int, noun: str) -> str:
    """``Seven 6-inch runs``: a number written out up to ten, and the noun in the plural."""
    word = _NUMBERS[number] if number < len(_NUMBERS) else str(number)
    return f"{word} {noun}" if number == 1 else f"{word} {noun}s"


def inches(fact: Fact | None) -> str:
    """``6-inch`` or ``150 mm``, as the fact was given; empty where it is unknown."""
    if fact is None:
        return ""
    if fact.unit == "in":
        return f"{fact.value:g}-inch"
    if fact.unit == "ft":
        return f"{units.from_si(fact.si, 'in'):g}-inch"
    return f"{units.from_si(fact.si, 'mm'):.0f} mm"


def face_size(face: Grille | None) -> str:
    """``20 × 25`` or ``508 × 635 mm``; empty where a side is unknown."""
    return "" if face is None else _sides(face.width, face.height)


def duct_size(duct: Duct) -> str:
    """``6-inch``, ``16 × 8`` or ``14 × 8 oval``; empty where it is unknown."""
    if duct.shape in (None, "round") and duct.diameter is not None:
        return inches(duct.diameter)
    sides = _sides(duct.width, duct.height)
    return f"{sides} oval" if sides and duct.shape == "oval" else sides


def _sides(width: Fact | None, height: Fact | None) -> str:
    if width is None or height is None:
        return ""
    if width.unit == height.unit == "in":
        return f"{width.value:g} × {height.value:g}"
    return f"{units.from_si(width.si, 'mm'):.0f} × {units.from_si(height.si, 'mm'):.0f} mm"


def part_label(key: str, survey: Survey) -> str:
    """What one part of a solution is called; empty where the survey has no such part.

    Parameters
    ----------
    key : str
        A part's key: ``run:r1``, ``return:g1:grille``, ``filter:f1``.
    survey : Survey
        Where its size and its room stand.
    """
    kind, _, id_ = key.partition(":")
    runs = survey.runs_by_id
    if kind in ("run", "register") and id_ in runs:
        return (run_label if kind == "run" else register_label)((id_,), runs)
    if kind == "trunk":
        return trunk_label(id_, survey)
    if kind == "filter":
        one = next((f for f in survey.filters or () if f.id == id_), None)
        return filter_label(one, 1) + _of_return(one, survey)
    if kind == "coil":
        return coil_label(id_, survey)
    if key in _LUMPS:
        return _LUMPS[key]
    if kind == "return":
        name, _, what = id_.partition(":")
        back = next((r for r in survey.returns or () if r.id == name), None)
        return return_label(back, what, 1, survey)
    if kind == "bypass":
        way = next((b for b in survey.bypasses or () if b.id == id_), None)
        return "" if way is None else _BYPASSES.get(way.kind or "", "Bypass")
    return ""


def run_label(ids: Sequence[str], runs: Mapping[str, Branch]) -> str:
    """``6-inch run, den``, or ``Seven 6-inch runs, all together``."""
    run = runs.get(ids[0])
    size = duct_size(run.duct) if run else ""
    noun = f"{size} run" if size else "supply run"
    if len(ids) > 1:
        return f"{counted(len(ids), noun)}, all together"
    return f"{noun[0].upper()}{noun[1:]}, {run.room if run and run.room else ids[0]}"


def register_label(ids: Sequence[str], runs: Mapping[str, Branch]) -> str:
    """``Register with its boot, den``, or ``Seven registers with their boots``."""
    if len(ids) > 1:
        return f"{counted(len(ids), 'register')} with their boots"
    run = runs.get(ids[0])
    return f"Register with its boot, {run.room if run and run.room else ids[0]}"


def opening_label(key: str, survey: Survey) -> str:
    """Where air comes out or goes in: ``Register r1, den``, ``Return grille, 20 × 20, hall``.

    Parameters
    ----------
    key : str
        ``register:<run id>`` or ``grille:<return id>``.
    """
    kind, _, id_ = key.partition(":")
    if kind == "grille":
        one = next((r for r in survey.returns or () if r.id == id_), None)
        return return_label(one, "grille", 1, survey)
    runs = survey.supply.runs if survey.supply else ()
    room = next((run.room for run in runs if run.id == id_), None)
    # Two registers of one room are told apart by what the survey calls their runs.
    return ", ".join(part for part in (f"Register {id_}", room) if part)


def trunk_label(id_: str, survey: Survey) -> str:
    """``Supply trunk, 16 × 8``; with its name where there are several."""
    trunks = [b for b, _ in survey.supply.walk() if b.is_trunk] if survey.supply else []
    one = next((branch for branch in trunks if branch.id == id_), None)
    size = duct_size(one.duct) if one else ""
    name = f"Supply trunk {id_}" if len(trunks) > 1 else "Supply trunk"
    return f"{name}, {size}" if size else name


def coil_label(id_: str, survey: Survey) -> str:
    """The coil, and whether it stands in the cabinet."""
    coil = next((c for c in survey.coils or () if c.id == id_), None)
    inside = coil is not None and coil.inside_unit
    return "Cooling coil, in the cabinet" if inside else "Cooling coil"


def filter_label(one: Filter | None, many: int) -> str:
    """``Filter, 16 × 25, 1 in pleated``, or ``Two filters, side by side``."""
    if one is None:
        return "Filter"
    what = GRADES[one.grade].label if one.grade else ""
    size = face_size(Grille(one.width, one.height))
    detail = ", ".join(part for part in (size, what) if part)
    name = "Filter" if many == 1 else f"{counted(many, 'filter')}, side by side"
    return f"{name}, {detail}" if detail else name


def return_label(one: Return | None, what: str, many: int, survey: Survey) -> str:
    """A return's grille or duct; with its room or name where the survey has several returns."""
    if what == "grille":
        size = face_size(one.grille) if one else ""
        name = "Return grille" if many == 1 else counted(many, "return grille")
    else:
        size = duct_size(one.duct) if one else ""
        noun = _RETURNS.get((one.kind if one else None) or "", "return duct")
        name = noun[0].upper() + noun[1:] if many == 1 else counted(many, noun)
    where = _where(one, survey) if many == 1 else ""
    return ", ".join(part for part in (name, size, where) if part)


def _of_return(one: Filter | None, survey: Survey) -> str:
    """Which return's filter it is, where several have one."""
    owners = [r for r in survey.returns or () if one is not None and r.filter == one.id]
    where = _where(owners[0], survey) if owners else ""
    return f", {where}" if where else ""


def _where(one: Return | None, survey: Survey) -> str:
    if one is None or one.kind == "common" or len(survey.returns or ()) < 2:
        return ""
    return one.room or one.id
