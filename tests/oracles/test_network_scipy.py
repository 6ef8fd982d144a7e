"""A system with leaks on both sides against SciPy's root finder and fluids' friction factor.

The oracle has another formulation (node pressures, each segment's flow by bracketing), another
friction solver (fluids' exact Colebrook) and nothing of ours.
"""

import numpy as np
import pytest
from fluids.friction import Colebrook
from scipy.optimize import brentq, root

from inchwater.air import STANDARD
from inchwater.network import solve
from inchwater.units import to_si
from tests.network.residential import DUCTS, HIGH, SEGMENTS, residential

RHO, MU = STANDARD.density, STANDARD.viscosity


def segment_flow(key, drop, diameter):
    """Flow [m3/s] that loses ``drop`` [Pa] in a segment of the residential system."""
    _, length, rough, loss = DUCTS[key]
    d, length, rough = to_si(diameter, "in"), to_si(length, "ft"), to_si(rough, "ft")
    area = np.pi / 4 * d**2

    def excess(flow):
        v = flow / area
        f = Colebrook(RHO * v * d / MU, rough / d)
        return (f * length / d + loss) * RHO * v**2 / 2 - abs(drop)

    return np.sign(drop) * brentq(excess, 1e-3, 3.0, xtol=1e-14)


def system(supply_leak, return_leak, exponent, filter_drop, sizes):
    """Flows [m3/s] by segment, blower's flow and node pressures [Pa]."""
    diameters = {key: sizes.get(key, duct[0]) for key, duct in DUCTS.items()}
    cfm, inwc = np.array(HIGH).T
    q_high, p_high = to_si(cfm, "cfm"), to_si(inwc, "inwc")
    per_pa = to_si(1.0, "cfm") / to_si(1.0, "inwc") ** exponent

    def state(x):
        node = dict(zip(("RP", "P", "A", "B"), x, strict=True), room=0.0)
        flow = {
            key: segment_flow(key, node[a] - node[b], diameters[key])
            for key, (a, b) in SEGMENTS.items()
        }
        leaks = (
            supply_leak * per_pa * node["P"] ** exponent,
            return_leak * per_pa * (-node["RP"]) ** exponent,
        )
        fan = flow["ret"] + leaks[1]
        at_unit = to_si(filter_drop + 0.22, "inwc") * (fan / to_si(1000.0, "cfm")) ** 2
        rise = np.interp(fan, q_high, p_high)
        residual = [
            node["RP"] - at_unit + rise - node["P"],
            (fan - leaks[0] - flow["T1"]) * 100,
            (flow["T1"] - flow["R1"] - flow["R2"] - flow["T2"]) * 100,
            (flow["T2"] - flow["R3"] - flow["R4"] - flow["R5"]) * 100,
        ]
        return residual, flow, fan, leaks, node

    found = root(lambda x: state(x)[0], [-21.0, 43.0, 34.0, 30.0], tol=1e-10)
    assert found.success
    return state(found.x)[1:]


@pytest.mark.parametrize(
    ("supply_leak", "return_leak", "exponent", "filter_drop", "sizes"),
    [
        (250.0, 180.0, 0.60, 0.15, {}),
        (90.0, 400.0, 0.55, 0.30, {"ret": 14, "R3": 6}),
        (500.0, 60.0, 0.65, 0.08, {"T1": 12, "R5": 7}),
    ],
)
def test_leaks_on_both_sides(supply_leak, return_leak, exponent, filter_drop, sizes):
    """Flows agree within 1e-5, node pressures within 2e-5: the same equations, other roads."""
    flow, fan, leaks, node = system(supply_leak, return_leak, exponent, filter_drop, sizes)
    ours = solve(
        residential(
            filter_drop=filter_drop,
            supply_leak=supply_leak,
            return_leak=return_leak,
            leak_exponent=exponent,
            sizes=sizes,
        ),
        {},
    )
    assert ours.airflow[0] == pytest.approx(fan, rel=1e-5)
    for key, expected in flow.items():
        assert ours.part_flow[key][0] == pytest.approx(expected, rel=1e-5), key
    assert ours.leak_supply[0] == pytest.approx(leaks[0], rel=1e-5)
    assert ours.leak_return[0] == pytest.approx(leaks[1], rel=1e-5)
    assert ours.total["supply"][0] == pytest.approx(node["P"], rel=2e-5)
    assert ours.total["before-filter"][0] == pytest.approx(node["RP"], rel=2e-5)
    # What is drawn in and what is lost do not reach the rooms from the openings.
    assert ours.delivered[0] == pytest.approx(fan - leaks[0], rel=1e-5)
