"""The restrictions of a system as a technician names them, equal runs together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from inchwater.findings import labels
from inchwater.survey.ducts import Branch, Duct
from inchwater.survey.job import Survey
from inchwater.survey.unit import Filter

if TYPE_CHECKING:
    from inchwater.forecast import Prediction


# Ranks on the return side: behind grille, filter and duct of each return.
COMMON, AT_UNIT = 3, 4
# What stands beside the air's way through the unit and not in it.
_ASIDE = ("bypass", "door", "room", "transfer")


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
    keys = tuple(key for key in prediction.solution.drop if not _is_aside(key))
    runs = survey.runs_by_id
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


# --- which parts stand together ------------------------------------------------------------------


def _is_aside(key: str) -> bool:
    """Whether a part is no restriction: closing a leak or a bypass is another kind of work."""
    return "leak" in key or key.partition(":")[0] in _ASIDE


def _group_key(key: str, runs: dict[str, Branch], survey: Survey) -> str:
    """Parts with the same answer stand in one group."""
    kind, _, rest = key.partition(":")
    if kind in ("run", "register") and rest in runs:
        above = _above(rest, survey)
        return f"{kind} {_duct_key(runs[rest].duct)} {above}"
    if kind == "filter":
        one = next((f for f in survey.filters or () if f.id == key.split(":")[1]), None)
        return f"filters {_filter_key(one)}" if one and one.at == "grille" else key
    if kind == "return":
        one_return = next((r for r in survey.returns or () if r.id == key.split(":")[1]), None)
        if one_return is not None:
            what = key.split(":")[2] if key.count(":") > 1 else ""
            face = labels.face_size(one_return.grille) if what == "grille" else ""
            return f"returns {what} {one_return.kind} {face} {_duct_key(one_return.duct)}"
    return key


def _above(id_: str, survey: Survey) -> tuple[str, ...]:
    branches = survey.supply.walk() if survey.supply else ()
    return next((path for branch, path in branches if branch.id == id_), ())


def _duct_key(duct: Duct) -> str:
    size = f"{duct.shape}/{duct.diameter}/{duct.width}/{duct.height}"
    return f"{duct.material}/{size}/{duct.slack}"


def _filter_key(one: Filter) -> str:
    return f"{one.at}/{one.grade}/{one.width}/{one.height}/{one.condition}/{one.count}"


def _group(name: str, parts: tuple[str, ...], runs: dict[str, Branch], survey: Survey) -> Group:
    first = parts[0]
    kind, _, rest = first.partition(":")
    many = len(parts)
    ids = [part.split(":")[1] for part in parts if ":" in part]
    key = first if many == 1 else f"{kind}s:{'+'.join(ids)}"
    if kind == "run":
        return Group(key, labels.run_label(ids, runs), "supply", parts, "supply", many > 1, 1)
    if kind == "register":
        return Group(key, labels.register_label(ids, runs), "supply", parts, "supply", many > 1, 2)
    if kind == "filter":
        one = next((f for f in survey.filters or () if f.id == rest), None)
        label = labels.filter_label(one, many)
        return Group(key, label, "return", parts, "filter", many > 1, _rank(one))
    if kind == "coil":
        return Group(key, labels.coil_label(rest, survey), "unit", parts, "coil")
    if kind == "heater":
        return Group(key, "Electric heat", "unit", parts, "heater")
    if kind == "trunk":
        return Group(key, labels.trunk_label(rest, survey), "supply", parts, "supply")
    if kind == "return" and rest:
        return _return_group(key, parts, survey)
    if kind == "return":
        return Group(key, "Return grille and duct", "return", parts, "return")
    if kind == "supply":
        return Group(key, "Supply ducts and registers", "supply", parts, "supply")
    return Group(key, first.replace(":", " ").capitalize(), "supply", parts, "supply")


def _return_group(key: str, parts: tuple[str, ...], survey: Survey) -> Group:
    id_, _, what = parts[0].partition(":")[2].partition(":")
    one = next((r for r in survey.returns or () if r.id == id_), None)
    many = len(parts)
    label = labels.return_label(one, what, many, survey)
    if what == "grille":
        return Group(key, label, "return", parts, "grille", many > 1)
    # What others lead into comes after them.
    rank = COMMON if one is not None and one.kind == "common" else 2
    return Group(key, label, "return", parts, "return", many > 1, rank)


def _rank(one: Filter | None) -> int:
    """A filter in a grille comes before the return duct, one at the unit after it."""
    return 1 if one is not None and one.at == "grille" else AT_UNIT


def _order(group: Group) -> tuple[int, int]:
    return {"return": 0, "unit": 1, "supply": 2}[group.side], group.rank
