"""From readings to weighted samples: the most likely system, its neighbourhood, and weights.

The most likely values come from Levenberg–Marquardt on the latents (independent unit normals) with
Jacobians of one batched solve.  The readings inform no more directions than there are readings.
All other directions are drawn from the prior; for each such draw the informed ones are brought to
where they fit the readings best, and drawn from a Student t about that place (a Laplace step of
each sample's own, since the fit's surface is curved).  Every sample is then weighted by what it is
worth, exactly, so that the proposal decides only how many samples count, not what they say.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inchwater.calibration.observe import Observed
from inchwater.calibration.priors import Prior
from inchwater.calibration.tempered import systematic, tempered
from inchwater.errors import ConvergenceError
from inchwater.network import Solution, solve
from inchwater.network.elements import Array

SAMPLES = 2000
_STEP = 1e-3
# Dampings tried at once, against a prior whose own curvature is one. [-]
_DAMPING = (0.0, 0.1, 1.0, 10.0, 100.0, 1e4)
_PROPOSAL_DOF = 8.0
_TRIES = 6  # of a sample's informed directions at most
_HELD_BACK = 20.0  # effective steps for each direction at which a learned shape counts half [-]
_PLENTY = 0.7  # effective share of the samples at which no further try is made [-]
_ENOUGH = 0.5  # effective share of the samples at which one draw is enough [-]
_SURE = 1.0  # standard errors by which a mean of the samples is held back [-]
_MORE = 5  # further draws before the proposal is given up
_MOST = 20  # further draws where weights hold but too few of the samples count
_HOLDS = 0.1  # effective share below which weights are not trusted [-]
_LET_GO = 4.0  # sigmas at which a climb has let a reading go [-]
_LEAST_RATIO = 0.1  # of predicted over measured, whose logarithm is taken [-]
_NORMAL_DOF = 1e6  # of a Student t that is a normal one [-]
_LONGEST = 4.0  # of one step of a sample's informed directions, in prior sigmas [-]


@dataclass(frozen=True, slots=True)
class Fit:
    """Weighted samples of the latents.

    latents : array (sample, latent); weights : array (sample,), summing to one;
    effective_size : Kish's effective number of samples [-]; method : how they were drawn.
    """

    latents: Array
    weights: Array
    effective_size: float
    method: str


@dataclass(frozen=True, slots=True)
class _AtRest:
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

    def at_rest(self, latents: Array, near: _AtRest | None = None) -> _AtRest:
        """All trials' networks solved for latents (sample, latent), beginning at one close by."""
        values = self.prior.values({name: latents[:, i] for i, name in enumerate(self.names)})
        solved: dict[int, Solution] = {}
        for trial in self.trials:
            which = id(trial.network)
            if which not in solved:
                begin = None if near is None else near.solved[which]
                solved[which] = solve(trial.network, values, len(latents), near=begin)
        return _AtRest(values, solved)

    def predict(self, latents: Array) -> Array:
        """What every reading should show (sample, reading) for latents (sample, latent). [SI]"""
        return self.shown(self.at_rest(latents))

    def shown(self, at: _AtRest) -> Array:
        """What every reading shows of networks that were solved (sample, reading). [SI]"""
        shown = [trial.shown(at.values, at.solved[id(trial.network)]) for trial in self.trials]
        return np.concatenate(shown, axis=1)

    def surprise(self, latents: Array, near: _AtRest | None = None) -> Array:
        """Measured less predicted, in sigmas (sample, reading). [-]

        Where the error is a share of what is read, it is the logarithm of measured over predicted.
        """
        return self.surprise_of(self.at_rest(latents, near))

    def surprise_of(self, at: _AtRest) -> Array:
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

    def log_likelihood(self, latents: Array, near: _AtRest | None = None) -> Array:
        """Log of the readings' probability under heavy-tailed errors (sample,). [-]"""
        z = self.surprise(latents, near)
        return np.asarray(-0.5 * ((self.dof + 1.0) * np.log1p(z**2 / self.dof)).sum(axis=1))


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

    def value(z: Array, x: Array) -> float:
        return float(((dof + 1.0) * np.log1p(z**2 / dof)).sum() + x @ x)

    jacobian = np.zeros((len(readings.measured), size))
    now = np.inf
    for _ in range(40):
        jacobian, z, root = _jacobian(readings, at, dof)
        gradient = jacobian.T @ (z * root) + at
        now = value(z, at)
        steps = np.stack([-_solved(jacobian, d, gradient) for d in _DAMPING])
        tried = readings.surprise(at + steps)
        values = np.array([value(tried[k], at + steps[k]) for k in range(len(steps))])
        best = int(np.argmin(values))
        if values[best] >= now - 1e-9 * (1.0 + abs(now)):
            # At rest, or on a ridge: where that is a poor place to start from, the weights say so.
            break
        moved = float(np.abs(steps[best]).max())
        at, now = at + steps[best], float(values[best])
        if moved < 1e-3:
            break
    return at, jacobian, now


