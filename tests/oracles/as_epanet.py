"""A system of plain data as EPANET's input, through wntr, and what EPANET makes of it.

Heads are metres of air and head loss is Darcy–Weisbach with EPANET's explicit friction factor
(Swamee and Jain's); the engine gives single precision.  wntr's own simulator knows no
Darcy–Weisbach, only the EPANET engine does.  Power laws are general purpose valves with a curve of
straight pieces, so close that a chord lies within 0.03 % of its law; the blower is a head curve of
straight pieces laid on SciPy's own monotone cubic through the table.  EPANET's emitters share one
exponent, so one leak may be an emitter and the others are valves that lead outside.
"""

from __future__ import annotations

import warnings

import numpy as np
from scipy.interpolate import PchipInterpolator

from tests.oracles.systems import DENSITY, VISCOSITY, Law, System

GRAVITY = 9.80665
# Kinematic viscosity that EPANET takes for 1, water's. [m2/s]
WATER = 1.021921e-6


def head(pressure, density):
    """Metres of air of a pressure [Pa]."""
    return pressure / (density * GRAVITY)


def model(
    system: System,
    accuracy: float = 1e-5,
    *,
    emitters: int = 1,
    chord: float = 1.05,
    span: float = 1000.0,
    cells: int = 160,
):
    """The wntr model: rooms are reservoirs at zero head, each at the end of its own link.

    ``emitters`` is how many leaks, at most, become emitters (all with the first one's exponent);
    ``chord`` is the ratio between the flows at which a valve's curve has its points, ``span`` that
    between the last and the first, ``cells`` how many points the blower's curve has.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import wntr

        net = wntr.network.WaterNetworkModel()
        hydraulic = net.options.hydraulic
        hydraulic.headloss = "D-W"
    hydraulic.viscosity = VISCOSITY / system.density / WATER
    hydraulic.accuracy = accuracy
    hydraulic.trials = 400
    hydraulic.inpfile_units = "CMH"
    net.options.time.duration = 0
    for node in system.inner:
        net.add_junction(node, base_demand=0.0, elevation=0.0)

    def ends(link):
        named = []
        for node in (link.start, link.end):
            if node == "room":
                node = f"room-{link.id}"
                net.add_reservoir(node, base_head=0.0)
            named.append(node)
        return named

    for pipe in system.pipes:
        # Roughness is given in metres; the file that wntr writes for EPANET has millimetres.
        net.add_pipe(
            pipe.id, *ends(pipe), pipe.length, pipe.diameter, pipe.roughness, pipe.whole_loss
        )
    as_emitter = emitted(system, emitters)
    for law in system.laws:
        if law.id in as_emitter:
            node = net.get_node(law.end if law.start == "room" else law.start)
            node.emitter_coefficient = emitter(law, system.density)
            hydraulic.emitter_exponent = 1.0 / law.exponent
        else:
            flow = flows(system, law, chord, span)
            net.add_curve(law.id, "HEADLOSS", points(system, law, flow))
            net.add_valve(law.id, *ends(law), 0.3, "GPV", 0.0, law.id)
    net.add_curve("blower", "HEAD", blower(system, cells))
    net.add_pump("fan", "C", "P", pump_type="HEAD", pump_parameter="blower")
    return net


def emitted(system: System, most: int) -> dict[str, Law]:
    """The leaks that become emitters: the first, and those that share its exponent."""
    leaks = [law for law in system.laws if law.leak]
    return {one.id: one for one in leaks[:most] if one.exponent == leaks[0].exponent}


def emitter(law: Law, density: float) -> float:
    """An emitter's coefficient [m3/s at 1 m of air] for a leak."""
    gamma = 1.0 / law.exponent
    return (density * GRAVITY / law.in_air(density)) ** gamma


def flows(system: System, law: Law, chord: float = 1.05, span: float = 1000.0):
    """Flows [m3/s] of the points of a valve's curve, from next to nothing to far too much."""
    if law.leak:
        most = (400.0 / law.coefficient) ** (1.0 / law.exponent)
    else:
        most = 2.0 * system.table[0][1]
    count = int(np.ceil(np.log(span) / np.log(chord)))
    return np.concatenate([[0.0], most * chord ** np.arange(-count, 1.0)])


def points(system: System, law: Law, flow) -> list[tuple[float, float]]:
    """Points (flow [m3/s], head [m of air]) of a valve's curve."""
    loss = head(law.drop(flow, system.density), system.density)
    return [(float(q), float(h)) for q, h in zip(flow, loss, strict=True)]


def blower(system: System, count: int):
    """Points (flow [m3/s], head [m of air]) of the blower by rising flow."""
    pressure, flow = np.array(system.table).T
    at = np.linspace(pressure[0], pressure[-1], count)
    # A table is for standard air: at the same flow the pressure goes with density.
    rise = head(at * system.density / DENSITY, system.density)
    points = zip(PchipInterpolator(pressure, flow)(at), rise, strict=True)
    return sorted((float(q), float(h)) for q, h in points)


def solved(system: System, folder) -> tuple[dict[str, float], dict[str, float]]:
    """Flows [m3/s] by link (and ``fan``), total pressures [Pa] by node, as EPANET has them."""
    net = model(system)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import wntr

        results = wntr.sim.EpanetSimulator(net).run_sim(file_prefix=str(folder / "net"))
    flow = results.link["flowrate"].iloc[0]
    heads = results.node["head"].iloc[0]
    demand = results.node["demand"].iloc[0]
    found = {link.id: float(flow[link.id]) for link in system.links if link.id in flow}
    for law in emitted(system, 1).values():
        # What leaves at a junction without a demand of its own is its emitter's.
        found[law.id] = float(demand[law.start])
    found["fan"] = float(flow["fan"])
    pascal = system.density * GRAVITY
    return found, {node: float(heads[node]) * pascal for node in system.inner}
