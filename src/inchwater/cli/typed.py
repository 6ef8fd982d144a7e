"""What is typed at the prompt, made into the job's own numbers by the survey's parsers."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from inchwater.cli import frame
from inchwater.errors import InputError

if TYPE_CHECKING:
    from inchwater.survey import Fact, Quantity, Reading

# What each option measures: the quantity of a reading, and the unit when none is typed with it.
QUANTITIES: dict[str, tuple[Quantity, str]] = {
    "static": ("static", "inwc"),
    "watts": ("power", "w"),
    "volts": ("voltage", "v"),
    "airflow": ("airflow", "cfm"),
    "drop": ("drop", "inwc"),
    "rise": ("temperature-rise", "degf_rise"),
    "speed": ("speed", "rpm"),
}
# How a field is called in an error, where that is not its option's name.
_CALLED = {"static": "Static at {at}", "drop": "Drop at {at}", "rise": "Temperature rise"}
PRESSURE_UNITS = ("inwc", "pa")


def pressure_unit(unit: str) -> str:
    """The unit of statics, checked."""
    return str(frame.one_of("--pressure-unit", unit, PRESSURE_UNITS))


def unit_of(text: str, unit: str, kind: str = "pressure") -> str:
    """The unit that was typed with a number, or else the one of the field."""
    from inchwater.survey.typed_numbers import measured

    try:
        return measured("", text, unit, kind)[1]
    except InputError:
        return unit


def reading(
    *,
    id_: str,
    name: str,
    at: str,
    text: str,
    unit: str,
    keep: bool,
    corrects: str | None = None,
) -> Reading:
    """A reading from what was typed, kept as it was typed.

    Parameters
    ----------
    id_ : str
        Its id.
    name : str
        The option, one of :data:`QUANTITIES`.
    at : str
        Its test point, or its part: ``run:r1``.
    text : str
        What was typed.
    unit : str
        Unit that counts when none is typed.
    keep : bool
        Whether a doubt is answered with *Keep*.
    corrects : str, optional
        The reading that it replaces.

    Raises
    ------
    DoubtError
        If another value was most likely meant.
    InputError
        If it is no number, or cannot be.
    """
    from inchwater.survey import KINDS, Reading, parse_reading

    quantity, default = QUANTITIES[name]
    kind = KINDS[quantity]
    field = pressure_unit(unit) if kind == "pressure" else default
    where = _CALLED.get(name, name.capitalize()).format(at=at)
    value = parse_reading(where, text, field, quantity, at, keep)
    return Reading(
        id=id_,
        at=at,
        quantity=quantity,
        typed=text.strip(),
        unit=unit_of(text, field, kind),
        value=value,
        taken=now(),
        corrects=corrects,
    )


def length(where: str, text: str, unit: str, kind: str) -> Fact:
    """A length of new work, as stated by whoever plans it."""
    return fact(where, text, unit, kind, "length")


def fact(where: str, text: str, unit: str, kind: str, of: str = "") -> Fact:
    """A quantity of new work, as stated by whoever plans it.

    Parameters
    ----------
    where : str
        The option.
    text : str
        What was typed.
    unit : str
        Unit that counts when none is typed.
    kind : str
        Key of ``ranges.csv``.
    of : str
        Kind of quantity; that of ``kind``'s range if "".
    """
    from inchwater.survey import Fact, How
    from inchwater.survey.ranges import range_of
    from inchwater.survey.typed import parse_quantity

    return Fact.of(parse_quantity(where, text, unit, kind), of or range_of(kind).kind, How.STATED)


def now() -> str:
    """This moment as a job file writes it."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
