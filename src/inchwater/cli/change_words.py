"""How parts and sizes are typed in the options of changes: ``R1,R2=8``, ``20x25``, ``6:20ft``."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NoReturn

from inchwater.cli import typed as parse
from inchwater.errors import InputError

if TYPE_CHECKING:
    from inchwater.survey import Fact

# What stands between width and height: the letter, or the sign that a phone may put there.
_SIZE = re.compile(r"^\s*([^x×]+?)\s*[x×]\s*([^x×]+?)\s*$", re.IGNORECASE)


def is_size(text: str) -> bool:
    """Whether a text is width and height."""
    return _SIZE.match(text) is not None


def target(option: str, text: str, example: str) -> tuple[list[str], str]:
    """The ids before an equals sign, and what stands behind it."""
    targets, equals, rest = text.partition("=")
    if not (equals and targets.strip() and rest.strip()):
        unreadable(option, text, example)
    return ids(targets), rest.strip()


def parts(option: str, text: str, lengths: tuple[int, ...], example: str) -> list[str]:
    """The words between colons, as many as there may be."""
    parts = [part.strip() for part in text.split(":")]
    if len(parts) not in lengths or not all(parts):
        unreadable(option, text, example)
    return parts


def unreadable(option: str, text: str, example: str) -> NoReturn:
    """Refuse what does not read like the option's example."""
    raise InputError(
        where=option,
        came=repr(text) if text.strip() else "nothing",
        right=f"it reads like {example}",
        do="Type it like that; 'inchwater forecast --help' has all of them.",
    )


def ids(text: str) -> list[str]:
    """Ids with commas between them."""
    return [part.strip() for part in text.split(",") if part.strip()]


def size(option: str, text: str, kind: str = "face") -> dict[str, Fact]:
    """Width and height of a size such as 20x25, in inches."""
    found = _SIZE.match(text)
    if found is None:
        raise InputError(
            where=option,
            came=repr(text),
            right="a size is width x height in inches",
            do="Type it like 20x25.",
        )
    return {
        "width": parse.length(option, found[1], "in", kind),
        "height": parse.length(option, found[2], "in", kind),
    }
