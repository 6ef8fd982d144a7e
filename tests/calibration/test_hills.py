"""Readings that contradict each other: every hill of what is likely is found and drawn about."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from inchwater.calibration.fit import _informed, fit
from inchwater.calibration.hills import most_likely, other_hills
from inchwater.calibration.likelihood import Readings

DOF = 4.0


class Curves(Readings):
    """Readings of sigma one that are any function of the latents, without a network."""

    def __init__(self, shown, measured, latents):
        self.names = tuple(f"x{k}" for k in range(latents))
        self.measured = np.array(measured, float)
        self.spreads = np.ones(len(measured))
        self.dof = np.full(len(measured), DOF)
        self.by_ratio = np.array([], int)
        self._shown = shown

    def at_rest(self, latents, near=None):
        return latents

    def shown(self, at):
        return self._shown(at)


def contradicting(first, second, slope=12.0):
    """One latent that two readings see, and another one that nothing does."""
    return Curves(lambda at: slope * at[:, [0, 0]], [slope * first, slope * second], 2)


def moments(density):
    """Mean and spread of one latent's density, by numerical integration."""
    mass, first, second = (
        quad(lambda x, k=k: x**k * density(x), -8.0, 8.0, points=[-1.0, 0.0, 1.0], limit=400)[0]
        for k in range(3)
    )
    mean = first / mass
    return mean, np.sqrt(second / mass - mean**2)


@pytest.mark.parametrize(("first", "second"), [(-0.7, 0.9), (-1.0, 1.0), (0.1, 1.3)])
@pytest.mark.parametrize("seed", [1, 2])
def test_two_readings_that_contradict_each_other_leave_two_hills(first, second, seed):
    """Means and spreads beside numerical integration: the lower hill counts for what it is."""
    readings = contradicting(first, second)

    def density(x):
        z = 12.0 * (np.array([first, second]) - x)
        return np.exp(-0.5 * x**2) * np.prod((1.0 + z**2 / DOF) ** (-0.5 * (DOF + 1.0)))

    at, jacobian = most_likely(readings)
    hills = [at[0], *(other[0] for other in other_hills(readings, at, jacobian))]
    for read in (first, second):
        assert min(abs(hill - read) for hill in hills) < 0.1
    found = fit(readings, np.random.default_rng(seed), 4000)
    assert found.method == "conditional-laplace"
    mean, sd = moments(density)
    own = found.weights @ found.latents
    spread = np.sqrt(found.weights @ (found.latents - own) ** 2)
    assert own[0] == pytest.approx(mean, abs=0.08 * sd)
    assert spread[0] == pytest.approx(sd, rel=0.05)
    assert own[1] == pytest.approx(0.0, abs=0.08)
    assert spread[1] == pytest.approx(1.0, rel=0.05)


def test_readings_that_agree_leave_one_hill():
    """There is no other, and nothing is looked for twice."""
    readings = contradicting(0.4, 0.5)
    assert other_hills(readings, *most_likely(readings)) == []


def test_a_leak_that_no_reading_sees_when_it_is_closed_keeps_its_prior_there():
    """Its spread, taken where it is open, would leave that out."""
    rise = 1.4

    def opening(x):
        return rise * np.log1p(np.exp(3.0 * (x - 0.5))) / 3.0

    readings = Curves(lambda at: opening(at[:, [0]]) + 30.0 * at[:, [1]], [0.7], 3)
    assert len(_informed(most_likely(readings)[1])) == 1
    found = fit(readings, np.random.default_rng(5), 4000)

    def density(x):
        # The second latent takes up what the first one shows: normal by far the most of it.
        grid = np.linspace(-0.3, 0.3, 601)
        z = 0.7 - opening(x) - 30.0 * grid
        likely = (1.0 + z**2 / DOF) ** (-0.5 * (DOF + 1.0)) * np.exp(-0.5 * grid**2)
        return np.exp(-0.5 * x**2) * likely.sum()

    mean, sd = moments(density)
    own = found.weights @ found.latents[:, 0]
    assert own == pytest.approx(mean, abs=0.08)
    assert np.sqrt(found.weights @ (found.latents[:, 0] - own) ** 2) == pytest.approx(sd, rel=0.06)


def test_at_least_one_direction_is_informed():
    """However little the readings say."""
    assert _informed(np.full((1, 3), 1e-3)).shape == (1, 3)
    assert _informed(np.diag([5.0, 0.9, 3.0])).shape == (2, 3)
