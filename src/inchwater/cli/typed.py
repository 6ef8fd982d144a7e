"""What is typed at the prompt, made into the job's own numbers by the survey's parsers."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from inchwater.cli import frame
from inchwater.errors import InputError

if TYPE_CHECKING:
    from inchwater.survey import Fact, Reading

# What each option measures: the quantity of a reading, and the unit when none is typed with it.
QUANTITIES = {
    "static": ("static", "inwc"),
    "watts": ("power", "w"),
    "volts": ("voltage", "v"),
    "airflow": ("airflow", "cfm"),
}
# The side of the blower that each test point is on.
SIDES = {
    "before-filter": "return",
    "return": "return",
    "before-coil": "supply",
    "supply": "supply",
}
PRESSURE_UNITS = ("inwc", "pa")


def static(where: str, text: str, unit: str, at: str, keep: bool) -> float:
    """A static pressure with the sign of its test point. [Pa]"""
    from inchwater.survey.typed import parse_static

    side = "return" if SIDES[at] == "return" else "supply"
    return parse_static(where, text, pressure_unit(unit), side, keep)  # type: ignore[arg-type]


def pressure_unit(unit: str) -> str:
    """The unit of statics, checked."""
    return str(frame.one_of("--pressure-unit", unit, PRESSURE_UNITS))


def unit_of(text: str, unit: str) -> str:
    """The pressure unit that was typed with a number, or else the one of the field."""
    from inchwater.survey.typed_numbers import measured

    try:
        return measured("", text, unit, "pressure")[1]
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
        The option: ``static``, ``watts``, ``volts`` or ``airflow``.
    at : str
        Its test point.
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
    from inchwater.survey import Reading
    from inchwater.survey.typed import parse_quantity

    quantity, default = QUANTITIES[name]
    if name == "static":
        value = static(f"Static at {at}", text, unit, at, keep)
        in_unit = unit_of(text, unit)
    else:
        value = parse_quantity(name.capitalize(), text, default, quantity, keep)
        in_unit = default
    return Reading(
        id=id_,
        at=at,
        quantity=quantity,  # type: ignore[arg-type]
        typed=text.strip(),
        unit=in_unit,
        value=value,
        taken=now(),
        corrects=corrects,
    )


def length(where: str, text: str, unit: str, kind: str) -> Fact:
    """A length of new work, as stated by whoever plans it."""
    from inchwater.survey import Fact, How
    from inchwater.survey.typed import parse_quantity

    return Fact.of(parse_quantity(where, text, unit, kind), "length", How.STATED)


def now() -> str:
    """This moment as a job file writes it."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
