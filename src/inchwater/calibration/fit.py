"""From readings to weighted samples: the most likely system, its neighbourhood, and weights.

The readings inform no more directions than there are readings.  All other directions are drawn from
the prior; for each such draw the informed ones are brought to where they fit the readings best, and
drawn from a Student t about that place (a Laplace step of each sample's own, since the fit's
surface is curved).  Where readings that contradict each other leave several hills, about each of
them.  Every sample is then weighted by what it is worth, exactly, so that the proposal decides only
how many samples count, not what they say.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from inchwater.calibration.hills import STEP, jacobian_at, most_likely, other_hills
from inchwater.calibration.likelihood import AtRest, Readings
from inchwater.calibration.tempered import systematic, tempered
from inchwater.network.elements import Array

SAMPLES = 2000
_PROPOSAL_DOF = 8.0
_TRIES = 6  # of a sample's informed directions about each hill, at most
_HELD_BACK = 20.0  # effective steps for each direction at which a learned shape counts half [-]
_PLENTY = 0.7  # effective share of the samples at which no further try is made [-]
_ENOUGH = 0.5  # effective share of the samples at which one draw is enough [-]
_SURE = 1.0  # standard errors by which a mean of the samples is held back [-]
_MORE = 5  # further draws before the proposal is given up
_MOST = 20  # further draws where weights hold but too few of the samples count
_HOLDS = 0.1  # effective share below which weights are not trusted [-]
_INFORMED = 1.0  # sigmas of all readings for one of the prior, below which the prior knows more [-]
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


def _informed(jacobian: Array) -> Array:
    """The directions that the readings inform by more than the prior does: at least one.

    The others are better drawn from the prior, which reaches every place that a part can be in: a
    leak that is all but closed answers to no reading, and a spread taken where it is open says
    nothing of there.
    """
    _, strength, rows = np.linalg.svd(jacobian, full_matrices=False)
    return np.asarray(rows[: max(1, int((strength > _INFORMED).sum()))])


def fit(readings: Readings, rng: np.random.Generator, size: int) -> Fit:
    """Weighted samples of the latents given all trials' readings.

    Parameters
    ----------
    size : int
        Number of samples to return. [-]
    """
    at, jacobian = most_likely(readings)
    known = _informed(jacobian)
    hills = [at, *other_hills(readings, at, jacobian)]
    latents, log_weight = _draw(readings, known, at, hills, size, rng)
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
        known = _informed(jacobian_at(readings, at))
        more = _draw(readings, known, at, hills if len(hills) > 1 else [at], size, rng)
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
    readings: Readings,
    known: Array,
    middle: Array,
    hills: Sequence[Array],
    size: int,
    rng: np.random.Generator,
) -> tuple[Array, Array]:
    """Latents from the proposal (sample, latent), and the logarithm of what each is worth.

    What is not informed is drawn once a sample, what is informed several times: one of those tries
    is taken by its worth, and their mean worth is the sample's (nested importance sampling).  Each
    try's Student t learns its middle and spread from all tries about its hill before it, and every
    try is weighed against the mixture of all, whatever hill they are about (Cornuet, Marin, Mira,
    Robert, Scand. J. Stat. 39, 2012: memory).

    Parameters
    ----------
    known : array (rank, latent), orthonormal
        The directions that the readings inform.
    middle : array (latent,)
        About its part beyond those the other directions are drawn.
    hills : arrays (latent,)
        From where each sample's informed directions are brought to where they fit best.
    """
    free = rng.standard_normal((size, known.shape[1]))
    free = free - (free @ known.T) @ known
    off = middle - (known @ middle) @ known
    # What is drawn about another place than the prior's is worth that much less or more.
    worth_of_off = -free @ off - 0.5 * (off @ off)
    free = free + off
    homes = [_bring_home(readings, known, known @ hill, free) for hill in hills]
    tries: list[_Try] = []
    # Logarithm of the sum of all tries' densities at each try.
    mixed: list[Array] = []
    worth = np.zeros((0, size))
    for number in range(_TRIES * len(homes)):
        home = homes[number % len(homes)]
        home.learn(tries, worth)
        step = home.shapes[-1].draw(size, rng)
        along = home.along + np.einsum("sij,sj->si", home.root, step)
        likely = readings.log_likelihood(along @ known + free, home.near)
        target = likely - 0.5 * (along**2).sum(axis=1) + worth_of_off
        mixed = [
            np.logaddexp(m, home.newest_density(one)) for m, one in zip(mixed, tries, strict=True)
        ]
        tries.append(_Try(home, along, step, target))
        mixed.append(
            np.logaddexp.reduce([d for one in homes for d in one.every_density(tries[-1])])
        )
        worth = np.stack([one.target for one in tries]) - np.stack(mixed) + np.log(len(tries))
        total = np.logaddexp.reduce(worth, axis=0)
        if number + 1 >= len(homes) and _effective(total) >= _PLENTY * size:
            break
    share = np.cumsum(np.exp(worth - total), axis=0)
    taken = (rng.random(size) > share).sum(axis=0).clip(max=len(worth) - 1)
    drawn = np.stack([one.along for one in tries])[taken, np.arange(size)]
    return drawn @ known + free, total - np.log(len(worth))


@dataclass(slots=True, eq=False)
class _Home:
    """Where each sample's informed directions fit best, about one hill.

    along : array (sample, rank); root : array (sample, rank, rank), lower triangles of their cover;
    spread : array (sample,), log determinant of root; near : the networks as last solved there;
    shapes : what each try about this hill was drawn from.
    """

    along: Array
    root: Array
    spread: Array
    near: AtRest
    shapes: list[_Shape] = field(default_factory=list)

    def learn(self, tries: Sequence[_Try], worth: Array) -> None:
        """One more shape, from the tries about this hill so far and what they are worth."""
        own = [number for number, one in enumerate(tries) if one.home is self]
        if not own:
            rank = self.along.shape[1]
            self.shapes.append(_Shape(np.zeros(rank), np.eye(rank)))
            return
        steps = np.concatenate([tries[number].step for number in own])
        self.shapes.append(_Shape.of(steps, worth[own].ravel()))

    def newest_density(self, one: _Try) -> Array:
        """Logarithm of the newest shape's density at a try (sample,), but for a constant. [-]"""
        return np.asarray(self.shapes[-1].log_density(self._step(one)) - self.spread)

    def every_density(self, one: _Try) -> list[Array]:
        """The same for every shape."""
        return [shape.log_density(self._step(one)) - self.spread for shape in self.shapes]

    def _step(self, one: _Try) -> Array:
        """A try as a step from here, in the measure of each sample's own spread."""
        if one.home is self:
            return one.step
        if id(self) not in one.seen:
            apart = (one.along - self.along)[:, :, None]
            one.seen[id(self)] = np.asarray(np.linalg.solve(self.root, apart)[:, :, 0], float)
        return one.seen[id(self)]


