"""One line about the runs, as a technician says it, becomes their description.

"seven 6-inch, about 25 ft, slack flex" is seven runs with one description; groups are separated
by a semicolon, "and" or "plus".  A word that was not understood is named, never passed over.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, fields, replace
from typing import Any

from inchwater.errors import InputError
from inchwater.survey.ducts import Branch, Duct, Supply, hangs
from inchwater.survey.facts import Fact, How
from inchwater.survey.form import short
from inchwater.survey.typed import parse_quantity
from inchwater.survey.typed_numbers import normal

MOST = 60
_WORDS = (
    *("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven"),
    *("twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen"),
    *("nineteen", "twenty"),
)
_COUNTS = {"a": 1, "an": 1, **{word: index + 1 for index, word in enumerate(_WORDS)}}
_SLACK = {word: word for word in ("tight", "slack", "draped", "kinked")} | {"taut": "tight"}
_MATERIALS = (
    (r"duct[\s-]?board", "ductboard"),
    (r"(?:sheet[\s-]?|hard[\s-]?|rigid[\s-]?)?metal|rigid|galvani[sz]ed", "metal"),
    (r"flexible|flex", "flex"),
)
# Words that say nothing of their own.
_FILLERS = re.compile(
    r"\b(?:runs?|ducts?|pipes?|branches|of|each|all|long|in length|diameter|dia|round|with|at|"
    r"is|are|the|to a room|hung|hanging|pulled)\b|[,.:]",
)
_ABOUT = re.compile(r"(?:\b(?:about|around|approximately|approx|roughly|some|ca)\b\.?|~)\s*")
_NUMBER = r"([0-9]+(?:[.,][0-9]+)?)"
_RANGE = re.compile(rf"{_NUMBER}\s*(?:-|to)\s*{_NUMBER}\s*-?\s*(?:ft|foot|feet|'|m\b|in|\")")
_DIAMETER = re.compile(rf"{_NUMBER}\s*-?\s*(inches|inch|in\b|''|\"|mm\b)")
_LENGTH = re.compile(rf"{_NUMBER}\s*-?\s*(feet|foot|ft\b|'|metres?\b|meters?\b|m\b)")
_COUNT = re.compile(r"^(?:([0-9]+)|([a-z]+))\b\s*(?:[x×]\s*)?")


@dataclass(frozen=True, slots=True)
class RunGroup:
    """So many runs of one description."""

    count: int
    duct: Duct


def parse_runs(typed: str, where: str = "Runs") -> tuple[RunGroup, ...]:
    """The groups of runs in one typed line.

    Parameters
    ----------
    typed : str
        For example ``four 6-inch 20 ft tight flex and two 8-inch 15 ft metal``.  A length said
        with "about" is stated, one without is seen.
    where : str
        The field's name, for the error.

    Returns
    -------
    tuple of RunGroup
        In the order in which they were typed; what was not said is None.

    Raises
    ------
    InputError
        If a group has no number of runs, if a size cannot be, or if a word was not understood.
    DoubtError
        If another unit of a size is most likely meant.
    """
    text = normal(typed).lower()
    if not text:
        raise InputError(
            where=where,
            came="nothing",
            right="a line such as 'seven 6-inch, about 25 ft, slack flex' is wanted",
        )
    pieces = [piece.strip(" ,.") for piece in re.split(r"[;\n&+]|\band\b|\bplus\b", text)]
    groups = tuple(_group(where, piece) for piece in pieces if piece)
    if not groups:
        raise InputError(
            where=where,
            came=short(typed),
            right="a line such as 'seven 6-inch, about 25 ft, slack flex' is wanted",
        )
    total = sum(group.count for group in groups)
    if total > MOST:
        raise InputError(
            where=where,
            came=f"{total} runs",
            right=f"one unit feeds at most {MOST}",
            do="Check the number of runs.",
        )
    return groups


def supply_of(groups: tuple[RunGroup, ...], prefix: str = "r") -> Supply:
    """A plenum with the runs of these groups: ids ``r1``, ``r2`` … and one ``run_like``.

    Parameters
    ----------
    groups : tuple of RunGroup
        As ``parse_runs`` gives them.
    prefix : str
        What the ids of the runs start with.

    Returns
    -------
    Supply
        What all groups share stands in ``run_like``, the rest at each run.
    """
    first = groups[0].duct
    shared = {
        f.name: getattr(first, f.name)
        for f in fields(Duct)
        if all(getattr(group.duct, f.name) == getattr(first, f.name) for group in groups)
    }
    own = [replace(group.duct, **dict.fromkeys(shared)) for group in groups]
    ducts = [duct for group, duct in zip(groups, own, strict=True) for _ in range(group.count)]
    return Supply(
        run_like=Duct(**shared),
        branches=tuple(Branch(f"{prefix}{n}", duct) for n, duct in enumerate(ducts, start=1)),
    )


def _group(where: str, piece: str) -> RunGroup:
    if found := _RANGE.search(piece):
        raise InputError(
            where=where,
            came=repr(found.group()),
            right="one number for each group is wanted",
            do="Give the middle with 'about', or one group for each length.",
        )
    count, rest = _count(where, piece)
    material, rest = _material(where, rest)
    slack, rest = _slack(where, rest)
    length, rest = _fact(where, rest, _LENGTH, "duct_length")
    key = "flex_diameter" if material == "flex" else "duct_diameter"
    diameter, rest = _fact(where, rest, _DIAMETER, key)
    left = " ".join(_FILLERS.sub(" ", _ABOUT.sub(" ", rest)).replace("-", " ").split())
    if left:
        number = re.fullmatch("[0-9.]+", left)
        raise InputError(
            where=where,
            came=f"'{left}'",
            right="this was not understood",
            do=(
                f"Say whether {left} is inches or feet."
                if number
                else "Say how many, the diameter, the length, tight, slack, draped or kinked, "
                "and flex, metal or duct board."
            ),
        )
    if slack is not None and not hangs(material):
        raise InputError(
            where=where,
            came=f"{slack} {material}",
            right="only flex hangs tight, slack, draped or kinked",
            do="Leave one of the two words out.",
        )
    return RunGroup(count, Duct(material, diameter, length, slack or None))


def _count(where: str, piece: str) -> tuple[int, str]:
    found = _COUNT.match(piece)
    rest = "" if found is None else piece[found.end() :]
    # "6-inch 25 ft" starts with a size, not with a number of runs.
    if found is not None and not re.match(r"-?\s*(?:in|inch|inches|mm|m|ft|feet|foot|\"|')", rest):
        word = found.group(2)
        count = int(found.group(1)) if word is None else _COUNTS.get(word, 0)
        if 1 <= count <= MOST:
            return count, rest
        if word is None:
            raise InputError(
                where=where, came=f"{count} runs", right=f"a group has 1 to {MOST} runs"
            )
    raise InputError(
        where=where,
        came=f"'{piece}'",
        right="how many runs is not said",
        do="Start with the number, such as 'seven' or 7.",
    )


def _material(where: str, text: str) -> tuple[Any, str]:
    return _single(
        where,
        text,
        [(rf"\b(?:{pattern})\b", word) for pattern, word in _MATERIALS],
        "runs of one group are of one material",
    )


def _slack(where: str, text: str) -> tuple[Any, str]:
    return _single(
        where,
        text,
        [(rf"\b{spoken}\b", word) for spoken, word in _SLACK.items()],
        "runs of one group hang alike",
    )


def _single(
    where: str, text: str, patterns: list[tuple[str, str]], right: str
) -> tuple[str | None, str]:
    """The one word that is said of several, and the text without it."""
    said: list[str] = []
    for pattern, word in patterns:
        text, times = re.subn(pattern, " ", text)
        said.extend([word] * bool(times))
    if len(said) > 1:
        raise InputError(
            where=where,
            came=" and ".join(said),
            right=right,
            do="Make two groups, with ';' between them.",
        )
    return (said[0] if said else None), text


def _fact(where: str, text: str, pattern: re.Pattern[str], key: str) -> tuple[Fact | None, str]:
    found = list(pattern.finditer(text))
    if not found:
        return None, text
    if len(found) > 1:
        raise InputError(
            where=where,
            came=" and ".join(one.group() for one in found),
            right=f"a group has one {'length' if key == 'duct_length' else 'diameter'}",
            do="Make two groups, with ';' between them.",
        )
    one = found[0]
    number, unit = float(one.group(1).replace(",", ".")), _unit(one.group(2))
    parse_quantity(where, one.group(), unit, key)
    before = text[: one.start()]
    about = _ABOUT.search(before)
    said_about = about is not None and about.end() == len(before)
    how = How.STATED if said_about else How.SEEN
    return Fact(number, unit, how), before + " " + text[one.end() :]


def _unit(spoken: str) -> str:
    if spoken in ("'", "ft", "foot", "feet"):
        return "ft"
    if spoken == "mm":
        return "mm"
    return "m" if spoken.startswith("m") else "in"
