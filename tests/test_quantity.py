"""Estimates and sentences: the quantile, the range that holds 9 in 10, both unit systems."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from inchwater import units
from inchwater.quantity import HELD, Estimate, Said, said, weighted_quantile

values = arrays(np.float64, st.integers(1, 40), elements=st.floats(-1e6, 1e6))


@given(values, st.floats(0.0, 1.0))
def test_equal_weights_give_hazen_s_quantile(samples, probability):
    """NumPy's ``hazen`` method: Hyndman and Fan, The American Statistician 50 (1996), type 5."""
    ours = weighted_quantile(samples, np.full_like(samples, 0.3), probability)
    assert ours == pytest.approx(np.quantile(samples, probability, method="hazen"), abs=1e-6)


@given(st.integers(1, 6), st.integers(1, 6), st.floats(0.05, 0.95))
def test_a_weight_counts_like_repetition(first, second, probability):
    """As many copies of two far values as their weights lie at the same side of the quantile."""
    samples, weights = np.array([0.0, 1.0]), np.array([float(first), float(second)])
    ours = weighted_quantile(samples, weights, probability)
    share = first / (first + second)
    if probability <= share / 2:
        assert ours == 0.0
    elif probability >= (1 + share) / 2:
        assert ours == 1.0
    else:
        # Between the middles of their masses, by straight line.
        assert ours == pytest.approx(2 * (probability - share / 2))


@given(values, st.floats(0.1, 10.0))
def test_the_scale_and_the_order_of_weights_do_not_matter(samples, scale):
    """Weights need not sum to one, and samples come in any order."""
    weights = np.linspace(1.0, 2.0, len(samples))
    one = weighted_quantile(samples, weights, 0.3)
    assert weighted_quantile(samples, scale * weights, 0.3) == pytest.approx(one, abs=1e-6)
    order = np.argsort(samples, kind="stable")[::-1]
    ties = len(np.unique(samples)) < len(samples)
    again = weighted_quantile(samples[order], weights[order], 0.3)
    assert ties or again == pytest.approx(one, abs=1e-6)


def test_the_range_holds_nine_in_ten():
    """For a known distribution, the share of it inside the range is 90 %."""
    rng = np.random.default_rng(3)
    samples = rng.normal(0.5, 0.05, 40_000)
    estimate = Estimate.of(samples, None, "airflow")
    # The normal distribution's 5th and 95th percentiles lie 1.6449 sigma out (any table of it).
    assert estimate.low == pytest.approx(0.5 - 1.6449 * 0.05, abs=2e-3)
    assert estimate.high == pytest.approx(0.5 + 1.6449 * 0.05, abs=2e-3)
    assert estimate.value == pytest.approx(0.5, abs=1e-3)
    inside = np.mean((samples >= estimate.low) & (samples <= estimate.high))
    assert inside == pytest.approx(HELD, abs=1e-3)


@given(values)
def test_the_median_lies_in_the_range(samples):
    """Low, median, high, in this order."""
    weights = np.linspace(0.1, 1.0, len(samples))
    estimate = Estimate.of(samples, weights, "pressure")
    assert min(samples) <= estimate.low <= estimate.value <= estimate.high <= max(samples)


def test_an_estimate_is_said_in_either_system():
    """Text, range, label and document in inch-pound or SI."""
    estimate = Estimate(0.35, 0.3115, 0.3917, "airflow")
    assert (estimate.text(), estimate.range_text(), estimate.label()) == ("742", "660–830", "cfm")
    assert (estimate.text("si"), estimate.range_text("si"), estimate.label("si")) == (
        "350",
        "312–392",
        "L/s",
    )
    document = estimate.to_dict("si")
    assert document == {
        "value": pytest.approx(350.0),
        "low": pytest.approx(311.5),
        "high": pytest.approx(391.7),
        "unit": "ls",
    }
    assert units.to_si(document["value"], document["unit"]) == pytest.approx(0.35)


def test_a_range_with_a_minus_is_said_in_words():
    """A dash between two minus signs cannot be read."""
    estimate = Estimate(-72.0, -80.0, -60.0, "pressure")
    assert estimate.range_text() == "−0.32 to −0.24"


def test_a_sentence_keeps_si_until_somebody_reads_it():
    """The same sentence in both systems, with labels or bare, and words as they are."""
    sentence = said(
        "About {q} leaves the {part}; {low:bare}–{high} is likely.",
        q=(0.35, "airflow"),
        part="blower",
        low=(0.3115, "airflow"),
        high=(0.3917, "airflow"),
    )
    assert sentence.text() == "About 742 cfm leaves the blower; 660–830 cfm is likely."
    assert sentence.text("si") == "About 350 L/s leaves the blower; 312–392 L/s is likely."
    assert sentence == Said(sentence.template, dict(sentence.values))


def test_a_number_without_a_unit_has_no_label():
    """A bare number brings no space behind it."""
    assert said("{odds}.", odds=(0.9, "ratio")).text() == "90 %."


def test_a_hole_that_nothing_fills_is_an_error():
    """No sentence goes out with a hole in it."""
    with pytest.raises(KeyError):
        said("{q} leaves.").text()
