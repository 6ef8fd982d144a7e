"""Texas A&M on flexible duct: Weaver and Culp, ESL-IC-06-11-133 (2006); Cantrill (2013).

Abstracts read. Cantrill's 12–16 in ducts cost more than the handbook's equation: kept at ±50 %.
"""

from __future__ import annotations

import pytest

from inchwater.parts import flex
from inchwater.units import to_si


def test_as_built_states_exceed_ten_times():
    """6, 8 and 10 in, to 45 % compressed: some states exceed ×10 of stretched duct."""
    assert flex.compression_factor(0.45, to_si(6.0, "in")) > 10.0


def test_large_ducts_cost_more_than_the_equation_says():
    """12–14 in above 4 % cost more than ×4 there; the equation says 2.5–2.9 at 15 %, 4–4.8 at 30 %.

    A stated disagreement: the equation is 27–38 % low at 15 %, inside the ±50 % that its docstring
    gives for these sizes.
    """
    for inches in (12.0, 14.0):
        at_15, at_30 = (float(flex.compression_factor(r, to_si(inches, "in"))) for r in (0.15, 0.3))
        assert at_15 < 4.0 <= at_15 * 2.0
        assert at_30 == pytest.approx(4.4, rel=0.12)
