"""What a reading says twice: the number as it was typed and its SI value, and when it was taken."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime

from inchwater import units
from inchwater.errors import InchwaterError, InputError
from inchwater.survey.form import short
from inchwater.survey.ranges import range_of
from inchwater.survey.schema import VALUE_KEYS
from inchwater.survey.trials import KINDS, Reading
from inchwater.survey.typed_numbers import measured, normal

_DECIMALS = re.compile(r"[^0-9.,]*[0-9]*[.,]([0-9]+)")


def typed_problems(where: str, reading: Reading) -> Iterator[InchwaterError]:
    """What contradicts itself in one reading.

    Parameters
    ----------
    where : str
        Its path in the document.
    reading : Reading
        With its SI value; the sign is the side's, so only magnitudes are held against each other.
    """
    kind = KINDS[reading.quantity]
    choices = [unit.name for unit in units.UNITS.values() if unit.kind == kind]
    if reading.unit not in choices:
        yield InputError(
            where=f"{where}.unit",
            came=f"{reading.unit!r} for {reading.id}",
            right=f"{reading.quantity} is given in {' or '.join(choices)}",
        )
        return
    if reading.taken is not None:
        yield from time_problem(f"{where}.taken", reading.taken, f" for {reading.id}")
    try:
        number, unit, _ = measured(where, reading.typed, reading.unit, kind)
    except InputError:
        return  # words, or nothing: they contradict no number
    si = abs(units.to_si(number, unit))
    if abs(abs(reading.value) - si) <= max(_rounding(reading.typed, unit), _near(si)):
        return
    base = next(name for name in choices if units.unit(name).factor == 1.0)
    label = units.unit(base).label
    yield InputError(
        where=f"{where}.{VALUE_KEYS[reading.quantity]}",
        came=f"{_number(reading.value)} {label} for {reading.id}",
        right=f"what was typed, {short(reading.typed)} in {units.unit(unit).label}, is "
        f"{_number(si)} {label}",
        do="Correct the one that is wrong.",
    )


def time_problem(where: str, text: str, of: str = "") -> Iterator[InchwaterError]:
    """What is wrong with a date and time as ISO 8601 writes it, if anything."""
    try:
        datetime.fromisoformat(text)
    except ValueError:
        yield InputError(
            where=where,
            came=f"{short(text)}{of}",
            right="a date and time such as 2026-03-02T09:10:00Z is wanted",
            do="Correct it, or leave it out.",
        )


def _rounding(typed: str, unit: str) -> float:
    """Half of the last place that was typed, in SI, and a hair more for the conversion."""
    found = _DECIMALS.match(normal(typed))
    places = 0 if found is None else len(found.group(1))
    return abs(units.to_si(0.500001 * 10.0**-places, unit))


def _near(si: float) -> float:
    return range_of("typed_beside_value").high * si


def _number(si: float) -> str:
    return f"{si:.4g}".replace("-", "−")
