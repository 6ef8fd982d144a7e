"""The number, and the unit, in what a person typed.

Decimal commas, thousands separators, a typographic minus and a unit behind the number are all
understood; nothing is guessed where two readings are as good.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping

from inchwater import units
from inchwater.errors import InputError, joined
from inchwater.survey.form import short

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
_FRACTION = re.compile(r"(?:\b([0-9]+)(?:\s*-\s*|\s+))?(?<![0-9/])([0-9]{1,2})/([0-9]{1,2})\b")
_VULGAR = {
    "½": " 1/2",
    "¼": " 1/4",
    "¾": " 3/4",
    "⅛": " 1/8",
    "⅜": " 3/8",
    "⅝": " 5/8",
    "⅞": " 7/8",
}

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
    "power": {
        **dict.fromkeys(("w", "watt", "watts"), "w"),
        "kw": "kw",
        **dict.fromkeys(("btu/h", "btuh", "btu/hr"), "btuh"),
    },
    "speed": {
        **dict.fromkeys(("rpm", "r/min", "rev/min"), "rpm"),
        "rad/s": "rads",
    },
    # Degrees of a difference: a degree Celsius is a kelvin.
    "temperature": {
        **dict.fromkeys(("°f", "f", "degf", "ºf"), "degf"),
        **dict.fromkeys(("°c", "c", "degc", "ºc"), "degc"),
        "k": "k",
    },
    "time": dict.fromkeys(("h", "hours", "hour", "hrs", "hr"), "h"),
    "seconds": dict.fromkeys(("s", "sec", "secs", "second", "seconds"), "s"),
    "share_of_gas": {"ppm": "ppm"},
    "energy": {"kwh": "kwh"},
    "price_of_energy": dict.fromkeys(("usd/kwh", "$/kwh", "dollars/kwh"), "usd_kwh"),
    "ratio": {**dict.fromkeys(("%", "pct", "percent"), "pct"), "1": "1"},
    "velocity": {
        **dict.fromkeys(("fpm", "ft/min"), "fpm"),
        **dict.fromkeys(("m/s", "ms"), "ms"),
    },
    "noise_criterion": {"nc": "nc"},
    "sound_level": {"db": "db"},
    "power_per_airflow": {
        **dict.fromkeys(("w/cfm",), "w_cfm"),
        **dict.fromkeys(("w/(l/s)", "w/l/s"), "w_ls"),
    },
    "temperature_rise": {
        **dict.fromkeys(("°f", "f", "degf", "ºf"), "degf_rise"),
        **dict.fromkeys(("k", "°c", "c", "degc", "ºc", "°k"), "k_rise"),
    },
    "voltage": dict.fromkeys(("v", "volt", "volts", "vac"), "v"),
    "capacity": {
        **dict.fromkeys(("ton", "tons", "tr"), "ton"),
        **dict.fromkeys(("kw", "kilowatt", "kilowatts"), "kw_cooling"),
    },
    "airflow_per_capacity": {"cfm/ton": "cfm_ton", "l/s/kw": "ls_kw"},
}


def parse_number(where: str, typed: str) -> float:
    """The number that somebody typed.

    Parameters
    ----------
    where : str
        The field's name, for the error.
    typed : str
        What was typed: ``0.29``, ``0,29``, ``1,200``, ``1 200.5``, ``−3``, ``2 1/2``, ``½``.

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
    number, unit = split(where, typed)
    if unit:
        raise InputError(
            where=where,
            came=short(typed),
            right="a number alone is wanted",
            do=f"Leave {short(unit)} out.",
        )
    return number


def split(where: str, typed: str) -> tuple[float, str]:
    """The number at the start of what was typed, and what stands behind it."""
    text = without_fractions(normal(typed))
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


def without_fractions(text: str) -> str:
    """``3-1/4 x 10`` and ``3¼ x 10`` as ``3.25 x 10``."""
    for sign, written in _VULGAR.items():
        text = text.replace(sign, written)

    def decimal(found: re.Match[str]) -> str:
        whole, over, under = (int(one) if one else 0 for one in found.groups())
        if under == 0:
            return found.group()
        return f"{whole + over / under:.10g}"

    return _FRACTION.sub(decimal, text)


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
    if not re.fullmatch("([+-]?[0-9]+)?", exponent):
        return None
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


def spelling(word: str) -> str:
    """A unit as it was typed, without what people write differently: case, stops, spaces."""
    return re.sub(r"[\s.\-]", "", word.lower())


def measured(where: str, typed: str, unit: str, kind: str) -> tuple[float, str, bool]:
    """Number, unit, and whether the unit was typed."""
    number, word = split(where, typed)
    spelled = spelling(word)
    if not spelled:
        return number, unit, False
    known = _SPELLINGS[kind]
    if spelled not in known:
        labels = list(dict.fromkeys(units.unit(name).label for name in known.values()))
        choices = joined(labels)
        raise InputError(
            where=where,
            came=short(typed),
            right=f"a number with {choices} behind it is wanted",
        )
    return number, known[spelled], True
