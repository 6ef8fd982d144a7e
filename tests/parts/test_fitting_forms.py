"""Laws of fittings against publications that they were not taken from.

A handful of named figures each, for the comparison only; none of them is shipped.
"""

from __future__ import annotations

import math

import pytest
from fluids import fittings as library

from inchwater.parts import fitting_forms
from inchwater.parts.fittings import loss
from inchwater.parts.sections import Section
from inchwater.parts.tees import tee

RIGHT = math.radians(90.0)


# SMACNA HVAC Systems Duct Design, 4th ed., table A-7 D: rectangular, mitered, no vanes (read in a
# course re-post); height over width, 90° and 45°.
@pytest.mark.parametrize(
    ("sides", "square", "half"),
    [
        (0.25, 1.3, 0.38),
        (0.5, 1.3, 0.37),
        (1.0, 1.2, 0.34),
        (2.0, 1.1, 0.31),
        (4.0, 0.92, 0.27),
        (8.0, 0.83, 0.24),
    ],
)
def test_square_elbows_follow_the_sheet_metal_table(sides, square, half):
    """Idelchik's square elbow is within 16 % of SMACNA's at every side ratio, 45° and 90°."""
    assert fitting_forms.mitre(RIGHT, sides) == pytest.approx(square, rel=0.16)
    assert fitting_forms.mitre(0.5 * RIGHT, sides) == pytest.approx(half, rel=0.16)


# The same, table A-7 C: round, mitered (read); by the angle in degrees.
@pytest.mark.parametrize(("angle", "printed"), [(45, 0.34), (60, 0.55), (75, 0.81), (90, 1.2)])
def test_a_square_elbows_angle_follows_the_sheet_metal_table(angle, printed):
    """Idelchik's law of the angle gives SMACNA's round mitres within 12 %."""
    assert fitting_forms.mitre(math.radians(angle), 1.0) == pytest.approx(printed, rel=0.12)


# SMACNA HVAC Systems Duct Design, table 14-10 F: rectangular, smooth radius (as reprinted in an
# architects' and engineers' program description of 1988, read); r/W, H/W, printed.
@pytest.mark.parametrize(
    ("radius", "sides", "printed"),
    [
        (0.75, 0.25, 0.57),
        (0.75, 1.0, 0.44),
        (0.75, 4.0, 0.40),
        (1.0, 0.25, 0.27),
        (1.0, 1.0, 0.21),
        (1.0, 2.0, 0.18),
        (1.0, 4.0, 0.19),
        (1.5, 1.0, 0.17),
        (2.0, 1.0, 0.15),
    ],
)
def test_rounded_elbows_follow_the_sheet_metal_table(radius, sides, printed):
    """In fast air Idelchik's rounded elbow is within 8 % of SMACNA's."""
    found = fitting_forms.rounded_elbow(RIGHT, radius, sides, 1e6)
    assert found == pytest.approx(printed, rel=0.08)


# The same, note 3: what slow air adds, at a thousand times so many Reynolds numbers (read).
@pytest.mark.parametrize(
    ("thousands", "factor"),
    [(10, 2.0), (20, 1.77), (30, 1.64), (40, 1.56), (60, 1.46), (80, 1.38), (100, 1.30)],
)
def test_slow_air_costs_what_the_sheet_metal_table_adds(thousands, factor):
    """Idelchik's correction of rounded elbows agrees with SMACNA's within 3 %."""
    slow, fast = (
        fitting_forms.rounded_elbow(RIGHT, 1.0, 1.0, each) for each in (thousands * 1e3, 1e7)
    )
    assert slow / fast == pytest.approx(factor, rel=0.03)


# ASHRAE Handbook Fundamentals 2009 (SI), p. 21.26, CD3-5: pleated 90°, r/D 1.5 (read); mm.
@pytest.mark.parametrize(("diameter", "printed"), [(100, 0.57), (150, 0.43), (200, 0.34)])
def test_pleated_elbows_fall_with_diameter(diameter, printed):
    """A pleated elbow of corrugated friction is within 30 % of the handbook in house sizes."""
    found = loss("elbow-90-pleated", Section.round(diameter / 1000.0))
    assert found.coefficient * found.median == pytest.approx(printed, rel=0.30)


