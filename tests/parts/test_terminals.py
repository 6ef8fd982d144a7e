"""Registers and grilles: sides kept apart, coefficients moved between sections."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater.air import STANDARD
from inchwater.errors import PartError, UnknownNameError
from inchwater.parts import ducts
from inchwater.parts.terminals import (
    TERMINALS,
    beyond,
    grille,
    loss_coefficient_on_area,
    register,
)
from inchwater.units import from_si, to_si


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


# Faces that are more than a screen: they turn the air, or their size is the neck's.
MORE_THAN_A_SCREEN = ("register-baseboard", "register-diffuser-round", "register-diffuser-square")


@pytest.mark.parametrize("side", ["supply", "return"])
def test_less_free_area_costs_more(side):
    """On either side the coefficient of a plain face falls as the free area grows."""
    losses: dict[float, list[float]] = {}
    for key, each in TERMINALS.items():
        if each.side == side and key not in MORE_THAN_A_SCREEN:
            losses.setdefault(each.free_area_ratio, []).append(each.loss_coefficient)
    ratios = sorted(losses)
    assert len(ratios) >= 4
    for tight, free in pairwise(ratios):
        assert min(losses[tight]) > max(losses[free])


def test_a_face_is_known_by_its_side():
    """A key begins with the word of its side, by which pages list it; labels are unique there."""
    for side, word in (("supply", "register-"), ("return", "grille-")):
        keys = [key for key, each in TERMINALS.items() if each.side == side]
        assert all(key.startswith(word) for key in keys)
        labels = [TERMINALS[key].label for key in keys]
        assert len(set(labels)) == len(labels) >= 10


def test_a_diffuser_is_a_few_velocity_pressures_of_its_neck():
    """Round or square, it takes 0.06 to 0.10 in. w.c. at 700 fpm in its neck (memory)."""
    neck = 0.2
    for kind, area in (("round", ducts.circle_area(neck)), ("square", neck**2)):
        flow = to_si(700.0, "fpm") * area
        found = register(f"register-diffuser-{kind}")
        drop, _ = ducts.local_drop(flow, neck**2, found.loss_coefficient, STANDARD)
        assert 0.06 <= from_si(float(drop), "inwc") <= 0.10


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
        "register-floor, register-ceiling, register-curved, register-baseboard, "
        "register-toe-kick, register-diffuser-round, register-diffuser-square, "
        "register-perforated, register-eggcrate, register-open, register-unknown."
    )
    with pytest.raises(UnknownNameError) as caught:
        grille("hole")
    assert str(caught.value) == (
        "grille: 'hole' came; choices are grille-stamped, grille-bar, grille-filter, "
        "grille-eggcrate, grille-floor, grille-wood, grille-perforated, grille-door, "
        "grille-open, grille-unknown."
    )


def test_a_face_out_of_its_range_is_said():
    """Slower and faster than faces are sold for has its sentence; the usual has none."""
    found = register("register-bar")
    assert beyond(found, to_si(500.0, "fpm")) is None
    assert beyond(found, -to_si(500.0, "fpm")) is None
    assert beyond(found, to_si(1400.0, "fpm")) == (
        "Air passes its face at 1400 fpm: faster than the 1200 fpm to which the loss is known "
        "(supply register, straight bars)."
    )
    assert beyond(grille("grille-bar"), to_si(20.0, "fpm")) == (
        "Air passes its face at 20 fpm: slower than the 50 fpm to which the loss is known "
        "(return grille, straight bars)."
    )
