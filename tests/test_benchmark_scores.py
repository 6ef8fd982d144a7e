"""What benchmarks of forecasts count with: scores, covers, and the chain that is the reference."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from benchmarks import _scores
from benchmarks._chains import CHAINS, GROUPS, Chains, Place, effective_size, nested_r_hat


def test_an_interval_score_is_the_width_and_twenty_times_a_miss():
    """Worked by hand from Gneiting, Raftery 2007, eq. 43 (memory), at 90 %: 2 / 0.1 = 20.

    10 to 14 scores 4 with 12 inside; 15 is 1 above, 4 + 20; 9.5 half below, 4 + 10.
    """
    low, high = np.full(3, 10.0), np.full(3, 14.0)
    found = _scores.interval_score(low, high, np.array([12.0, 15.0, 9.5]))
    assert found == pytest.approx([4.0, 24.0, 14.0])


def test_the_best_interval_of_a_normal_is_its_own():
    """The score is proper: no narrower or wider range of a unit normal has a lower mean."""
    drawn = np.random.default_rng(1).standard_normal(200_000)

    def score(reach):
        return _scores.interval_score(np.array(-reach), np.array(reach), drawn).mean()

    right = score(1.6449)
    assert right < score(1.4)
    assert right < score(1.9)


def test_one_case_a_house_gives_the_binomial_range():
    """Without clusters the range is that of a share: sqrt(p (1 - p) / n), 1.96 of it each side."""
    hits = np.repeat([1.0, 0.0], [900, 100])
    houses = np.arange(1000).astype(str)
    share, low, high = _scores.cover(hits, houses)
    assert share == pytest.approx(0.9)
    assert high - share == pytest.approx(1.96 * np.sqrt(0.9 * 0.1 / 1000), rel=1e-3)
    assert share - low == pytest.approx(high - share)


def test_cases_that_repeat_a_house_tell_no_more_than_the_house():
    """Ten equal cases of each house give the range of the houses alone."""
    hits = np.repeat([1.0, 0.0], [90, 10])
    houses = np.arange(100).astype(str)
    alone = _scores.cover(hits, houses)
    repeated = _scores.cover(np.repeat(hits, 10), np.repeat(houses, 10))
    assert repeated == pytest.approx(alone)


def test_a_corner_fails_only_beyond_doubt():
    """93 % would be too many; 96 % of 40 houses could be that, 96 % of 4,000 could not."""
    few, many = (np.arange(count) % 25 != 0 for count in (50, 4000))
    assert not _scores.fails(few.astype(float), np.arange(50).astype(str), 20)
    assert _scores.fails(many.astype(float), np.arange(4000).astype(str), 20)
    right = np.arange(4000) % 10 != 0
    assert not _scores.fails(right.astype(float), np.arange(4000).astype(str), 20)


def test_ratios_are_of_medians_and_of_ninetieth_percentiles():
    """Errors three times as large count three times, whatever their signs."""
    ours = np.array([1.0, -2.0, 3.0, -4.0, 5.0])
    assert _scores.ratios(ours, -3.0 * ours) == pytest.approx((3.0, 3.0))


def test_an_autoregressive_chain_is_worth_what_its_theory_says():
    """Each draw 0.8 of the last: (1 - 0.8) / (1 + 0.8) of the draws count."""
    rng = np.random.default_rng(2)
    steps, chains = 2000, GROUPS * CHAINS
    values = np.empty((steps, chains))
    values[0] = rng.standard_normal(chains)
    for k in range(1, steps):
        values[k] = 0.8 * values[k - 1] + 0.6 * rng.standard_normal(chains)
    assert effective_size(values) == pytest.approx(values.size / 9.0, rel=0.05)
    assert nested_r_hat(values) == pytest.approx(1.0, abs=0.001)


def test_groups_that_do_not_agree_are_told():
    """A group that stands half a standard deviation aside raises R-hat."""
    values = np.random.default_rng(3).standard_normal((100, GROUPS * CHAINS))
    values[:, :CHAINS] += 1.0
    assert nested_r_hat(values) > 1.05


@pytest.mark.slow
@pytest.mark.parametrize("learned", [False, True])
def test_the_reference_chain_has_the_posterior_of_a_heavy_tailed_reading(learned):
    """One reading of a + b with Student t error: moments beside numerical integration.

    a + b is twice the informed direction's latent by the square root of two; the other stays unit
    normal.  The reading lies six of its sigmas away, so that the posterior is not normal.
    """
    dof, read, sigma = 4.0, 3.0, 0.5

    def log_likelihood(at):
        off = (read - at.sum(axis=1)) / sigma
        return -0.5 * (dof + 1.0) * np.log1p(off**2 / dof)

    jacobian = -np.ones((1, 2)) / sigma
    chains = Chains(log_likelihood, Place.of(np.full(2, 1.3), jacobian), np.random.default_rng(4))
    chains.run(400)
    if learned:
        chains.about(Place.seen(chains.run(400, 4), 1))
    kept = chains.run(2000, 5)
    along, across = kept.sum(axis=2) / np.sqrt(2.0), (kept[:, :, 0] - kept[:, :, 1]) / np.sqrt(2.0)

    def density(u):
        off = (read - np.sqrt(2.0) * u) / sigma
        return np.exp(-0.5 * u**2) * (1.0 + off**2 / dof) ** (-0.5 * (dof + 1.0))

    mass, first, second = (
        quad(lambda u, k=k: u**k * density(u), -8.0, 8.0, points=[0.0, 2.0])[0] for k in range(3)
    )
    mean = first / mass
    sd = np.sqrt(second / mass - mean**2)
    assert effective_size(along) > 20_000
    assert along.mean() == pytest.approx(mean, abs=0.02 * sd)
    assert along.std() == pytest.approx(sd, rel=0.02)
    assert across.mean() == pytest.approx(0.0, abs=0.02)
    assert across.std() == pytest.approx(1.0, rel=0.02)
