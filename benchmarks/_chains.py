"""A long Markov chain as reference for calibration: exact in the long run, and slow.

Many chains at once, each moved along ellipses about a place that meets the readings, heavy-tailed
in what they inform, as the readings' errors are.  It shares the likelihood with the calibration and
none of its samples; half of the chains start well outside, so that what is not forgotten yet would
show.

References: Cotter, Roberts, Stuart, White, Stat. Sci. 28 (2013) (a Metropolis step along an
ellipse: preconditioned Crank-Nicolson); Nishihara, Murray, Adams, J. Mach. Learn. Res. 15 (2014)
(ellipses about a Student t); Vehtari, Gelman, Simpson, Carpenter, Buerkner, Bayesian Anal. 16
(2021) (effective size, split R-hat); Margossian et al., arXiv 2110.13017 (R-hat of many short
chains: nested) (all memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
LogLikelihood = Callable[[Array], Array]

GROUPS, CHAINS = 8, 50  # groups of chains whose means are compared, chains in each
_FARTHER = 3.0  # of the spread at the best fit, at which every second group starts [-]
_DOF = 4.0  # of the Student t [-]
_ANGLES = (0.05, np.pi / 2.0)  # along an ellipse: from next to nothing to independent [rad]


@dataclass(frozen=True)
class Place:
    """Where chains move about: unit normal but for the directions that readings inform.

    In those it is a Student t.  middle : array (latent,); along : array (direction, latent),
    orthonormal rows; sd : array (direction,).
    """

    middle: Array
    along: Array
    sd: Array

    @classmethod
    def of(cls, middle: Array, jacobian: Array) -> Place:
        """From the best fit and the readings' slopes there (reading, latent) in their sigmas."""
        _, strength, along = np.linalg.svd(jacobian, full_matrices=False)
        return cls(middle, along, 1.0 / np.sqrt(1.0 + strength**2))

    @classmethod
    def seen(cls, kept: Array, count: int) -> Place:
        """From where chains have been (step, chain, latent): the ``count`` narrowest directions."""
        flat = kept.reshape(-1, kept.shape[2])
        variance, along = np.linalg.eigh(np.cov(flat.T))
        return cls(flat.mean(axis=0), along[:, :count].T, np.sqrt(variance[:count]))

    def steps(self, rng: np.random.Generator, stretch: Array) -> Array:
        """Normal draws about zero (sample, latent), informed directions times ``stretch``."""
        drawn = rng.standard_normal((len(stretch), len(self.middle)))
        wanted = self.sd * stretch[:, None] - 1.0
        return np.asarray(drawn + (drawn @ self.along.T * wanted) @ self.along)

    def distance(self, at: Array) -> Array:
        """Square of how far off in the informed directions (sample,). [-]"""
        return np.asarray(((((at - self.middle) @ self.along.T) / self.sd) ** 2).sum(axis=1))

    def log_density(self, at: Array) -> Array:
        """But for a constant (sample,). [-]"""
        off = at - self.middle
        free = (off**2).sum(axis=1) - ((off @ self.along.T) ** 2).sum(axis=1)
        tail = np.log1p(self.distance(at) / _DOF)
        return np.asarray(-0.5 * free - 0.5 * (_DOF + len(self.sd)) * tail)

    def stretches(self, at: Array, rng: np.random.Generator) -> Array:
        """How much wider than ``sd`` the normal is that each sample could be from (sample,). [-]

        A Student t is a mixture of normals; this draws which of them.
        """
        chi = rng.chisquare(_DOF + len(self.sd), len(at))
        return np.asarray(np.sqrt((_DOF + self.distance(at)) / chi))


class Chains:
    """``GROUPS`` times ``CHAINS`` chains of unit normal latents given a likelihood.

    Every group stands for one long chain; every second one starts well outside.
    """

    def __init__(
        self, log_likelihood: LogLikelihood, place: Place, rng: np.random.Generator
    ) -> None:
        self._likelihood = log_likelihood
        self._place = place
        self._rng = rng
        starts_far = np.arange(GROUPS * CHAINS) // CHAINS % 2 == 0
        self.at: Array = place.middle + place.steps(rng, np.where(starts_far, _FARTHER, 1.0))
        self._height = self._above(self.at)

    def about(self, place: Place) -> None:
        """Move about another place from here on."""
        self._place = place
        self._height = self._above(self.at)

    def run(self, steps: int, every: int = 1) -> Array:
        """Move on, and give the places (step kept, chain, latent) after every ``every`` steps."""
        kept = []
        for step in range(1, steps + 1):
            self._move()
            if step % every == 0:
                kept.append(self.at)
        return np.stack(kept)

    def _above(self, at: Array) -> Array:
        """Logarithm of the posterior over the place's own density (sample,). [-]"""
        target = self._likelihood(at) - 0.5 * (at**2).sum(axis=1)
        return np.asarray(target - self._place.log_density(at))

    def _move(self) -> None:
        """One Metropolis step: another place on an ellipse, taken by how much likelier it is.

        Of angles of any size some are tried: short ones are often taken, long ones go far.  Slice
        sampling, which shortens one angle until a place is taken, asked the likelihood nine times
        a step, and got a quarter fewer independent draws a second.
        """
        rng, middle = self._rng, self._place.middle
        count = len(self.at)
        other = self._place.steps(rng, self._place.stretches(self.at, rng))
        angle = np.exp(rng.uniform(*np.log(_ANGLES), count))[:, None]
        tried = middle + (self.at - middle) * np.cos(angle) + other * np.sin(angle)
        height = self._above(tried)
        taken = np.log(rng.random(count)) < height - self._height
        self.at = np.where(taken[:, None], tried, self.at)
        self._height = np.where(taken, height, self._height)


def effective_size(values: Array) -> float:
    """How many independent draws chains are worth for a mean (Geyer's monotone sequence). [-]

    Parameters
    ----------
    values : array (step, chain)
        Chains are split in halves.
    """
    steps = len(values) // 2
    halves = np.concatenate([values[:steps], values[steps : 2 * steps]], axis=1)
    within = float(halves.var(axis=0, ddof=1).mean())
    total = within * (steps - 1) / steps + float(halves.mean(axis=0).var(ddof=1))
    off = halves - halves.mean(axis=0)
    power = np.abs(np.fft.rfft(off, 2 * steps, axis=0)) ** 2
    covered = np.fft.irfft(power, axis=0)[:steps].mean(axis=1) / (steps - 1)
    alike = 1.0 - (within - covered) / total
    pairs = alike[: steps - steps % 2].reshape(-1, 2).sum(axis=1)
    ends = np.flatnonzero(pairs < 0.0)
    pairs = np.minimum.accumulate(pairs[: ends[0]] if len(ends) else pairs)
    size = halves.size
    return float(min(size / max(2.0 * pairs.sum() - 1.0, 1e-9), size * np.log10(size)))


def nested_r_hat(values: Array) -> float:
    """How much wider all groups together are than one group (step, chain): 1 where they agree."""
    grouped = values.reshape(len(values), GROUPS, CHAINS)
    between = grouped.mean(axis=(0, 2)).var(ddof=1)
    apart = grouped.mean(axis=0).var(axis=1, ddof=1) + grouped.var(axis=0, ddof=1).mean(axis=1)
    return float(np.sqrt(1.0 + between / apart.mean()))
