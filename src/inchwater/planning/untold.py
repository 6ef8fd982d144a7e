"""What is said of a thermostat call that nobody can forecast."""

from __future__ import annotations

from inchwater.errors import InchwaterError
from inchwater.quantity import Said, said


def call_untold(call: str, error: InchwaterError) -> Said:
    """That a call cannot be told, and why, as a sentence.

    Parameters
    ----------
    error : InchwaterError
        What its forecast was refused with.
    """
    why = error.right.removesuffix(".")
    return said("The {call} call cannot be told: {why}.", call=call, why=why)
