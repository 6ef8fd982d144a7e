"""Registers and grilles: sides kept apart, coefficients moved between sections."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater.air import STANDARD
from inchwater.errors import PartError, UnknownNameError
from inchwater.parts import ducts
from inchwater.parts.terminals import TERMINALS, grille, loss_coefficient_on_area, register


@pytest.mark.parametrize("key", TERMINALS)
def test_every_terminal_is_whole(key):
    """A terminal has a side, a label, a coefficient, a free area and a spread."""
    found = TERMINALS[key]
    assert found.side in {"supply", "return"}
    assert found.label
    assert found.loss_coefficient > 0.0
    assert 0.0 < found.free_area_ratio <= 1.0
    assert 0.0 < found.sigma_ln < 1.0
    assert found.source
    assert found.place


def test_less_free_area_costs_more():
    """On either side the coefficient falls as the free area grows."""
    for side in ("supply", "return"):
        found = sorted(
            (each for each in TERMINALS.values() if each.side == side),
            key=lambda each: each.free_area_ratio,
        )
        losses = [each.loss_coefficient for each in found]
        assert losses == sorted(losses, reverse=True)


def test_a_register_holds_the_jet_in_the_room():
    """An opening without a register loses its velocity pressure, the intake half of it."""
    assert register("register-open").loss_coefficient == 1.0
    assert grille("grille-open").loss_coefficient == 0.5


def test_one_that_nobody_looked_at_is_less_certain():
    """None is the widest of its side."""
    assert register(None).sigma_ln > register("register-bar").sigma_ln
    assert grille(None).sigma_ln > grille("grille-bar").sigma_ln


@given(st.floats(0.01, 0.3), st.floats(0.01, 0.3), st.floats(0.01, 0.5))
def test_the_drop_does_not_depend_on_the_section_named(face, reference, flow):
    """A coefficient moved to another section gives the same drop on that one's pressure."""
    found = register(None)
    moved = loss_coefficient_on_area(found, face, reference)
    on_face, _ = ducts.local_drop(flow, face, found.loss_coefficient, STANDARD)
    on_reference, _ = ducts.local_drop(flow, reference, moved, STANDARD)
    assert on_reference == pytest.approx(on_face, rel=1e-12)


def test_an_area_is_above_zero():
    """A face without area is refused by name."""
    with pytest.raises(PartError) as caught:
        loss_coefficient_on_area(grille(None), np.array([0.2, 0.0]), 0.1)
    assert str(caught.value) == "face_area: 0 came; an area is a number above zero."


def test_a_grille_is_no_register():
    """A key of the other side is told the choices of this one."""
    with pytest.raises(UnknownNameError) as caught:
        register("grille-bar")
    assert str(caught.value) == (
        "register: 'grille-bar' came; choices are register-stamped, register-bar, "
        "register-floor, register-open, register-unknown."
    )
    with pytest.raises(UnknownNameError) as caught:
        grille("hole")
    assert str(caught.value) == (
        "grille: 'hole' came; choices are grille-stamped, grille-bar, grille-filter, "
        "grille-open, grille-unknown."
    )
