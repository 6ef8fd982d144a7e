"""What no job document may hold anywhere: null, numbers without end, broken text, endless nesting.

These are found before the schema is asked, because a schema calls NaN a number and answers a null
with the wrong advice.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from inchwater.errors import FormatError

# Trunks on trunks: a house has two or three levels, each takes two levels of the document.
DEEPEST = 40
_SHORT = 60


def short(value: Any) -> str:
    """A value as an error prints it: whole when short, its start when long."""
    text = repr(value)
    return text if len(text) <= _SHORT else f"{text[:_SHORT]}…"


def path_text(path: tuple[str | int, ...]) -> str:
    """A path into the document as people write it: ``survey.returns[0].duct.diameter``."""
    text = ""
    for step in path:
        text += f"[{step}]" if isinstance(step, int) else f".{step}" if text else str(step)
    return text or "job file"


def check_form(document: Any) -> None:
    """Refuse what no document may hold.

    Parameters
    ----------
    document : mapping
        As ``json.loads`` gives it.

    Raises
    ------
    FormatError
        At the place where it stands.
    """
    if not isinstance(document, Mapping):
        raise FormatError(
            where="job file",
            came=short(document),
            right="an object is wanted, with format, version, id and survey",
        )
    for path, value in _walk(document):
        where = path_text(path)
        if len(path) > DEEPEST:
            raise FormatError(
                where=where[:_SHORT],
                came=f"nesting deeper than {DEEPEST} levels",
                right="trunks nest two or three times",
                do="Check that no branch is written inside itself.",
            )
        if value is None:
            raise FormatError(
                where=where,
                came="null",
                right="a missing key is unknown, and an empty list is known to be none",
                do="Leave the key out when it is not known.",
            )
        if isinstance(value, float) and not math.isfinite(value):
            raise FormatError(where=where, came=repr(value), right="a number with an end is wanted")
        if isinstance(value, int) and abs(value) > 10**15:
            raise FormatError(where=where, came=short(value), right="no quantity is that large")
        if isinstance(value, str) and not _is_text(value):
            raise FormatError(
                where=where,
                came=short(value),
                right="text of whole characters is wanted, without control characters",
            )


def _is_text(value: str) -> bool:
    return all(
        (char >= " " or char in "\n\r\t") and not "\ud800" <= char <= "\udfff" for char in value
    )


def _walk(value: Any) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    """Every value with its path; without recursion, so that nesting cannot exhaust the stack."""
    left: list[tuple[tuple[str | int, ...], Any]] = [((), value)]
    while left:
        path, one = left.pop()
        yield path, one
        if isinstance(one, Mapping):
            for key in one:
                if not isinstance(key, str) or not _is_text(key):
                    raise FormatError(
                        where=path_text(path), came=short(key), right="keys are plain text"
                    )
            left.extend(((*path, key), inner) for key, inner in reversed(list(one.items())))
        elif isinstance(one, (list, tuple)):
            left.extend(((*path, index), one[index]) for index in reversed(range(len(one))))


def listed(names: Iterable[str], many: str, none: str) -> str:
    """``the filters are f1, f2``, or the words for having none at all."""
    said = ", ".join(names)
    return f"{many} {said}" if said else none
