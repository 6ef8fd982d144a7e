"""The houses' solver: air and pressure add up, and EPANET finds the same state."""

import warnings

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inchwater import units
from inchwater.errors import ConvergenceError
from inchwater.rehearsal.blower_true import installed, printed
from inchwater.rehearsal.generate import make
from inchwater.rehearsal.pipes_true import plan
from inchwater.rehearsal.plan_true import OUTSIDE, Edge, Plan, setting
from inchwater.rehearsal.solve_true import Arrays, friction_factor, settle
from inchwater.rehearsal.state import entered, state
from inchwater.rehearsal.truth import friction_altshul_tsal
from inchwater.rehearsal.world import Leak

COOLING = {"call": "cooling", "coil": "wet"}
DENSITY = 1.2
GRAVITY = 9.80665
FREE, FALL = 0.9, 0.0012  # a straight blower: flow without pressure [m3/s], and its fall [m3/s/Pa]


def straight(rise, _flow):
    return FREE - FALL * rise, -FALL


def loss_of(edge, flow, flows):
    """The loss of one edge, written anew with plain numbers and the demo's own friction. [Pa]"""
    total = edge.square * flow * abs(flow) + edge.linear * flow
    if edge.power:
        total += np.sign(flow) * edge.power * abs(flow) ** edge.exponent
    if edge.friction:
        factor = friction_altshul_tsal(edge.reynolds * abs(flow), edge.rough)
        total += edge.friction * factor * flow * abs(flow)
    if edge.above >= 0:
        common = flows[edge.above]
        total += edge.common * common * max(common, 0.0)
        slower = common * edge.speed_above - flow * edge.speed
        total += edge.straight * slower * max(slower, 0.0)
    return total


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 10**6), st.sampled_from(["cooling", "fan", "heating"]))
def test_air_and_pressure_add_up(seed, call):
    """At every node as much air comes as goes, and every part loses what its ends differ by."""
    world = make(seed, 0).world
    found = plan(world, setting(world, {"call": call}))
    rest = settle(found, straight, 0.4)
    balance = dict.fromkeys(range(len(found.nodes)), 0.0)

    def move(start, end, flow):
        for node, sign in ((start, -1.0), (end, 1.0)):
            if node != OUTSIDE:
                balance[node] += sign * flow

    def pressure(node):
        return 0.0 if node == OUTSIDE else rest.pressure[node]

    for edge, flow in zip(found.edges, rest.flow, strict=True):
        move(edge.start, edge.end, flow)
        across = pressure(edge.start) - pressure(edge.end)
        assert across == pytest.approx(loss_of(edge, flow, rest.flow), abs=3e-6)
    for hole in found.holes:
        across = pressure(hole.start) - pressure(hole.end)
        leak = np.sign(across) * hole.coefficient * abs(across) ** hole.exponent
        move(hole.start, hole.end, leak)
    move(found.nodes["inlet"], found.nodes["outlet"], rest.blower)
    # A leak is straightened below a thousandth of a pascal.
    assert max(map(abs, balance.values())) < 2e-6
    assert rest.blower == pytest.approx(
        FREE - FALL * (pressure(found.nodes["outlet"]) - pressure(found.nodes["inlet"])), abs=1e-8
    )


@pytest.mark.parametrize("seed", [1, 2, 4, 8])
def test_strong_take_offs_come_to_rest(seed):
    """Where a trunk's velocity decides what leaves it, Newton's method finishes; losses hold."""
    world = make(seed, 0).world
    found = plan(world, setting(world, COOLING))
    for edge in found.edges:
        edge.common *= 12.0
    assert any(edge.common for edge in found.edges)
    rest = settle(found, straight, 0.4)
    for edge, flow in zip(found.edges, rest.flow, strict=True):
        ends = [0.0 if n == OUTSIDE else rest.pressure[n] for n in (edge.start, edge.end)]
        assert ends[0] - ends[1] == pytest.approx(loss_of(edge, flow, rest.flow), abs=3e-6)


