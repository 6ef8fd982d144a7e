"""What a duct is, from a technician's words for it: size, length, material, how it hangs.

``duct_of`` takes the words that it knows out of a description; what is left was not understood,
and the caller names it.
"""

from __future__ import annotations

import re
from typing import Any

from inchwater.errors import InputError
from inchwater.survey.ducts import Duct, Grille, Shape, hangs
from inchwater.survey.facts import Fact, How
from inchwater.survey.typed import parse_quantity

_SLACK = {word: word for word in ("tight", "slack", "draped", "kinked")} | {"taut": "tight"}
_METAL = r"metal|steel"
_MATERIALS = (
    (r"duct[\s-]?board|fib(?:er|re)[\s-]?(?:glass )?board", "ductboard"),
    (rf"(?:internally )?lined(?: (?:spiral |sheet[\s-]?)?(?:{_METAL}))?", "lined"),
    (r"pvc|plastic", "pvc"),
    (
        rf"(?:spiral[\s-]?|sheet[\s-]?|hard[\s-]?|rigid[\s-]?)?(?:{_METAL})|rigid|spiral|"
        r"galvani[sz]ed",
        "metal",
    ),
    (r"flexible|flex", "flex"),
)
_SHAPES = (
    (r"(?:flat )?oval", "oval"),
    (r"rectangular|square", "rectangular"),
    (r"round", "round"),
)
ABOUT = re.compile(r"(?:\b(?:about|around|approximately|approx|roughly|some|ca)\b\.?|~)\s*")
NUMBER = r"([0-9]+(?:[.,][0-9]+)?)"
_ANY = r"(inches|inch|in\b|''|\"|mm\b|feet|foot|ft\b|'|metres?\b|meters?\b|m\b)"
_ACROSS = r"(inches|inch|in\b|''|\"|mm\b)"
_ALONG = r"(feet|foot|ft\b|'|metres?\b|meters?\b|m\b)"
_RANGE = re.compile(rf"{NUMBER}\s*(?:-|to)\s*{NUMBER}\s*-?\s*(?:ft|foot|feet|'|m\b|in|\")")
_SIZE = rf"{NUMBER}\s*{_ACROSS}?\s*(?:[x×*]|\bby\b)\s*{NUMBER}(?:\s*-?\s*{_ACROSS})?"
_REGISTER = re.compile(rf"{_SIZE}\s*registers?\b|\bregisters?\s*(?:of\s*)?{_SIZE}")
_SIDES = re.compile(_SIZE)
_DIAMETER = re.compile(rf"{NUMBER}\s*-?\s*{_ACROSS}")
_LENGTH = re.compile(rf"{NUMBER}\s*-?\s*{_ALONG}")
_SAG = re.compile(
    rf"{NUMBER}\s*-?\s*{_ANY}\s*(?:of\s*)?sag(?:s|ging)?\b|"
    rf"\bsag(?:s|ging)?\s*(?:of|by|is)?\s*{NUMBER}\s*-?\s*{_ANY}"
)
_HUNG = r"\b(?:hangers?|hung|supports?|supported|straps?|strapped)\b"
_SPACING = re.compile(
    rf"(?:{_HUNG}\s*)?(?:\bevery\s*){NUMBER}\s*-?\s*{_ANY}|"
    rf"(?:{_HUNG}\s*(?:at|are)?\s*)?{NUMBER}\s*-?\s*{_ANY}\s*(?:apart|between (?:hangers|supports))"
)
_PARTS = {
    "a quarter": 22.5,
    "one quarter": 22.5,
    "quarter": 22.5,
    "half": 45.0,
    "halfway": 45.0,
    "half way": 45.0,
    "three quarters": 67.5,
    "three quarter": 67.5,
    "fully": 90.0,
    "all": 90.0,
    "": 90.0,
}
_DAMPER = re.compile(
    rf"\b(?:balancing )?dampers?\s*(?:at|are|is)?\s*(?:{NUMBER}\s*(?:°|degrees?\b|deg\b)|"
    r"(a quarter|one quarter|quarter|three[\s-]quarters?|half[\s-]?way|half|fully|all)?[\s-]*"
    r"(?:the way\s*)?(open|shut|closed)\b)(?:\s*from open\b)?"
)
# Where a line goes on with the same runs although "and" stands before it.
CONTINUES = re.compile(r"(?:hangers?|hung|supports?|supported|straps?|sags?|dampers?|registers?)\b")


