"""Fittings: the table is complete, its numbers have a place, wrong names are told the choices."""

from __future__ import annotations

import pytest

from inchwater.errors import UnknownNameError
from inchwater.parts.fittings import (
    FITTINGS,
    fitting,
    total_loss_coefficient,
    typical_return_fittings,
    typical_run_fittings,
)


@pytest.mark.parametrize("key", FITTINGS)
def test_every_fitting_is_whole(key):
    """A fitting has a label, a coefficient on its run, a spread, and a place for its number."""
    found = fitting(key)
    assert found.key == key
    assert found.label
    assert 0.0 < found.loss_coefficient < 5.0
    assert found.section == "run"
    assert 0.0 < found.sigma_ln < 1.0
    assert 1.0 <= found.median <= 1.3
    assert found.source
    assert found.place


def test_there_are_a_dozen_fittings_and_more():
    """Take-offs, elbows, flex bends, boots, boxes, dampers: twelve kinds at the least."""
    assert len(FITTINGS) >= 12


def test_boots_and_flex_bends_are_less_certain_than_elbows():
    """What is hung by hand scatters more than what is stamped."""
    elbow = fitting("elbow-90-smooth").sigma_ln
    for key in FITTINGS:
        if key.startswith(("boot", "flex")):
            assert fitting(key).sigma_ln >= 0.5 > elbow


@pytest.mark.parametrize(
    ("gentle", "harsh"),
    [
        ("take-off-tapered", "take-off-straight"),
        ("take-off-straight", "take-off-projecting"),
        ("trunk-take-off-45", "trunk-take-off-90"),
        ("elbow-45-smooth", "elbow-90-smooth"),
        ("elbow-90-smooth", "elbow-90-pleated"),
        ("elbow-90-pleated", "elbow-90-gored"),
        ("elbow-90-gored", "elbow-90-mitred"),
        ("flex-bend-45", "flex-bend-90"),
        ("flex-bend-90", "flex-bend-tight"),
        ("boot-straight", "boot-angle"),
    ],
)
def test_the_gentler_fitting_costs_less(gentle, harsh):
    """A change from the harsh to the gentle form is a gain."""
    assert fitting(gentle).loss_coefficient < fitting(harsh).loss_coefficient


def test_coefficients_of_a_run_add_up():
    """The sum over a run is that of its fittings, each as often as it is there."""
    bend = fitting("flex-bend-90").loss_coefficient
    assert total_loss_coefficient(["flex-bend-90"] * 3) == pytest.approx(3.0 * bend)
    assert total_loss_coefficient([]) == 0.0


@pytest.mark.parametrize("material", ["flex", "metal", "ductboard", None])
def test_a_run_that_nobody_described_has_fittings(material):
    """What is typical is made of known fittings, and metal has no flex bend."""
    keys = typical_run_fittings(material) + typical_return_fittings(material)
    assert set(keys) <= set(FITTINGS)
    if material == "metal":
        assert not any(key.startswith("flex") for key in keys)


def test_an_unknown_fitting_is_told_the_choices():
    """The choices are all keys of the table."""
    with pytest.raises(UnknownNameError) as caught:
        total_loss_coefficient(["take-off-straight", "swan-neck"])
    assert str(caught.value) == f"fitting: 'swan-neck' came; choices are {', '.join(FITTINGS)}."
