"""Errors that say where, what came, what would be right, and what to do next.

Every error of Inchwater is built from those four fields, so page, prompt and JSON show the same
words, and no text can go out with a hole in it.  Each kind is also the built-in exception that a
Python programmer expects, so ``except ValueError`` works.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any


class InchwaterError(Exception):
    """The base of all errors that Inchwater raises on purpose.

    Parameters
    ----------
    where : str
        The input that is at fault, as a path into the job or a field's name: ``runs[3].diameter``.
    came : str
        What was found there, in the words or the unit in which it came.
    right : str
        What would be right: the range, the choices, the form.
    do : str, optional
        What to do next, in the trade's words.
    """

    def __init__(self, *, where: str, came: str, right: str, do: str = "") -> None:
        self.where = where
        self.came = came
        self.right = right
        self.do = do
        super().__init__(str(self))

    def __str__(self) -> str:
        # "in. w.c." brings its own full stop.
        text = f"{self.where}: {self.came} came; {self.right.removesuffix('.')}."
        return f"{text} {self.do}" if self.do else text

    def __reduce__(self) -> tuple[Any, ...]:
        # Fields go by name only, which the built-in way to copy or send an exception cannot do.
        return _same_again, (type(self), dict(self.__dict__))

    def to_dict(self) -> dict[str, dict[str, str]]:
        """The one JSON form of an error: ``{"error": {kind, where, came, right, do}}``."""
        return {
            "error": {
                "kind": type(self).__name__,
                "where": self.where,
                "came": self.came,
                "right": self.right,
                "do": self.do,
            }
        }


def _same_again(kind: type[InchwaterError], fields: dict[str, Any]) -> InchwaterError:
    error = kind(where="", came="", right="")
    error.__dict__.update(fields)
    error.args = (str(error),)
    return error


class InputError(InchwaterError, ValueError):
    """A value that someone typed or a file holds cannot be used as it is."""


class DoubtError(InputError):
    """A value could be right but most likely is not; it is asked about, not refused.

    ``suggestion`` holds the value that was probably meant, in the unit of the field, and ``other``
    one that is nearly as likely: they are the page's *Use* buttons.  ``keep`` holds the typed value
    where it can be kept, which is the *Keep* button; it is empty where it cannot.
    """

    def __init__(
        self,
        *,
        where: str,
        came: str,
        right: str,
        do: str = "",
        suggestion: str = "",
        other: str = "",
        keep: str = "",
    ) -> None:
        self.suggestion = suggestion
        self.other = other
        self.keep = keep
        super().__init__(where=where, came=came, right=right, do=do)

    def __str__(self) -> str:
        right = f"{self.right[:1].upper()}{self.right[1:].removesuffix('.')}."
        text = f"{self.where}: {self.came} came. {right}"
        return f"{text} {self.do}" if self.do else text

    def to_dict(self) -> dict[str, dict[str, str]]:
        """As of every error, with ``suggestion``, ``other`` and ``keep`` added."""
        document = super().to_dict()
        document["error"] |= {
            "suggestion": self.suggestion,
            "other": self.other,
            "keep": self.keep,
        }
        return document


class FormatError(InputError):
    """A file is not in the form that it should have: not JSON, wrong columns, wrong version."""


class TableError(InputError):
    """A blower table cannot be right: it rises with pressure, has a hole, or is empty."""


class OutsideTableError(InchwaterError, ValueError):
    """A pressure or a flow lies too far outside the blower table to be answered."""


class PartError(InchwaterError, ValueError):
    """A part has a size, length or place that it cannot have."""


class UnknownNameError(InchwaterError, LookupError):
    """A name points at nothing: an unknown tap, part, unit, class or fitting."""


class ConvergenceError(InchwaterError, ArithmeticError):
    """The network did not come to rest; the part that held it up is named, no numbers are left."""


class NotPossibleError(InchwaterError, ValueError):
    """What is asked cannot be done on this system, and the text says why: twinned units."""


def joined(words: Sequence[str], last: str = "or") -> str:
    """Words as a sentence lists them: ``a``, ``a or b``, ``a, b or c``."""
    return f" {last} ".join(filter(None, (", ".join(words[:-1]), words[-1])))
