"""What a change may hold: its keys, the parts it can be done to, and checks of both."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any, Literal, TypeVar, get_args

from inchwater import units
from inchwater.errors import InputError, UnknownNameError
from inchwater.survey.ducts import Jacket, Material, Slack, Supply
from inchwater.survey.facts import Fact
from inchwater.survey.form import listed
from inchwater.survey.job import Change, Survey
from inchwater.survey.ranges import range_of
from inchwater.survey.undescribed import coils_of, filters_of
from inchwater.survey.unit import CALLS, BlowerTable, Motor

_T = TypeVar("_T")

# The keys of ``to`` that each kind of change takes; a star marks what it cannot do without.
KEYS: Mapping[str, tuple[str, ...]] = {
    "filter": ("grade", "width", "height", "count", "rated_drop", "rated_airflow"),
    "grille": ("width", "height", "kind", "rated_drop", "rated_airflow"),
    "add-return": (
        "id*",
        "width*",
        "height*",
        "kind",
        "diameter",
        "length",
        "material",
        "slack",
        "fittings",
        "grade",
        "rated_drop",
        "rated_airflow",
    ),
    "enlarge-run": ("diameter", "width", "height", "material", "slack"),
    "tighten-run": (),
    "add-run": (
        "id*",
        "room",
        "diameter",
        "length",
        "material",
        "slack",
        "fittings",
        "width",
        "height",
        "kind",
    ),
    "fitting": ("from", "into"),
    "register": ("width", "height", "kind"),
    "tap": ("tap*",),
    "cabinet": (
        "id*",
        "grade*",
        "width*",
        "height*",
        "count",
        "rated_drop",
        "rated_airflow",
    ),
    "enlarge-return": (
        "diameter",
        "width",
        "height",
        "material",
        "slack",
        "length",
        "fittings",
    ),
    "shorten-run": ("length*", "fittings", "slack"),
    "move-run": ("at*", "length*", "into", "fittings", "slack"),
    "boot": ("into*",),
    "plenum": ("width", "height", "material", "into"),
    "damper": ("angle*",),
    "insulate": ("insulation*", "jacket"),
    "seal": ("airflow", "pressure"),
    "remove-bypass": (),
    "transfer": ("kind*", "width", "height", "diameter", "length", "material"),
    "clean-wheel": (),
    "clean-coil": (),
    "motor": ("motor*", "table", "tap"),
    "nothing": (),
}
SIDES: tuple[Literal["supply", "return"], ...] = ("supply", "return")
# What the facts among them are a quantity of; every other key holds a word, ``count`` a number.
_FACTS = {
    "width": "length",
    "height": "length",
    "diameter": "length",
    "length": "length",
    "rated_drop": "pressure",
    "rated_airflow": "airflow",
    "airflow": "airflow",
    "pressure": "pressure",
    "insulation": "insulation",
    "angle": "angle",
}
_RATING = ("rated_drop", "rated_airflow")
_CHOICES = {
    "material": get_args(Material),
    "slack": get_args(Slack),
    "jacket": get_args(Jacket),
    "motor": get_args(Motor),
}
_WAYS = ("undercut", "grille", "jumper")
# Kinds that are done to runs and not to trunks.
_RUNS = ("tighten-run", "register", "shorten-run", "move-run", "boot")


def targets_of(survey: Survey, kind: str) -> tuple[str, ...]:
    """The ids that a change of this kind can be done to, as far as the survey knows them.

    Parameters
    ----------
    survey : Survey
        What is installed.
    kind : str
        A kind of change, a key of :data:`KEYS`.
    """
    if kind in ("filter", "cabinet"):
        return tuple(one.id for one in filters_of(survey))
    if kind == "grille":
        # A common return has no grille of its own.
        return tuple(one.id for one in survey.returns or () if one.kind != "common")
    if kind in ("tap", "clean-wheel", "motor"):
        return ("unit", *CALLS) if kind == "tap" else ("unit",)
    if kind == "seal":
        return SIDES
    if kind == "clean-coil":
        return tuple(one.id for one in coils_of(survey))
    if kind == "transfer":
        return tuple(one.id for one in survey.rooms or ())
    if kind == "remove-bypass":
        return tuple(one.id for one in survey.bypasses or ())
    return _ducts_of(survey, kind)


def _ducts_of(survey: Survey, kind: str) -> tuple[str, ...]:
    """The ducts that a change of this kind can be done to."""
    supply = survey.supply
    branches = () if supply is None else tuple(branch for branch, _ in supply.walk())
    every = tuple(one.id for one in branches)
    returns = tuple(one.id for one in survey.returns or ())
    if kind in ("enlarge-run", *_RUNS):
        return tuple(one.id for one in branches if kind == "enlarge-run" or not one.is_trunk)
    if kind == "enlarge-return":
        return returns
    if kind in ("fitting", "insulate"):
        return (*every, *returns)
    if kind == "damper":
        return (*every, *returns, *(one.id for one in survey.bypasses or ()))
    if kind in ("add-run", "plenum") and supply is not None:
        trunks = tuple(one.id for one in branches if one.is_trunk and kind == "add-run")
        return (supply.id, *trunks)
    return ()


def check_keys(change: Change) -> None:
    """Refuse keys of ``to`` that this kind does not take, values that cannot be, and gaps.

    Raises
    ------
    UnknownNameError
        If a key or a word is not one of the choices.
    InputError
        If a value cannot be, or a key without which the change means nothing is missing.
    """
    where = f"changes.{change.id}.to"
    allowed = [key.rstrip("*") for key in KEYS[change.kind]]
    for key, value in change.to.items():
        if key not in allowed:
            raise UnknownNameError(
                where=where,
                came=repr(key),
                right=f"{change.kind} takes {', '.join(allowed) or 'nothing'}",
            )
        _check_value(f"{where}.{key}", key, value)
        if change.kind == "transfer" and key == "kind" and value not in _WAYS:
            raise UnknownNameError(
                where=f"{where}.kind", came=repr(value), right=f"kind is one of {', '.join(_WAYS)}"
            )
    for key in KEYS[change.kind]:
        if key.endswith("*") and key.rstrip("*") not in change.to:
            raise InputError(
                where=f"{where}.{key.rstrip('*')}",
                came="nothing",
                right=f"{change.kind} needs {', '.join(k[:-1] for k in _needed(change.kind))}",
            )


def check_rating(change: Change, holds_filter: bool) -> None:
    """Refuse half a rating, and the rating of a filter that the change does not bring.

    Raises
    ------
    InputError
        Names the key.
    """
    where = f"changes.{change.id}.to"
    given = [key for key in _RATING if key in change.to]
    if len(given) == 1:
        (missing,) = (key for key in _RATING if key not in change.to)
        raise InputError(
            where=f"{where}.{missing}",
            came="nothing",
            right="a rating is a drop at an airflow, both printed together",
            do="Add the other number of the rating, or leave both out.",
        )
    if given and not holds_filter:
        raise InputError(
            where=f"{where}.{given[0]}",
            came="a rating without a filter",
            right="a printed drop is a filter's, and this change brings none",
            do="Say which class of filter it holds, or leave the rating out.",
        )


def _needed(kind: str) -> list[str]:
    return [key for key in KEYS[kind] if key.endswith("*")]


def _check_value(where: str, key: str, value: Any) -> None:
    if key in _FACTS:
        if not isinstance(value, Fact):
            raise InputError(
                where=where, came=repr(value), right="a fact with value, unit and how is wanted"
            )
        if key == "angle":
            # An open blade stands at zero.
            wanted, unit = range_of("damper_angle"), units.unit(value.unit)
            if not wanted.holds(units.to_si(value.value, value.unit, "angle")):
                raise InputError(
                    where=where,
                    came=f"{value.value:g} {unit.label}",
                    right=f"damper blades run from {wanted.text(value.unit)}",
                )
        elif not 0.0 < units.to_si(value.value, value.unit, _FACTS[key]) < float("inf"):
            raise InputError(
                where=where, came=f"{value.value:g} {value.unit}", right="it is above zero"
            )
    elif key == "count":
        if not isinstance(value, int) or isinstance(value, bool) or value < 1:
            raise InputError(where=where, came=repr(value), right="a count is 1 or more")
    elif key == "fittings":
        if not isinstance(value, Collection) or isinstance(value, str):
            raise InputError(where=where, came=repr(value), right="a list of fittings is wanted")
    elif key == "table":
        if not isinstance(value, BlowerTable):
            raise InputError(where=where, came=repr(value), right="a blower table is wanted")
    elif not isinstance(value, str) or not value:
        raise InputError(where=where, came=repr(value), right="a word is wanted")
    elif key in _CHOICES and value not in _CHOICES[key]:
        raise UnknownNameError(
            where=where, came=repr(value), right=f"{key} is one of {', '.join(_CHOICES[key])}"
        )


def known_part(
    part: tuple[_T, ...] | None, change: Change, where: str, fact: str
) -> tuple[_T, ...]:
    """A part of the survey that is not unknown; the error says which fact to add first."""
    if part is None:
        raise InputError(
            where=where,
            came=f"a survey without {fact}",
            right=f"a change of kind {change.kind} needs to know them",
            do=f"Add the {fact} first, one line each.",
        )
    return part


def known_supply(survey: Survey, change: Change) -> Supply:
    """The supply with its runs; the error says to add them first."""
    if survey.supply is None or not survey.supply.branches:
        raise InputError(
            where="survey.supply" if survey.supply is None else "survey.supply.branches",
            came="a survey without runs",
            right=f"a change of kind {change.kind} needs the runs that exist",
            do="Add the runs first; one line such as 'seven 6-inch, about 25 ft' is enough.",
        )
    return survey.supply


def known_targets(survey: Survey, change: Change) -> tuple[str, ...]:
    """The ids that a change is done to, all of which exist; the error lists those that do."""
    if change.kind in ("enlarge-run", "add-run", "plenum", *_RUNS):
        known_supply(survey, change)
    there = targets_of(survey, change.kind)
    choices = listed(
        there,
        f"{change.kind} can be done to",
        f"no part is known yet that {change.kind} can be done to",
    )
    where = f"changes.{change.id}.targets"
    if not change.targets:
        raise InputError(where=where, came="no part", right=choices)
    for target in change.targets:
        if target not in there:
            raise UnknownNameError(where=where, came=repr(target), right=choices)
    return change.targets


def new_id(survey: Survey, change: Change) -> str:
    """The id of an added part, which no other part has."""
    id_ = str(change.to["id"])
    if id_ in survey.part_ids:
        raise InputError(
            where=f"changes.{change.id}.to.id",
            came=repr(id_),
            right="a new part needs an id that no other part has",
        )
    return id_


def check_some(change: Change) -> None:
    """Refuse a change that says nothing of what its parts become."""
    if not change.to:
        raise InputError(
            where=f"changes.{change.id}.to",
            came="nothing",
            right=f"{change.kind} needs at least one of {', '.join(KEYS[change.kind])}",
        )
