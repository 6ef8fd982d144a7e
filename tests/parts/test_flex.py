"""Flex: the price of slack, and what the words for it mean."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater.errors import PartError, UnknownNameError
from inchwater.parts import flex

COMPRESSIONS = st.floats(0.0, 0.45)
WORDS = ["tight", "slack", "draped", "kinked"]


@given(COMPRESSIONS, st.floats(0.1, 0.45), st.floats(0.001, 0.1))
def test_more_slack_costs_more_and_a_bigger_duct_less(compression, diameter, more):
    """The factor is one when stretched, rises with compression, falls with diameter."""
    assert flex.compression_factor(0.0, diameter) == 1.0
    factor = flex.compression_factor(compression, diameter)
    assert factor >= 1.0
    assert flex.compression_factor(compression, diameter + more) <= factor
    if compression + more <= flex.MAX_COMPRESSION:
        assert flex.compression_factor(compression + more, diameter) > factor


@pytest.mark.parametrize(("came", "text"), [(0.5, "50%"), (-0.01, "-1%"), (float("nan"), "nan%")])
def test_a_compression_that_flex_cannot_have_is_refused(came, text):
    """Below stretched and above 45 % nothing is known."""
    with pytest.raises(PartError) as caught:
        flex.compression_factor(np.array([0.1, came]), 0.15)
    assert str(caught.value) == (
        f"compression: {text} came; flex is known from stretched (0 %) to 45% compressed. "
        "A run pushed together further is a kink: add it as a fitting."
    )


def test_flex_needs_a_diameter():
    """A diameter of zero is refused."""
    with pytest.raises(PartError) as caught:
        flex.compression_factor(0.1, 0.0)
    assert str(caught.value) == "diameter: 0 came; it is a number above zero."


def test_the_words_go_from_tight_to_kinked():
    """Each word means more compression than the one before, in middle and in friction."""
    found = [flex.slack(word) for word in WORDS]
    medians = [each.compression_median for each in found]
    assert medians == sorted(medians)
    frictions = [float(each.friction_factor(0.1524)[0]) for each in found]
    assert frictions == sorted(frictions)


def test_an_unknown_run_is_less_certain_than_a_described_one():
    """Any word narrows the friction against not having looked."""
    unknown = float(flex.slack(None).friction_factor(0.1524)[1])
    assert all(flex.slack(word).friction_factor(0.1524)[1] < unknown for word in WORDS)


@pytest.mark.parametrize("word", [*WORDS, None])
def test_quantiles_are_those_of_samples(word):
    """Uniform numbers through the quantile have the mean and spread of the distribution."""
    found = flex.slack(word)
    sample = found.compression_quantile((np.arange(20_000) + 0.5) / 20_000)
    assert sample.mean() == pytest.approx(found.compression_mean, rel=1e-3)
    assert sample.std() == pytest.approx(found.compression_sigma, rel=5e-3)
    assert np.mean(sample > flex.MAX_COMPRESSION) < 0.01


def test_every_word_says_where_it_is_from():
    """No field distribution is known, so each word is marked as proposed, with its reason."""
    for word in [*WORDS, None]:
        found = flex.slack(word)
        assert found.status == "proposed"
        assert found.label
        assert found.source
        assert found.place


def test_another_word_is_told_the_choices():
    """Words are four, and unknown."""
    with pytest.raises(UnknownNameError) as caught:
        flex.slack("floppy")
    assert str(caught.value) == (
        "slack: 'floppy' came; choices are tight, slack, draped, kinked, unknown."
    )


SPACINGS = st.floats(0.3, 3.0)


@given(st.floats(0.0, 0.45), SPACINGS, st.floats(0.001, 0.04))
def test_a_deeper_sag_is_longer(depth, spacing, more):
    """Without sag a run is as long as its supports are apart; more sag is more duct."""
    length = flex.sag_length_factor(depth * spacing, spacing)
    assert length >= 1.0
    assert flex.sag_length_factor((depth + more) * spacing, spacing) > length
    # A parabola is longer than two straight lines to its lowest point, shorter than a right angle.
    assert length >= np.sqrt(1.0 + 4.0 * depth**2) - 1e-12
    assert length <= 1.0 + 2.0 * depth


@given(st.floats(1e-9, 0.05))
def test_a_shallow_sag_goes_by_its_square(depth):
    """For shallow sags the length grows by 8/3 of the square, without a step near zero."""
    found = float(flex.sag_length_factor(depth, 1.0)) - 1.0
    assert found == pytest.approx(8.0 / 3.0 * depth**2, rel=0.01, abs=1e-14)


def test_sags_of_many_runs_are_as_one_by_one():
    """Arrays of sags and spacings broadcast."""
    sags = np.array([0.0, 0.05, 0.15])
    together = flex.sag_length_factor(sags, 1.2)
    assert together == pytest.approx([float(flex.sag_length_factor(sag, 1.2)) for sag in sags])


@pytest.mark.parametrize(
    ("inches", "word"),
    [
        (0.0, "tight"),
        (1.0, "tight"),
        (1.1, "slack"),
        (2.0, "slack"),
        (2.1, "draped"),
        (7.9, "draped"),
        (8.1, "kinked"),
    ],
)
def test_a_sag_says_how_a_run_hangs(inches, word):
    """Over 4 ft: 2 in are permissible, half of that is tight, more than that draped."""
    assert flex.word_of_sag(inches * 0.0254, 48.0 * 0.0254) == word


def test_a_sag_that_flex_cannot_have_is_refused():
    """Deeper than half of the spacing is a loop; no spacing is no sag."""
    with pytest.raises(PartError) as caught:
        flex.sag_length_factor(np.array([0.1, 0.9]), 1.0)
    assert str(caught.value) == (
        "sag: 0.9 times the distance between supports came; flex hangs from 0 to 0.5 times that "
        "distance. Check both lengths; a deeper loop is a bend that doubles back."
    )
    with pytest.raises(PartError) as caught:
        flex.word_of_sag(0.1, 0.0)
    assert str(caught.value) == "spacing: 0 came; it is a number above zero."


def test_flex_says_when_it_leaves_the_tests():
    """Sizes of houses are silent; larger duct and heavier compression are said."""
    for inches in (4.0, 6.0, 10.0, 16.0):
        assert flex.beyond(inches * 0.0254, 0.30) is None
    assert flex.beyond(0.508) == (
        "Flex of 20.0 in lies outside the 4 to 16 in that tests of slack can be carried over to: "
        "what slack costs it is a guess."
    )
    assert flex.beyond(0.2032, 0.35) == (
        "Flex that is 35% shorter than stretched lies beyond the tests, which end at 30%: what it "
        "costs is carried on from there."
    )
