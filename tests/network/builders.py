"""Networks put together by hand, so that a published system can be entered exactly as printed.

Ports have an enormous section, so that static is total pressure, and every leak is its own edge.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from types import SimpleNamespace

import numpy as np

from inchwater.air import STANDARD, Air
from inchwater.network.elements import Edge, Fan, Friction, Leaf, Local, Network, Port, Power, Tee
from inchwater.units import to_si

FAR = 1e6  # a section so large that its velocity pressure is nothing [m2]


class LinearCurve:
    """A blower curve of straight pieces between its points, its end pieces going on outside.

    The product's own curve is a monotone cubic; a published system that was solved with straight
    pieces has to be checked with straight pieces (the choice moves a textbook example by 0.9 %).
    """

    def __init__(self, tesp, airflow):
        order = np.argsort(tesp)
        self.tesp = np.asarray(tesp, dtype=float)[order]
        self.flow = np.asarray(airflow, dtype=float)[order]
        self.slopes = np.diff(self.flow) / np.diff(self.tesp)
        self.rows = tuple(zip(self.tesp, self.flow, strict=True))
        # As the solver reads it: what parts.monotone.Monotone has, without square and cube.
        ends = np.concatenate((self.slopes[:1], self.slopes, self.slopes[-1:]))
        at = np.concatenate((self.flow[:1], self.flow))
        self.curve = SimpleNamespace(
            x=self.tesp,
            left=np.concatenate((self.tesp[:1], self.tesp)),
            power=np.array([at, ends, 0.0 * ends, 0.0 * ends]),
        )

    @classmethod
    def of(cls, cells):
        """The curve of (cfm, in. w.c.) cells."""
        cfm, inwc = np.array(cells, dtype=float).T
        return cls(to_si(inwc, "inwc"), to_si(cfm, "cfm"))

    @property
    def range(self):
        return float(self.tesp[0]), float(self.tesp[-1])

    def airflow_and_slope(self, tesp):
        piece = np.clip(np.searchsorted(self.tesp, tesp) - 1, 0, len(self.slopes) - 1)
        slope = self.slopes[piece]
        return self.flow[piece] + slope * (tesp - self.tesp[piece]), slope

    def beyond(self, tesp):
        return np.maximum(0.0, np.maximum(self.tesp[0] - tesp, tesp - self.tesp[-1]))

    def power(self, tesp):
        return None


@dataclass
class ByHand:
    """A network under construction; every method gives back the index of the edge it adds."""

    curve: object
    air: Air = STANDARD
    entry: float = 1.0
    design: float = to_si(1000.0, "cfm")
    edges: list = field(default_factory=list)
    supply: list = field(default_factory=list)
    returns: list = field(default_factory=list)
    unit: list = field(default_factory=list)
    bypass: list = field(default_factory=list)
    rooms: dict = field(default_factory=dict)

    def edge(self, key, side="supply", friction=(), local=(), power=(), tee=None):
        self.edges.append(
            Edge(key, key, side, tuple(friction), tuple(local), tuple(power), tee=tee)
        )
        return len(self.edges) - 1

    def pipe(self, key, diameter, length, roughness, loss, side="supply", flex=False, tee=None):
        """A round duct [m] with a sum of local losses on its own velocity pressure.

        ``tee`` is its loss where it leaves the edge above: the coefficients at equal steps of the
        flow ratio and the area [m2] of that edge.
        """
        friction = Friction(
            diameter,
            length,
            roughness,
            by=((f"{key}:friction", 1.0),),
            compression=f"{key}:compression" if flex else None,
        )
        local = Local(loss, np.pi / 4.0 * diameter**2, by=((f"{key}:local", 1.0),))
        if tee is not None:
            curve, area = tee
            tee = Tee(tuple(map(float, curve)), area, by=((f"{key}:tee", 1.0),))
        return self.edge(key, side, [friction], [local], tee=tee)

    def law(self, key, drop, flow, exponent, side="unit"):
        """A part known by one point: ``drop`` [Pa] at ``flow`` [m3/s]."""
        power = Power(drop / flow**exponent, exponent, by=((key, 1.0),))
        return self.edge(key, side, power=[power])

    def leak(self, key, coefficient, exponent, side):
        """A leak of ``coefficient`` [m3/s at 1 Pa] and ``exponent`` of its flow on pressure."""
        power = Power(coefficient ** (-1.0 / exponent), 1.0 / exponent)
        index = self.edge(key, side, power=[power])
        leaf = Leaf(f"{side}-leak", "leak", (index,))
        (self.supply if side == "supply" else self.returns).append(leaf)

    def run(self, name, *path, behind=None):
        """A run over edges from the unit outward; ``behind`` is a room with a shut door."""
        self.supply.append(Leaf(name, "run", path, behind=behind))

    def opening(self, name, *path, behind=None):
        """A return opening, its edges from the unit outward too."""
        self.returns.append(Leaf(name, "return", path, behind=behind))

    def network(self):
        port = Port(FAR, self.design, "port:velocity", "port:offset")
        fan = Fan(
            curves=(self.curve,),
            taps=("hand",),
            level=(("unit:level", 1.0),),
            tap_by=None,
            references=(),
            entry=self.entry,
            includes=frozenset(),
            has_table=True,
        )
        return Network(
            edges=tuple(self.edges),
            supply=tuple(self.supply),
            returns=tuple(self.returns),
            unit_filter=tuple(i for i in self.unit if self.edges[i].key.startswith("filter")),
            coil=tuple(i for i in self.unit if not self.edges[i].key.startswith("filter")),
            coil_outside=False,
            fan=fan,
            ports={"before-filter": port, "return": port, "supply": port},
            parameters=(),
            air=self.air,
            design_flow=self.design,
            bypass=tuple(self.bypass),
            rooms=self.rooms,
        )
