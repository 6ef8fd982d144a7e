"""Where the weights of a Laplace step do not hold: the readings brought in by degrees.

Tempered sequential Monte Carlo starts from the prior, raises the readings' likelihood from 0 to 1
in steps that leave half of the samples effective, and after each step moves every sample by a
Crank–Nicolson walk that leaves the prior as it is.  Slower than a Laplace step, but it needs no
shape of the posterior; it is used when readings and survey pull far apart.

References: Del Moral, Doucet, Jasra, J. R. Stat. Soc. B 68 (2006), sequential Monte Carlo samplers;
Cotter, Roberts, Stuart, White, Stat. Sci. 28 (2013), the prior-preserving walk (both memory).
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from inchwater.errors import ConvergenceError
from inchwater.network.elements import Array

_KEPT = 0.5  # effective share that a step of the temperature leaves [-]
_MOVES = 12  # walks after each step
_WANTED = 0.3  # share of accepted moves that the walk's length aims at [-]
_MAX_STEPS = 60


def tempered(
    log_likelihood: Callable[[Array], Array], count: int, size: int, rng: np.random.Generator
) -> Array:
    """Samples of unit normal latents given readings.

    Parameters
    ----------
    log_likelihood : function of an array (sample, latent)
        Logarithm of the readings' probability (sample,). [-]
    count : int
        Number of latents.
    size : int
        Number of samples.

    Returns
    -------
    array (sample, latent)
        Samples of equal weight.

    Raises
    ------
    ConvergenceError
        If the readings' full weight is not reached: they cannot be from this system.
    """
    at = rng.standard_normal((size, count))
    log_like = log_likelihood(at)
    power, length = 0.0, 0.5
    for _ in range(_MAX_STEPS):
        step = _step(log_like, 1.0 - power)
        power += step
        weights = np.exp(step * (log_like - log_like.max()))
        weights /= weights.sum()
        rows = systematic(weights, size, rng)
        at, log_like = at[rows], log_like[rows]
        for _ in range(_MOVES):
            walk = rng.standard_normal((size, count))
            tried = np.sqrt(1.0 - length**2) * at + length * walk
            tried_like = log_likelihood(tried)
            accepted = np.log(rng.random(size)) < power * (tried_like - log_like)
            at = np.where(accepted[:, None], tried, at)
            log_like = np.where(accepted, tried_like, log_like)
            # Longer while many are accepted, shorter while few are.
            length = float(np.clip(length * np.exp(accepted.mean() - _WANTED), 0.01, 0.99))
        if power >= 1.0:
            return at
    raise ConvergenceError(
        where="calibration",
        came=f"readings that explain only {power:.0%} of their weight",
        right="the readings and the survey should lead to a system that can exist",
        do="Look for a reading or a size that is far off.",
    )


def _step(log_like: Array, left: float) -> float:
    """Largest rise of the power that leaves the wanted effective share, by bisection. [-]"""

    def share(step: float) -> float:
        weights = np.exp(step * (log_like - log_like.max()))
        return float(weights.sum() ** 2 / np.square(weights).sum() / len(weights))

    if share(left) >= _KEPT:
        return left
    low, high = 0.0, left
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if share(middle) >= _KEPT else (low, middle)
    return max(low, 1e-6)


def systematic(weights: Array, size: int, rng: np.random.Generator) -> NDArray[np.intp]:
    """``size`` rows drawn in proportion to their weights, with one random offset."""
    places = (np.arange(size) + rng.random()) / size
    rows = np.searchsorted(np.cumsum(weights), places)
    return np.minimum(rows, len(weights) - 1)
