"""What a person types into a field becomes an SI number, or an error that says what would be right.

What could be right but most likely is not, such as pascals in a field of inches, is a DoubtError:
a question with a suggestion, and ``keep=True`` is the answer *Keep*.
"""

from __future__ import annotations

import math
import re
from typing import Literal

from inchwater import units
from inchwater.errors import DoubtError, InputError
from inchwater.survey.facts import UNITS_BY_KIND
from inchwater.survey.form import short
from inchwater.survey.ranges import Range, range_of, said_range
from inchwater.survey.typed_numbers import measured, normal, spelling, split

Side = Literal["return", "supply"]

# The range that a bare kind of quantity is held against.
_KEYS = {"pressure": "static", "length": "duct_length"}
# Below the first a number is told with its exponent, from the second on in groups of digits.
_SMALLEST, _GROUPED = 1e-6, 1e6


def parse_quantity(where: str, typed: str, unit: str, kind: str, keep: bool = False) -> float:
    """The SI value of a number with or without a unit behind it, held against what can be.

    Parameters
    ----------
    where : str
        The field's name, for the error.
    typed : str
        What was typed: ``8``, ``8 in``, ``200 mm``.
    unit : str
        Unit of the field, which counts when none is typed.
    kind : str
        Key of ``data/ranges.csv`` (``capacity``, ``flex_diameter``), or a kind of quantity.
    keep : bool
        Whether an answer to a doubt was *Keep*; it lifts questions, never limits.

    Returns
    -------
    float
        In the base SI unit of the kind.

    Raises
    ------
    DoubtError
        If another unit of the same kind is most likely meant.
    InputError
        If it is no number, the unit is unknown, or the value cannot be.
    """
    key = _KEYS.get(kind, kind)
    wanted = range_of(key)
    number, name, stated = measured(where, typed, unit, wanted.kind)
    si = units.to_si(number, name)
    if wanted.holds(si):
        return si
    came = f"{_plain(number)} {units.unit(name).label}"
    right = said_range(key, name)
    choices = UNITS_BY_KIND.get(kind, UNITS_BY_KIND[wanted.kind])
    meant = None if stated else wanted.meant(number, name, choices)
    if meant is None or keep:
        raise InputError(where=where, came=came, right=right, do="Check the number and its unit.")
    suggestion = _plain(_digits(units.from_si(units.to_si(number, meant), name), 3))
    label = units.unit(meant).label
    raise DoubtError(
        where=where,
        came=came,
        right=right,
        do=f"{_plain(number)} {label} is {suggestion}. Use {suggestion}, or type the unit.",
        suggestion=suggestion,
    )


def parse_static(where: str, typed: str, unit: str, side: Side, keep: bool = False) -> float:
    """Static pressure with the sign of its side, from a number that needs none.

    Parameters
    ----------
    where : str
        The field's name: ``Supply static``.
    typed : str
        What was typed: ``0.29``, ``-0,29``, ``0.29 in``, ``72 Pa``.
    unit : str
        Unit of the field, ``inwc`` or ``pa``; it counts when none is typed.
    side : str
        ``return`` (negative) or ``supply`` (positive).
    keep : bool
        Whether the answer to the doubt was *Keep*.

    Returns
    -------
    float
        Gauge to the surrounding space, negative on the return side. [Pa]

    Raises
    ------
    DoubtError
        If ducts seldom show such a pressure, with what was probably meant where the other unit or
        a lost decimal point explains it; or if a minus stands before a supply static, which is
        what swapped tubes show.
    InputError
        If it is no number, or more than any residential blower reaches.
    """
    signed, name, stated = measured(where, typed, unit, "pressure")
    number = abs(signed)
    label = units.unit(name).label
    came = f"{_plain(number)} {label}" if stated else _plain(number)
    if side == "supply" and signed < 0.0:
        raise _swapped(where, came, keep)
    si = units.to_si(number, name)
    usual, possible = range_of("static_usual"), range_of("static")
    if usual.holds(si) or (keep and possible.holds(si)):
        return -si if side == "return" else si
    right = f"Ducts show {_span(usual, name)}"
    offers = [] if keep else _meant_statics(typed, number, name, stated)
    if offers:
        used = [value for value, _ in offers]
        raise DoubtError(
            where=where,
            came=came,
            right=right,
            do=f"{'; '.join(said for _, said in offers)}. "
            f"{' / '.join(f'Use {value}' for value in used)} / Keep {came}",
            suggestion=used[0],
            other=used[1] if len(used) > 1 else "",
            keep=came,
        )
    if not possible.holds(si):
        bare = _plain(number)
        left_out = f"{bare} stays as you typed it and is left out. Check the gauge's unit"
        raise InputError(
            where=where,
            came=f"{bare} {label}",
            right=f"ducts show {_span(usual, name)} "
            f"and residential blowers reach at most {_plain(_at_most(possible, name))}",
            do=f"{left_out if keep else 'Check the unit'}, and read again.",
        )
    raise DoubtError(
        where=where,
        came=came,
        right=right,
        do=f"Check zero, tube and place, and read again. Type another / Keep {came}",
        keep=came,
    )


