"""Whole systems against EPANET 2.2, a pipe network engine of other people (through wntr).

Heads are metres of air, head loss is Darcy–Weisbach with EPANET's explicit friction factor, so
half a percent is what two right programs may differ by; the engine computes in single precision.
wntr's own simulator knows no Darcy–Weisbach, only the EPANET engine does.
"""

import warnings

import numpy as np
import pytest

from inchwater.air import STANDARD
from inchwater.network import solve
from inchwater.units import to_si
from tests.network.builders import ByHand, LinearCurve
from tests.network.residential import DUCTS, HIGH, MEDIUM, residential

GRAVITY = 9.80665
# Kinematic viscosity of air over the one that EPANET takes for water.
VISCOSITY = STANDARD.viscosity / STANDARD.density / 1.021921e-6
HEAD = 1.0 / (STANDARD.density * GRAVITY)  # metres of air per pascal


def epanet(tmp_path, pipes, curve, unit_loss):
    """Flows [m3/s] of the pipes and total pressures [Pa] of the nodes, as EPANET has them.

    ``pipes`` maps a name to (from, to, diameter, length, roughness, loss coefficient) in SI; "P" is
    the supply plenum, "RP" the return plenum, "room" a room.  ``unit_loss`` [Pa s2/m6] is filter
    and coil together, put as a pipe of local losses in front of the blower.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import wntr

        net = wntr.network.WaterNetworkModel()
        net.options.hydraulic.headloss = "D-W"
        net.options.hydraulic.viscosity = VISCOSITY
        net.options.hydraulic.accuracy = 1e-6
        net.options.hydraulic.trials = 400
        net.options.hydraulic.inpfile_units = "CMH"
        net.options.time.duration = 0
        # Roughness is given in metres; the file that wntr writes for EPANET has millimetres.
        inner = {n for pipe in pipes.values() for n in pipe[:2] if n != "room"} | {"C"}
        for node in sorted(inner):
            net.add_junction(node, base_demand=0.0, elevation=0.0)
        for name, (start, end, d, length, roughness, loss) in pipes.items():
            ends = []
            for node in (start, end):
                if node == "room":
                    node = f"room-{name}"
                    net.add_reservoir(node, base_head=0.0)
                ends.append(node)
            net.add_pipe(name, *ends, length, d, roughness, loss)
        # Filter and coil: local losses on an arbitrary section, with next to no friction.
        d = 0.4064
        k = unit_loss * (np.pi / 4 * d**2) ** 2 * 2.0 / STANDARD.density
        net.add_pipe("unit", "RP", "C", 1e-3, d, 1e-7, k)
        points = [(q, p * HEAD) for q, p in sorted((q, p) for p, q in curve.rows)]
        net.add_curve("blower", "HEAD", points)
        net.add_pump("fan", "C", "P", pump_type="HEAD", pump_parameter="blower")
        simulation = wntr.sim.EpanetSimulator(net)
        results = simulation.run_sim(file_prefix=str(tmp_path / "net"))
    flow = results.link["flowrate"].iloc[0]
    head = results.node["head"].iloc[0]
    return (
        {name: float(flow[name]) for name in (*pipes, "fan")},
        {node: float(head[node]) / HEAD for node in sorted(inner)},
    )


SEGMENTS = {
    "ret": ("room", "RP"),
    "T1": ("P", "A"),
    "T2": ("A", "B"),
    "R1": ("A", "room"),
    "R2": ("A", "room"),
    "R3": ("B", "room"),
    "R4": ("B", "room"),
    "R5": ("B", "room"),
}


def agree(solution, flows, nodes, paths):
    """Flows within 0.5 %, node pressures within 0.5 % or 0.2 Pa.

    ``paths`` maps a node of the supply to the parts between it and the plenum.
    """
    for name, flow in flows.items():
        ours = solution.airflow if name == "fan" else solution.part_flow[name]
        assert float(ours[0]) == pytest.approx(flow, rel=5e-3), name
    total = {"RP": solution.total["before-filter"][0], "P": solution.total["supply"][0]}
    for node, parts in paths.items():
        total[node] = total["P"] - sum(solution.drop[part][0] for part in parts)
    for node, value in total.items():
        assert value == pytest.approx(nodes[node], rel=5e-3, abs=0.2), node


@pytest.mark.parametrize("tap", [HIGH, MEDIUM], ids=["high", "medium"])
def test_the_residential_system(tmp_path, tap):
    """Five runs on a trunk in two pieces: the same flows and pressures as EPANET's."""
    pipes = {
        key: (*SEGMENTS[key], to_si(d, "in"), to_si(length, "ft"), to_si(rough, "ft"), loss)
        for key, (d, length, rough, loss) in DUCTS.items()
    }
    at_unit = to_si(0.12 + 0.22, "inwc") / to_si(1000.0, "cfm") ** 2
    flows, nodes = epanet(tmp_path, pipes, LinearCurve.of(tap), at_unit)
    agree(solve(residential(tap), {}), flows, nodes, {"A": ("T1",), "B": ("T1", "T2")})


def generated(seed, trunk):
    """A tree of 5 to 20 runs, radial or partly on a trunk, with a blower of a fitting size."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(5, 21))
    scale = count / 6.0
    pipes = {
        "ret": ("room", "RP", 0.40 * np.sqrt(scale), rng.uniform(3, 9), 9.144e-5, 2.5),
    }
    if trunk:
        d = 0.36 * np.sqrt(scale)
        pipes["trunk"] = ("P", "A", d, rng.uniform(2, 8), 9.144e-5, rng.uniform(0.3, 0.8))
    for i in range(count):
        start = "A" if trunk and rng.random() < 0.7 else "P"
        d = to_si(int(rng.integers(5, 9)), "in")
        length, loss = rng.uniform(3, 15), rng.uniform(1.5, 6.0)
        pipes[f"run{i}"] = (start, "room", d, length, 9.144e-4, loss)
    curve = LinearCurve.of([(q * scale, p) for q, p in [(150, 1.1), *HIGH]])
    return pipes, curve, to_si(0.3, "inwc") / to_si(1000.0 * scale, "cfm") ** 2


@pytest.mark.parametrize("trunk", [False, True], ids=["radial", "trunk"])
@pytest.mark.parametrize("seed", range(4))
def test_generated_trees(tmp_path, seed, trunk):
    """Trees of 5 to 20 runs, all from the plenum or most from one trunk: as EPANET has them."""
    pipes, curve, at_unit = generated(seed, trunk)
    flows, nodes = epanet(tmp_path, pipes, curve, at_unit)
    by_hand = ByHand(curve)
    at = {
        name: by_hand.pipe(name, *pipe[2:], side="return" if name == "ret" else "supply")
        for name, pipe in pipes.items()
    }
    by_hand.unit = [by_hand.law("coil", at_unit, 1.0, 2.0)]
    by_hand.opening("ret", at["ret"])
    for name, pipe in pipes.items():
        if name.startswith("run"):
            by_hand.run(name, *((at["trunk"],) if pipe[0] == "A" else ()), at[name])
    solution = solve(by_hand.network(), {})
    agree(solution, flows, nodes, {"A": ("trunk",)} if trunk else {})
