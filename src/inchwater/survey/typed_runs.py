"""One line about the runs, as a technician says it, becomes their description.

"seven 6-inch, about 25 ft, slack flex" is seven runs with one description; groups are separated
by a semicolon, "and" or "plus".  A word that was not understood is named, never passed over.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, fields, replace

from inchwater.errors import InputError
from inchwater.survey.ducts import Branch, Duct, Supply
from inchwater.survey.form import short
from inchwater.survey.typed_ducts import ABOUT, CONTINUES, duct_of
from inchwater.survey.typed_numbers import normal, without_fractions

MOST = 60
_WORDS = (
    *("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven"),
    *("twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen"),
    *("nineteen", "twenty"),
)
_COUNTS = {"a": 1, "an": 1, **{word: index + 1 for index, word in enumerate(_WORDS)}}
# Words that say nothing of their own.
_FILLERS = re.compile(
    r"\b(?:runs?|ducts?|pipes?|stacks?|branches|of|each|all|long|in length|diameter|dia|with|at|"
    r"is|are|the|to a room|hung|hanging|hangers?|pulled|between|every|them)\b|[,.:]",
)
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
    pieces: list[str] = []
    for piece in re.split(r"[;\n&+]|\band\b|\bplus\b", without_fractions(text)):
        if pieces and CONTINUES.match(piece.strip()):
            pieces[-1] += f", {piece}"
        else:
            pieces.append(piece.strip(" ,."))
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
    count, rest = _count(where, piece)
    duct, rest = duct_of(where, rest)
    left = " ".join(_FILLERS.sub(" ", ABOUT.sub(" ", rest)).replace("-", " ").split())
    if left:
        number = re.fullmatch("[0-9.]+", left)
        raise InputError(
            where=where,
            came=f"'{left}'",
            right="this was not understood",
            do=(
                f"Say whether {left} is inches or feet."
                if number
                else "Say how many, the diameter or the sides, the length, tight, slack, draped, "
                "kinked or the sag, how far the dampers are shut, and flex, metal, PVC, lined or "
                "duct board."
            ),
        )
    return RunGroup(count, duct)


def _count(where: str, piece: str) -> tuple[int, str]:
    found = _COUNT.match(piece)
    rest = "" if found is None else piece[found.end() :]
    # "6-inch 25 ft" and "3.25 x 10" start with a size, not with a number of runs.
    if found is not None and not re.match(
        r"-?\s*(?:in|inch|inches|mm|m|ft|feet|foot|\"|')|[.,][0-9]", rest
    ):
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