@dataclass(slots=True, eq=False)
class _Try:
    """One draw of each sample's informed directions.

    home : the hill that it is about; along, step : arrays (sample, rank), the directions and the
    step from home; target : array (sample,), log posterior; seen : the step from other homes.
    """

    home: _Home
    along: Array
    step: Array
    target: Array
    seen: dict[int, Array] = field(default_factory=dict)


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


def _bring_home(readings: Readings, known: Array, middle: Array, free: Array) -> _Home:
    """Each sample's best informed directions, and how widely they may lie about it.

    Parameters
    ----------
    known : array (rank, latent), orthonormal; middle : array (rank,) to begin at;
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
        hessian = pull.transpose(0, 2, 1) @ jacobian + np.eye(rank)
        gradient = np.einsum("sri,sr->si", pull, z) + along
        step = -np.linalg.solve(hessian, gradient[:, :, None])[:, :, 0]
        length = np.sqrt((step**2).sum(axis=1))
        along = along + step * np.minimum(1.0, _LONGEST / np.maximum(length, 1e-12))[:, None]
    # As wide as a heavy-tailed reading informs on average, which is less than at its middle.
    force = np.minimum(force, (dof + 1.0) / (dof + 3.0))
    hessian = (jacobian * force[:, :, None]).transpose(0, 2, 1) @ jacobian + np.eye(rank)
    root = np.linalg.cholesky(np.linalg.inv(hessian))
    spread = np.log(np.einsum("sii->si", root)).sum(axis=1)
    assert home is not None  # the loop ran
    return _Home(along, root, spread, home)


def _slopes(
    readings: Readings, base: Array, z: Array, known: Array, near: AtRest | None = None
) -> Array:
    """Slopes of the surprises ``z`` along each informed direction (sample, reading, rank). [-]"""
    columns = [(readings.surprise(base + STEP * direction, near) - z) / STEP for direction in known]
    return np.stack(columns, axis=2)