def parse_capacity(where: str, typed: str, unit: str = "ton") -> float:
    """Nominal cooling capacity, from tons, kW or the thousands of Btu/h of a plate.

    Parameters
    ----------
    where : str
        The field's name.
    typed : str
        What was typed: ``3``, ``3 ton``, ``36 kBtu/h``, ``36000 Btu/h``, ``10.5 kW``.
    unit : str
        Unit of the field, ``ton`` or ``kw_cooling``.

    Returns
    -------
    float
        [W]

    Raises
    ------
    DoubtError
        If Btu/h, thousands of Btu/h or kW are most likely meant.
    InputError
        If it is no number, or no unit has such a capacity.
    """
    wanted = range_of("capacity")
    number, word = split(where, typed)
    spelled = spelling(word)
    if spelled in _BTUH:
        si, came = units.to_si(number * _BTUH[spelled], "btuh"), short(typed).strip("'")
        if not wanted.holds(si):
            raise InputError(
                where=where,
                came=came,
                right=f"units run from {wanted.text('ton')}",
                do="Check the number on the plate.",
            )
        return si
    number, name, stated = measured(where, typed, unit, "capacity")
    si = units.to_si(number, name)
    if wanted.holds(si):
        return si
    label = units.unit(name).label
    came, right = f"{_plain(number)} {label}", f"units run from {wanted.text(name)}"
    candidates = {} if stated else _capacities(number, name)
    if not candidates:
        raise InputError(where=where, came=came, right=right, do="Check the number on the plate.")
    # Units are sold in half tons, so the reading that comes nearest to one was meant.
    meant = min(candidates, key=lambda one: _off_half_ton(candidates[one]))
    suggestion = _plain(_digits(units.from_si(candidates[meant], name), 3))
    raise DoubtError(
        where=where,
        came=_plain(number),
        right=right,
        do=f"{_plain(number)} {meant} is {suggestion}. Use {suggestion}, or type the unit.",
        suggestion=suggestion,
    )


def parse_altitude(where: str, typed: str, unit: str = "ft") -> float:
    """Altitude of the site [m], from ``5280``, ``5,280 ft`` or ``1600 m``."""
    return parse_quantity(where, typed, unit, "altitude")


def parse_volts(where: str, typed: str) -> float:
    """Voltage at the unit under load [V], from ``238`` or ``238 V``."""
    return parse_quantity(where, typed, "v", "voltage")


def parse_watts(where: str, typed: str) -> float:
    """Power of the blower [W], from ``410``, ``410 W`` or ``0.41 kW``."""
    return parse_quantity(where, typed, "w", "power")


def parse_airflow(where: str, typed: str, unit: str = "cfm") -> float:
    """Airflow [m3/s], from ``1,200``, ``1200 cfm`` or ``560 L/s``."""
    return parse_quantity(where, typed, unit, "airflow")


def parse_length(where: str, typed: str, unit: str = "ft") -> float:
    """Length of a piece of duct [m], from ``25``, ``25 ft``, ``25'`` or ``8 m``."""
    return parse_quantity(where, typed, unit, "duct_length")


def parse_diameter(where: str, typed: str, unit: str = "in", material: str | None = None) -> float:
    """Diameter of a duct [m], from ``6``, ``6"``, ``6-inch`` or ``150 mm``."""
    key = "flex_diameter" if material == "flex" else "duct_diameter"
    return parse_quantity(where, typed, unit, key)


