"""A rectangular trunk that ends in a tee whose losses follow the share of the air.

An invented system solved with SciPy 1.17.1 and fluids 1.3.1, the tee's coefficients computed anew
at every flow ratio (Crane); status: computed.  Plenum held at 0.150 in. w.c., rooms at zero.
"""

from __future__ import annotations

import numpy as np
import pytest

from inchwater.network import solve
from inchwater.network.elements import Friction, Local
from inchwater.parts.ducts import circle_area
from inchwater.parts.sections import Section
from inchwater.parts.tees import tee
from inchwater.units import from_si, to_si
from tests.network.builders import ByHand, LinearCurve

METAL, FLEX = to_si(0.0003, "ft"), to_si(0.003, "ft")
TRUNK = Section("rectangular", to_si(14.0, "in"), to_si(8.0, "in"))
RATIO = circle_area(to_si(6.0, "in")) / TRUNK.area

# By the angle of the take-off: cfm of branch, run, trunk; in. w.c. over the trunk, over the branch
# (tee, friction and local losses) and over the run.
PRINTED = {
    90: {
        "branch": 116.357,
        "run": 372.323,
        "all": 488.679,
        "trunk drop": 0.018619,
        "branch drop": 0.046422 + 0.030321 + 0.054637,
        "run drop": 0.000557 + 0.031370 + 0.099454,
    },
    45: {
        "branch": 135.644,
        "run": 370.157,
        "all": 505.801,
        "trunk drop": 0.019907,
        "branch drop": 0.015034 + 0.040807 + 0.074252,
        "run drop": 0.000757 + 0.031036 + 0.098300,
    },
}


def solved(angle: int) -> dict[str, float]:
    """The system with a take-off of this angle: flows [cfm] and drops [in. w.c.]."""
    by_hand = ByHand(LinearCurve.of([(0, 0.1500001), (1000, 0.1499999)]))
    trunk = by_hand.edge(
        "trunk",
        friction=[Friction(TRUNK.equivalent_diameter, to_si(10.0, "ft"), METAL)],
        local=[Local(0.5, TRUNK.area)],
    )
    legs = {}
    for name, law, inches, feet, rough, loss in (
        ("branch", f"take-off-{angle}", 6.0, 20.0, FLEX, 2.5),
        ("run", "past-take-off", 9.0, 25.0, METAL, 2.25),
    ):
        legs[name] = by_hand.pipe(
            name,
            to_si(inches, "in"),
            to_si(feet, "ft"),
            rough,
            loss,
            tee=(tee(law).curve(RATIO, 257), TRUNK.area),
        )
        by_hand.run(name, trunk, legs[name])
    by_hand.opening("open", by_hand.edge("open", "return"))
    solution = solve(by_hand.network(), {})
    found = {name: from_si(float(solution.flow[name][0]), "cfm") for name in legs}
    drops = {
        f"{name} drop": from_si(float(solution.drop[name][0]), "inwc") for name in ("trunk", *legs)
    }
    return {**found, "all": from_si(float(solution.airflow[0]), "cfm"), **drops}


@pytest.mark.parametrize("angle", PRINTED)
def test_a_tee_by_the_share_of_its_air(check, angle):
    """All flows within 0.1 %, all drops within 0.0002 in. w.c."""
    found = solved(angle)
    for what, says in PRINTED[angle].items():
        flow = "drop" not in what
        check(
            formula="tee network",
            source="tee-fluids",
            place=f"take-off at {angle}°",
            case=f"airflow, {what}" if flow else what,
            says=round(says, 6),
            got=found[what],
            unit="cfm" if flow else "in. w.c.",
            rel=1e-3 if flow else 0.0,
            abs=0.0 if flow else 2e-4,
            status="computed",
        )


def test_a_gentler_take_off_feeds_its_branch():
    """45° in the place of 90° gives the branch 16.6 % more and takes 0.6 % from the run."""
    square, gentle = solved(90), solved(45)
    assert gentle["branch"] / square["branch"] == pytest.approx(1.166, abs=0.001)
    assert gentle["run"] / square["run"] == pytest.approx(0.994, abs=0.001)
    assert np.isclose(gentle["branch"] + gentle["run"], gentle["all"], rtol=1e-9)
