"""What is typed in a field becomes a value, or an error that says what would be right.

The numbers are read by ``survey.typed``; here a field finds its reader, and the unit in which a
number was typed is kept beside it.
"""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from datetime import date
from typing import Any, cast

from inchwater import units as conversion
from inchwater.app.visits.fields import NONE, Field
from inchwater.app.visits.values import Size, Typed, number_text
from inchwater.errors import InputError, UnknownNameError
from inchwater.survey import Quantity, parse_reading
from inchwater.survey import typed as reader
from inchwater.survey.facts import UNITS_BY_KIND, shortest
from inchwater.survey.typed_numbers import measured
from inchwater.units import System

# The key of ranges.csv against which a field is held, where its quantity alone does not say.
_RANGES = {
    "tesp_rating": "tesp_rating",
    "filter_rated_drop": "rated_drop",
    "filter.rated-drop": "rated_drop",
    "cabinet.rated-drop": "rated_drop",
    "heat_kit_power": "heat_power",
    "bypass_damper": "damper_angle",
    "damper.angle": "damper_angle",
    "sensible_share": "sensible_share",
    "duct_air": "duct_air",
    "duct_dew_point": "duct_air",
    "cell1_tesp": "table_tesp",
    "cell2_tesp": "table_tesp",
    "cell3_tesp": "table_tesp",
    "cell1_airflow": "table_airflow",
    "cell2_airflow": "table_airflow",
    "cell3_airflow": "table_airflow",
}
_QUANTITY_RANGES = {"length": "duct_diameter", "run_length": "duct_length", "time": "running"}
# Fields of several lines, and those in which a line stands for several things.
_LONG = ("table", "lines")
_WORD = 200
_LINE = 2000
_PAGE = 20_000
_MOST = 12


@dataclass(frozen=True, slots=True)
class Measured:
    """A reading as it was typed: text, unit, SI value with its sign, and a doubt that was kept."""

    typed: str
    unit: str
    si: float
    doubt: str = ""
    moved: bool = False


def parse(
    field: Field, text: str, units: System, *, keep: bool = False, point: str | None = None
) -> Any:
    """The value of what was typed in a field.

    Parameters
    ----------
    field : Field
        Decides what is read.
    text : str
        As it was typed; blank is unknown.
    units : str
        The page's units, which count when none is typed.
    keep : bool
        Whether the answer to a doubt was *Keep*.
    point : str, optional
        The test point of a reading; it gives the sign of a static.

    Returns
    -------
    Measured, Typed, Size, str, int, tuple, list of dict, or None
        By the field's kind; None is unknown.

    Raises
    ------
    InchwaterError
        If it cannot be right, or (DoubtError) most likely is not.
    """
    if not text.strip():
        return None
    if field.kind not in _LONG and len(text) > _LINE:
        raise InputError(
            where=field.label,
            came=f"{len(text)} characters",
            right=f"at most {_LINE} are read here",
            do="Say it in fewer words.",
        )
    if field.is_reading:
        return _reading(field, text, units, keep, point or field.point or "")
    return _BY_KIND[field.kind](field, text.strip(), units, keep)


def understood(field: Field, value: Any, units: System) -> str:
    """A value as it was understood, in the page's units and with their label."""
    if isinstance(value, Measured | Typed):
        kind = field.quantity or ""
        si = value.si if field.signed else abs(value.si)
        _, text, label = conversion.shown(si, kind, units)
        return f"{text} {label}".strip()
    if isinstance(value, Size):
        name = conversion.SHOWN["length"][units][0]
        sides = [
            conversion.from_si(conversion.to_si(side, value.unit), name)
            for side in (value.width, value.height)
        ]
        label = conversion.unit(name).label
        return f"{' × '.join(number_text(round(side, 1)) for side in sides)} {label}"
    if field.kind == "choice":
        return field.label_of(str(value))
    if field.kind == "choices":
        return ", ".join(field.label_of(word) for word in value)
    if field.kind == "table":
        taps = list(dict.fromkeys(row["tap"] for row in value))
        return f"{len(value)} cells, taps {', '.join(taps)}"
    if field.kind == "lines":
        return f"{len(value)} lines" if len(value) != 1 else "1 line"
    if field.name == "calls":
        return ", ".join(f"{call} on {tap}" for call, tap in value.items())
    if field.name == "trial2_state":
        return ", ".join(" ".join(part for part in one if part) for one in value)
    if field.name == "runs":
        count = sum(group.count for group in value)
        return f"{count} runs" if count != 1 else "1 run"
    return ", ".join(value) if isinstance(value, tuple) else str(value)


# --- numbers ------------------------------------------------------------------------------------


def _reading(field: Field, text: str, units: System, keep: bool, point: str) -> Measured:
    unit = field.unit(units) or ""
    quantity = cast(Quantity, field.reading)
    si = parse_reading(field.label, text, unit, quantity, point, keep)
    doubt = _kept_doubt(field, text, unit, quantity, point) if keep else ""
    typed = _in_its_unit(field, text, unit, abs(si))
    return Measured(text.strip(), typed.unit, si, doubt)


