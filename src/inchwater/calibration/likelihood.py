"""What all trials' readings say of the latents, as one function of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inchwater.calibration.observe import Observed
from inchwater.calibration.priors import Prior
from inchwater.network import Solution, solve
from inchwater.network.elements import Array

_LEAST_RATIO = 0.1  # of predicted over measured, whose logarithm is taken [-]


@dataclass(frozen=True, slots=True)
class AtRest:
    """Parameter values (sample,) by name, and each network solved for them, by its identity."""

    values: dict[str, Array]
    solved: dict[int, Solution]


class Readings:
    """All trials' readings as one function of the latents."""

    @classmethod
    def of(cls, trials: Sequence[Observed]) -> Readings:
        """The readings of trials with the prior of all that is unknown in them."""
        return cls(trials, Prior.of(p for trial in trials for p in trial.parameters))

    def __init__(self, trials: Sequence[Observed], prior: Prior) -> None:
        self.trials = trials
        self.prior = prior
        self.names = prior.latents
        self.measured = np.concatenate([t.measured for t in trials])
        self.spreads = np.concatenate([t.spreads for t in trials])
        self.dof = np.concatenate([t.dof for t in trials])
        self.by_ratio = np.flatnonzero(np.concatenate([t.by_ratio for t in trials]))

    def at_rest(self, latents: Array, near: AtRest | None = None) -> AtRest:
        """All trials' networks solved for latents (sample, latent), beginning at one close by."""
        values = self.prior.values({name: latents[:, i] for i, name in enumerate(self.names)})
        solved: dict[int, Solution] = {}
        for trial in self.trials:
            which = id(trial.network)
            if which not in solved:
                begin = None if near is None else near.solved[which]
                solved[which] = solve(trial.network, values, len(latents), near=begin)
        return AtRest(values, solved)

    def predict(self, latents: Array) -> Array:
        """What every reading should show (sample, reading) for latents (sample, latent). [SI]"""
        return self.shown(self.at_rest(latents))

    def shown(self, at: AtRest) -> Array:
        """What every reading shows of networks that were solved (sample, reading). [SI]"""
        shown = [trial.shown(at.values, at.solved[id(trial.network)]) for trial in self.trials]
        return np.concatenate(shown, axis=1)

    def surprise(self, latents: Array, near: AtRest | None = None) -> Array:
        """Measured less predicted, in sigmas (sample, reading). [-]

        Where the error is a share of what is read, it is the logarithm of measured over predicted.
        """
        return self.surprise_of(self.at_rest(latents, near))

    def surprise_of(self, at: AtRest) -> Array:
        """The surprises of networks that were solved (sample, reading). [-]"""
        predicted = self.shown(at)
        apart = (self.measured - predicted) / self.spreads
        rows = self.by_ratio
        if len(rows):
            ratio = predicted[:, rows] / self.measured[rows]
            # Next to no air, or air that comes back, has no logarithm: there it goes on straight.
            logarithm = np.log(np.maximum(ratio, _LEAST_RATIO))
            logarithm += np.minimum(ratio - _LEAST_RATIO, 0.0) / _LEAST_RATIO
            apart[:, rows] = -logarithm * (self.measured / self.spreads)[rows]
        return np.asarray(apart)

    def log_likelihood(self, latents: Array, near: AtRest | None = None) -> Array:
        """Log of the readings' probability under heavy-tailed errors (sample,). [-]"""
        z = self.surprise(latents, near)
        return np.asarray(-0.5 * ((self.dof + 1.0) * np.log1p(z**2 / self.dof)).sum(axis=1))
