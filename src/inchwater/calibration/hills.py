"""The most likely system, and others that the readings' heavy tails leave about as likely.

Levenberg-Marquardt on the latents (independent unit normals) with Jacobians of one batched solve.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from inchwater.calibration.likelihood import Readings
from inchwater.errors import ConvergenceError
from inchwater.network.elements import Array

STEP = 1e-3  # of a latent, for slopes [-]
# Dampings tried at once, against a prior whose own curvature is one. [-]
_DAMPING = (0.0, 0.1, 1.0, 10.0, 100.0, 1e4)
_NORMAL_DOF = 1e6  # of a Student t that is a normal one [-]
_LET_GO = 4.0  # sigmas at which a climb has let a reading go [-]
_LET_GO_WEIGHT = 1e-4  # of a reading that is let go [-]
_ALIKE = 1.5  # sigmas of every reading within which two hills are one [-]
_PASSES = 25  # of a hill's search along straight lines
_WORTH = 9.0  # of twice the log posterior: a hill that much lower is left out [-]
_WORTH_LINEAR = 16.0  # the same, as straight lines foretell it [-]
_MOST_HILLS = 3
_SUSPECTS = 10  # readings that fit least of all, which may be let go: of forty all pairs take long


def most_likely(readings: Readings) -> tuple[Array, Array]:
    """The most likely latents and the readings' Jacobian there.

    Returns
    -------
    array (latent,), array (reading, latent)
        Jacobian of the surprises, weighted for heavy tails. [-]

    Notes
    -----
    Heavy tails have more than one hill: a reading that lies far off can be let go, or met by ducts
    far from what their survey says.  Where the first climb lets one go, a second one starts from
    the system that meets all readings, and the likelier of the two is kept.
    """
    dof = readings.dof
    start = np.zeros(len(readings.names))
    at, jacobian, worth = _climb(readings, start, dof)
    surprise = readings.surprise(at[None, :])
    if np.abs(surprise).max() > _LET_GO:
        try:
            meets_all, _, _ = _climb(readings, start, np.full(len(dof), _NORMAL_DOF))
            other = _climb(readings, meets_all, dof)
        except ConvergenceError:
            # To meet all readings a part would have to be what no part is: the first hill stands.
            return at, jacobian
        if other[2] < worth:
            at, jacobian, worth = other
    return at, jacobian


def _climb(readings: Readings, start: Array, dof: Array) -> tuple[Array, Array, float]:
    """Levenberg–Marquardt from ``start``: latents, Jacobian, twice the negative log posterior."""
    size = len(readings.names)
    at = start

    jacobian = np.zeros((len(readings.measured), size))
    now = np.inf
    for _ in range(40):
        jacobian, z = _jacobian(readings, at, dof)
        gradient = jacobian.T @ (z * _pull(z, dof)) + at
        now = _worth(z, at, dof)
        steps = np.stack([-_solved(jacobian, d, gradient) for d in _DAMPING])
        tried = readings.surprise(at + steps)
        values = np.array([_worth(tried[k], at + steps[k], dof) for k in range(len(steps))])
        best = int(np.argmin(values))
        if values[best] >= now - 1e-9 * (1.0 + abs(now)):
            # At rest, or on a ridge: where that is a poor place to start from, the weights say so.
            break
        moved = float(np.abs(steps[best]).max())
        at, now = at + steps[best], float(values[best])
        if moved < 1e-3:
            break
    return at, jacobian, now


def _jacobian(readings: Readings, at: Array, dof: Array) -> tuple[Array, Array]:
    """Slopes of the surprises over the latents, as heavy tails pull, and the surprises."""
    points = np.vstack([at, at + STEP * np.eye(len(at))])
    z = readings.surprise(points)
    return (z[1:] - z[0]).T / STEP * _pull(z[0], dof)[:, None], z[0]


def _pull(z: Array, dof: Array) -> Array:
    """Root of the force that a heavy tail leaves a reading (reading,). [-]"""
    return np.asarray(np.sqrt((dof + 1.0) / (dof + z**2)))


def jacobian_at(readings: Readings, at: Array) -> Array:
    """Slopes of the surprises (reading, latent) at latents (latent,), as heavy tails pull. [-]"""
    return _jacobian(readings, at, readings.dof)[0]


def _solved(jacobian: Array, damping: float, right: Array) -> Array:
    """x of (J'J + (1 + damping) I) x = right, by a system of as many rows as there are readings.

    A house of many runs has hundreds of latents and a handful of readings (Woodbury's identity).
    """
    own = 1.0 + damping
    inner = own * np.eye(len(jacobian)) + jacobian @ jacobian.T
    part = np.linalg.solve(inner, jacobian @ right)
    return np.asarray((right - jacobian.T @ part) / own)


def other_hills(readings: Readings, at: Array, jacobian: Array) -> list[Array]:
    """Latents (latent,) of other hills than the one at ``at``, the likeliest first.

    Two readings that contradict each other can be explained by letting one go or the other, and
    between the two lies a valley that no sample crosses.  Where the hills are is foretold with the
    readings as straight lines of the latents, then each is climbed.

    Parameters
    ----------
    at, jacobian : array (latent,), array (reading, latent)
        As :func:`most_likely` gives them.
    """
    z = readings.surprise(at[None, :])[0]
    own = _worth(z, at, readings.dof)
    found: list[tuple[float, Array, Array]] = [(own, at, z)]
    slopes = jacobian / _pull(z, readings.dof)[:, None]
    for start in _foretold(slopes, z, at, readings.dof):
        try:
            there, _, worth = _climb(readings, start, readings.dof)
        except ConvergenceError:
            # Straight lines led to where no system is: there is no hill.
            continue
        shown = readings.surprise(there[None, :])[0]
        if worth < own + _WORTH and _is_new(shown, [one[2] for one in found]):
            found.append((worth, there, shown))
    return [there for _, there, _ in sorted(found[1:], key=lambda one: one[0])][: _MOST_HILLS - 1]


def _foretold(slopes: Array, z: Array, at: Array, dof: Array) -> list[Array]:
    """Where other hills would be, were the readings straight lines of the latents.

    One reading or two of those that fit least where all are met are let go; from there heavy tails
    decide (iteratively reweighted least squares, in the space of the readings).
    """
    count = len(z)
    expected = z - slopes @ at
    cover = slopes @ slopes.T
    own = _worth(z, at, dof)
    where_all_are_met = np.linalg.solve(cover + np.eye(count), expected)
    suspects = sorted(map(int, np.argsort(-np.abs(where_all_are_met))[:_SUSPECTS]))
    let_go = [(j,) for j in suspects] + list(combinations(suspects, 2))
    weight = np.ones((len(let_go), count))
    for row, which in zip(weight, let_go, strict=True):
        row[list(which)] = _LET_GO_WEIGHT
    for _ in range(_PASSES):
        slack = np.eye(count) / weight[:, :, None]
        right = np.broadcast_to(expected, weight.shape)[..., None]
        pull = np.linalg.solve(cover + slack, right)[..., 0]
        there = pull / weight
        weight = (dof + 1.0) / (dof + there**2)
    seen = [z]
    starts: list[tuple[float, Array]] = []
    for shown, x in zip(there, -pull @ slopes, strict=True):
        worth = _worth(shown, x, dof)
        if worth < own + _WORTH_LINEAR and _is_new(shown, seen):
            seen.append(shown)
            starts.append((worth, x))
    return [x for _, x in sorted(starts, key=lambda one: one[0])][:_MOST_HILLS]


def _worth(z: Array, at: Array, dof: Array) -> float:
    """Twice the negative logarithm of the posterior, but for a constant. [-]"""
    return float(((dof + 1.0) * np.log1p(z**2 / dof)).sum() + at @ at)


def _is_new(z: Array, others: Sequence[Array]) -> bool:
    return all(float(np.abs(z - other).max()) > _ALIKE for other in others)
