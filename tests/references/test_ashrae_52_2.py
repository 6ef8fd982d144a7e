"""ASHRAE Standard 52.2: test velocities and final resistances (read in a re-posted chart)."""

from __future__ import annotations

import pytest

from inchwater.parts import filters
from inchwater.units import from_si, to_si


def test_a_loaded_filter_is_at_the_end_of_its_test():
    """Loaded is twice the clean drop or more; used is on the way there."""
    assert filters.condition_factor("loaded")[0] >= 2.0
    assert 1.0 < filters.condition_factor("used")[0] < 2.0


# Exponent, drop at 300 fpm [in. w.c.] of a filter with 0.25 in. w.c. at 492 fpm, a test velocity
# of ASHRAE Standard 52.2 (read in a re-post).
ROWS = [(1.0, 0.152), (1.3, 0.131), (1.5, 0.119), (1.8, 0.103), (2.0, 0.093)]


@pytest.mark.parametrize(("exponent", "inwc"), ROWS)
def test_moved_to_another_velocity(exponent, inwc):
    """The rating's law gives the drop at 300 fpm (0.5 %)."""
    law, _ = filters.filter_law_from_rating(0.25, 492.0, exponent)
    assert law.drop(300.0) == pytest.approx(inwc, rel=5e-3)


@pytest.mark.parametrize(
    ("width", "height", "fpm"),
    [(20, 20, 432), (16, 25, 432), (20, 25, 346), (14, 20, 617), (20, 30, 288)],
)
def test_face_velocity_of_common_sizes(width, height, fpm):
    """1200 cfm through common sizes, in fpm of gross face (computed, whole fpm)."""
    found = filters.face_velocity(to_si(1200.0, "cfm"), to_si(width, "in"), to_si(height, "in"))
    assert from_si(found, "fpm") == pytest.approx(fpm, abs=0.6)
