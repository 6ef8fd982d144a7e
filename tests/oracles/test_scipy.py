"""The monotone cubic and the words' distributions against SciPy's own."""

from __future__ import annotations

import numpy as np
import pytest

from inchwater.parts import flex
from inchwater.parts.monotone import Monotone

interpolate = pytest.importorskip("scipy.interpolate")
stats = pytest.importorskip("scipy.stats")


@pytest.mark.parametrize("seed", range(20))
def test_the_monotone_cubic(seed):
    """Value and slope inside the points are PchipInterpolator's, for any points."""
    rng = np.random.default_rng(seed)
    x = np.cumsum(rng.uniform(0.1, 1.0, rng.integers(3, 12)))
    y = np.round(rng.uniform(0.0, 2.0, len(x)), 1)
    ours, theirs = Monotone(x, y), interpolate.PchipInterpolator(x, y)
    fine = np.linspace(x[0], x[-1], 300)
    value, slope = ours.value_and_slope(fine)
    assert value == pytest.approx(theirs(fine), abs=1e-12)
    assert slope == pytest.approx(theirs.derivative()(fine), abs=1e-10)


@pytest.mark.parametrize("word", ["tight", "slack", "draped", "kinked", None])
def test_the_quantiles_of_slack(word):
    """Quantiles are those of SciPy's Beta within 1e-5."""
    found = flex.slack(word)
    probabilities = np.linspace(0.01, 0.99, 99)
    expected = stats.beta(found.a, found.b).ppf(probabilities)
    assert found.compression_quantile(probabilities) == pytest.approx(expected, abs=1e-5)


def test_the_unknown_run_is_the_proposed_prior():
    """Beta(1.8, 14): mean 0.114, SD 0.078, median 0.098, 95th percentile 0.264 (computed)."""
    found = flex.slack(None)
    assert found.compression_mean == pytest.approx(0.114, abs=5e-4)
    assert found.compression_sigma == pytest.approx(0.078, abs=5e-4)
    assert found.compression_median == pytest.approx(0.098, abs=5e-4)
    assert found.compression_quantile(0.95) == pytest.approx(0.264, abs=5e-4)


@pytest.mark.parametrize(
    ("inches", "median", "upper"), [(6, 3.7, 8.2), (7, 3.3, 7.3), (8, 3.1, 6.6), (10, 2.6, 5.3)]
)
def test_the_unknown_run_in_friction(inches, median, upper):
    """Through the correction: medians and 95th percentiles by diameter (computed, two digits)."""
    found = flex.slack(None)
    diameter = inches * 0.0254
    for probability, factor in ((0.5, median), (0.95, upper)):
        compression = float(found.compression_quantile(probability))
        assert flex.compression_factor(compression, diameter) == pytest.approx(factor, abs=0.06)
