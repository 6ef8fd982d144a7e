"""A fan-coil maker's engineering bulletin of December 2018: face velocities for 0.10 in. w.c.

Read in a re-post; the maker is left unnamed. Our drops at 300 fpm were fitted to these six points
with exponents from memory, so they check the arithmetic and that the two digits kept reach them.
"""

from __future__ import annotations

import numpy as np
import pytest

from inchwater.parts import filters
from inchwater.units import from_si, to_si

# Class, fpm of gross face that makes 0.10 in. w.c., ft2 that 800 cfm need.
ROWS = [
    ("pleat-1in-merv11", 200, 4.00),
    ("pleat-1in-merv13", 175, 4.57),
    ("pleat-2in-merv11", 240, 3.33),
    ("pleat-2in-merv13", 195, 4.10),
    ("media-4in-merv11", 300, 2.67),
    ("media-4in-merv13", 260, 3.08),
]


@pytest.mark.parametrize(("grade", "fpm", "ft2"), ROWS)
def test_a_tenth_of_an_inch(grade, fpm, ft2):
    """The drop at the printed velocity is 0.10 in. w.c. within 3 %, and so at the printed area."""
    law, _ = filters.filter_law(0.5, 0.6, grade)
    drop = law.drop(to_si(fpm, "fpm") * 0.3)
    assert from_si(float(drop), "inwc") == pytest.approx(0.10, rel=0.03)
    side = to_si(ft2, "ft2") ** 0.5
    velocity = filters.face_velocity(to_si(800.0, "cfm"), side, side)
    assert from_si(float(velocity), "fpm") == pytest.approx(fpm, rel=3e-3)


def test_one_measured_system_lies_far_below(check):
    """A stated disagreement: 2 in MERV 13 measured at 0.0274 in. w.c. at 144 fpm, 0.42 of ours.

    The figure was read in an article on a designer's own ducted system (20 x 20 in, 400 cfm); a
    furnace maker's own allowances for pleated filters lie below ours too. The defaults lean to the
    high side; it is nearly three sigma of the class, and a measured drop replaces them.
    """
    law, sigma_ln = filters.filter_law(0.508, 0.508, "pleat-2in-merv13")
    ours = from_si(float(law.drop(to_si(400.0, "cfm"))), "inwc")
    check(
        formula="filter class",
        source="designer-article",
        place="measured on the author's own ducted system",
        case="2 in MERV 13, 20 × 20 in, 400 cfm",
        says=0.0274,
        got=ours,
        unit="in. w.c.",
        status="read",
        differs=(2.3, 2.5),
    )
    assert 2.0 < np.log(ours / 0.0274) / sigma_ln < 3.0