def _jacobian(readings: Readings, at: Array, dof: Array) -> tuple[Array, Array, Array]:
    """Slopes of the surprises over the latents, the surprises, the root of their tails' pull."""
    points = np.vstack([at, at + _STEP * np.eye(len(at))])
    z = readings.surprise(points)
    root = np.sqrt((dof + 1.0) / (dof + z[0] ** 2))
    return (z[1:] - z[0]).T / _STEP * root[:, None], z[0], root


def _informed(jacobian: Array) -> Array:
    """The directions that the readings inform: the row space of their Jacobian."""
    _, strength, rows = np.linalg.svd(jacobian, full_matrices=False)
    return np.asarray(rows[strength > 1e-3 * max(float(strength.max()), 1e-12)])


def _solved(jacobian: Array, damping: float, right: Array) -> Array:
    """x of (J'J + (1 + damping) I) x = right, by a system of as many rows as there are readings.

    A house of many runs has hundreds of latents and a handful of readings (Woodbury's identity).
    """
    own = 1.0 + damping
    inner = own * np.eye(len(jacobian)) + jacobian @ jacobian.T
    part = np.linalg.solve(inner, jacobian @ right)
    return np.asarray((right - jacobian.T @ part) / own)


def fit(readings: Readings, rng: np.random.Generator, size: int) -> Fit:
    """Weighted samples of the latents given all trials' readings.

    Parameters
    ----------
    size : int
        Number of samples to return. [-]
    """
    at, jacobian = most_likely(readings)
    known = _informed(jacobian)
    latents, log_weight = _draw(readings, known, at, size, rng)
    for number in range(_MOST):
        share = _effective(log_weight) / size
        # Tempering is worse than weights that hold: on one such house its means were off by 0.7
        # standard deviations, where those of few weights were by 0.2.
        if share >= _ENOUGH or (number >= _MORE and share < _HOLDS):
            break
        # The most likely system lays all on the few unknowns that explain the readings best; what
        # is typical spreads it over many, where other directions are informed.
        at = _shares(log_weight) @ latents
        at = np.sign(at) * np.maximum(np.abs(at) - _SURE / np.sqrt(_effective(log_weight)), 0.0)
        known = _informed(_jacobian(readings, at, readings.dof)[0])
        more = _draw(readings, known, at, size, rng)
        latents = np.concatenate([latents, more[0]])
        log_weight = np.concatenate([log_weight, more[1]])
    effective = _effective(log_weight)
    weights = _shares(log_weight)
    if effective < _HOLDS * size:
        latents = tempered(readings.log_likelihood, len(at), size, rng)
        return Fit(latents, np.full(size, 1.0 / size), _different(latents), "tempered")
    if len(latents) > size:
        # More were drawn than wanted; as many as wanted stand for them.
        latents = latents[systematic(weights, size, rng)]
        weights = np.full(size, 1.0 / size)
    return Fit(latents, weights, min(effective, _different(latents)), "conditional-laplace")


def _draw(
    readings: Readings, known: Array, middle: Array, size: int, rng: np.random.Generator
) -> tuple[Array, Array]:
    """Latents from the proposal (sample, latent), and the logarithm of what each is worth.

    What is not informed is drawn once a sample, what is informed several times: one of those tries
    is taken by its worth, and their mean worth is the sample's (nested importance sampling).  Each
    try's Student t learns its middle and spread from all tries before it, and every try is weighed
    against the mixture of all (Cornuet, Marin, Mira, Robert, Scand. J. Stat. 39, 2012: memory).
    """
    rank, count = known.shape
    free = rng.standard_normal((size, count))
    free = free - (free @ known.T) @ known
    off = middle - (known @ middle) @ known
    # What is drawn about another place than the prior's is worth that much less or more.
    worth_of_off = -free @ off - 0.5 * (off @ off)
    free = free + off
    middle = known @ middle
    along, root, spread, home = _bring_home(readings, known, middle, free)
    shapes = [_Shape(np.zeros(rank), np.eye(rank))]
    steps: list[Array] = []
    target: list[Array] = []
    # Logarithm of the sum of all shapes' densities at each try's steps.
    mixed: list[Array] = []
    for _ in range(_TRIES):
        steps.append(shapes[-1].draw(size, rng))
        drawn = along + np.einsum("sij,sj->si", root, steps[-1])
        likely = readings.log_likelihood(drawn @ known + free, home)
        target.append(likely - 0.5 * (drawn**2).sum(axis=1) + spread + worth_of_off)
        newest = shapes[-1]
        mixed = [np.logaddexp(m, newest.log_density(u)) for m, u in zip(mixed, steps, strict=False)]
        mixed.append(np.logaddexp.reduce([shape.log_density(steps[-1]) for shape in shapes]))
        worth = np.stack(target) - np.stack(mixed) + np.log(len(shapes))
        total = np.logaddexp.reduce(worth, axis=0)
        if _effective(total) >= _PLENTY * size:
            break
        shapes.append(_Shape.of(np.concatenate(steps), worth.ravel()))
    share = np.cumsum(np.exp(worth - total), axis=0)
    taken = (rng.random(size) > share).sum(axis=0).clip(max=len(worth) - 1)
    step = np.stack(steps)[taken, np.arange(size)]
    drawn = along + np.einsum("sij,sj->si", root, step)
    return drawn @ known + free, total - np.log(len(worth))


