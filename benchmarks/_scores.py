"""How good forecasts are: errors, cover of 90 % ranges with its own range, interval scores.

References: Gneiting, Raftery, J. Am. Stat. Assoc. 102 (2007), eq. 43 (interval score); Liang,
Zeger, Biometrika 73 (1986) (variance of a share whose cases come in clusters) (both memory).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from inchwater.quantity import HELD

Array = NDArray[np.float64]
# One count a corner: fewer houses cannot tell.
FEWEST_HOUSES = 400
CORNER = (0.87, 0.93)


def interval_score(low: Array, high: Array, true: Array) -> Array:
    """Width of a 90 % range, and for a truth outside it 20 times how far outside."""
    missed = np.maximum(low - true, 0.0) + np.maximum(true - high, 0.0)
    return np.asarray(high - low + 2.0 / (1.0 - HELD) * missed)


def held(low: Array, high: Array, true: Array) -> NDArray[np.bool_]:
    """Whether a range holds the truth."""
    return np.asarray((low <= true) & (true <= high))


def cover(hits: Array, houses: NDArray[np.str_], level: float = 0.95) -> tuple[float, float, float]:
    """Share of hits, and the range in which it is known, houses being the clusters.

    Parameters
    ----------
    hits : array (case,)
        1 or 0, or a share of several alike. [-]
    houses : array (case,)
        Which house a case is from: cases of one house are not independent.
    level : float
        Odds of the range. [-]
    """
    from scipy.special import ndtri

    share = float(np.mean(hits))
    _, of = np.unique(houses, return_inverse=True)
    off = np.bincount(of, weights=hits - share)
    count = len(off)
    if count < 2:
        return share, 0.0, 1.0
    spread = float(np.sqrt(count / (count - 1.0) * (off**2).sum()) / len(hits))
    reach = float(ndtri(0.5 + 0.5 * level)) * spread
    return share, share - reach, share + reach


def fails(hits: Array, houses: NDArray[np.str_], corners: int) -> bool:
    """Whether a corner's cover is wrong beyond doubt, ``corners`` of them being looked at."""
    _, low, high = cover(hits, houses, 1.0 - 0.05 / corners)
    return high < CORNER[0] or low > CORNER[1]


def median_p90(errors: Array) -> tuple[float, float]:
    """Median and 90th percentile of the sizes of errors; not a number without any."""
    if not len(errors):
        return float("nan"), float("nan")
    return float(np.median(np.abs(errors))), float(np.quantile(np.abs(errors), 0.9))


def ratios(ours: Array, theirs: Array) -> tuple[float, float]:
    """How many times their errors are larger than ours, at the median and 90th percentile."""
    (a, b), (c, d) = median_p90(ours), median_p90(theirs)
    return c / a, d / b


def smallest(values: Sequence[float]) -> float:
    """The smallest that is a number; not a number without any."""
    numbers = [value for value in values if not np.isnan(value)]
    return min(numbers) if numbers else float("nan")