@pytest.mark.parametrize("seed", range(6))
def test_the_blower_runs_on_its_curve(seed):
    """Airflow, watts and speed are those of the installed curve where it is entered."""
    world = make(seed, 0).world
    now, at = entered(world, COOLING)
    curve = installed(world.machine, world.machine.tap)
    dense = world.density
    if world.machine.kind != "furnace":
        dense = world.supply_density["cooling"]
    assert now.airflow == pytest.approx(curve.at(at)[0] * dense / world.density, rel=1e-6)
    assert now.speed == pytest.approx(curve.at(at, curve.speed)[0], rel=1e-9)


@pytest.mark.parametrize("seed", range(10))
def test_nothing_leaks_from_tight_ducts(seed):
    """Without openings all air of the blower comes out of the registers and in by the grilles."""
    import dataclasses

    world = make(seed, 0).world
    backs = tuple(dataclasses.replace(one, leak=Leak()) for one in world.backs)

    def tight(limbs):
        return tuple(dataclasses.replace(one, leak=Leak(), limbs=tight(one.limbs)) for one in limbs)

    sealed = dataclasses.replace(world, leaks={}, backs=backs, limbs=tight(world.limbs), ways=())
    now = state(sealed, COOLING)
    assert now.delivered == pytest.approx(now.airflow, rel=1e-6)
    assert sum(now.grilles.values()) == pytest.approx(now.airflow, rel=1e-6)
    assert state(world, COOLING).delivered < now.airflow


def test_the_friction_factor_is_the_demo_s():
    """Array and scalar Altshul–Tsal agree from laminar to rough, and the slope is the slope."""
    reynolds = np.array([0.5, 500.0, 1999.0, 2500.0, 3999.0, 4001.0, 2e4, 1e5, 1e6])
    rough = np.array([1e-4, 1e-3, 5e-3, 5e-3, 1e-3, 1e-3, 6e-3, 2e-4, 1e-3])
    factor, slope = friction_factor(reynolds, rough)
    plain = [friction_altshul_tsal(re, e) for re, e in zip(reynolds, rough, strict=True)]
    assert factor == pytest.approx(plain, rel=1e-12)
    step = reynolds * 1e-6
    ahead, _ = friction_factor(reynolds + step, rough)
    back, _ = friction_factor(reynolds - step, rough)
    assert slope == pytest.approx((ahead - back) / (2.0 * step), rel=2e-3, abs=1e-12)


# EPANET 2.2 (US EPA), gradient method of its own in single precision, through wntr: laws as curves
# of straight pieces (chord within 0.03 %), so flows within 0.3 %.
@pytest.mark.parametrize("seed", [3, 11, 28])
def test_epanet_finds_the_same_flows(seed, tmp_path):
    """Every flow of a house with leaks equals EPANET's of the same laws."""
    wntr = pytest.importorskip("wntr")
    world = make(seed, 0).world
    found = plan(world, setting(world, COOLING))
    for edge in found.edges:
        # EPANET knows no part whose loss goes by the flow of another.
        edge.above, edge.common, edge.straight = -1, 0.0, 0.0
    rest = settle(found, straight, 0.4)
    theirs = epanet(wntr, found, tmp_path)
    ours = np.concatenate([rest.flow, rest.leaks, [rest.blower]])
    assert theirs == pytest.approx(ours, rel=3e-3, abs=2e-4)


