"""What a reading is worth before it is taken: expected value of sample information from samples.

Whoever must choose among actions pays the price of the chosen one, and a loss where it misses the
goal.  A reading is worth the expected cost of the best choice now less that of the best choice
after it.  Its outcomes are simulated from the samples themselves.  What each action would bring is
regressed on the simulated outcomes, so that no sample is judged by itself alone, and what a miss
costs follows from the fit and its residuals.  The fit is shrunk by what chance alone would fit,
because otherwise the best of several noisy averages looks better than it is.

References
----------
Strong, Oakley, Brennan 2014, Medical Decision Making 34(3), 311-326 (partial perfect information by
regression); Strong, Oakley, Brennan, Breeze 2015, Medical Decision Making 35(5), 570-583 (sample
information by regression on a summary of the data).  Both from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# Directions of the outcomes that are kept, those that the samples spread most over their noise.
_DIRECTIONS = 4
_LEAST_SIGNAL = 0.05  # spread of the samples over the noise below which a direction is noise [-]
_OUTCOMES = 300
_RESIDUALS = 200
_FAR = 3.5  # outcomes further off than this many spreads count as that far [-]


@dataclass(frozen=True)
class Decision:
    """Actions, what each would bring in every sample, and what is wanted of it.

    brings : array (sample, action, quantity) [SI]; low, high : array (quantity,) bounds of what is
    wanted [SI]; far : array (quantity,), how far off it costs ``unmet`` [SI];
    prices : array (action,) [money].  An action that misses costs ``visit`` and, in proportion to
    how far off it ends, ``unmet`` [money].
    """

    brings: Array
    low: Array
    high: Array
    far: Array
    prices: Array
    visit: float
    unmet: float

    @property
    def size(self) -> int:
        """Number of samples."""
        return len(self.brings)

    def missed(self, brings: Array) -> NDArray[np.bool_]:
        """Whether the goal is missed (...,) for what is brought (..., quantity)."""
        return np.asarray(((brings < self.low) | (brings > self.high)).any(axis=-1))

    def losses(self, brings: Array) -> Array:
        """What it costs beside the price (...,) that this is brought (..., quantity). [money]"""
        off = np.maximum(np.maximum(self.low - brings, brings - self.high), 0.0) / self.far
        total = off.sum(axis=-1)
        return np.asarray(self.visit * (total > 0.0) + self.unmet * total)

    def costs(self) -> Array:
        """Cost of each action in each sample (sample, action). [money]"""
        return np.asarray(self.prices + self.losses(self.brings))

    def expected(self) -> Array:
        """Expected cost of each action (action,). [money]"""
        return np.asarray(self.costs().mean(axis=0))

    def regret(self) -> float:
        """What choosing now is expected to cost more than choosing in full knowledge. [money]

        An upper bound of what any reading can be worth (expected value of perfect information).
        """
        costs = self.costs()
        return float(costs.mean(axis=0).min() - costs.min(axis=1).mean())


@dataclass(frozen=True)
class Gain:
    """What an outcome is worth on average [money], its Monte-Carlo error [money], the choices.

    ``chosen`` : array (action,), the odds that each action would be chosen after the outcome [-].
    """

    value: float
    error: float
    now: int
    chosen: Array


def value_of_readings(
    decision: Decision, shown: Array, spreads: Array, dof: float, rng: np.random.Generator
) -> Gain:
    """What a set of readings is worth.

    Parameters
    ----------
    decision : Decision
    shown : array (sample, reading)
        What each reading would show without its error in every sample. [SI]
    spreads : array (reading,)
        One sigma of each reading's own error. [SI]
    dof : float
        Degrees of freedom of the errors, a Student t. [-]
    """
    noise = rng.standard_t(dof, size=shown.shape)
    features = _features(shown / spreads, noise)
    size, actions = decision.brings.shape[:2]
    fitted = _shrunk_fit(features, decision.brings.reshape(size, -1)).reshape(decision.brings.shape)
    residuals = decision.brings - fitted
    outcomes = _spaced(size, _OUTCOMES)
    drawn = _spaced(size, _RESIDUALS)
    costs = np.empty((len(outcomes), actions))
    for a in range(actions):
        # One action after the other, so that the largest array stays in the cache.
        brings = fitted[outcomes, None, a, :] + residuals[None, drawn, a, :]
        costs[:, a] = decision.prices[a] + decision.losses(brings).mean(axis=1)
    # Before the outcome is known each action costs what all samples say, not what these few do.
    costs += decision.expected() - costs.mean(axis=0)
    return _gain(costs, np.full(len(outcomes), 1.0 / len(outcomes)))


def value_of_look(decision: Decision, odds: Array) -> Gain:
    """What a look with a few possible outcomes is worth.

    Parameters
    ----------
    odds : array (sample, outcome)
        The odds of each outcome in every sample, summing to one over the outcomes. [-]
    """
    mass = odds.sum(axis=0)
    there = mass > 0.0
    costs = (odds[:, there].T @ decision.costs()) / mass[there, None]
    return _gain(costs, mass[there] / mass[there].sum())


def _gain(costs: Array, weights: Array) -> Gain:
    """The value of choosing after the outcome (outcome, action), with weights (outcome,)."""
    now = int(np.argmin(weights @ costs))
    best = costs.argmin(axis=1)
    saved = costs[:, now] - costs.min(axis=1)
    value = float(weights @ saved)
    error = float(np.sqrt(weights @ (saved - value) ** 2 * (weights**2).sum()))
    chosen = np.bincount(best, weights=weights, minlength=costs.shape[1])
    return Gain(value, error, now, np.asarray(chosen, dtype=np.float64))


def _features(signal: Array, noise: Array) -> Array:
    """A quadratic surface's terms over the outcomes' leading directions (sample, term). [-]"""
    middle = np.median(signal, axis=0)
    centred = signal - middle
    _, spread, axes = np.linalg.svd(centred, full_matrices=False)
    spread = spread / np.sqrt(len(signal))
    kept = axes[: min(_DIRECTIONS, len(axes))][spread[:_DIRECTIONS] > _LEAST_SIGNAL]
    seen = (centred + noise) @ kept.T
    scale = np.sqrt(seen.var(axis=0))
    # A wild reading tells no more than one that is merely far off.
    seen = np.clip(seen / np.where(scale > 0.0, scale, 1.0), -_FAR, _FAR)
    columns = [np.ones(len(seen)), *seen.T]
    for i in range(seen.shape[1]):
        columns += [seen[:, i] * seen[:, j] for j in range(i + 1)]
    if seen.shape[1] <= 2:
        columns += [one**3 for one in seen.T]
    return np.stack(columns, axis=1)


def _shrunk_fit(features: Array, wanted: Array) -> Array:
    """Least squares over the terms (sample, quantity), drawn to the mean by what chance fits.

    A fit of p terms that mean nothing still explains p of n parts of the variance; the share that
    is explained beyond that (the adjusted coefficient of determination) is what is kept.
    """
    count, terms = features.shape
    middle = wanted.mean(axis=0)
    root, _ = np.linalg.qr(features)
    fitted = root @ (root.T @ (wanted - middle))
    total = ((wanted - middle) ** 2).sum(axis=0)
    left = ((wanted - middle - fitted) ** 2).sum(axis=0)
    explained = 1.0 - left / np.where(total > 0.0, total, 1.0)
    adjusted = 1.0 - (1.0 - explained) * (count - 1) / max(count - terms, 1)
    keep = np.clip(adjusted / np.where(explained > 0.0, explained, 1.0), 0.0, 1.0)
    return np.asarray(middle + keep * fitted)


def _spaced(size: int, wanted: int) -> NDArray[np.int64]:
    """At most ``wanted`` places spread evenly over ``size`` samples."""
    return np.unique(np.linspace(0, size - 1, min(wanted, size)).astype(np.int64))
