"""What the compiled solver does with one part: friction, a tee, the blower; small systems.

A function that is inlined or called by another module's is not looked at when numba decides
whether what it kept on disk is still true: tests therefore keep theirs by the content of all.
"""

from __future__ import annotations

from collections.abc import Callable
from math import log
from typing import Any, TypeVar, cast

import numpy as np
from numba import njit

from inchwater.parts.ducts import LAMINAR_DRAG, LAMINAR_END, TURBULENT_START

_DECADE = 2.0 / log(10.0)
_STILL = 1e-3  # change of 1/sqrt(f) at which Newton on Colebrook, which squares errors, stops [-]
_Function = TypeVar("_Function", bound=Callable[..., Any])


def compiled(function: _Function) -> _Function:
    """Compile a function, and keep what was compiled wherever this machine lets us write."""
    try:
        result = njit(cache=True, nogil=True, error_model="numpy")(function)
    except RuntimeError:
        # Neither beside the source nor in the user's folders: it is compiled at each start.
        result = njit(nogil=True, error_model="numpy")(function)
    return cast(_Function, result)


inlined = njit(nogil=True, error_model="numpy", inline="always")


@compiled
def drag_at(reynolds: float, rough: float, x: float) -> tuple[float, float, float]:
    """Darcy factor times Re, its slope over Re, and 1/sqrt(f) of the turbulent part.

    The law of ``parts.ducts.friction_factor``, which tests hold it to; ``rough`` is relative
    roughness over 3.7, ``x`` a first guess of 1/sqrt(f).
    """
    turbulent = max(reynolds, LAMINAR_END)
    b = 2.51 / turbulent
    share = 0.0
    for _ in range(20):
        inside = rough + b * x
        # One division for both the step and, near enough, the slope of the factor.
        part = 1.0 / (inside + _DECADE * b)
        share = _DECADE * b * part
        step = (x + _DECADE * np.log(inside)) * inside * part
        x -= step
        if abs(step) <= _STILL * x:
            break
    factor = 1.0 / (x * x)
    drag = factor * turbulent
    slope = factor * (1.0 - 2.0 * share)
    if reynolds < TURBULENT_START:
        span = TURBULENT_START - LAMINAR_END
        at = min(max((reynolds - LAMINAR_END) / span, 0.0), 1.0)
        weight = at * at * (3.0 - 2.0 * at)
        weight_slope = 6.0 * at * (1.0 - at) / span
        slope = weight * slope + weight_slope * (drag - LAMINAR_DRAG)
        drag = LAMINAR_DRAG + weight * (drag - LAMINAR_DRAG)
    return drag, slope, x


@inlined
def tee_at(
    curve: Any, row: int, anchor: float, factor: float, flow: float, common: float
) -> tuple[float, float, float]:
    """Loss at a tee over the common leg's velocity pressure per flow squared, and its two slopes.

    ``factor`` multiplies how far the curve lies from ``anchor``.  Between no air and all of it the
    curve holds.  Beyond, air comes back through a leg: its loss is then the curve's end on its own
    flow, so that nothing jumps when the common flow dies.
    """
    pieces = curve.shape[1]
    # Where the common leg has no air the own flow decides.
    common = common if common != 0.0 else 1e-300
    ratio = flow / common
    if 0.0 <= ratio <= 1.0:
        place = ratio * pieces
        i = min(int(place), pieces - 1)
        u = place - i
        a, b, c, d = curve[row, i, 0], curve[row, i, 1], curve[row, i, 2], curve[row, i, 3]
        value = anchor + factor * (a + u * (b + u * (c + u * d)) - anchor)
        rise = factor * (b + u * (2.0 * c + 3.0 * u * d)) * pieces
        size = abs(common)
        return size * value * common, size * rise, size * (2.0 * value - rise * ratio)
    end = anchor + factor * (curve[row, pieces - 1].sum() - anchor)
    sign = 1.0 if common > 0.0 else -1.0
    if ratio > 1.0:
        return sign * end * flow * flow, 2.0 * sign * end * flow, 0.0
    first = anchor + factor * (curve[row, 0, 0] - anchor)
    back = abs(end)
    drop = sign * (first * common * common - back * flow * flow)
    return drop, -2.0 * sign * back * flow, 2.0 * sign * first * common


@inlined
def fan_at(
    x: Any,
    left: Any,
    power: Any,
    count: Any,
    share: Any,
    v: int,
    steepness: float,
    rated: Any,
    about: float,
    lean: Any,
    at: float,
) -> tuple[float, float]:
    """Flow of the blower at the table's own pressure ``at``, and its slope. [m3/s, m3/(s Pa)]

    Of ``lean``, one factor multiplies how far each curve's flow lies from its ``rated`` one at the
    pressure ``about``, one tilts the curve about there, one multiplies the pressure.
    """
    flow, slope = 0.0, 0.0
    slant, tilt, reach = lean[v, 0], lean[v, 1], lean[v, 2]
    entered = at * reach
    for k in range(count.shape[0]):
        if share[v, k] == 0.0:
            continue
        last = count[k]
        i = 0
        while i < last and x[k, i] <= entered:
            i += 1
        u = entered - left[k, i]
        a, b, c, d = power[k, 0, i], power[k, 1, i], power[k, 2, i], power[k, 3, i]
        q = a + u * (b + u * (c + u * d))
        rise = b + u * (2.0 * c + 3.0 * u * d)
        if i == last and u > 0.0:
            # Beyond the table only the direction is known: the further, the wider.
            q = a + (q - a) * steepness
            rise *= steepness
        tilted = tilt * rated[k]
        flow += share[v, k] * (rated[k] + slant * (q - rated[k]) + tilted * (at / about - 1.0))
        slope += share[v, k] * (slant * rise * reach + tilted / about)
    return flow, slope


@compiled
def eliminate(matrix: Any, right: Any) -> None:
    """Gauss with pivots, in place; the solution replaces ``right``."""
    n = right.shape[0]
    for i in range(n):
        best = i
        for j in range(i + 1, n):
            if abs(matrix[j, i]) > abs(matrix[best, i]):
                best = j
        if best != i:
            for k in range(n):
                matrix[i, k], matrix[best, k] = matrix[best, k], matrix[i, k]
            right[i], right[best] = right[best], right[i]
        for j in range(i + 1, n):
            factor = matrix[j, i] / matrix[i, i]
            for k in range(i, n):
                matrix[j, k] -= factor * matrix[i, k]
            right[j] -= factor * right[i]
    for i in range(n - 1, -1, -1):
        for k in range(i + 1, n):
            right[i] -= matrix[i, k] * right[k]
        right[i] /= matrix[i, i]