def duct_of(where: str, text: str) -> tuple[Duct, str]:
    """The duct that a description tells of, and what of the text was not understood.

    Parameters
    ----------
    where : str
        The field's name, for the error.
    text : str
        In lower case, fractions as decimals, without the number of runs.

    Returns
    -------
    Duct and str
        What was not said is None.  Sides without a unit are inches, as the trade says them; of an
        oval the longer is the width, however it was said.

    Raises
    ------
    InputError
        If two things are said where one can be, or a size cannot be.
    DoubtError
        If another unit of a size is most likely meant.
    """
    register, rest = _register(where, text)
    sag, rest = _fact(where, rest, _SAG, "sag")
    spacing, rest = _fact(where, rest, _SPACING, "spacing")
    damper, rest = _damper(where, rest)
    sides, rest = _sides(where, rest)
    if found := _RANGE.search(rest):
        raise InputError(
            where=where,
            came=repr(found.group()),
            right="one number for each group is wanted",
            do="Give the middle with 'about', or one group for each length.",
        )
    material, rest = _single(where, rest, _MATERIALS, "runs of one group are of one material")
    said = tuple((spoken, word) for spoken, word in _SLACK.items())
    slack, rest = _single(where, rest, said, "runs of one group hang alike")
    shape, rest = _single(where, rest, _SHAPES, "runs of one group have one shape")
    length, rest = _fact(where, rest, _LENGTH, "duct_length")
    key = "flex_diameter" if material == "flex" else "duct_diameter"
    diameter, rest = _fact(where, rest, _DIAMETER, key)
    if not hangs(material) and (slack or sag or spacing):
        word = slack or ("a sag" if sag else "hangers")
        raise InputError(
            where=where,
            came=f"{word} {'on ' if slack is None else ''}{material}",
            right="only flex hangs tight, slack, draped or kinked",
            do="Leave one of the two words out.",
        )
    shape, width, height = _shaped(where, material, shape, diameter, sides)
    duct = Duct(
        material,
        diameter,
        length,
        slack,
        register=register,
        shape=shape,
        width=width,
        height=height,
        sag=sag,
        spacing=spacing,
        damper=damper,
    )
    return duct, rest


def _shaped(
    where: str,
    material: str | None,
    shape: Any,
    diameter: Fact | None,
    sides: tuple[Fact, Fact] | None,
) -> tuple[Shape | None, Fact | None, Fact | None]:
    """Shape, width and height that go together; round is left unsaid where a diameter says it."""
    if sides is None:
        if shape in ("rectangular", "oval") and diameter is not None:
            raise InputError(
                where=where,
                came=f"{shape} and {diameter.value:g} {diameter.unit}",
                right=f"{shape} duct has two sides",
                do="Type both, such as 8 x 12.",
            )
        return (None if shape == "round" else shape), None, None
    width, height = sides
    size = f"{width.value:g} x {height.value:g}"
    if diameter is not None or shape == "round":
        other = "round" if diameter is None else f"{diameter.value:g} {diameter.unit}"
        raise InputError(
            where=where,
            came=f"{size} and {other}",
            right="a group has one size, a diameter or two sides",
            do="Make two groups, with ';' between them.",
        )
    if material == "flex":
        raise InputError(
            where=where,
            came=f"{size} flex",
            right="flex is round",
            do="Type its diameter, or metal, duct board or lined.",
        )
    if shape == "oval" and width.si < height.si:
        width, height = height, width
    return shape or "rectangular", width, height


