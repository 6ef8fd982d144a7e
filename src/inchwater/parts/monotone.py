"""A curve through points that keeps their rises and falls: a monotone piecewise cubic.

Blower tables fall; an ordinary spline through them may rise in between, this one cannot.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from inchwater.air import Values

Array = NDArray[np.float64]


class Monotone:
    """A cubic through points, monotone wherever they are, continued by straight lines at its ends.

    Parameters
    ----------
    x, y : array (point,)
        At least two points, x rising. [any]
    slope_below, slope_above : float, optional
        Slopes of the straight lines outside; the end slopes of the curve if None. [y/x]

    Attributes
    ----------
    left : array (piece,)
        Where each piece is measured from: the first piece lies before the first point, the last
        one after the last, so there is one piece more than points. [x]
    power : array (4, piece)
        Coefficients of the distance from there, its powers 0 to 3. [y/x^power]

    References
    ----------
    Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984), with the three-point ends of
    scipy.interpolate.PchipInterpolator, against which it is checked.
    """

    def __init__(
        self,
        x: Array,
        y: Array,
        slope_below: float | None = None,
        slope_above: float | None = None,
    ) -> None:
        self.x = np.asarray(x, dtype=np.float64)
        self.y = np.asarray(y, dtype=np.float64)
        slopes = _slopes(self.x, self.y)
        self.slope_below = float(slopes[0]) if slope_below is None else slope_below
        self.slope_above = float(slopes[-1]) if slope_above is None else slope_above
        step = np.diff(self.x)
        secant = np.diff(self.y) / step
        # Per interval, ascending powers of the distance from its left end; the two outer rows
        # are the straight lines, so that one look-up serves inside and outside.
        cubic = (slopes[:-1] + slopes[1:] - 2.0 * secant) / step**2
        square = (3.0 * secant - 2.0 * slopes[:-1] - slopes[1:]) / step
        self.left = np.concatenate(([self.x[0]], self.x))
        self.power = np.array(
            [
                np.concatenate(([self.y[0]], self.y)),
                np.concatenate(([self.slope_below], slopes[:-1], [self.slope_above])),
                np.concatenate(([0.0], square, [0.0])),
                np.concatenate(([0.0], cubic, [0.0])),
            ]
        )

    def __call__(self, x: Values) -> Values:
        """The curve's value at ``x``."""
        return self.value_and_slope(x)[0]

    def value_and_slope(self, x: Values) -> tuple[Values, Values]:
        """The curve's value and slope at ``x``; scalar in, scalar out."""
        piece = np.searchsorted(self.x, x, side="right")
        s = x - self.left[piece]
        a, b, c, d = self.power[:, piece]
        return a + s * (b + s * (c + s * d)), b + s * (2.0 * c + 3.0 * s * d)


def _slopes(x: Array, y: Array) -> Array:
    """The slope at each point."""
    step = np.diff(x)
    secant = np.diff(y) / step
    if len(secant) == 1:
        return np.array([secant[0], secant[0]])
    slopes = np.zeros_like(y)
    before, after = secant[:-1], secant[1:]
    same = before * after > 0.0
    w1 = 2.0 * step[1:] + step[:-1]
    w2 = step[1:] + 2.0 * step[:-1]
    # Where the secants agree in sign, their weighted harmonic mean; at a turn or a flat, zero.
    slopes[1:-1][same] = ((w1 + w2)[same]) / (
        (w1 / _safe(before))[same] + (w2 / _safe(after))[same]
    )
    slopes[0] = _end(step[0], step[1], secant[0], secant[1])
    slopes[-1] = _end(step[-1], step[-2], secant[-1], secant[-2])
    return slopes


def _safe(values: Array) -> Array:
    """Zeros made ones; they are masked out afterwards."""
    return np.where(values == 0.0, 1.0, values)


def _end(h0: float, h1: float, s0: float, s1: float) -> float:
    """One-sided three-point slope, held to the sign and three times the size of the end secant."""
    slope = ((2.0 * h0 + h1) * s0 - h0 * s1) / (h0 + h1)
    if slope * s0 <= 0.0:
        return 0.0
    if s0 * s1 <= 0.0 and abs(slope) > 3.0 * abs(s0):
        return 3.0 * float(s0)
    return float(slope)
