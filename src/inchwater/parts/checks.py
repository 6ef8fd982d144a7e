"""The checks that most laws begin with: numbers above zero, numbers within a range."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from inchwater.air import Values
from inchwater.errors import PartError


def positive(
    where: str,
    given: Values,
    right: str = "it is a number above zero",
    unit: str = "",
    zero: bool = False,
) -> None:
    """Refuse what is not above zero, or not a finite number.

    Parameters
    ----------
    where : str
        Which input it is.
    given : float or array
        What came. [as ``unit`` says]
    right : str
        What would be right.
    unit : str
        Printed behind the number.
    zero : bool
        Whether zero is right as well.

    Raises
    ------
    PartError
        at ``where``, with the first number that cannot be.

    Examples
    --------
    >>> positive("width", 0.3)
    """
    if type(given) is float and 0.0 < given < np.inf:
        return  # as nearly all are that come one by one
    numbers = _numbers(given)
    _refuse(where, numbers, numbers >= 0.0 if zero else numbers > 0.0, right, unit)


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
    numbers = _numbers(given)
    _refuse(where, numbers, (numbers >= low) & (numbers <= high), right, unit, do)


def _numbers(given: Values) -> NDArray[np.float64]:
    return np.atleast_1d(np.asarray(given, dtype=np.float64)).ravel()


def _refuse(
    where: str,
    numbers: NDArray[np.float64],
    good: NDArray[np.bool_],
    right: str,
    unit: str,
    do: str = "",
) -> None:
    good = good & np.isfinite(numbers)
    if not good.all():
        came = f"{numbers[~good][0]:g}"
        raise PartError(where=where, came=f"{came} {unit}" if unit else came, right=right, do=do)
