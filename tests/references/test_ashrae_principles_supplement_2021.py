"""Principles of HVAC, 9th edition, online fitting supplement (ASHRAE 2021), tables 1-1, 1-2 (read).

After Idelchik 1986, diagrams 3-1 and 3-4: entry into a duct end, square or rounded.
"""

from __future__ import annotations

import pytest

from inchwater.parts.fittings import fitting


@pytest.mark.parametrize(
    ("key", "case", "says", "tolerance"),
    [
        ("take-off-projecting", "thin wall, a third of a diameter in", (0.92, 1.0), 0.05),
        ("entry-bare", "thin wall, a diameter and more in", 1.0, 0.10),
    ],
)
def test_a_duct_end_that_stands_free(check, key, case, says, tolerance):
    """Table 1-1, thin wall (t/D 0): .92 at L/D 0.2, 1.0 at 0.5 and beyond."""
    check(
        formula="entry projecting",
        source="ashrae-supplement",
        place="table 1-1, t/D 0",
        case=case,
        says=says,
        got=fitting(key).loss_coefficient,
        rel=tolerance,
        status="read",
    )


@pytest.mark.parametrize("key", ["take-off-straight", "return-box", "entry-flush"])
def test_a_flush_entry(check, key):
    """L/D 0: 0.50; Rennels' 0.57 is 14 % above (authors differ by 15 %)."""
    check(
        formula="entry flush",
        source="ashrae-supplement",
        place="table 1-1, L/D 0",
        case=fitting(key).label,
        says=0.50,
        got=fitting(key).loss_coefficient,
        rel=0.15,
        status="read",
    )


def test_a_rounded_edge(check):
    """Table 1-2, r/D 0.10: 0.15 without a wall round it; Rennels' in a wall is 0.20 (40 %)."""
    check(
        formula="entry rounded",
        source="ashrae-supplement",
        place="table 1-2, r/D 0.10",
        case="edge rounded by a tenth of the diameter",
        says=0.15,
        got=fitting("entry-rounded").loss_coefficient,
        rel=0.40,
        status="read",
    )
