"""Readings that cannot be right on a system in a condition: their place, their sign, their size."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from inchwater import units
from inchwater.errors import InchwaterError, InputError, UnknownNameError
from inchwater.survey.form import listed
from inchwater.survey.job import Survey
from inchwater.survey.ranges import range_key, range_of, said_range
from inchwater.survey.trials import KINDS, READ_AT, RETURN_SIDE, Reading, place_of, places_said
from inchwater.survey.undescribed import coils_of, filters_of, grilles_of

_IN_A_DUCT = ("trunk:", "run:")
# The word of each kind of part, and of several, where a reading points at one.
_PARTS = {
    "trunk:": ("trunk", "trunks"),
    "run:": ("run", "runs"),
    "register:": ("run", "runs"),
    "return:": ("return", "returns with a grille"),
    "grille:": ("return", "returns with a grille"),
    "filter:": ("filter", "filters"),
    "coil:": ("coil", "coils"),
}
_NO_CHOICE: Mapping[str, str] = {}


def reading_problems(
    where: str, reading: Reading, survey: Survey, condition: Mapping[str, str] = _NO_CHOICE
) -> Iterator[InchwaterError]:
    """What is wrong with one reading on this system: its place, its sign, its size.

    Parameters
    ----------
    where : str
        Its path in the document, or the field's name.
    reading : Reading
        With its SI value.
    survey : Survey
        What was installed while it was taken.
    condition : mapping
        What was temporary then, as in :class:`Trial`.
    """
    if not math.isfinite(reading.value):
        yield InputError(where=where, came=str(reading.value), right="a number is wanted")
        return
    kind, id_ = place_of(reading.at)
    if kind not in READ_AT[reading.quantity]:
        yield InputError(
            where=f"{where}.at",
            came=f"{reading.quantity} at {reading.at}",
            right=f"{reading.quantity} is read at {places_said(reading.quantity)}",
        )
        return
    wrong = [*_place_problems(where, reading, survey)]
    yield from wrong
    if reading.quantity in ("static", "drop"):
        yield from _pressure_problems(where, reading)
    else:
        yield from _size_problems(where, reading)
    if not wrong:
        yield from _condition_problems(where, reading, kind, id_, condition)
    if reading.quantity == "temperature-rise":
        yield from _heat_problems(where, survey, condition)


def _size_problems(where: str, reading: Reading) -> Iterator[InchwaterError]:
    kind = KINDS[reading.quantity]
    key = range_key(reading.quantity, reading.at)
    if range_of(key).holds(reading.value):
        return
    unit = units.SHOWN[kind]["ip"][0]
    number = f"{units.from_si(reading.value, unit):g}".replace("-", "−")
    yield InputError(
        where=where,
        came=f"{number} {units.unit(unit).label}",
        right=said_range(key, unit),
    )


def _pressure_problems(where: str, reading: Reading) -> Iterator[InchwaterError]:
    pascals = f"{reading.value:.4g} Pa".replace("-", "−")
    if not range_of("static").holds(abs(reading.value)):
        yield InputError(
            where=where,
            came=pascals,
            right="residential blowers reach at most 1,200 Pa, 5 in. w.c.",
            do="Check the unit, and read again.",
        )
    kind, _ = place_of(reading.at)
    on_return = kind in RETURN_SIDE
    least = -range_of("beside_air").high if kind in _IN_A_DUCT else 0.0
    if reading.value <= 0.0 if on_return else reading.value >= least:
        return
    side, sign = ("return", "negative") if on_return else ("supply", "positive")
    right = f"static on the {side} side is {sign}"
    if reading.quantity == "drop":
        right = "a drop is positive: the side that the air comes from less the other"
    yield InputError(
        where=where,
        came=f"{pascals} at {reading.at}",
        right=right,
        do="Check that the two tubes were not swapped.",
    )


def _place_problems(where: str, reading: Reading, survey: Survey) -> Iterator[InchwaterError]:
    kind, id_ = place_of(reading.at)
    if kind in _PARTS:
        yield from _part_problems(where, kind, id_, survey)
    elif kind == "before-coil":
        cased = any(not coil.inside_unit for coil in survey.coils or ())
        if not cased and (survey.unit.kind != "furnace" or survey.coils is not None):
            yield no_place_before_coil(f"{where}.at", survey.unit.kind)
    elif (
        kind == "before-filter"
        and survey.filters is not None
        and not any(one.at == "unit" for one in survey.filters)
    ):
        yield InputError(
            where=f"{where}.at",
            came="before-filter",
            right="this system has no filter at the unit, so there is no place before it",
            do="Read at the return, or add the filter at the unit.",
        )


def _part_problems(where: str, kind: str, id_: str, survey: Survey) -> Iterator[InchwaterError]:
    ids = parts_read_at(survey, kind)
    if id_ in ids:
        coils = {coil.id: coil for coil in coils_of(survey)}
        if kind == "coil:" and coils[id_].inside_unit:
            yield InputError(
                where=f"{where}.at",
                came=f"the drop across {id_}",
                right="this coil stands inside the cabinet, where no probe reaches both its sides",
                do="Read the static on each side of the unit.",
            )
        return
    one, many = _PARTS[kind]
    yield UnknownNameError(
        where=f"{where}.at",
        came=repr(f"{kind}{id_}"),
        right=listed(ids, f"the {many} are", f"no {one} is known yet"),
        do=f"Add the {one} first.",
    )


def parts_read_at(survey: Survey, kind: str) -> tuple[str, ...]:
    """The ids of the parts of this system at which a kind of place can be.

    Parameters
    ----------
    kind : str
        ``trunk:``, ``run:``, ``return:``, ``filter:``, ``coil:``, ``register:`` or ``grille:``.
    """
    supply = survey.supply
    if kind == "trunk:":
        walked = () if supply is None else supply.walk()
        return tuple(branch.id for branch, _ in walked if branch.is_trunk)
    if kind in ("run:", "register:"):
        return () if supply is None else tuple(run.id for run in supply.runs)
    if kind in ("return:", "grille:"):
        return tuple(one.id for one in grilles_of(survey))
    if kind == "filter:":
        return tuple(one.id for one in filters_of(survey))
    return tuple(one.id for one in coils_of(survey))


def _condition_problems(
    where: str, reading: Reading, kind: str, id_: str, condition: Mapping[str, str]
) -> Iterator[InchwaterError]:
    """Readings at what the condition has taken out of the air's way."""
    if kind == "filter:" and condition.get(f"filter:{id_}") == "out":
        came, right = f"the drop across {id_}", f"filter {id_} is out in this trial"
    elif kind == "register:" and condition.get(f"run:{id_}", "").startswith("pulled"):
        came, right = f"the airflow at {id_}", f"run {id_} is pulled off in this trial"
    elif kind == "run:" and condition.get(f"run:{id_}", "").startswith("pulled"):
        came, right = f"the static in {id_}", f"run {id_} is pulled off in this trial"
    else:
        return
    yield InputError(
        where=f"{where}.at",
        came=came,
        right=right,
        do="Enter it in the trial in which it was read.",
    )


def _heat_problems(
    where: str, survey: Survey, condition: Mapping[str, str]
) -> Iterator[InchwaterError]:
    call = condition.get("call")
    if survey.unit.heat == "none":
        yield InputError(
            where=where,
            came="a temperature rise",
            right="this unit is said to have no heat",
            do="Correct what heats it, or leave the reading out.",
        )
    elif call != "heating":
        said = "that says no call" if call is None else f"with the call {call}"
        yield InputError(
            where=where,
            came=f"a temperature rise in a trial {said}",
            right="the heat is known in a full heating call only: the plate prints it for that",
            do="Read it in a heating call, all stages on, and say call heating.",
        )


def no_place_before_coil(where: str, kind: str) -> InputError:
    """The error of a reading before a coil that nobody can reach with a probe."""
    coil = {
        "air-handler": "an air handler has its coil inside the cabinet",
        "packaged": "a packaged unit has its coil inside the cabinet",
        "furnace": "this furnace has no cased coil on it",
    }[kind]
    return InputError(
        where=where,
        came="before-coil",
        right=f"{coil}, so there is no test point between blower and coil",
        do="Read in the supply plenum, after the unit, and say after-coil.",
    )
