"""HPAC Engineering, "Predicting the performance of flexible duct systems" (read): our own source.

What the words of slack mean is from it, so that this only checks that nothing was mistyped.
"""

from __future__ import annotations

import pytest

from inchwater.parts import flex


def test_flex_that_is_let_go_is_slack():
    """Stretched and let go, flex relaxes to about 15 % shorter: our "slack"."""
    assert flex.slack("slack").compression_mean == pytest.approx(0.15, abs=0.005)


def test_poor_installations_are_draped_or_kinked():
    """Poor installations are near 30 %: between the means of "draped" and "kinked"."""
    draped, kinked = flex.slack("draped"), flex.slack("kinked")
    assert draped.compression_mean < 0.30 < kinked.compression_mean
    assert draped.compression_quantile(0.05) < 0.30 < draped.compression_quantile(0.95)