def parse_size(where: str, typed: str, unit: str = "in") -> tuple[float, ...]:
    """A nominal size [m] of one to three numbers, from ``20x25``, ``20 × 25 × 1`` or ``6"``.

    Parameters
    ----------
    where : str
        The field's name.
    typed : str
        Width, height and depth with ``x``, ``×``, ``*`` or ``by`` between them.
    unit : str
        Unit of the field; a unit behind the last number counts for all that have none.

    Returns
    -------
    tuple of float
        One to three lengths. [m]

    Raises
    ------
    DoubtError
        If another unit is most likely meant.
    InputError
        If it is no size, or one of the numbers cannot be.
    """
    pieces = [piece for piece in re.split(r"\s*(?:[x×*]|\bby\b)\s*", typed.strip(), flags=re.I)]
    if len(pieces) > 3 or not all(pieces):
        raise InputError(
            where=where,
            came=short(typed) if typed.strip() else "nothing",
            right="a size such as 20 × 25 or 20 × 25 × 1 is wanted",
        )
    _, last = split(where, pieces[-1])
    for index, piece in enumerate(pieces):
        if last and not split(where, piece)[1]:
            pieces[index] = f"{piece} {last}"
    keys = ("face", "face", "filter_depth")
    return tuple(
        parse_quantity(where, piece, unit, key) for piece, key in zip(pieces, keys, strict=False)
    )


# --- what they share ---------------------------------------------------------------------------

# A manometer shows hundredths of an inch, so two digits alone have lost their point.
_HUNDREDTHS = re.compile("[+-]?0?[0-9]{2}")


def _swapped(where: str, came: str, keep: bool) -> InputError:
    """What is asked of a minus before a supply static; it cannot be kept, only read again."""
    right, check = "static on the supply side is positive", "Check that the two tubes were not "
    if keep:
        return InputError(
            where=where, came=f"−{came}", right=right, do=f"{check}swapped, and read again."
        )
    return DoubtError(
        where=where,
        came=f"−{came}",
        right=right,
        do=f"{check}swapped. Use {came}, or read again.",
        suggestion=came,
    )


def _meant_statics(typed: str, number: float, name: str, stated: bool) -> list[tuple[str, str]]:
    """What else a static could be, likeliest first: what to type, and why.

    A unit that was typed is doubted only where the pressure is so low that nobody reads it.
    """
    usual = range_of("static_usual")
    label = units.unit(name).label
    found = []
    if name == "inwc" and not stated and _HUNDREDTHS.fullmatch(normal(typed)):
        pointed = number / 100.0
        if usual.holds(units.to_si(pointed, name)):
            found.append((f"{pointed:.2f}", f"{_plain(number)} with its point is {pointed:.2f}"))
    meant = usual.meant(number, name, UNITS_BY_KIND["pressure"])
    if meant is None:
        return found
    other = f"{_plain(number)} {units.unit(meant).label}"
    if not stated:
        system: units.System = "ip" if name == "inwc" else "si"
        suggestion = units.shown(units.to_si(number, meant), "pressure", system)[1]
        found.append((suggestion, f"{other} is {suggestion}"))
    elif units.to_si(number, name) < usual.low:
        found.append((other, f"{other} is more usual than {_plain(number)} {label}"))
    return found


_BTUH = {
    **dict.fromkeys(("btu/h", "btuh", "btu", "btu/hr"), 1.0),
    **dict.fromkeys(("kbtu/h", "kbtuh", "kbtu", "kbtu/hr", "mbh", "mbtu/h", "mbtuh"), 1000.0),
}


def _capacities(number: float, name: str) -> dict[str, float]:
    """What else a number could be as a capacity [W], by what it would then be called."""
    readings = {
        "kBtu/h": units.to_si(number * 1000.0, "btuh"),
        "Btu/h": units.to_si(number, "btuh"),
        "kW": units.to_si(number, "kw_cooling"),
        "ton": units.to_si(number, "ton"),
    }
    del readings[units.unit(name).label]
    return {word: si for word, si in readings.items() if range_of("capacity").holds(si)}


def _off_half_ton(capacity: float) -> float:
    tons = units.from_si(capacity, "ton")
    return abs(tons - max(0.5, round(2.0 * tons) / 2.0)) / tons


def _span(wanted: Range, unit: str) -> str:
    return wanted.text(unit).replace(" to ", "–")


def _at_most(wanted: Range, unit: str) -> float:
    return _digits(units.from_si(wanted.high, unit), 2)


def _digits(value: float, digits: int) -> float:
    if value == 0.0:
        return 0.0
    return round(value, digits - 1 - math.floor(math.log10(abs(value))))


def _plain(number: float) -> str:
    """A number as it is typed: no needless zeros, and commas where there are many digits."""
    if number != 0.0 and abs(number) < _SMALLEST:
        return f"{number:g}"
    text = f"{number:,.10f}" if abs(number) >= _GROUPED else f"{number:.10f}"
    return text.rstrip("0").rstrip(".")
