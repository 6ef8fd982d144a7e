"""Evidence: exact for straight lines, against SciPy's own density, and never a surprise of scale.

Reference: the marginal density of a linear model with normal unknowns and errors is a multivariate
normal one (Bishop, Pattern Recognition and Machine Learning, 2006, eq. 2.115: memory); the number
is that of ``scipy.stats.multivariate_normal``.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chi2, multivariate_normal

from inchwater.calibration.evidence import Linear, evidence, odds_against


def a_line(seed, readings, latents):
    """A random linear model: what is shown at nothing, slopes, spreads, and readings of it."""
    rng = np.random.default_rng(seed)
    middle, slopes = rng.normal(50.0, 20.0, readings), rng.normal(0.0, 5.0, (readings, latents))
    spreads = rng.uniform(0.5, 4.0, readings)
    cover = slopes @ slopes.T + np.diag(spreads**2)
    return middle, slopes, spreads, rng.multivariate_normal(middle, cover), cover


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 7), st.integers(1, 12))
def test_straight_lines_have_their_exact_evidence(seed, readings, latents):
    """Laplace's evidence of a linear model is the density that SciPy gives, wherever it starts."""
    middle, slopes, spreads, measured, cover = a_line(seed, readings, latents)
    found = evidence(
        lambda x: middle + x @ slopes.T,
        measured,
        spreads,
        np.random.default_rng(seed).normal(size=latents),
        np.eye(latents),
    )
    assert found.log == pytest.approx(multivariate_normal(middle, cover).logpdf(measured), abs=1e-4)
    apart = measured - middle
    assert found.distance == pytest.approx(apart @ np.linalg.solve(cover, apart), abs=1e-4)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10**6), st.integers(2, 7), st.integers(1, 12))
def test_the_line_says_the_same_as_the_climb(seed, readings, latents):
    """Straight lines about any point give the same evidence, and a shift is a shifted density."""
    middle, slopes, spreads, measured, cover = a_line(seed, readings, latents)
    at = np.random.default_rng(seed + 1).normal(size=latents)
    line = Linear(at, middle + slopes @ at, slopes, np.eye(latents))
    shift = np.linspace(-10.0, 10.0, readings)
    assert line.log_evidence(measured, spreads, shift) == pytest.approx(
        multivariate_normal(middle + shift, cover).logpdf(measured)
    )
    # A shift of one reading alone is as large as against what all others leave of it.
    one = np.zeros(readings)
    one[0] = 3.0
    inside, across = cover[1:, 1:], cover[0, 1:]
    left = np.sqrt(cover[0, 0] - across @ np.linalg.solve(inside, across))
    assert line.size(one, spreads) == pytest.approx(3.0 / left)
    assert line.apart(spreads)[0] == pytest.approx(left)


def test_a_reading_that_jumps_is_no_fault():
    """Where one reading jumps whichever way one goes, J'J has no inverse; a step is found."""
    middle, slopes, spreads, measured, _ = a_line(3, 4, 8)

    def jumps(latents):
        shown = middle + latents @ slopes.T
        shown[:, 0] += 1e12 * latents.any(axis=1)
        return shown

    found = evidence(jumps, measured, spreads, np.zeros(8), np.eye(8))
    assert np.isfinite(found.log)
    assert found.distance < (((measured - middle) / spreads) ** 2).sum() + 1e-9


def test_odds_are_those_of_chi_squared():
    """How often readings lie so far off is SciPy's upper tail of chi squared."""
    for count, distance in ((1, 3.84), (4, 9.0), (11, 40.0)):
        assert odds_against(distance, count) == pytest.approx(chi2(count).sf(distance), rel=1e-9)
    assert odds_against(0.0, 3) == 1.0
