"""Filter drops found in houses: 34 California systems, ASHRAE Journal, October 2012 (secondary)."""

from __future__ import annotations

import numpy as np
import pytest

from inchwater.parts import filters
from inchwater.units import from_si, to_si


def test_a_filter_that_nobody_looked_at_is_like_those_found():
    """Mean 0.28 in. w.c.: ours at 1200 cfm through 20 x 25 in, condition unknown (10 %)."""
    law, sigma_class = filters.filter_law(0.508, 0.635, None)
    median, sigma_dust = filters.condition_factor(None)
    sigma = np.hypot(sigma_class, sigma_dust)
    mean = law.drop(to_si(1200.0, "cfm")) * median * np.exp(sigma**2 / 2.0)
    assert from_si(float(mean), "inwc") == pytest.approx(0.28, rel=0.10)
    assert sigma == pytest.approx(0.55, abs=0.03)


def test_found_against_clean():
    """0.28 found against 0.15–0.20 clean is ×1.4–1.9: the median of the unknown condition."""
    assert 0.28 / 0.20 <= filters.condition_factor(None)[0] <= 0.28 / 0.15