@dataclass(frozen=True, slots=True)
class _Shape:
    """A Student t of the informed directions, in the measure of each sample's own spread.

    middle : array (rank,); root : array (rank, rank), lower triangle.
    """

    middle: Array
    root: Array

    @classmethod
    def of(cls, steps: Array, log_worth: Array) -> _Shape:
        """The shape of weighted steps (step, rank), held back where few of them count."""
        rank = steps.shape[1]
        weights = _shares(log_worth)
        counts = _effective(log_worth)
        trust = counts / (counts + _HELD_BACK * rank)
        middle = trust * (weights @ steps)
        apart = steps - middle
        cover = np.einsum("s,si,sj->ij", weights, apart, apart)
        return cls(middle, np.linalg.cholesky(trust * cover + (1.0 - trust) * np.eye(rank)))

    def draw(self, size: int, rng: np.random.Generator) -> Array:
        """Steps (size, rank)."""
        normal = rng.standard_normal((size, len(self.middle)))
        stretch = np.sqrt(_PROPOSAL_DOF / rng.chisquare(_PROPOSAL_DOF, size))
        return np.asarray(self.middle + (normal @ self.root.T) * stretch[:, None])

    def log_density(self, steps: Array) -> Array:
        """Logarithm of the density of steps (step, rank), but for a constant. [-]"""
        rank = len(self.middle)
        back = np.linalg.solve(self.root, (steps - self.middle).T)
        distance = (back**2).sum(axis=0)
        spread = np.log(np.diagonal(self.root)).sum()
        tail = -0.5 * (_PROPOSAL_DOF + rank) * np.log1p(distance / _PROPOSAL_DOF)
        return np.asarray(tail - spread)


def _shares(log_weight: Array) -> Array:
    """Weights that sum to one. [-]"""
    weights = np.exp(log_weight - log_weight.max())
    return np.asarray(weights / weights.sum())


def _effective(log_weight: Array) -> float:
    """Kish's effective number of samples. [-]"""
    return float(1.0 / np.square(_shares(log_weight)).sum())


def _different(latents: Array) -> float:
    """How many of the samples are different ones: copies of one another count once."""
    return float(len(np.unique(latents, axis=0)))


def _bring_home(
    readings: Readings, known: Array, middle: Array, free: Array
) -> tuple[Array, Array, Array, _AtRest]:
    """Each sample's best informed directions, the root of their cover, its log determinant.

    And the networks as last solved, for whatever is asked close by.

    Parameters
    ----------
    known : array (rank, latent), orthonormal; middle : array (rank,) at the most likely system;
    free : array (sample, latent).
    """
    size, rank = len(free), len(known)
    dof = readings.dof
    along = np.repeat(middle[None, :], size, axis=0)
    best = (middle @ known)[None, :]
    jacobian = _slopes(readings, best, readings.surprise(best), known)
    home = None
    for fresh in (False, True, False):
        base = along @ known + free
        home = readings.at_rest(base, home)
        z = readings.surprise_of(home)
        if fresh:
            jacobian = _slopes(readings, base, z, known, home)
        # A reading far off pulls with the little force that its heavy tail leaves it.
        z = np.clip(z, -30.0, 30.0)
        force = (dof + 1.0) / (dof + z**2)
        pull = jacobian * force[:, :, None]
        hessian = np.einsum("sri,srj->sij", pull, jacobian) + np.eye(rank)
        gradient = np.einsum("sri,sr->si", pull, z) + along
        step = -np.linalg.solve(hessian, gradient[:, :, None])[:, :, 0]
        length = np.sqrt((step**2).sum(axis=1))
        along = along + step * np.minimum(1.0, _LONGEST / np.maximum(length, 1e-12))[:, None]
    # As wide as a heavy-tailed reading informs on average, which is less than at its middle.
    force = np.minimum(force, (dof + 1.0) / (dof + 3.0))
    hessian = np.einsum("sri,srj->sij", jacobian * force[:, :, None], jacobian) + np.eye(rank)
    root = np.linalg.cholesky(np.linalg.inv(hessian))
    spread = np.log(np.einsum("sii->si", root)).sum(axis=1)
    assert home is not None  # the loop ran
    return along, root, spread, home


def _slopes(
    readings: Readings, base: Array, z: Array, known: Array, near: _AtRest | None = None
) -> Array:
    """Slopes of the surprises ``z`` along each informed direction (sample, reading, rank). [-]"""
    columns = [
        (readings.surprise(base + _STEP * direction, near) - z) / _STEP for direction in known
    ]
    return np.stack(columns, axis=2)