def _kept_doubt(field: Field, text: str, unit: str, quantity: Quantity, point: str) -> str:
    try:
        parse_reading(field.label, text, unit, quantity, point)
    except InputError as doubt:
        return str(doubt)
    return ""


def _quantity(field: Field, text: str, units: System, keep: bool) -> Typed:
    unit = field.unit(units) or ""
    if field.quantity == "capacity":
        si = reader.parse_capacity(field.label, text, unit)
    else:
        quantity = field.quantity or ""
        key = _RANGES.get(field.name) or _QUANTITY_RANGES.get(quantity, quantity)
        si = reader.parse_quantity(field.label, text, unit, key, keep)
    return _in_its_unit(field, text, unit, si)


def _in_its_unit(field: Field, text: str, unit: str, si: float) -> Typed:
    """The number and the unit that were typed; the field's own unit if none was."""
    kind = conversion.kind_of(field.quantity or "")
    try:
        number, name, _ = measured(field.label, text, unit, kind)
    except InputError:
        # A plate's thousands of Btu/h, say, were understood and are no unit of a file.
        name, number = shortest(si, UNITS_BY_KIND[kind])
    return Typed(abs(number) if si >= 0 else number, name)


def _size(field: Field, text: str, units: System, keep: bool) -> Size:
    unit = field.unit(units) or ""
    sides = reader.parse_size(field.label, text, unit)
    if len(sides) < 2:
        raise InputError(
            where=field.label,
            came=repr(text),
            right="width and height are wanted, such as 20 × 25",
        )
    for name in (unit, *UNITS_BY_KIND["length"]):
        numbers = [round(conversion.from_si(side, name), 6) for side in sides[:2]]
        if all(
            conversion.to_si(number, name) == side
            for number, side in zip(numbers, sides[:2], strict=True)
        ):
            return Size(numbers[0], numbers[1], name)
    return Size(sides[0], sides[1], "m")


def _count(field: Field, text: str, units: System, keep: bool) -> int:
    return _whole(field, text, 1, _MOST)


def _year(field: Field, text: str, units: System, keep: bool) -> int:
    return _whole(field, text, 1700, date.today().year)


def _whole(field: Field, text: str, low: int, high: int) -> int:
    # A year has no thousands separator, and no count has a fraction.
    if not re.fullmatch(r"\d{1,4}", text) or not low <= int(text) <= high:
        raise InputError(
            where=field.label,
            came=repr(text[:40]),
            right=f"a whole number from {low} to {high} is wanted",
        )
    return int(text)


# --- words ----------------------------------------------------------------------------------------


def _choice(field: Field, text: str, units: System, keep: bool) -> str:
    if text not in {one.value for one in field.choices}:
        raise UnknownNameError(
            where=field.label,
            came=repr(text[:40]),
            right=f"one of {', '.join(one.value for one in field.choices)} is wanted",
        )
    return text


def _choices(field: Field, text: str, units: System, keep: bool) -> tuple[str, ...]:
    words = [word.strip() for word in text.split(",") if word.strip()]
    chosen = tuple(dict.fromkeys(_choice(field, word, units, keep) for word in words))
    if NONE in chosen and len(chosen) > 1:
        raise InputError(
            where=field.label,
            came=", ".join(chosen),
            right=f"“{field.label_of(NONE)}” stands alone",
            do="Take it away, or the others.",
        )
    return chosen


def _word(field: Field, text: str, units: System, keep: bool) -> str:
    if len(text) > _WORD or not text.isprintable():
        raise InputError(
            where=field.label,
            came=f"{len(text)} characters" if text.isprintable() else "a character of no script",
            right=f"a name of at most {_WORD} printable characters is wanted",
        )
    return text


def _line(field: Field, text: str, units: System, keep: bool) -> Any:
    if field.name == "runs":
        from inchwater.survey.typed_runs import parse_runs

        return parse_runs(text, field.label)
    if field.name == "rooms":
        # A room may be left unnamed between two others; commas at the end name none.
        names = text.rstrip(", ").split(",")
        return tuple(_word(field, name.strip(), units, keep) for name in names)
    if field.name == "calls":
        from inchwater.app.visits.aside_places import parse_calls

        return parse_calls(field.label, text)
    if field.name == "trial2_state":
        from inchwater.app.visits.states import parse_state

        return parse_state(field.label, text)
    return text


def _lines(field: Field, text: str, units: System, keep: bool) -> Any:
    from inchwater.app.visits.part_lines import parse_lines

    if len(text) > _PAGE:
        raise InputError(
            where=field.label,
            came=f"{len(text)} characters",
            right=f"at most {_PAGE} are read here",
            do="Say it in fewer words.",
        )
    return parse_lines(field.name, field.label, text, units)


def _table(field: Field, text: str, units: System, keep: bool) -> list[dict[str, Any]]:
    from inchwater.app.visits.table import rows_in_file
    from inchwater.survey import read_table

    # As an open file: a text without a line break would be taken for a path.
    return rows_in_file(read_table(io.StringIO(text)).rows)


_BY_KIND = {
    "quantity": _quantity,
    "size": _size,
    "count": _count,
    "year": _year,
    "choice": _choice,
    "choices": _choices,
    "word": _word,
    "line": _line,
    "lines": _lines,
    "table": _table,
}
