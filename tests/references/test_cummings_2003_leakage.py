"""Cummings et al., ASHRAE Transactions 109(1), 2003, FSEC-RR-138-03 (abstract read).

Florida homes: leakage at 25 Pa and at operation give the plenum pressures between them.
"""

from __future__ import annotations

import numpy as np
import pytest

from inchwater.calibration.priors import prior_row
from inchwater.network.build import assumed
from inchwater.parts import leaks


@pytest.mark.parametrize(
    ("side", "cfm25", "operating", "pascal"), [("return", 88, 170, 75), ("supply", 132, 167, 37)]
)
def test_operating_pressures_behind_the_leaks(check, side, cfm25, operating, pascal):
    """88 cfm25 leaks 170 cfm at 75 Pa in the return, 132 cfm25 leaks 167 at 37 Pa in the supply."""
    coefficient = leaks.leak_coefficient(1.0, cfm25, 25.0, leaks.exponent())
    check(
        formula="leak exponent",
        source="cummings",
        place="abstract",
        case=f"{side}, {cfm25} cfm at 25 Pa, at {pascal} Pa",
        says=operating,
        got=leaks.leak_flow(pascal, coefficient, leaks.exponent()),
        unit="cfm",
        rel=0.01,
        status="read",
    )


@pytest.mark.parametrize(("side", "share"), [("return", 0.134), ("supply", 0.132)])
def test_the_prior_of_each_side_holds_what_was_found(side, share):
    """13 % of the airflow on either side lies well inside 9 in 10 of the prior.

    The prior was set with this study in view, so that it is no evidence for it.
    """
    median = assumed(f"leak-fraction-{side}")
    sigma_ln = prior_row(f"leak-{side}").sigma
    assert abs(np.log(share / median)) < 1.0 * sigma_ln
