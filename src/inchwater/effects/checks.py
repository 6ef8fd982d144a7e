"""How the laws of side effects end: scalar in and scalar out."""

from __future__ import annotations

import numpy as np

from inchwater.air import Values


def as_given(found: Values, *like: Values) -> Values:
    """A result as a float where everything that went in was one, else as an array."""
    if all(np.ndim(one) == 0 for one in like):
        return float(found)
    return np.asarray(found, dtype=np.float64)
