"""The ten changes that a technician would think of first, made from what the survey says."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from inchwater import units
from inchwater.rehearsal.generate_work import FILTER_SIZES, GRILLES
from inchwater.survey import Branch, Change, Duct, Fact, How, Survey

_LARGER = (*FILTER_SIZES, (30, 30), (36, 30))
_LARGER_GRILLES = (*GRILLES, (36, 24), (36, 30))
_LARGER_REGISTERS = ((10, 6), (12, 6), (14, 6), (14, 8), (14, 10))
# What is exchanged for what, the most promising first.
_BETTER = (
    ("flex-bend-tight", "flex-bend-wide"),
    ("elbow-90-mitred", "elbow-90-smooth"),
    ("trunk-take-off-top", "trunk-take-off-45"),
    ("take-off-elbow", "take-off-tapered"),
    ("trunk-take-off-90", "trunk-take-off-45"),
    ("take-off-straight", "take-off-tapered"),
    ("boot-angle", "boot-box"),
    ("flex-bend-90", "flex-bend-wide"),
    ("elbow-90-gored", "elbow-90-smooth"),
    ("boot-straight", "boot-ceiling"),
    ("take-off-tapered", "take-off-rounded"),
    ("trunk-take-off-tapered", "trunk-take-off-45"),
    ("boot-box", "boot-straight"),
)


def usual_changes(survey: Survey, tap: str) -> tuple[Change, ...]:
    """Ten changes, ``ch1`` to ``ch10``; the last sets the cooling call to ``tap``."""
    pulled = _pulled_tight(survey)
    made = [
        _other_filter(survey),
        _bigger_filter(survey),
        _larger_grille(survey),
        _added_return(survey),
        _enlarged_runs(survey),
        pulled,
        _added_run(survey),
        # A metal house without trunks has had its elbows exchanged already.
        _exchange(survey, tuple(pair for pair in _BETTER if pair[0] != pulled[2].get("from"))),
        _larger_registers(survey),
        ("tap", ("unit",), {"tap": tap}),
    ]
    return tuple(
        Change(f"ch{number}", kind, targets, to)
        for number, (kind, targets, to) in enumerate(made, 1)
    )


Made = tuple[str, tuple[str, ...], Mapping[str, Any]]


def _seen(value: float, unit: str) -> Fact:
    return Fact(float(value), unit, How.SEEN)


def _size(size: tuple[int, int]) -> dict[str, Fact]:
    return {"width": _seen(size[0], "in"), "height": _seen(size[1], "in")}


def _face(width: Fact | None, height: Fact | None) -> float:
    return 0.0 if width is None or height is None else width.si * height.si


def _next_size(area: float, sizes: tuple[tuple[int, int], ...]) -> tuple[int, int]:
    """The smallest size of at least this face [m2], or the largest there is."""
    by_area = sorted(sizes, key=lambda one: one[0] * one[1])
    inch = units.to_si(1.0, "in") ** 2
    return next((one for one in by_area if one[0] * one[1] * inch >= area), by_area[-1])


def _runs(survey: Survey) -> tuple[Branch, ...]:
    return () if survey.supply is None else survey.supply.runs


def _trunks(survey: Survey) -> Iterator[Branch]:
    if survey.supply is not None:
        yield from (branch for branch, _ in survey.supply.walk() if branch.is_trunk)


# --- filters and returns -----------------------------------------------------------------------


def _other_filter(survey: Survey) -> Made:
    filters = survey.filters or ()
    grade = filters[0].grade or "pleat-1in-merv8"
    if grade.startswith("pleat-1in"):
        grade = "pleat-1in-merv8"
    return "filter", tuple(one.id for one in filters), {"grade": grade}


def _bigger_filter(survey: Survey) -> Made:
    filters = survey.filters or ()
    ids = tuple(one.id for one in filters)
    if filters[0].at == "grille":
        return "filter", ids, {"grade": "media-4in-merv11"}
    one = filters[0]
    size = _next_size(1.15 * _face(one.width, one.height), _LARGER)
    grade = one.grade if (one.grade or "").startswith("media") else "media-4in-merv11"
    return "filter", ids, {"grade": grade, **_size(size)}


def _larger_grille(survey: Survey) -> Made:
    backs = [one for one in survey.returns or () if one.kind != "common" and one.grille]
    area = max(_face(one.grille.width, one.grille.height) for one in backs if one.grille)
    held = any(one.filter for one in backs)
    size = _next_size(1.4 * area, _LARGER if held else _LARGER_GRILLES)
    return "grille", tuple(one.id for one in backs), _size(size)


def _added_return(survey: Survey) -> Made:
    large = survey.unit.capacity.si > units.to_si(2.75, "ton")
    to: dict[str, Any] = {
        "id": "gn",
        **_size((25, 20) if large else (20, 20)),
        "diameter": _seen(14 if large else 12, "in"),
        "length": _seen(12, "ft"),
        "material": "flex",
        "fittings": ("return-box", "flex-bend-90"),
    }
    if survey.filters and survey.filters[0].at == "grille":
        to["grade"] = "pleat-1in-merv8"
    return "add-return", (), to


# --- supply ------------------------------------------------------------------------------------


def _restriction(duct: Duct) -> float:
    """How restrictive a run looks: its length, its bends and its sag, over its section squared."""
    if duct.diameter is None or duct.length is None:
        return 0.0
    slack = {"tight": 1.5, "slack": 4.0, "draped": 7.0, "kinked": 10.0}.get(duct.slack or "", 1.5)
    friction = 0.02 * slack * duct.length.si / duct.diameter.si
    return (friction + 0.6 * len(duct.fittings or ())) / duct.diameter.si**4


def _enlarged_runs(survey: Survey) -> Made:
    worst = sorted(_runs(survey), key=lambda run: -_restriction(run.duct))[:2]
    width = max(round(units.from_si(_width(run.duct), "in")) for run in worst)
    return "enlarge-run", tuple(run.id for run in worst), {"diameter": _seen(width + 2, "in")}


def _width(duct: Duct) -> float:
    return duct.diameter.si if duct.diameter is not None else 0.15


def _pulled_tight(survey: Survey) -> Made:
    flex = tuple(run.id for run in _runs(survey) if run.duct.material == "flex")
    if flex:
        return "tighten-run", flex, {}
    for trunk in _trunks(survey):
        duct = trunk.duct
        if duct.width is not None and duct.height is not None:
            area = duct.width.si * duct.height.si
        else:
            area = math.pi / 4.0 * _width(duct) ** 2
        width = math.ceil(units.from_si(math.sqrt(4.0 * 1.5 * area / math.pi), "in"))
        to = {"diameter": _seen(width, "in"), "material": "metal"}
        return "enlarge-run", (trunk.id,), to
    elbows = tuple(pair for pair in _BETTER if pair[0].startswith("elbow"))
    return _exchange(survey, (*elbows, *_BETTER))


def _added_run(survey: Survey) -> Made:
    trunk = next(_trunks(survey), None)
    flex = any(run.duct.material == "flex" for run in _runs(survey))
    first = "take-off-straight" if trunk is None else "trunk-take-off-90"
    bend = "flex-bend-90" if flex else "elbow-90-gored"
    to: dict[str, Any] = {
        "id": "rn",
        "room": "added",
        "diameter": _seen(8 if survey.unit.capacity.si > units.to_si(2.75, "ton") else 7, "in"),
        "length": _seen(16, "ft"),
        "material": "flex" if flex else "metal",
        "fittings": (first, bend, "boot-angle"),
        **_size((12, 6)),
        "kind": "register-bar",
    }
    return "add-run", ("plenum" if trunk is None else trunk.id,), to


def _exchange(survey: Survey, pairs: tuple[tuple[str, str], ...]) -> Made:
    runs = _runs(survey)
    found = Counter(key for run in runs for key in set(run.duct.fittings or ()))
    # One that most runs have, else the one that the most have.
    old, new = max(
        pairs,
        key=lambda pair: (found[pair[0]] * 2 >= len(runs), found[pair[0]] > 0, -pairs.index(pair)),
    )
    targets = tuple(run.id for run in runs if old in (run.duct.fittings or ()))
    return "fitting", targets, {"from": old, "into": new}


def _larger_registers(survey: Survey) -> Made:
    faces = [
        (run.id, _face(run.duct.register.width, run.duct.register.height))
        for run in _runs(survey)
        if run.duct.register is not None
    ]
    middle = sorted(face for _, face in faces)[len(faces) // 2]
    size = _next_size(1.5 * middle, _LARGER_REGISTERS)
    inch = units.to_si(1.0, "in") ** 2
    smaller = tuple(id_ for id_, face in faces if face < size[0] * size[1] * inch * 0.999)
    return "register", smaller, _size(size)
