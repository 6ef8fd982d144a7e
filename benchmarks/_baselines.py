"""What a forecast has to beat: handbook values alone, and handbook values scaled to the readings.

Both are the program's own network with every unknown at its prior median.  *Fair scaling* is what
a careful engineer does with the same readings: one factor on all resistances of the return side,
one on the supply side (an outside coil with it), one on the filters, fitted to all statics and
drops of the same trials by least squares in the readings' own sigmas.  It takes the blower's table
at its word.  After a change, new work has its side's factor, as it is the handbook that was off
there; a new filter starts at handbook, as it was the old one's dirt.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from inchwater.calibration.expected import expected
from inchwater.calibration.observe import Observed, observe
from inchwater.calibration.priors import Prior
from inchwater.network import Network, Solution, compile_network, solve
from inchwater.network.resistances import coefficients
from inchwater.survey import Change, Job, Survey, apply

Array = NDArray[np.float64]
RETURN, SUPPLY, FILTER = range(3)
# Where readings do not part two factors, neither moves farther than it has to: one sigma. [ln]
_LOOSE = 1.0
_STEP = 1e-4
_ROUNDS = 25
_STEPS = (1.0, 0.5, 0.25, 0.1, 0.03)
_READ = ("static", "drop")


HANDBOOK = np.ones(3)


def fitted(job: Job) -> Array:
    """The factors that fit all statics and drops of a job (3,). [-]"""
    trials = [_Trial(one) for one in observe(job)]
    at = np.zeros(3)
    for _ in range(_ROUNDS):
        points = np.vstack([at, at + _STEP * np.eye(3)])
        off = _off(trials, points)
        slopes = (off[1:] - off[0]).T / _STEP
        inverse = np.linalg.inv(slopes.T @ slopes + np.eye(3) / _LOOSE**2)
        step = -inverse @ (slopes.T @ off[0] + at / _LOOSE**2)
        tried = at + np.outer([0.0, *_STEPS], step)
        worth = (_off(trials, tried) ** 2).sum(axis=1) + (tried**2).sum(axis=1) / _LOOSE**2
        best = int(np.argmin(worth))
        at = tried[best]
        if best == 0 or np.abs(step).max() < 1e-6:
            break
    return np.asarray(np.exp(at))


def scaled(
    survey: Survey, factors: Array, changes: Sequence[Change], condition: Mapping[str, str]
) -> Solution:
    """The system after changes, in a condition, for several sets of factors at once.

    Parameters
    ----------
    factors : array (sample, 3)
        On the return side, the supply side and the filters. [-]
    """
    factors = factors.copy()
    for change in changes:
        survey = apply(survey, change)
        if change.kind == "filter":
            factors[:, FILTER] = 1.0
    return solved(compile_network(survey, condition), factors)


class _Trial:
    """A trial's network with those of its readings that resistances are scaled to."""

    def __init__(self, observed: Observed) -> None:
        kept = [k for k, r in enumerate(observed.readings) if r.quantity in _READ]
        self.network = observed.network
        self.readings = [observed.readings[k] for k in kept]
        self.spreads = observed.spreads[kept]

    def off(self, factors: Array) -> Array:
        """Predicted less measured, in sigmas (sample, reading). [-]"""
        if not self.readings:
            return np.zeros((len(factors), 0))
        solution = solved(self.network, factors)
        shown = np.stack([expected(one, solution) for one in self.readings], axis=1)
        return np.asarray((shown - [one.value for one in self.readings]) / self.spreads)


def _off(trials: Sequence[_Trial], logs: Array) -> Array:
    return np.concatenate([one.off(np.exp(logs)) for one in trials], axis=1)


def solved(network: Network, factors: Array) -> Solution:
    """The network at its prior medians, with factors on its sides (sample, 3)."""
    size = len(factors)
    prior = Prior.of(network.parameters)
    values = prior.values({name: np.zeros(size) for name in prior.latents})
    given = coefficients(network, values, size)
    scale = given.scale.copy()
    lost = {i for leaf in network.leaves if leaf.kind == "leak" for i in leaf.path}
    for i, edge in enumerate(network.edges):
        kind = edge.key.partition(":")[0]
        if i in lost:
            continue
        if kind == "filter":
            scale[:, i] *= factors[:, FILTER]
        elif edge.side == "return":
            scale[:, i] *= factors[:, RETURN]
        elif edge.side == "supply" or i in network.coil:
            scale[:, i] *= factors[:, SUPPLY]
    return solve(network, values, size, given=given._replace(scale=scale))
