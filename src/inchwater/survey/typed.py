"""What a person types into a field becomes an SI number, or an error that says what would be right.

Decimal commas, thousands separators, a typographic minus and a unit behind the number are all
understood.  What could be right but most likely is not, such as pascals in a field of inches, is
a DoubtError: a question with a suggestion, and ``keep=True`` is the answer *Keep*.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping
from typing import Literal

from inchwater import units
from inchwater.errors import DoubtError, InputError
from inchwater.survey.facts import UNITS_BY_KIND
from inchwater.survey.form import short
from inchwater.survey.ranges import Range, range_of, said_range

Side = Literal["return", "supply"]

_LARGEST = 1e9
_SAME = str.maketrans(
    {
        **dict.fromkeys("−–—‐‑‒﹣-", "-"),
        **dict.fromkeys("\u00a0\u2007\u2009\u202f\u3000\t", " "),
        **dict.fromkeys("″”“〃", '"'),
        **dict.fromkeys("′’‘`´", "'"),
    }
)
# From the sign to the last digit that belongs to the number.
_NUMBER = re.compile(r"[+-]?\s*(?:[0-9.,' ]*[0-9])(?:[eE][+-]?[0-9]{1,4})?[.,]?(?![0-9])")
_GROUPED = re.compile(r"[0-9]{1,3}(?:([ '.,])[0-9]{3})(?:\1[0-9]{3})*")

# How people write each unit; lower case, without full stops and spaces.
_SPELLINGS: Mapping[str, Mapping[str, str]] = {
    "pressure": {
        **dict.fromkeys(
            (
                '"',
                "''",
                "in",
                "inch",
                "inches",
                "inwc",
                "inwg",
                "inh2o",
                "iwc",
                "iwg",
                '"wc',
                '"wg',
            ),
            "inwc",
        ),
        **dict.fromkeys(("wc", "wg", '"h2o', "incwc", "inchwc", "inches wc"), "inwc"),
        **dict.fromkeys(("pa", "pascal", "pascals"), "pa"),
    },
    "airflow": {
        **dict.fromkeys(("cfm", "ft3/min", "ft³/min", "cuft/min"), "cfm"),
        **dict.fromkeys(("l/s", "ls", "lps"), "ls"),
        **dict.fromkeys(("m3/h", "m³/h", "m3h", "cmh"), "m3h"),
        **dict.fromkeys(("m3/s", "m³/s", "m3s"), "m3s"),
    },
    "length": {
        **dict.fromkeys(('"', "''", "in", "inch", "inches"), "in"),
        **dict.fromkeys(("'", "ft", "foot", "feet"), "ft"),
        **dict.fromkeys(("mm", "millimeters", "millimetres"), "mm"),
        **dict.fromkeys(("m", "meter", "meters", "metre", "metres"), "m"),
    },
    "power": {**dict.fromkeys(("w", "watt", "watts"), "w"), "kw": "kw"},
    "voltage": dict.fromkeys(("v", "volt", "volts", "vac"), "v"),
    "capacity": {
        **dict.fromkeys(("ton", "tons", "tr"), "ton"),
        **dict.fromkeys(("kw", "kilowatt", "kilowatts"), "kw_cooling"),
    },
    "airflow_per_capacity": {"cfm/ton": "cfm_ton", "l/s/kw": "ls_kw"},
}
# The range that a bare kind of quantity is held against.
_KEYS = {"pressure": "static", "length": "duct_length"}


def parse_number(where: str, typed: str) -> float:
    """The number that somebody typed.

    Parameters
    ----------
    where : str
        The field's name, for the error.
    typed : str
        What was typed: ``0.29``, ``0,29``, ``1,200``, ``1 200.5``, ``−3``.

    Returns
    -------
    float
        Finite. [as typed]

    Raises
    ------
    InputError
        If it is empty, no number, has something behind it, or is beyond all use.

    Notes
    -----
    A single comma is a decimal comma, unless exactly three digits follow and the number does not
    start with zero: ``1,200`` is twelve hundred, ``0,290`` is 0.29.
    """
    number, unit = _split(where, typed)
    if unit:
        raise InputError(
            where=where,
            came=short(typed),
            right="a number alone is wanted",
            do=f"Leave {short(unit)} out.",
        )
    return number


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
    number, name, stated = _measured(where, typed, unit, wanted.kind)
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
    """Static pressure with the sign of its side, from a number whose sign is free.

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
        If ducts seldom show such a pressure; with a suggestion when the other unit explains it.
    InputError
        If it is no number, or more than any residential blower reaches.
    """
    signed, name, stated = _measured(where, typed, unit, "pressure")
    number = abs(signed)
    si = units.to_si(number, name)
    usual, possible = range_of("static_usual"), range_of("static")
    sign = -1.0 if side == "return" else 1.0
    if usual.holds(si) or (keep and possible.holds(si)):
        return sign * si
    came = _plain(number)
    right = f"Ducts show {_span(usual, name)}"
    meant = None if stated or keep else usual.meant(number, name, UNITS_BY_KIND["pressure"])
    if meant is not None:
        suggestion = units.shown(
            units.to_si(number, meant), "pressure", "ip" if name == "inwc" else "si"
        )[1]
        label = units.unit(meant).label
        raise DoubtError(
            where=where,
            came=came,
            right=right,
            do=f"{came} {label} is {suggestion}. Use {suggestion} / Keep {came}",
            suggestion=suggestion,
        )
    if not possible.holds(si):
        label = units.unit(name).label
        raise InputError(
            where=where,
            came=f"{came} {label}",
            right=f"ducts show {_span(usual, name)} "
            f"and residential blowers reach at most {_plain(_at_most(possible, name))}",
            do="Check the unit, and read again.",
        )
    raise DoubtError(
        where=where,
        came=came,
        right=right,
        do=f"Check zero, tube and place, and read again. Type another / Keep {came}",
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
    number, word = _split(where, typed)
    spelled = _spelling(word)
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
    number, name, stated = _measured(where, typed, unit, "capacity")
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
    _, last = _split(where, pieces[-1])
    for index, piece in enumerate(pieces):
        if last and not _split(where, piece)[1]:
            pieces[index] = f"{piece} {last}"
    keys = ("face", "face", "filter_depth")
    return tuple(
        parse_quantity(where, piece, unit, key) for piece, key in zip(pieces, keys, strict=False)
    )


# --- numbers and units ---------------------------------------------------------------------------

_BTUH = {
    **dict.fromkeys(("btu/h", "btuh", "btu", "btu/hr"), 1.0),
    **dict.fromkeys(("kbtu/h", "kbtuh", "kbtu", "kbtu/hr", "mbh", "mbtu/h", "mbtuh"), 1000.0),
}


def _split(where: str, typed: str) -> tuple[float, str]:
    """The number at the start of what was typed, and what stands behind it."""
    text = normal(typed)
    if not text:
        raise InputError(where=where, came="nothing", right="a number is wanted")
    found = _NUMBER.match(text)
    if found is None:
        raise InputError(where=where, came=short(typed), right="a number is wanted")
    number = _float(found.group())
    if number is None:
        raise InputError(
            where=where, came=short(typed), right="one number such as 0.29 or 1,200 is wanted"
        )
    if not abs(number) <= _LARGEST:
        raise InputError(where=where, came=short(typed), right="no quantity is that large")
    return number, text[found.end() :].strip()


def normal(typed: str) -> str:
    """What was typed with one sign each for minus, inch, foot, space and every digit."""
    text = "".join(
        str(unicodedata.decimal(char)) if unicodedata.decimal(char, None) is not None else char
        for char in typed
    )
    return text.translate(_SAME).strip()


def _float(text: str) -> float | None:
    """A number from its text in any of the usual ways to write it; None if it is none of them."""
    sign = -1.0 if text.startswith("-") else 1.0
    mantissa, _, exponent = text.lstrip("+-").strip().lower().partition("e")
    mantissa = mantissa.removesuffix(",").removesuffix(".")
    whole, point, decimals = _decimal(mantissa)
    if not re.fullmatch("[0-9]*", decimals) or not (whole or decimals):
        return None
    grouped = _GROUPED.fullmatch(whole)
    if grouped is not None and (point == "" or grouped.group(1) != point):
        whole = whole.replace(grouped.group(1), "")
    if not re.fullmatch("[0-9]*", whole):
        return None
    return sign * float(f"{whole or '0'}.{decimals or '0'}e{exponent or '0'}")


def _decimal(mantissa: str) -> tuple[str, str, str]:
    """Split at the decimal point or comma, if there is one."""
    dots, commas = mantissa.count("."), mantissa.count(",")
    if dots and commas:
        return mantissa.rpartition("." if mantissa.rfind(".") > mantissa.rfind(",") else ",")
    if dots == 1:
        return mantissa.partition(".")
    if commas == 1 and not re.fullmatch("[1-9][0-9]{0,2},[0-9]{3}", mantissa):
        return mantissa.partition(",")
    return mantissa, "", ""


def _spelling(word: str) -> str:
    return re.sub(r"[\s.\-]", "", word.lower())


def _measured(where: str, typed: str, unit: str, kind: str) -> tuple[float, str, bool]:
    """Number, unit, and whether the unit was typed."""
    number, word = _split(where, typed)
    spelled = _spelling(word)
    if not spelled:
        return number, unit, False
    known = _SPELLINGS[kind]
    if spelled not in known:
        labels = dict.fromkeys(units.unit(name).label for name in known.values())
        raise InputError(
            where=where,
            came=short(typed),
            right=f"a number in {' or '.join(labels)} is wanted",
        )
    return number, known[spelled], True


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
    """A number as it is typed: no exponent, no needless zeros."""
    return f"{number:.10g}" if 1e-4 <= abs(number) < 1e10 or number == 0.0 else f"{number:g}"
