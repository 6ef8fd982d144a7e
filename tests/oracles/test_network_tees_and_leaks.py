"""Tees by flow ratio, gains among them, and leaks of any exponent against fluids and SciPy.

Neither EPANET nor pandapipes knows a tee whose loss depends on how the air divides.  The oracle
asks fluids 1.3.1 for Colebrook's factor and for Crane's tees at every ratio that SciPy's root
finder tries; our solver reads the same tees off a curve of 257 points.  Two tees are invented ones
that gain far more than Crane's, so that Newton meets legs that are driven by their neighbour.
"""

import numpy as np
import pytest
from fluids.fittings import (
    K_branch_converging_Crane,
    K_branch_diverging_Crane,
    K_run_converging_Crane,
    K_run_diverging_Crane,
)
from fluids.friction import Colebrook
from scipy.interpolate import PchipInterpolator
from scipy.optimize import root

from inchwater.air import STANDARD
from inchwater.network import solve
from inchwater.network.elements import Leaf
from inchwater.parts.blower_tables import Cell
from inchwater.parts.blowers import tap_curve
from tests.network.builders import ByHand

RHO, MU = STANDARD.density, STANDARD.viscosity
TABLE = [(25.0, 0.70), (60.0, 0.66), (100.0, 0.59), (140.0, 0.50), (180.0, 0.39), (220.0, 0.24)]
STEPS = np.linspace(0.0, 1.0, 257)
COIL, COIL_EXPONENT = 180.0, 1.8
# key: diameter, length, roughness [m], sum of loss coefficients [-]
DUCTS = {
    "trunk": (0.36, 3.0, 9e-5, 0.5),
    "straight": (0.30, 4.0, 9e-5, 0.3),
    "run": (0.20, 7.0, 9e-4, 3.0),
    "far": (0.23, 9.0, 9e-4, 3.1),
    "farther": (0.20, 5.0, 9e-4, 2.9),
    "main": (0.38, 2.0, 9e-5, 0.6),
    "near-return": (0.36, 3.0, 9e-5, 1.8),
    "side-return": (0.22, 4.0, 9e-5, 1.6),
}
# Each leg of a tee: the leg it leaves or joins, and its path's other legs from the unit outward.
ABOVE = {
    "straight": "trunk",
    "run": "trunk",
    "far": "straight",
    "farther": "straight",
    "near-return": "main",
    "side-return": "main",
}
LEAVES = {
    "run": ("trunk", "run"),
    "far": ("trunk", "straight", "far"),
    "farther": ("trunk", "straight", "farther"),
    "near-return": ("main", "near-return"),
    "side-return": ("main", "side-return"),
}
SUPPLY = ("run", "far", "farther")


def crane(branch, run, diverging, angle):
    """Crane's two coefficients by the leg's own share of the common flow."""
    of_branch = K_branch_diverging_Crane if diverging else K_branch_converging_Crane
    of_run = K_run_diverging_Crane if diverging else K_run_converging_Crane
    common = DUCTS[ABOVE[branch]][0]

    def both(ratio_of_branch, law):
        return law(common, DUCTS[branch][0], 1.0 - ratio_of_branch, ratio_of_branch, angle)

    return {
        branch: lambda r: both(r, of_branch),
        run: lambda r: both(1.0 - r, of_run),
    }


def gaining(depth):
    """An invented leg that gains ``depth`` velocity pressures at most, at a fifth of the flow."""
    return lambda r: -depth + (depth + 1.5) * (r - 0.2) ** 2 * 1.5


CASES = {
    # A wye in the supply, a 45° junction in the return whose side leg gains by jet action.
    "crane, 45°": (
        crane("run", "straight", True, 45.0) | crane("side-return", "near-return", False, 45.0),
        {"side-return": 8.0},
    ),
    "crane, 90°": (
        crane("run", "straight", True, 90.0) | crane("side-return", "near-return", False, 90.0),
        {"far": 1.0, "side-return": 6.0},
    ),
    "great gains": (
        {"far": gaining(1.2), "farther": gaining(0.9), "side-return": gaining(1.4)},
        {"side-return": 4.0},
    ),
    # The side return hardly lets air through: its gain is most of what drives it.
    "driven by its neighbour": (
        {"side-return": gaining(2.0), "run": gaining(0.8)},
        {"side-return": 30.0, "run": 10.0},
    ),
}
LEAKS = [(0.5, 0.5), (0.65, 0.6), (0.8, 1.0), (1.0, 0.55)]


def drop(key, flow, extra):
    """Friction and local losses [Pa] of a duct at a flow [m3/s]."""
    d, length, rough, loss = DUCTS[key]
    speed = flow / (np.pi / 4.0 * d**2)
    factor = Colebrook(max(RHO * abs(speed) * d / MU, 4000.0), rough / d)
    return (factor * length / d + loss + extra.get(key, 0.0)) * RHO / 2.0 * speed * abs(speed)


