"""Whole systems against pandapipes (0.13.0, 0.16.0), a pipe network solver of other people.

Compared are the flow of every part, leaks and blower among them, and the total pressure at every
node, on the same twenty invented systems of 5 to 60 runs that EPANET has.  pandapipes knows neither
power laws nor a blower's table, so some ten of its solutions, each with corrected losses and lift,
lead to one that obeys both to 1e-5 (:mod:`tests.oracles.as_pandapipes`); they take 8 s in all.
"""

import pytest

from tests.oracles import as_pandapipes
from tests.oracles.agreement import agree
from tests.oracles.systems import SYSTEMS


@pytest.mark.parametrize("system", SYSTEMS, ids=lambda one: one.name)
def test_twenty_systems(system):
    """Every flow and pressure is pandapipes'; trunks, returns, filters, leaks, fixed tees."""
    agree(system, *as_pandapipes.solved(system))
