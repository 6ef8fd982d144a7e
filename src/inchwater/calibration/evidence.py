"""How likely some readings are under one description of a system, for comparing descriptions.

Errors are taken as normal here, not as heavy-tailed: a tail is itself an explanation of a reading
far off, and would leave nothing to find.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from inchwater.calibration.likelihood import Readings
from inchwater.errors import ConvergenceError
from inchwater.network.elements import Array

_STEP = 1e-3
# Dampings tried at once, against a prior whose own curvature is one. [-]
_DAMPING = (0.0, 1.0, 10.0, 100.0, 1e4)
_LONGEST = 5.0  # of one step, in prior sigmas [-]
_ROUNDS = 12
_AT_REST = 0.02  # of a step, in prior sigmas [-]
Predict = Callable[[Array], Array]


@dataclass(frozen=True, slots=True)
class Evidence:
    """Readings under one description of the system.

    log : logarithm of the readings' probability density (Laplace) [-]; distance : squared
    distance of the readings from what was expected before any was read, in predictive standard
    deviations [-]; latents (latent,); shown (reading,) at the most likely system [SI].
    """

    log: float
    distance: float
    latents: Array
    shown: Array


@dataclass(frozen=True, slots=True)
class Linear:
    """Readings as straight lines of the latents about one system.

    at (latent,); shown (reading,) there [SI]; slopes (reading, latent) [SI per prior sigma];
    basis (rank, latent): orthonormal directions that any reading answers to.
    """

    at: Array
    shown: Array
    slopes: Array
    basis: Array

    @property
    def expected(self) -> Array:
        """What the readings were expected to show before any was read (reading,). [SI]"""
        return np.asarray(self.shown - self.slopes @ self.at)

    def cover(self, spreads: Array) -> Array:
        """Covariance of the readings before any was read (reading, reading). [SI²]"""
        return np.asarray(self.slopes @ self.slopes.T + np.diag(spreads**2))

    def log_evidence(self, measured: Array, spreads: Array, shift: Array | float = 0.0) -> float:
        """Log density of readings whose system shows ``shift`` more than this one. [-]"""
        root = np.linalg.cholesky(self.cover(spreads))
        apart = np.linalg.solve(root, measured - self.expected - shift)
        scale = np.log(np.diagonal(root)).sum() + 0.5 * len(measured) * np.log(2.0 * np.pi)
        return float(-0.5 * apart @ apart - scale)

    def size(self, shift: Array, spreads: Array) -> float:
        """How far a shift of the readings (reading,) lies, in predictive standard deviations."""
        return float(np.sqrt(shift @ np.linalg.solve(self.cover(spreads), shift)))

    def apart(self, spreads: Array) -> Array:
        """What each reading may differ from what the others and the survey make it (reading,)."""
        return np.asarray(1.0 / np.sqrt(np.diagonal(np.linalg.inv(self.cover(spreads)))))


def linear(readings: Readings, at: Array) -> Linear:
    """The readings' straight lines about latents (latent,)."""
    points = np.vstack([at, at + _STEP * np.eye(len(at))])
    shown = readings.predict(points)
    slopes = (shown[1:] - shown[0]).T / _STEP
    return Linear(at, shown[0], slopes, _basis(np.vstack([slopes / readings.spreads[:, None], at])))


def _basis(rows: Array) -> Array:
    _, strength, directions = np.linalg.svd(rows, full_matrices=False)
    return np.asarray(directions[strength > 1e-4 * max(float(strength.max()), 1e-12)])


def evidence(
    predict: Predict, measured: Array, spreads: Array, start: Array, basis: Array
) -> Evidence:
    """Laplace's evidence at the most likely latents within the span of a basis.

    Parameters
    ----------
    predict : function of an array (sample, latent)
        What every reading should show (sample, reading). [SI]
    measured, spreads : array (reading,)
        Readings and one sigma of each. [SI]
    start : array (latent,)
        Where the climb begins.
    basis : array (rank, latent)
        Orthonormal directions; the readings answer to no other ones.

    Raises
    ------
    ConvergenceError
        If no system can be found that could have been read.

    Notes
    -----
    log p(y) = log p(y | x) − x'x / 2 − log det(I + J'J) / 2 at the most likely x: exact for
    readings that are straight lines of the latents (MacKay, Information Theory, Inference and
    Learning Algorithms, 2003, chapter 27: memory).
    """
    rank = len(basis)
    at = basis @ start
    jacobian = np.zeros((len(measured), rank))
    now, shown = np.inf, np.full(len(measured), np.nan)
    for _ in range(_ROUNDS):
        points = np.vstack([at, at + _STEP * np.eye(rank)])
        seen = predict(points @ basis)
        shown = seen[0]
        z = (measured - shown) / spreads
        jacobian = -(seen[1:] - shown).T / _STEP / spreads[:, None]
        now = float(z @ z + at @ at)
        gradient = jacobian.T @ z + at
        steps = _steps(jacobian, gradient)
        tried = _shown(predict, (at + steps) @ basis, len(measured))
        values = (((measured - tried) / spreads) ** 2).sum(axis=1) + ((at + steps) ** 2).sum(axis=1)
        values = np.where(np.isnan(values), np.inf, values)
        best = int(np.argmin(values))
        if not values[best] < now - 1e-6 * (1.0 + abs(now)):
            break
        at, now, shown = at + steps[best], float(values[best]), tried[best]
        if np.abs(steps[best]).max() < _AT_REST:
            break
    if not np.isfinite(now):
        raise ConvergenceError(
            where="evidence",
            came="readings of no system that can be solved",
            right="a system near its survey",
        )
    # log det(I + J'J) by singular values too, for the same reason as the steps.
    wide = np.log1p(np.linalg.svd(jacobian, compute_uv=False) ** 2).sum()
    scale = np.log(spreads).sum() + 0.5 * len(measured) * np.log(2.0 * np.pi)
    return Evidence(float(-0.5 * now - 0.5 * wide - scale), now, at @ basis, shown)


def _steps(jacobian: Array, gradient: Array) -> Array:
    """One step for each damping (damping, latent), none longer than the longest."""
    # By singular values: where one reading jumps, J'J swallows the prior's one and has no inverse.
    _, strength, directions = np.linalg.svd(jacobian)
    square = np.zeros(len(gradient))
    square[: len(strength)] = strength**2
    held = square + 1.0 + np.array(_DAMPING)[:, None]
    steps = -((directions @ gradient) / held) @ directions
    length = np.sqrt((steps**2).sum(axis=1, keepdims=True))
    return np.asarray(steps * np.minimum(1.0, _LONGEST / np.maximum(length, 1e-12)))


def _shown(predict: Predict, latents: Array, count: int) -> Array:
    """What is shown at some latents; not-a-number where the network does not come to rest."""
    try:
        return predict(latents)
    except ConvergenceError:
        if len(latents) == 1:
            return np.full((1, count), np.nan)
        half = len(latents) // 2
        parts = (_shown(predict, part, count) for part in (latents[:half], latents[half:]))
        return np.concatenate([*parts])


def odds_against(distance: float, count: int) -> float:
    """How often readings lie as far from what was expected as these or further. [-]

    Parameters
    ----------
    distance : float
        As in :class:`Evidence`. [-]
    count : int
        Number of readings.
    """
    from scipy.special import gammaincc

    return float(gammaincc(0.5 * count, 0.5 * distance))
