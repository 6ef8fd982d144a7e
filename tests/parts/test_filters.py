"""Filters: class, rating, size, number and condition."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
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
