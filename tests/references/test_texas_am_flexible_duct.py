"""Texas A&M on flexible duct: Weaver and Culp, ESL-IC-06-11-133 (2006); Cantrill (2013).

Abstracts read. Cantrill's 12–16 in ducts cost more than the handbook's equation: kept at ±50 %.
"""

from __future__ import annotations

import math

import pytest

from inchwater.parts import flex
from inchwater.units import to_si


def test_as_built_states_exceed_ten_times(check):
    """6, 8 and 10 in, to 45 % compressed: some states exceed ×10 of stretched duct."""
    check(
        formula="flex compression",
        source="weaver",
        place="abstract",
        case="some states exceed ten times, 45 %, 6 in",
        says=(10.0, math.inf),
        got=flex.compression_factor(0.45, to_si(6.0, "in")),
        status="read",
    )


@pytest.mark.parametrize("inches", [12, 14])
def test_large_ducts_cost_more_than_the_equation_says(check, inches):
    """12–14 in above 4 % cost more than ×4 there; the equation says 2.5–2.9 at 15 %, 4–4.8 at 30 %.

    A stated disagreement: the equation is 27–38 % low at 15 %, inside the ±50 % that its docstring
    gives for these sizes.
    """
    check(
        formula="flex compression",
        source="cantrill",
        place="abstract",
        case=f"more than four times above 4 %, at 15 %, {inches} in",
        says=4.0,
        got=flex.compression_factor(0.15, to_si(float(inches), "in")),
        rel=0.50,
        status="read",
    )
    at_30 = float(flex.compression_factor(0.3, to_si(float(inches), "in")))
    assert at_30 == pytest.approx(4.4, rel=0.12)
