"""A system of plain data as our own network, edge for link."""

from __future__ import annotations

import numpy as np

from inchwater.air import Air
from inchwater.network import Solution
from inchwater.network.elements import Leaf, Network, Power
from inchwater.parts.blower_tables import Cell
from inchwater.parts.blowers import tap_curve
from tests.network.builders import ByHand
from tests.oracles.systems import VISCOSITY, Law, System


def network(system: System, steps: int = 256) -> Network:
    """Our network of a system; every part's multiplier bears the part's name.

    ``<pipe>:friction``, ``<pipe>:local``, ``<pipe>:tee`` and ``<law>`` are its parameters.  A tee's
    coefficient on the pipe's own flow is, on the common leg's, a parabola of the flow ratio; it is
    handed over at ``steps`` steps, few enough to be cheap, many enough for the smallest ratio.
    """
    ratio_of_flows = np.linspace(0.0, 1.0, steps + 1)
    ratio = system.density / 1.2013847
    curve = tap_curve([Cell("t", p, q) for p, q in system.table], "t")
    middle = system.table[len(system.table) // 2][1]
    by_hand = ByHand(curve, air=Air(system.density, VISCOSITY), entry=ratio, design=middle)
    at = {}
    # What carries return air is known by reaching the return plenum.
    back = _upstream(system, "RP")
    for link in system.links:
        side = "return" if link.id in back else "unit" if link.end == "C" else "supply"
        if isinstance(link, Law):
            law = Power(link.coefficient, link.exponent, by=((link.id, 1.0),))
            at[link.id] = by_hand.edge(link.id, side, power=[law])
        else:
            at[link.id] = by_hand.pipe(
                link.id, link.diameter, link.length, link.roughness, link.loss, side=side,
                tee=(link.tee * ratio_of_flows**2, link.tee_area) if link.tee else None,
            )  # fmt: skip
    by_hand.unit = [at[link.id] for link in system.laws if link.end == "C"]
    for path in _paths(system, "P", forward=True):
        kind = "leak" if getattr(path[-1], "leak", False) else "run"
        by_hand.supply.append(Leaf(path[-1].id, kind, tuple(at[one.id] for one in path)))
    for path in _paths(system, "RP", forward=False):
        kind = "leak" if getattr(path[-1], "leak", False) else "return"
        by_hand.returns.append(Leaf(path[-1].id, kind, tuple(at[one.id] for one in path)))
    return by_hand.network()


def pressures(system: System, solution: Solution) -> dict[str, float]:
    """Total pressure at each node [Pa]: from both plenums outward, less the drops on the way."""
    found = {
        "P": float(solution.total["supply"][0]),
        "RP": float(solution.total["before-filter"][0]),
    }
    found["C"] = found["RP"] - float(solution.drop["coil"][0])
    for start, forward in (("P", True), ("RP", False)):
        for path in _paths(system, start, forward):
            at = found[start]
            for link in path[:-1]:
                drop = float(solution.drop[link.id][0])
                at += -drop if forward else drop
                found[link.end if forward else link.start] = at
    return found


def _paths(system: System, node: str, forward: bool) -> list[tuple]:
    """All ways from a node to the rooms, along the air or against it."""
    ways = []
    for link in system.links:
        near, far = (link.start, link.end) if forward else (link.end, link.start)
        if near != node or link.end == "C":
            continue
        if far == "room":
            ways.append((link,))
        else:
            ways.extend((link, *rest) for rest in _paths(system, far, forward))
    return ways


def _upstream(system: System, node: str) -> set[str]:
    return {link.id for path in _paths(system, node, forward=False) for link in path}
