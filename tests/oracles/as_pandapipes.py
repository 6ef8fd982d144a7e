"""A system of plain data as a pandapipes net, and what pandapipes makes of it.

Air is given as a liquid of constant density and viscosity, since pandapipes' gases are
compressible; friction is Colebrook's, rooms are external grids.  pandapipes works in bar, where a
duct's pressures are 0.0001 to 0.002, so every tolerance is tightened, and it knows neither power
laws nor a blower by table: filters, coil and leaks are local losses, the blower is a fixed lift,
and all are corrected from one solution to the next until they are what law and table say.
"""

from __future__ import annotations

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from tests.oracles.systems import DENSITY, VISCOSITY, System

BAR = 1e5
SECTION = 0.4  # diameter that a power law's local loss is put on [m]
ENOUGH = 1e-5  # what law and table may still be off by [-]
OUTSIDE = 1.0  # pressure of every room [bar]
OPTIONS = {
    "friction_model": "colebrook",
    "tol_p": 1e-9,
    "tol_m": 1e-9,
    "tol_res": 1e-8,
    "max_iter_hyd": 100,
    "tolerance_colebrook": 1e-9,
    "use_numba": False,
}


def net_of(system: System):
    """The net: every link a pipe of its name, the blower a pump without lift."""
    import pandapipes

    air = pandapipes.create_constant_fluid(
        "air", "liquid", density=system.density, viscosity=VISCOSITY, heat_capacity=1006.0
    )
    net = pandapipes.create_empty_network(fluid=air, add_stdtypes=False)
    node = {
        name: pandapipes.create_junction(net, pn_bar=OUTSIDE, tfluid_k=293.15, name=name)
        for name in system.inner
    }

    def ends(link):
        named = []
        for name in (link.start, link.end):
            if name == "room":
                room = pandapipes.create_junction(net, pn_bar=OUTSIDE, tfluid_k=293.15)
                pandapipes.create_ext_grid(net, room, p_bar=OUTSIDE, t_k=293.15)
                named.append(room)
            else:
                named.append(node[name])
        return named

    for pipe in system.pipes:
        _pipe(net, pipe, ends(pipe), pipe.length, pipe.diameter, pipe.roughness, pipe.whole_loss)
    for law in system.laws:
        _pipe(net, law, ends(law), 1e-6, SECTION, 1e-6, 1.0)
    pandapipes.create_pump_from_parameters(
        net, node["C"], node["P"], "blower", poly_coefficents=[0.0]
    )
    return net


def _pipe(net, link, ends, length, diameter, roughness, loss) -> None:
    """Add a pipe in SI under a link's name."""
    import pandapipes

    # The name and unit of the diameter changed with version 0.14.
    size = {"inner_diameter_mm": 1e3 * diameter}
    if tuple(map(int, pandapipes.__version__.split(".")[:2])) < (0, 14):
        size = {"diameter_m": diameter}
    pandapipes.create_pipe_from_parameters(
        net, *ends, length_km=length / 1e3, k_mm=roughness * 1e3, loss_coefficient=loss,
        name=link.id, **size,
    )  # fmt: skip


def fit(net, system: System, through, lift: float) -> None:
    """Give the laws the losses that they have at the flows ``through`` [m3/s], the blower its lift.

    ``lift`` is in Pa.
    """
    velocity_pressure = 0.5 * system.density / (np.pi / 4.0 * SECTION**2) ** 2  # at 1 m3/s [Pa]
    for law in system.laws:
        flow = through[law.id]
        loss = law.drop(flow, system.density) / flow**2 / velocity_pressure
        net.pipe.loc[net.pipe.name == law.id, "loss_coefficient"] = loss
    net.std_types["pump"]["blower"].reg_par = [lift / BAR]


def solve(net, density: float):
    """Flows [m3/s] and drops [Pa] by link, once, at the losses and the lift that the net has."""
    import pandapipes

    pandapipes.pipeflow(net, **OPTIONS)
    flow = net.res_pipe.mdot_from_kg_per_s / density
    drop = BAR * (net.res_pipe.p_from_bar - net.res_pipe.p_to_bar)
    return (
        dict(zip(net.pipe.name, map(float, flow), strict=True)),
        dict(zip(net.pipe.name, map(float, drop), strict=True)),
    )


def solved(system: System, rounds: int = 14) -> tuple[dict[str, float], dict[str, float]]:
    """Flows [m3/s] by link (and ``fan``), total pressures [Pa] by node, as pandapipes has them."""
    net = net_of(system)
    density = system.density
    pressure, flow = np.array(system.table).T
    # A table is for standard air: at the same flow the pressure goes with density.
    pressure = pressure * density / DENSITY
    table = PchipInterpolator(pressure, flow)
    # The blower starts from the middle of its table, the parts from a share of its flow.
    lift, fan = float(pressure[len(flow) // 2]), float(flow[len(flow) // 2])
    through = {law.id: fan * (0.05 if law.leak else 0.5) for law in system.laws}
    for _ in range(rounds):
        fit(net, system, through, lift)
        flows, drops = solve(net, density)
        flows["fan"] = flows["coil"]
        off = [float(table(lift)) / flows["fan"] - 1.0]
        for law in system.laws:
            off.append(float(law.drop(flows[law.id], density)) / drops[law.id] - 1.0)
            # A leak's pressure hardly depends on its flow, a filter's flow hardly on its drop.
            at_drop = (drops[law.id] / law.in_air(density)) ** (1.0 / law.exponent)
            through[law.id] = at_drop if law.leak else flows[law.id]
        if np.abs(off).max() < ENOUGH:
            break
        lift = _on_the_table(table, pressure, lift / flows["fan"] ** 2)
    else:
        raise AssertionError(f"{system.name}: {np.abs(off).max():.1e} after {rounds} solutions")
    nodes = zip(net.junction.name, net.res_junction.p_bar, strict=True)
    return flows, {name: BAR * (float(p) - OUTSIDE) for name, p in nodes if name is not None}


def _on_the_table(table, pressure, square: float) -> float:
    """Pressure [Pa] at which the blower moves what ducts of one square law let through."""
    return brentq(lambda p: float(table(p)) - np.sqrt(p / square), pressure[0], pressure[-1])
