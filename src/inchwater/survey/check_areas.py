"""Sizes of two parts that do not fit each other: all of them are asked about, none is refused.

A house can hold a 10 in run off a 6 in trunk; it is still more often a slip of the finger.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from inchwater import units
from inchwater.errors import DoubtError
from inchwater.survey.ducts import Duct, Grille, filled, shape_of
from inchwater.survey.facts import Fact
from inchwater.survey.job import Survey
from inchwater.survey.ranges import range_of


def area_doubts(survey: Survey) -> Iterator[DoubtError]:
    """Branches larger than their trunk, registers and grilles that choke, filters too large."""
    yield from _supply_doubts(survey)
    yield from _return_doubts(survey)
    yield from _filter_doubts(survey)


def _supply_doubts(survey: Survey) -> Iterator[DoubtError]:
    if survey.supply is None:
        return
    supply = survey.supply
    ducts = {
        branch.id: branch.duct if branch.is_trunk else filled(branch.duct, supply.run_like)
        for branch, _ in supply.walk()
    }
    above = {branch.id: path[-1] for branch, path in supply.walk() if path}
    for path, branch in supply.walk_paths():
        where, duct = f"survey.supply.{path}.duct", ducts[branch.id]
        if branch.id in above:
            trunk = above[branch.id]
            yield from _wider(where, branch.id, duct, "off", trunk, ducts[trunk])
        if not branch.is_trunk:
            yield from _chokes(where, "register", branch.id, duct.register, duct)


def _return_doubts(survey: Survey) -> Iterator[DoubtError]:
    returns = {one.id: one for one in survey.returns or ()}
    for index, one in enumerate(survey.returns or ()):
        where = f"survey.returns[{index}]"
        yield from _chokes(where, "grille", one.id, one.grille, one.duct)
        if one.into in returns:
            into = returns[one.into]
            yield from _wider(f"{where}.duct", one.id, one.duct, "into", into.id, into.duct)


def _wider(
    where: str, part: str, duct: Duct, joint: str, trunk: str, other: Duct
) -> Iterator[DoubtError]:
    area, common = duct_area(duct), duct_area(other)
    if not area or not common or range_of("branch_of_trunk").holds(area / common):
        return
    yield DoubtError(
        where=where,
        came=f"{part}, {duct_words(duct)}, {joint} {trunk}, {duct_words(other)},",
        right="a duct is no larger than the trunk or common return that it is joined to",
        do="Check both sizes, and keep them if they are so.",
    )


def _chokes(
    where: str, face: str, part: str, grille: Grille | None, duct: Duct
) -> Iterator[DoubtError]:
    area = duct_area(duct)
    if not area or grille is None or grille.width is None or grille.height is None:
        return
    ratio = grille.width.si * grille.height.si / area
    wanted = range_of("face_of_duct")
    if wanted.holds(ratio):
        return
    size = f"{_sides(grille.width, grille.height)} on {part}, {duct_words(duct)},"
    yield DoubtError(
        where=f"{where}.{face}",
        came=f"a {face} of {size}",
        right=f"a {face} is seldom less than half, or more than {wanted.high:g} times, its duct",
        do="Check both sizes, and keep them if they are so.",
    )


def _filter_doubts(survey: Survey) -> Iterator[DoubtError]:
    filters = {one.id: one for one in survey.filters or ()}
    for index, back in enumerate(survey.returns or ()):
        inside, grille = filters.get(back.filter or ""), back.grille
        if inside is None or grille is None or inside.count != 1:
            continue
        if inside.width is None or inside.height is None:
            continue
        if grille.width is None or grille.height is None:
            continue
        slack = range_of("filter_over_grille").high
        pairs = zip(
            sorted((inside.width.si, inside.height.si)),
            sorted((grille.width.si, grille.height.si)),
            strict=True,
        )
        if any(side > opening + slack for side, opening in pairs):
            yield DoubtError(
                where=f"survey.returns[{index}].filter",
                came=(
                    f"{inside.id}, {_sides(inside.width, inside.height)}, in the grille of "
                    f"{back.id}, {_sides(grille.width, grille.height)},"
                ),
                right="a filter in a grille is no larger than the grille",
                do="Check both sizes, or say that the filter sits at the unit.",
            )


def duct_area(duct: Duct) -> float | None:
    """Free area of a duct whose size is known, else None; a flat oval has round ends. [m2]"""
    shape = shape_of(duct)
    if shape == "round":
        return None if duct.diameter is None else math.pi / 4.0 * duct.diameter.si**2
    if duct.width is None or duct.height is None:
        return None
    major, minor = duct.width.si, duct.height.si
    if shape == "oval":
        return math.pi / 4.0 * minor**2 + minor * (major - minor)
    return major * minor


def duct_words(duct: Duct) -> str:
    """The size of a duct as it was given: ``6 in``, ``14 × 8 in``, ``10 × 6 in oval``."""
    if duct.width is None or duct.height is None:
        return "" if duct.diameter is None else f"{duct.diameter.value:g} {_label(duct.diameter)}"
    return _sides(duct.width, duct.height) + (" oval" if duct.shape == "oval" else "")


def _sides(width: Fact, height: Fact) -> str:
    if width.unit == height.unit:
        return f"{width.value:g} × {height.value:g} {_label(width)}"
    return f"{width.value:g} {_label(width)} × {height.value:g} {_label(height)}"


def _label(fact: Fact) -> str:
    return units.unit(fact.unit).label
