"""Filters: class, rating, size, number and condition."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from inchwater.errors import PartError, UnknownNameError
from inchwater.parts import filters
from inchwater.units import to_si

FLOWS = st.floats(0.05, 1.2)


@pytest.mark.parametrize("key", filters.GRADES)
def test_every_grade_gives_its_drop_at_300_fpm(key):
    """At 300 fpm of gross face a clean filter has the drop of its row."""
    grade = filters.GRADES[key]
    law, sigma_ln = filters.filter_law(0.5, 0.6, key)
    flow = to_si(300.0, "fpm") * 0.5 * 0.6
    assert law.drop(flow) == pytest.approx(grade.drop, rel=1e-12)
    assert 1.0 <= law.exponent <= 2.0
    assert sigma_ln == grade.sigma_ln
    assert grade.label
    assert grade.place


@given(FLOWS, st.integers(2, 4))
def test_filters_side_by_side_share_the_air(flow, count):
    """Several filters are one of their total face; more face costs less."""
    several, _ = filters.filter_law(0.4064, 0.635, "pleat-1in-merv8", count)
    wide, _ = filters.filter_law(0.4064 * count, 0.635, "pleat-1in-merv8")
    one, _ = filters.filter_law(0.4064, 0.635, "pleat-1in-merv8")
    assert several.drop(flow) == pytest.approx(wide.drop(flow), rel=1e-12)
    assert several.drop(flow) < one.drop(flow)
    assert filters.face_velocity(flow, 0.4064, 0.635, count) == pytest.approx(
        flow / (0.4064 * 0.635 * count)
    )


@pytest.mark.parametrize("depth", ["pleat-1in", "pleat-2in", "media-4in", "media-5in"])
def test_finer_classes_cost_more(depth):
    """Within one depth the drop rises with the class."""
    drops = [grade.drop for key, grade in filters.GRADES.items() if key.startswith(depth)]
    assert drops == sorted(drops)
    assert len(drops) >= 2


@pytest.mark.parametrize("merv", ["merv8", "merv11", "merv13"])
def test_deeper_filters_cost_less(merv):
    """Within one class the drop falls with the depth."""
    drops = [grade.drop for key, grade in filters.GRADES.items() if key.endswith(merv)]
    assert drops == sorted(drops, reverse=True)
    assert len(drops) >= 3


@given(st.floats(5.0, 150.0), FLOWS)
def test_a_rating_replaces_the_class(drop, airflow):
    """The law goes through the printed point, and is more certain than a class."""
    law, sigma_ln = filters.filter_law_from_rating(drop, airflow)
    assert law.drop(airflow) == pytest.approx(drop, rel=1e-12)
    assert law.exponent == filters.GRADES["unknown"].exponent
    assert sigma_ln < filters.GRADES["pleat-1in-merv8"].sigma_ln
    assert filters.filter_law_from_rating(drop, airflow, 1.2)[0].exponent == 1.2


def test_dust_goes_with_the_words():
    """Clean is one, used more, loaded most; not having looked is in between and widest."""
    clean, used, loaded, unknown = (
        filters.condition_factor(word) for word in ("clean", "used", "loaded", None)
    )
    assert 1.0 == clean[0] < used[0] < unknown[0] < loaded[0]
    assert unknown[1] > max(clean[1], used[1], loaded[1])


def test_sizes_may_be_arrays():
    """Samples of a size give samples of the drop."""
    widths = np.array([0.4, 0.5])
    law, _ = filters.filter_law(widths, 0.6, None)
    alone = [filters.filter_law(float(width), 0.6, None)[0].drop(0.4) for width in widths]
    assert law.drop(0.4) == pytest.approx(alone, rel=1e-12)


def test_a_filter_has_a_face():
    """A height of zero is refused by name."""
    with pytest.raises(PartError) as caught:
        filters.filter_law(0.5, 0.0)
    assert str(caught.value) == "filter.height: 0 m came; a filter has a face to breathe."


def test_unknown_words_are_told_the_choices():
    """Grades are those of the table, conditions are three and unknown."""
    with pytest.raises(UnknownNameError) as caught:
        filters.filter_law(0.5, 0.5, "hepa")
    assert str(caught.value) == (
        f"filter.grade: 'hepa' came; choices are {', '.join(filters.GRADES)}."
    )
    with pytest.raises(UnknownNameError) as caught:
        filters.condition_factor("filthy")
    assert str(caught.value) == (
        "filter.condition: 'filthy' came; choices are clean, used, loaded, unknown."
    )


@pytest.mark.parametrize("key", [key for key, one in filters.GRADES.items() if one.merv])
def test_a_class_is_found_by_its_merv_and_depth(key):
    """MERV and depth of a row lead back to the row, and nothing is said of them."""
    found = filters.GRADES[key]
    assert found.merv is not None
    assert found.depth is not None
    assert filters.grade_by_class(found.merv, found.depth) is found
    assert filters.class_beyond(found.merv, found.depth) is None


def test_a_class_between_two_is_said():
    """The nearest depth goes before the nearest MERV, and the sentence names what is taken."""
    inch = to_si(1.0, "in")
    assert filters.grade_by_class(12, 6.0 * inch).key == "media-5in-merv11"
    assert filters.grade_by_class(16, inch).key == "pleat-1in-merv13"
    assert filters.class_beyond(12, 6.0 * inch) is None
    assert filters.class_beyond(16, inch) == (
        "No filter of MERV 16 and 1 in depth is in the tables; the nearest is taken, 1 in pleated, "
        "MERV 13. Its label's drop would be better."
    )


@pytest.mark.parametrize(
    ("merv", "depth", "message"),
    [
        (17, 0.0254, "filter.merv: 17 came; classes run from 1 to 16."),
        (0, 0.0254, "filter.merv: 0 came; classes run from 1 to 16."),
        (8, 0.0, "filter.depth: 0 m came; a filter has a depth above zero."),
    ],
)
def test_classes_that_do_not_exist(merv, depth, message):
    """A MERV outside the scale and a filter without depth are refused."""
    with pytest.raises(PartError) as caught:
        filters.grade_by_class(merv, depth)
    assert str(caught.value) == message


@given(st.floats(5.0, 100.0), st.floats(1.0, 2.0), st.lists(FLOWS, min_size=2, max_size=6))
def test_points_of_one_law_give_it_back(level, exponent, flows):
    """Several points of a power law lead back to it."""
    assume(max(flows) > 1.05 * min(flows))
    law, sigma = filters.filter_law_from_points([level * q**exponent for q in flows], flows)
    assert law.exponent == pytest.approx(exponent, abs=1e-6)
    assert law.drop(0.5) == pytest.approx(level * 0.5**exponent, rel=1e-6)
    assert sigma == pytest.approx(filters.filter_law_from_rating(20.0, 0.5)[1], rel=1e-6)


def test_rounded_labels_are_still_a_law():
    """A label rounded to 0.01 in. w.c. has its exponent within what the rounding leaves."""
    law, sigma = filters.filter_law_from_points(
        [to_si(drop, "inwc") for drop in (0.03, 0.05, 0.08)],
        [to_si(flow, "cfm") for flow in (400.0, 600.0, 800.0)],
    )
    assert 1.2 <= law.exponent <= 1.6
    assert sigma > filters.filter_law_from_rating(20.0, 0.5)[1]


@pytest.mark.parametrize(
    ("drops", "flows", "message"),
    [
        (
            (0.30, 0.20),
            (600.0, 1200.0),
            "filter.rated_drop: 0.30 in. w.c. at 600 cfm, 0.20 in. w.c. at 1200 cfm came; a "
            "filter's drop rises with the first to the second power of the airflow. Read the print "
            "again: each drop belongs to its own airflow.",
        ),
        (
            (0.05, 0.50),
            (600.0, 1200.0),
            "filter.rated_drop: 0.05 in. w.c. at 600 cfm, 0.50 in. w.c. at 1200 cfm came; a "
            "filter's drop rises with the first to the second power of the airflow. Read the print "
            "again: each drop belongs to its own airflow.",
        ),
        (
            (0.1, 0.2),
            (600.0, 600.0),
            "flow: 2 at one airflow came; the power of a law shows between two airflows.",
        ),
        ((0.1,), (600.0,), "flow: one point came; the power of a law shows between two airflows."),
        (
            (0.0, 0.2),
            (600.0, 900.0),
            "drop: 0 came; the point of a pressure law is positive and finite.",
        ),
    ],
)
def test_points_of_no_filter_are_refused(drops, flows, message):
    """Points that fall, rise too steeply or stand at one airflow are no filter's."""
    with pytest.raises(PartError) as caught:
        filters.filter_law_from_points(
            [to_si(drop, "inwc") for drop in drops], [to_si(flow, "cfm") for flow in flows]
        )
    assert str(caught.value) == message


def test_faces_out_of_the_tests_are_said():
    """Between half of the slowest and the fastest test velocity nothing is said."""
    side = to_si(20.0, "in")
    face = side * side
    assert filters.beyond(to_si(300.0, "fpm") * face, side, side) is None
    assert filters.beyond(-to_si(600.0, "fpm") * face, side, side, 2) is None
    assert filters.beyond(to_si(800.0, "fpm") * face, side, side) == (
        "Air passes the filter at 800 fpm of its face: faster than the 748 fpm to which filters "
        "are tested."
    )
    assert filters.beyond(to_si(80.0, "fpm") * face, side, side, 2) == (
        "Air passes the filter at 40 fpm of its face: slower than the 50 fpm to which filters "
        "are tested."
    )