def _single(
    where: str, text: str, patterns: tuple[tuple[str, str], ...], right: str
) -> tuple[Any, str]:
    """The one word that is said of several, and the text without it."""
    said: list[str] = []
    for pattern, word in patterns:
        text, times = re.subn(rf"\b(?:{pattern})\b", " ", text)
        said.extend([word] * bool(times))
    said = list(dict.fromkeys(said))
    if len(said) > 1:
        raise InputError(
            where=where,
            came=" and ".join(said),
            right=right,
            do="Make two groups, with ';' between them.",
        )
    return (said[0] if said else None), text


def _once(where: str, text: str, pattern: re.Pattern[str], right: str) -> re.Match[str] | None:
    """Where a pattern is said; InputError, with what would be ``right``, if it is said again."""
    found = list(pattern.finditer(text))
    if len(found) > 1:
        raise InputError(
            where=where,
            came=" and ".join(one.group().strip() for one in found),
            right=right,
            do="Make two groups, with ';' between them.",
        )
    return found[0] if found else None


def _without(text: str, said: re.Match[str]) -> str:
    return f"{text[: said.start()]} {text[said.end() :]}"


def _fact(where: str, text: str, pattern: re.Pattern[str], key: str) -> tuple[Fact | None, str]:
    called = {"duct_length": "length", "sag": "sag", "spacing": "distance between hangers"}
    one = _once(where, text, pattern, f"a group has one {called.get(key, 'diameter')}")
    if one is None:
        return None, text
    number, unit = (group for group in one.groups() if group is not None)
    return _checked(where, number, unit_said(unit), key, text, one)


def _checked(
    where: str, number: str, unit: str, key: str, text: str, at: re.Match[str]
) -> tuple[Fact, str]:
    """A length in its range, stated where "about" stands before it, and the text without it."""
    value = float(number.replace(",", "."))
    parse_quantity(where, f"{number} {unit}", unit, key)
    before = text[: at.start()]
    about = ABOUT.search(before)
    said_about = about is not None and about.end() == len(before)
    how = How.STATED if said_about else How.SEEN
    return Fact(value, unit, how), _without(text, at)


def _sides(where: str, text: str) -> tuple[tuple[Fact, Fact] | None, str]:
    one = _once(where, text, _SIDES, "a group has one size, a diameter or two sides")
    if one is None:
        return None, text
    return _pair(where, one.groups(), "duct_side"), _without(text, one)


def _register(where: str, text: str) -> tuple[Grille | None, str]:
    found = _REGISTER.search(text)
    if found is None:
        return None, text
    groups = found.groups()
    width, height = _pair(where, groups[:4] if groups[0] else groups[4:], "face")
    return Grille(width, height), _without(text, found)


def _pair(where: str, groups: tuple[str | Any, ...], key: str) -> tuple[Fact, Fact]:
    """Two sides; a unit behind either counts for both, and none at all is inches."""
    first, its_unit, second, unit = groups
    last = unit_said(unit or its_unit) if unit or its_unit else None
    sides = []
    for number, own in ((first, its_unit), (second, unit)):
        name = unit_said(own) if own else last or "in"
        typed = number if last is None else f"{number} {name}"
        parse_quantity(where, typed, name, key)
        sides.append(Fact(float(number.replace(",", ".")), name))
    return sides[0], sides[1]


def _damper(where: str, text: str) -> tuple[Fact | None, str]:
    found = _once(where, text, _DAMPER, "the dampers of one group stand alike")
    if found is None:
        return None, text
    number, part, word = found.groups()
    rest = _without(text, found)
    if number is not None:
        parse_quantity(where, number, "deg", "damper_angle")
        return Fact(float(number.replace(",", ".")), "deg"), rest
    shut = _PARTS[" ".join((part or "").replace("-", " ").split())]
    # Said in parts of its way, an angle is told and not measured.
    how = How.SEEN if shut == 90.0 else How.STATED
    return Fact(90.0 - shut if word == "open" else shut, "deg", how), rest


def unit_said(spoken: str) -> str:
    """The spelling in files of a unit of length as it is said."""
    if spoken in ("'", "ft", "foot", "feet"):
        return "ft"
    if spoken == "mm":
        return "mm"
    return "m" if spoken.startswith("m") else "in"