# SMACNA HVAC Systems Duct Design 1990, table 14-12 A: contraction to half the area, by its
# angle in degrees (read in a page re-post).
@pytest.mark.parametrize(
    ("angle", "printed"),
    [(30, 0.05), (60, 0.06), (90, 0.12), (120, 0.18), (150, 0.24), (180, 0.26)],
)
def test_contractions_follow_the_sheet_metal_table(angle, printed):
    """Rennels' contraction lies within 0.09 of SMACNA's: a third above it where it is abrupt."""
    found = fitting_forms.contraction(0.5, math.radians(angle))
    assert found == pytest.approx(printed, abs=0.09)


@pytest.mark.parametrize("angle", [10.0, 20.0, 30.0, 45.0, 60.0, 90.0])
def test_enlargements_agree_with_another_author(angle):
    """Crane's softened step is within 0.06 of Idelchik's diffuser at half the area."""
    other = library.diffuser_conical(Di1=0.5**0.5, Di2=1.0, angle=angle, fd=0.02, method="Idelchik")
    assert fitting_forms.enlargement(0.5, math.radians(angle)) == pytest.approx(other, abs=0.06)


@pytest.mark.parametrize("method", ["Miller", "Ito"])
@pytest.mark.parametrize("radius", [0.75, 1.0, 1.5, 2.0])
def test_round_bends_agree_with_other_authors(radius, method):
    """Rennels' bend is within 23 % of Miller's and Ito's at a house's Reynolds number."""
    other = library.bend_rounded(Di=0.2, angle=90, Re=5e4, bend_diameters=radius, method=method)
    assert fitting_forms.bend(RIGHT, radius, 0.2, 0.0, 5e4) == pytest.approx(other, rel=0.23)


# CIBSE Guide C 2001, table 4.132: ductwork tees, converging flow, branch (as quoted in Building
# magazine, read); area ratio, the branch's share, printed.
@pytest.mark.parametrize(
    ("area", "share", "printed"),
    [
        (0.1, 0.1, 0.40),
        (0.1, 0.2, 3.8),
        (0.1, 0.4, 16.0),
        (0.2, 0.1, -0.37),
        (0.2, 0.2, 0.72),
        (0.2, 0.3, 2.3),
        (0.2, 0.5, 6.8),
        (0.2, 1.0, 26.0),
        (0.3, 0.1, -0.41),
        (0.3, 0.2, 0.17),
        (0.3, 0.5, 3.2),
        (0.4, 0.2, -0.10),
        (0.4, 0.3, 0.25),
        (0.4, 0.5, 1.1),
        (0.4, 1.0, 4.0),
    ],
)
def test_a_branch_joining_squarely_follows_the_guide(area, share, printed):
    """Our branch loss, gains included, is the guide's within 6 % or, near zero, 0.12."""
    found = float(tee("join-90").loss(share, area))
    assert found == pytest.approx(printed, rel=0.06, abs=0.12)


@pytest.mark.parametrize("area", [0.25, 0.5625, 1.0])
@pytest.mark.parametrize("share", [0.1, 0.3, 0.5, 0.7])
def test_tees_are_the_printed_forms_away_from_their_joins(area, share):
    """Where Crane's forms are not joined ours are the library's, within the joins' 0.04."""
    trunk, branch = 1.0, area**0.5
    flows = (1.0 - share, share)
    for ours, theirs, angle in (
        ("take-off-45", library.K_branch_diverging_Crane, 45),
        ("join-45", library.K_branch_converging_Crane, 45),
        ("join-90", library.K_branch_converging_Crane, 90),
    ):
        expected = theirs(trunk, branch, *flows, angle)
        assert float(tee(ours).loss(share, area)) == pytest.approx(expected, abs=0.04)
    for ours, theirs, angle in (
        ("past-take-off", library.K_run_diverging_Crane, 90),
        ("past-join-45", library.K_run_converging_Crane, 45),
        ("past-join-90", library.K_run_converging_Crane, 90),
    ):
        expected = theirs(trunk, branch, *flows, angle)
        assert float(tee(ours).loss(1.0 - share, area)) == pytest.approx(expected, abs=0.04)
    if area < 1.0:
        # At equal sizes Crane's factor repeats what its bracket has already; ours has it once.
        expected = library.K_branch_diverging_Crane(trunk, branch, *flows, 90)
        assert float(tee("take-off-90").loss(share, area)) == pytest.approx(expected, abs=0.04)


def test_all_air_into_an_equal_branch_is_a_square_elbow():
    """SMACNA 1990, ch. 8 (read): a tap that takes all of the air is a mitred elbow, 1.2."""
    assert float(tee("take-off-90").loss(1.0, 1.0)) == pytest.approx(1.2, rel=0.15)
