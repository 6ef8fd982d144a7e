"""When two programs that solved one system are said to agree."""

from __future__ import annotations

from functools import cache

import pytest

from inchwater.network import Solution, solve
from tests.oracles.as_network import network, pressures
from tests.oracles.systems import VISCOSITY, System


@cache
def ours(system: System) -> Solution:
    """Our solution at the handbook's values."""
    return solve(network(system), {})


def agree(system: System, flows: dict[str, float], nodes: dict[str, float]) -> None:
    """Assert every link's flow within 0.5 %, every node's pressure within 0.5 % or 0.2 Pa.

    Neither our friction nor the others' is compared outside of turbulence, and the blower stands
    inside its table.
    """
    solution = ours(system)
    assert set(flows) == {link.id for link in system.links} | {"fan"}
    assert set(nodes) == set(system.inner)
    assert solution.beyond[0] == 0.0
    for name, flow in flows.items():
        mine = solution.airflow if name == "fan" else solution.part_flow[name]
        assert float(mine[0]) == pytest.approx(flow, rel=5e-3), name
    for pipe in system.pipes:
        speed = flows[pipe.id] / pipe.area
        assert system.density * speed * pipe.diameter / VISCOSITY > 4000.0, pipe.id
    mine = pressures(system, solution)
    for name, pressure in nodes.items():
        assert mine[name] == pytest.approx(pressure, rel=5e-3, abs=0.2), name
