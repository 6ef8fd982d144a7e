"""The restrictions of a system as a technician names them, equal runs together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from inchwater import units
from inchwater.parts.filters import GRADES
from inchwater.survey.ducts import Branch, Duct, Grille
from inchwater.survey.facts import Fact
from inchwater.survey.job import Survey
from inchwater.survey.unit import Filter

if TYPE_CHECKING:
    from inchwater.forecast import Prediction

_NUMBERS = ("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten")


@dataclass(frozen=True, slots=True)
class Group:
    """Parts that one line stands for: their keys in the solution, a label, the side.

    ``guidance`` is the row of ``guidance.csv``; ``alike`` whether the parts differ in nothing that
    was told, so that readings of the whole cannot say which of them is at fault; ``rank`` orders
    the groups of one side as the air meets them.
    """

    key: str
    label: str
    side: str
    parts: tuple[str, ...]
    guidance: str
    alike: bool = False
    rank: int = 0


def groups(prediction: Prediction, survey: Survey) -> tuple[Group, ...]:
    """The groups of a prediction's parts, in the air's order.

    Parameters
    ----------
    prediction : Prediction
        Its solution's part keys are what is grouped.
    survey : Survey
        The survey that the prediction is of; labels come from it.
    """
    # A leak is no restriction: closing it is another kind of work.
    keys = tuple(key for key in prediction.solution.drop if "leak" not in key)
    runs = {f"run:{run.id}": run for run in survey.supply.runs} if survey.supply else {}
    found: dict[str, list[str]] = {}
    for key in keys:
        found.setdefault(_group_key(key, runs, survey), []).append(key)
    made = [_group(name, tuple(parts), runs, survey) for name, parts in found.items()]
    return tuple(sorted(made, key=_order))


def group_drop(prediction: Prediction, group: Group) -> NDArray[np.float64]:
    """What the group takes of the pressure (sample,). [Pa]

    Notes
    -----
    Parts side by side share their ends, so theirs is the mean weighted by flow, not the sum.
    """
    solution = prediction.solution
    drops = np.stack([np.asarray(solution.drop[key], dtype=float) for key in group.parts])
    if len(group.parts) == 1:
        return np.asarray(drops[0])
    weights = np.abs(
        np.stack([np.asarray(solution.part_flow[key], dtype=float) for key in group.parts])
    )
    return np.asarray(np.sum(weights * drops, axis=0) / np.sum(weights, axis=0))


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


# --- names -------------------------------------------------------------------------------------


def _group_key(key: str, runs: dict[str, Branch], survey: Survey) -> str:
    """Parts with the same answer stand in one group."""
    kind, _, rest = key.partition(":")
    if kind in ("run", "register") and f"run:{rest}" in runs:
        above = _above(rest, survey)
        duct = runs[f"run:{rest}"].duct
        return f"{kind} {duct.material}/{duct.diameter}/{duct.slack} {above}"
    if kind == "filter":
        one = next((f for f in survey.filters or () if f.id == key.split(":")[1]), None)
        return f"filters {_filter_key(one)}" if one and one.at == "grille" else key
    if kind == "return":
        one_return = next((r for r in survey.returns or () if r.id == key.split(":")[1]), None)
        if one_return is not None:
            what = key.split(":")[2] if key.count(":") > 1 else ""
            face = _size(one_return.grille) if what == "grille" else ""
            return f"returns {what} {one_return.kind} {face} {_duct_key(one_return.duct)}"
    return key


def _above(id_: str, survey: Survey) -> tuple[str, ...]:
    branches = survey.supply.walk() if survey.supply else ()
    return next((path for branch, path in branches if branch.id == id_), ())


def _duct_key(duct: Duct) -> str:
    return f"{duct.material}/{duct.diameter}/{duct.slack}"


def _filter_key(one: Filter) -> str:
    return f"{one.at}/{one.grade}/{one.width}/{one.height}/{one.condition}/{one.count}"


def _group(name: str, parts: tuple[str, ...], runs: dict[str, Branch], survey: Survey) -> Group:
    first = parts[0]
    kind, _, rest = first.partition(":")
    many = len(parts)
    key = first if many == 1 else f"{kind}s:{'+'.join(p.split(':')[1] for p in parts)}"
    if kind == "run":
        return Group(key, _run_label(parts, runs), "supply", parts, "supply", many > 1, 1)
    if kind == "register":
        return Group(key, _register_label(parts, runs), "supply", parts, "supply", many > 1, 2)
    if kind == "filter":
        one = next((f for f in survey.filters or () if f.id == rest), None)
        return Group(key, _filter_label(one, many), "return", parts, "filter", many > 1, _rank(one))
    if kind == "coil":
        coil = next((c for c in survey.coils or () if c.id == rest), None)
        inside = coil is not None and coil.inside_unit
        label = "Cooling coil, in the cabinet" if inside else "Cooling coil"
        return Group(key, label, "unit", parts, "coil")
    if kind == "trunk":
        return Group(key, _trunk_label(rest, survey), "supply", parts, "supply")
    if kind == "return" and rest:
        return _return_group(key, parts, survey)
    if kind == "return":
        return Group(key, "Return grille and duct", "return", parts, "return")
    if kind == "supply":
        return Group(key, "Supply ducts and registers", "supply", parts, "supply")
    return Group(key, first.replace(":", " ").capitalize(), "supply", parts, "supply")


def _run_label(parts: tuple[str, ...], runs: dict[str, Branch]) -> str:
    run = runs.get(parts[0])
    size = inches(run.duct.diameter) if run else ""
    noun = f"{size} run" if size else "supply run"
    if len(parts) > 1:
        return f"{counted(len(parts), noun)}, all together"
    name = (run.room if run and run.room else parts[0].partition(":")[2]) or ""
    return f"{noun[0].upper()}{noun[1:]}, {name}"


def _register_label(parts: tuple[str, ...], runs: dict[str, Branch]) -> str:
    if len(parts) > 1:
        return f"{counted(len(parts), 'register')} with their boots"
    id_ = parts[0].partition(":")[2]
    run = runs.get(f"run:{id_}")
    return f"Register with its boot, {run.room if run and run.room else id_}"


def _filter_label(one: Filter | None, many: int) -> str:
    if one is None:
        return "Filter"
    what = GRADES[one.grade].label if one.grade else ""
    size = _size(Grille(one.width, one.height))
    detail = ", ".join(part for part in (size, what) if part)
    name = "Filter" if many == 1 else f"{counted(many, 'filter')}, side by side"
    return f"{name}, {detail}" if detail else name


def _size(face: Grille | None) -> str:
    if face is None or face.width is None or face.height is None:
        return ""
    if face.width.unit == face.height.unit == "in":
        return f"{face.width.value:g} × {face.height.value:g}"
    return (
        f"{units.from_si(face.width.si, 'mm'):.0f} × {units.from_si(face.height.si, 'mm'):.0f} mm"
    )


def _trunk_label(id_: str, survey: Survey) -> str:
    branch = (
        next((b for b, _ in survey.supply.walk() if b.id == id_), None) if (survey.supply) else None
    )
    size = inches(branch.duct.diameter) if branch else ""
    return f"Supply trunk, {size}" if size else "Supply trunk"


def _return_group(key: str, parts: tuple[str, ...], survey: Survey) -> Group:
    id_, _, what = parts[0].partition(":")[2].partition(":")
    one = next((r for r in survey.returns or () if r.id == id_), None)
    many = len(parts)
    if what == "grille":
        size = _size(one.grille) if one else ""
        name = "Return grille" if many == 1 else counted(many, "return grille")
        label = f"{name}, {size}" if size else name
        return Group(key, label, "return", parts, "grille", many > 1)
    kind = one.kind if one else None
    size = inches(one.duct.diameter) if one else ""
    noun = {
        "panned": "panned return",
        "platform": "return platform",
        "open": "open return plenum",
    }.get(kind or "", "return duct")
    name = noun[0].upper() + noun[1:] if many == 1 else counted(many, noun)
    return Group(key, f"{name}, {size}" if size else name, "return", parts, "return", many > 1, 2)


def _rank(one: Filter | None) -> int:
    """A filter in a grille comes before the return duct, one at the unit after it."""
    return 1 if one is not None and one.at == "grille" else 3


def _order(group: Group) -> tuple[int, int]:
    return {"return": 0, "unit": 1, "supply": 2}[group.side], group.rank