def epanet(wntr, found, folder):
    """Flows of edges, openings and blower by EPANET. [m3/s]"""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        net = wntr.network.WaterNetworkModel()
    options = net.options.hydraulic
    options.accuracy, options.trials = 1e-6, 400
    options.inpfile_units = "CMH"
    net.options.time.duration = 0
    for node in range(len(found.nodes)):
        net.add_junction(f"n{node}", base_demand=0.0, elevation=0.0)

    def name(node, link):
        if node != OUTSIDE:
            return f"n{node}"
        net.add_reservoir(f"out-{link}", base_head=0.0)
        return f"out-{link}"

    flow = 1.2 * 1.06 ** np.arange(-150, 1.0)
    head = 1.0 / (DENSITY * GRAVITY)

    def valve(link, start, end, loss, flow=flow):
        points = [(0.0, 0.0), *zip(map(float, flow), map(float, loss * head), strict=True)]
        net.add_curve(link, "HEADLOSS", points)
        net.add_valve(link, name(start, link), name(end, link), 0.3, "GPV", 0.0, link)

    arrays = Arrays(found)
    losses = np.array([arrays.loss(np.full(len(found.edges), q))[0] for q in flow])
    for number, edge in enumerate(found.edges):
        valve(f"e{number}", edge.start, edge.end, losses[:, number])
    across = 400.0 * 1.1 ** np.arange(-90, 1.0)
    inward = [on_return_side(found, hole.start) for hole in found.holes]
    for number, hole in enumerate(found.holes):
        ends = (OUTSIDE, hole.start) if inward[number] else (hole.start, OUTSIDE)
        leak = hole.coefficient * across**hole.exponent
        valve(f"h{number}", *ends, across, leak)
    points = [(q, (FREE - q) / FALL * head) for q in np.linspace(0.02, FREE * 0.999, 60)]
    net.add_curve("fan", "HEAD", points)
    net.add_pump("fan", f"n{found.nodes['inlet']}", f"n{found.nodes['outlet']}", "HEAD", "fan")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        results = wntr.sim.EpanetSimulator(net).run_sim(file_prefix=str(folder / "house"))
    row = results.link["flowrate"].iloc[0]
    edges = [row[f"e{k}"] for k in range(len(found.edges))]
    holes = [-row[f"h{k}"] if inward[k] else row[f"h{k}"] for k in range(len(found.holes))]
    return np.array([*edges, *holes, row["fan"]])


def on_return_side(found, node):
    """Whether a node lies before the blower, where leaks draw air in."""
    names = {number: name for name, number in found.nodes.items()}
    return names[node].startswith(("back", "inlet", "slot:", "behind:", "common:", "face:"))


def test_what_cannot_come_to_rest_says_so():
    """A blower that agrees with nothing is an error, not a state."""
    found = Plan()
    found.node("inlet"), found.node("outlet")
    found.add(Edge(OUTSIDE, 0, square=100.0))
    found.add(Edge(1, OUTSIDE, square=100.0))
    calls = iter(range(10**6))
    with pytest.raises(ConvergenceError) as caught:
        settle(found, lambda rise, flow: (0.3 + 0.2 * (next(calls) % 2), -1e-6), 0.4)
    assert str(caught.value).startswith("virtual house: ")
    assert "left after 120 rounds came; at most 1e-06 Pa and 1e-09 m³/s." in str(caught.value)


# Published slopes at 0.5 in. w.c. per 0.1 in. w.c., cfm rows of five manuals and articles: PSC 3.6
# to 9.3 %, top taps of torque motors 2 to 7 %, motors that hold airflow within 1 %.
@pytest.mark.parametrize(
    ("motor", "low", "high"),
    [("psc", 3.6, 9.3), ("constant-torque", 2.0, 7.0), ("constant-airflow", -0.2, 1.0)],
)
def test_printed_curves_fall_as_published_ones(motor, low, high):
    """The slope of the fastest taps at 0.5 in. w.c. lies in the range of published tables."""
    slopes = []
    for seed in range(60):
        wheel = make(seed, 0).world.machine.wheel
        if wheel.motor != motor:
            continue
        # The largest setting of a motor that holds airflow may run out of power before.
        taps = list(wheel.settings)
        tap = taps[1] if motor == "constant-airflow" else taps[0]
        flow, fall = printed(wheel, tap).at(units.to_si(0.5, "inwc"))
        slopes.append(-100.0 * fall * units.to_si(0.1, "inwc") / flow)
    assert len(slopes) >= 12
    assert low <= np.median(slopes) <= high
    assert np.mean([low * 0.7 <= one <= high * 1.2 for one in slopes]) > 0.85
