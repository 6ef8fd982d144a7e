"""How the laws of side effects begin and end: numbers in their range, scalar in and scalar out."""

from __future__ import annotations

import math

import numpy as np

from inchwater.air import Values
from inchwater.errors import PartError


def within(
    where: str,
    given: Values,
    low: float,
    high: float,
    right: str,
    unit: str = "",
    do: str = "",
) -> None:
    """Refuse what is no finite number or lies outside a range.

    Parameters
    ----------
    where : str
        Which input it is.
    given : float or array
        What came. [as ``unit`` says]
    low, high : float
        The range, its ends included.
    right, do : str
        What would be right, and what to do next.
    unit : str
        Printed behind the number.

    Raises
    ------
    PartError
        at ``where``, with the first number that cannot be.

    Examples
    --------
    >>> within("fraction", 0.9, 0.0, 1.0, "a share runs from 0 to 1")
    """
    numbers = np.atleast_1d(np.asarray(given, dtype=np.float64)).ravel()
    good = np.isfinite(numbers) & (numbers >= low) & (numbers <= high)
    if not good.all():
        came = f"{numbers[~good][0]:g}"
        raise PartError(where=where, came=f"{came} {unit}" if unit else came, right=right, do=do)


def above_zero(where: str, given: Values, unit: str = "", right: str = "") -> None:
    """Refuse what is not a finite number above zero; PartError at ``where``.

    Examples
    --------
    >>> above_zero("airflow", 0.4, "m3/s")
    """
    least = math.ulp(0.0)
    within(where, given, least, math.inf, right or "it is a number above zero", unit)


def as_given(found: Values, *like: Values) -> Values:
    """A result as a float where everything that went in was one, else as an array."""
    if all(np.ndim(one) == 0 for one in like):
        return float(found)
    return np.asarray(found, dtype=np.float64)
