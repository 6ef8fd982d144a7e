"""The check that most parts begin with: sizes, flows and powers are numbers above zero."""

from __future__ import annotations

import numpy as np

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
    numbers = np.atleast_1d(np.asarray(given, dtype=np.float64))
    good = np.isfinite(numbers) & (numbers >= 0.0 if zero else numbers > 0.0)
    if not good.all():
        came = f"{numbers[~good][0]:g}"
        raise PartError(where=where, came=f"{came} {unit}" if unit else came, right=right)
