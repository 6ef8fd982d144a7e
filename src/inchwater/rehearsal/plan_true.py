"""The numbers of a virtual house in a condition: what the solver gets, and what a condition means.

Flows are volumes of the air as it enters the unit, so that they are conserved although the supply
air is denser or thinner.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from inchwater.errors import UnknownNameError
from inchwater.rehearsal.world import Leak, World

OUTSIDE = -1
_LEAK_PRESSURE = 25.0


@dataclass(slots=True)
class Edge:
    """What loses pressure between two nodes.

    loss = square q|q| + linear q + power |q|^exponent + friction f(Re) q|q|, [Pa] of q [m3/s]; and
    ``common`` (flow of edge ``above``)^2 where air divides, ``straight`` for what goes straight on.
    """

    start: int
    end: int
    square: float = 0.0
    linear: float = 0.0
    power: float = 0.0
    exponent: float = 1.0
    friction: float = 0.0
    reynolds: float = 0.0
    rough: float = 0.0
    above: int = -1
    common: float = 0.0
    straight: float = 0.0
    speed: float = 0.0
    speed_above: float = 0.0


@dataclass(slots=True)
class Hole:
    """An opening: flow = coefficient |p|^exponent between a node and another or the outside."""

    start: int
    end: int
    coefficient: float
    exponent: float


@dataclass
class Plan:
    """Nodes by name, edges, openings, and where the blower stands."""

    nodes: dict[str, int] = field(default_factory=dict)
    edges: list[Edge] = field(default_factory=list)
    holes: list[Hole] = field(default_factory=list)
    named: dict[str, int] = field(default_factory=dict)
    entry_loss: dict[str, tuple[float, float, int]] = field(default_factory=dict)
    sections: dict[str, float] = field(default_factory=dict)

    def node(self, name: str) -> int:
        """The node of this name, new if need be."""
        return self.nodes.setdefault(name, len(self.nodes))

    def add(self, edge: Edge, name: str = "") -> int:
        """Put an edge in; its index."""
        self.edges.append(edge)
        if name:
            self.named[name] = len(self.edges) - 1
        return len(self.edges) - 1

    def open(self, leak: Leak, start: int, end: int = OUTSIDE) -> None:
        """Put an opening in, if it is one."""
        if leak.flow > 0.0:
            coefficient = leak.flow / math.pow(_LEAK_PRESSURE, leak.exponent)
            self.holes.append(Hole(start, end, coefficient, leak.exponent))


@dataclass(frozen=True)
class Setting:
    """A condition in the terms of the physics."""

    tap: str
    wet: bool
    call: str
    density: float
    supply_density: float
    out: frozenset[str]
    pulled: Mapping[str, str]
    closed: frozenset[str]
    shut: frozenset[str]
    ways_shut: frozenset[str]


def setting(world: World, condition: Mapping[str, str]) -> Setting:
    """What a condition means in this house."""
    machine = world.machine
    call = condition.get("call", "cooling")
    tap = condition.get("tap") or machine.calls.get(call) or machine.tap
    if tap not in machine.wheel.settings:
        raise UnknownNameError(
            where="condition.tap",
            came=repr(tap),
            right=f"this unit has {', '.join(machine.wheel.settings)}",
        )
    wet = condition.get("coil", "wet" if call.startswith("cooling") else "dry") == "wet"
    return Setting(
        tap=tap,
        wet=wet,
        call=call,
        density=world.density,
        supply_density=world.supply_air(call),
        out=_ids(condition, "filter", "out"),
        pulled={
            key.partition(":")[2]: state
            for key, state in condition.items()
            if key.startswith("run:")
        },
        closed=_ids(condition, "register", "closed"),
        shut=_ids(condition, "door", "shut"),
        ways_shut=_ids(condition, "bypass", "shut"),
    )


def _ids(condition: Mapping[str, str], kind: str, state: str) -> frozenset[str]:
    return frozenset(
        key.partition(":")[2]
        for key, value in condition.items()
        if key.startswith(f"{kind}:") and value == state
    )
