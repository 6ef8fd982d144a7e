"""Fittings that sit where they cannot: a boot on a trunk, a return's box in the supply.

What cannot be is a problem; what another fitting describes better, such as a collar of the plenum
on a run that leaves a trunk, is asked about.  A fitting that no table knows is the network's to
refuse.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from inchwater.errors import DoubtError, InchwaterError, InputError
from inchwater.survey.job import Survey

# What ``sits`` of ``data/fittings.csv`` says: ``plenum`` a collar in the plenum's wall, ``trunk``
# where a trunk's air divides, ``take-off`` either of the two, ``join`` where two returns meet,
# ``return`` a turn of a return, ``entry`` and ``exit`` the ends of a duct in the open, ``boot`` and
# ``box`` as they say, ``any`` on every duct.
_DIVIDES = ("plenum", "trunk", "take-off")
_TAKES_IN = ("entry", "join")
_ENDS = ("boot", "exit", "box")


@dataclass(frozen=True, slots=True)
class _Place:
    """One fitting on one part: where it is said, what it is, and what part it sits on."""

    where: str
    key: str
    sits: str
    part: str
    trunk: str | None = None
    is_trunk: bool = False


@cache
def where_fittings_sit() -> Mapping[str, str]:
    """Where each fitting of the parts' table can sit, from ``data/fittings.csv``."""
    text = files("inchwater.survey").joinpath("data/fittings.csv").read_text("utf-8")
    return {row["key"]: row["sits"] for row in csv.DictReader(text.splitlines())}


def fitting_problems(survey: Survey) -> Iterator[InchwaterError]:
    """Fittings that no part of this kind can have."""
    for one in _on_supply(survey):
        if one.is_trunk and one.sits in ("boot", "exit"):
            yield InputError(
                where=one.where,
                came=f"{one.key} on {one.part}, a trunk,",
                right="a boot or an open end stands where a run reaches its room",
                do="Move it to the runs that end there.",
            )
        elif one.sits in _TAKES_IN:
            yield InputError(
                where=one.where,
                came=f"{one.key} on {one.part}, in the supply,",
                right="this fitting takes air in, as a return does",
                do="Choose the supply's fitting, or move this one to its return.",
            )
    for one in _on_returns(survey):
        if one.sits in _DIVIDES:
            yield InputError(
                where=one.where,
                came=f"{one.key} on {one.part}, a return,",
                right="air comes together in a return and leaves by no take-off",
                do="Choose tee-join-90 where two returns meet, or move this one to its run.",
            )


def fitting_doubts(survey: Survey) -> Iterator[DoubtError]:
    """Fittings that most likely are meant for another place; one question for each fitting."""
    supply, back = tuple(_on_supply(survey)), tuple(_on_returns(survey))
    yield from _doubts(
        (one for one in supply if one.sits == "trunk" and one.trunk is None),
        "straight off the plenum",
        "this fitting stands where a trunk's air divides",
        "Use take-off-straight, or say which trunk it leaves.",
    )
    yield from _doubts(
        (one for one in supply if one.sits == "plenum" and one.trunk is not None),
        "off a trunk",
        "this fitting is a collar in the wall of the plenum",
        "Use trunk-take-off-90 or another one off a trunk, or keep it.",
    )
    yield from _doubts(
        (one for one in supply if one.sits == "return"),
        "in the supply",
        "this is the turn of a return",
        "Use an elbow such as elbow-90-mitred, or keep it.",
    )
    yield from _without_end(survey)
    yield from _doubts(
        (one for one in back if one.sits == "boot"),
        "a return",
        "air leaves a boot at a register and enters a return by its box",
        "Use return-box, or keep it.",
    )
    yield from _doubts(
        (one for one in back if one.sits == "join" and one.trunk is None),
        "which joins no other return",
        "this fitting stands where two returns become one",
        "Say which common return it leads into, or leave the fitting out.",
    )


def _without_end(survey: Survey) -> Iterator[DoubtError]:
    """Runs whose fittings are told but for the one by which the air comes into the room."""
    if survey.supply is None:
        return
    sits = where_fittings_sit()
    own = {
        branch.id: f"{path}.duct"
        for path, branch in survey.supply.walk_paths()
        if branch.duct.fittings is not None
    }
    found: dict[str, list[str]] = {}
    for run in survey.supply.runs:
        keys = run.duct.fittings
        if not keys or run.duct.register is not None or not all(key in sits for key in keys):
            continue
        if not any(sits[key] in _ENDS for key in keys):
            where = own.get(run.id, "run_like")
            found.setdefault(f"survey.supply.{where}.fittings", []).append(run.id)
    for where, runs in found.items():
        yield DoubtError(
            where=where,
            came=f"no boot, no register and no open end on {', '.join(runs)}",
            right="a run ends in a room",
            do="Add its boot, or duct-exit where it ends open, or keep it.",
        )


def _doubts(places: Iterable[_Place], there: str, right: str, do: str) -> Iterator[DoubtError]:
    """One doubt for each fitting that is wrong at the same place, with all its parts."""
    found: dict[tuple[str, str], dict[str, None]] = {}
    for one in places:
        found.setdefault((one.where, one.key), {})[one.part] = None
    for (where, key), parts in found.items():
        came = f"{key} on {', '.join(parts)}, {there},"
        yield DoubtError(where=where, came=came, right=right, do=do)


def _on_supply(survey: Survey) -> Iterator[_Place]:
    if survey.supply is None:
        return
    supply = survey.supply
    above = {branch.id: path[-1] if path else None for branch, path in supply.walk()}
    for path, branch in supply.walk_paths():
        where, keys = f"survey.supply.{path}.duct.fittings", branch.duct.fittings
        if keys is None and not branch.is_trunk:
            where, keys = "survey.supply.run_like.fittings", supply.run_like.fittings
        yield from _places(where, keys, branch.id, above[branch.id], branch.is_trunk)


def _on_returns(survey: Survey) -> Iterator[_Place]:
    for index, one in enumerate(survey.returns or ()):
        where = f"survey.returns[{index}].duct.fittings"
        yield from _places(where, one.duct.fittings, one.id, one.into)


def _places(
    where: str,
    keys: tuple[str, ...] | None,
    part: str,
    trunk: str | None,
    is_trunk: bool = False,
) -> Iterator[_Place]:
    sits = where_fittings_sit()
    for key in keys or ():
        if key in sits:
            yield _Place(where, key, sits[key], part, trunk, is_trunk)