def oracle(tees, extra, leaks):
    """Flows [m3/s] by duct and leak, pressures [Pa] of plenum and return, by SciPy."""
    by_flow = PchipInterpolator(*np.array(TABLE).T, extrapolate=True)

    def flows_of(x):
        flow = dict(zip(LEAVES, x[:5], strict=True))
        flow |= {"supply-leak": x[5], "return-leak": x[6]}
        flow["straight"] = flow["far"] + flow["farther"]
        flow["trunk"] = flow["run"] + flow["straight"]
        flow["main"] = flow["near-return"] + flow["side-return"]
        return flow

    def loss(key, flow):
        total = drop(key, flow[key], extra)
        if key in tees:
            common = ABOVE[key]
            area = np.pi / 4.0 * DUCTS[common][0] ** 2
            at = RHO / 2.0 * (flow[common] / area) ** 2
            total += tees[key](min(max(flow[key] / flow[common], 0.0), 1.0)) * at
        return total

    def left(x):
        flow = flows_of(x)
        plenum, back = 100.0 * x[7], -100.0 * x[8]
        losses = {key: loss(key, flow) for key in DUCTS}
        result = [
            (sum(losses[key] for key in path) - (plenum if name in SUPPLY else -back)) / 100.0
            for name, path in LEAVES.items()
        ]
        result.append(flow["supply-leak"] - leaks[0][0] * plenum ** leaks[0][1])
        result.append(flow["return-leak"] - leaks[1][0] * (-back) ** leaks[1][1])
        fan = flow["trunk"] + flow["supply-leak"]
        result.append(fan - flow["main"] - flow["return-leak"])
        tesp = plenum - back + COIL * fan**COIL_EXPONENT
        result.append(fan - float(by_flow(tesp)))
        return result

    found = root(left, [0.12, 0.15, 0.12, 0.3, 0.1, 0.02, 0.01, 0.4, 0.3], tol=1e-13)
    assert np.abs(left(found.x)).max() < 1e-10, found.message
    flow = flows_of(found.x)
    return flow, 100.0 * found.x[7], -100.0 * found.x[8]


def ours(tees, extra, leaks):
    """The same system solved by us."""
    by_hand = ByHand(tap_curve([Cell("t", p, q) for p, q in TABLE], "t"), design=0.5)
    at = {}
    for key, (d, length, rough, loss) in DUCTS.items():
        tee = None
        if key in tees:
            area = np.pi / 4.0 * DUCTS[ABOVE[key]][0] ** 2
            tee = ([tees[key](r) for r in STEPS], area)
        side = "return" if "return" in key or key == "main" else "supply"
        at[key] = by_hand.pipe(key, d, length, rough, loss + extra.get(key, 0.0), side, tee=tee)
    by_hand.unit = [by_hand.law("coil", COIL, 1.0, COIL_EXPONENT)]
    for name, path in LEAVES.items():
        edges = tuple(at[key] for key in path)
        if name in SUPPLY:
            by_hand.run(name, *edges)
        else:
            by_hand.returns.append(Leaf(name, "return", edges))
    by_hand.leak("supply-leak", *leaks[0], "supply")
    by_hand.leak("return-leak", *leaks[1], "return")
    return solve(by_hand.network(), {})


@pytest.mark.parametrize("exponents", LEAKS, ids=str)
@pytest.mark.parametrize("case", CASES)
def test_tees_and_leaks(case, exponents):
    """Flows within 0.02 % or 1e-5 m3/s, pressures within 0.02 %: one system by two roads."""
    tees, extra = CASES[case]
    leaks = [(0.03 / 30.0**n, n) for n in exponents]
    flow, plenum, back = oracle(tees, extra, leaks)
    solution = ours(tees, extra, leaks)
    for key, expected in flow.items():
        found = float(solution.part_flow[key][0])
        assert found == pytest.approx(expected, rel=2e-4, abs=1e-5), key
    assert float(solution.total["supply"][0]) == pytest.approx(plenum, rel=2e-4)
    assert float(solution.total["before-filter"][0]) == pytest.approx(back, rel=2e-4)


@pytest.mark.parametrize("case", ["crane, 45°", "great gains", "driven by its neighbour"])
def test_the_cases_have_gains(case):
    """A leg gains at its tee in each of these solutions, as fluids or the case has it."""
    tees, extra = CASES[case]
    flow, _, _ = oracle(tees, extra, [(0.001, 0.65), (0.001, 0.65)])
    at = {key: tee(flow[key] / flow[ABOVE[key]]) for key, tee in tees.items()}
    assert min(at.values()) < -0.05, at
