"""What a solved network tells: both flows, pressures at the test points, drops and runs.

Network pressures are total; a test point reads static, which is total less the velocity pressure
at that place.  All arrays have the axis (sample,).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inchwater.errors import OutsideTableError
from inchwater.network.elements import Array, Network, Values
from inchwater.network.equations import Equations
from inchwater.network.newton import State, newton
from inchwater.network.resistances import Coefficients, coefficients
from inchwater.parts import blowers
from inchwater.quantity import Estimate, said


@dataclass(frozen=True)
class Solution:
    """A network at rest in all its variants.

    airflow : through the blower [m3/s]; delivered : through registers into rooms [m3/s];
    static : true static at each test point, gauge, return side negative [Pa];
    reads : what a tip in that test point shows, the place's own error included [Pa];
    tesp : supply less return at the table's boundary, as read [Pa];
    entry : pressure at which the table is entered, at standard density [Pa].
    """

    network: Network
    values: Values
    state: State
    given: Coefficients

    @cached_property
    def _equations(self) -> Equations:
        return Equations(self.network, self.given)

    @cached_property
    def airflow(self) -> Array:
        """Flow through the blower (sample,). [m3/s]"""
        return np.asarray(self.state.flow[:, : len(self.network.supply)].sum(axis=1))

    @cached_property
    def delivered(self) -> Array:
        """Flow through registers into rooms (sample,). [m3/s]"""
        kept = [i for i, leaf in enumerate(self.network.supply) if leaf.kind == "run"]
        return np.asarray(self.state.flow[:, kept].sum(axis=1))

    @cached_property
    def edge_flow(self) -> Array:
        """Flow of each edge (sample, edge). [m3/s]"""
        return self.state.flow @ self._equations.matrix.T

    @cached_property
    def edge_drop(self) -> Array:
        """Drop of total pressure along each edge (sample, edge). [Pa]"""
        return self._equations.drops(self.edge_flow)[0]

    @cached_property
    def drop(self) -> Mapping[str, Array]:
        """Drop of each part by its key. [Pa]"""
        return {e.key: self.edge_drop[:, i] for i, e in enumerate(self.network.edges)}

    @cached_property
    def part_flow(self) -> Mapping[str, Array]:
        """Flow of each part by its key. [m3/s]"""
        return {e.key: self.edge_flow[:, i] for i, e in enumerate(self.network.edges)}

    @cached_property
    def flow(self) -> Mapping[str, Array]:
        """Flow of each run by its id. [m3/s]"""
        return {
            leaf.id: self.state.flow[:, i]
            for i, leaf in enumerate(self.network.supply)
            if leaf.kind != "leak"
        }

    def _leak(self, which: str) -> Array:
        for i, leaf in enumerate(self.network.leaves):
            if leaf.kind == "leak" and leaf.id == which:
                return self.state.flow[:, i]
        return np.zeros_like(self.airflow)

    @property
    def leak_supply(self) -> Array:
        """Air lost from the supply ducts (sample,). [m3/s]"""
        return self._leak("supply-leak")

    @property
    def leak_return(self) -> Array:
        """Air drawn in by the return ducts from around them (sample,). [m3/s]"""
        return self._leak("return-leak")

    @cached_property
    def total(self) -> Mapping[str, Array]:
        """Total pressure at each test point of this system (sample,). [Pa]"""
        network = self.network
        at_filter = sum((self.edge_drop[:, i] for i in network.unit_filter), np.zeros(1))
        result = {
            "before-filter": self.state.back,
            "return": self.state.back - at_filter,
            "supply": self.state.supply,
        }
        if network.coil and network.coil_outside:
            at_coil = sum((self.edge_drop[:, i] for i in network.coil), np.zeros(1))
            result["before-coil"] = self.state.supply + at_coil
        return result

    @cached_property
    def static(self) -> Mapping[str, Array]:
        """True static at each test point (sample,). [Pa]"""
        result = {}
        for point, total in self.total.items():
            port = self.network.ports[point]
            vp = 0.5 * self.network.air.density * (self.airflow / port.area) ** 2
            result[point] = total - vp * self._value(port.velocity_by, 1.0)
        return result

    @cached_property
    def reads(self) -> Mapping[str, Array]:
        """Static as a tip in each test point shows it, the place's own error included. [Pa]"""
        result = {}
        for point, static in self.static.items():
            port = self.network.ports[point]
            place = self._value(port.offset_by, 0.0) * (self.airflow / port.flow) ** 2
            result[point] = static + place
        return result

    def _value(self, name: str, default: float) -> Array | float:
        return self.values.get(name, default)

    @property
    def outlet(self) -> str:
        """The test point at the outlet side of the table's boundary."""
        holds_coil = bool({"coil-dry", "coil-wet"} & self.network.fan.includes)
        return "before-coil" if "before-coil" in self.total and not holds_coil else "supply"

    @property
    def inlet(self) -> str:
        """The test point at the inlet side of the table's boundary."""
        return "before-filter" if "filter" in self.network.fan.includes else "return"

    @cached_property
    def tesp(self) -> Array:
        """External static at the table's boundary, as read (sample,). [Pa]"""
        return self.reads[self.outlet] - self.reads[self.inlet]

    @cached_property
    def entry(self) -> Array:
        """Pressure at which the table is entered, at standard density (sample,). [Pa]"""
        zero = np.zeros_like(self.edge_drop)
        tesp, _ = self._equations.entry(
            self.airflow, self.edge_drop, zero, self.state.supply, self.state.back
        )
        return tesp / self.network.fan.entry

    @cached_property
    def beyond(self) -> Array:
        """How far outside the blower table the entry lies, 0 inside (sample,). [Pa]"""
        far = [np.abs(curve.beyond(self.entry)) for curve in self.network.fan.curves]
        return np.asarray(np.sum([self.given.share[:, k] * f for k, f in enumerate(far)], axis=0))

    @cached_property
    def power(self) -> Array | None:
        """Watts of the blower (sample,), None if the table has none. [W]"""
        fan = self.network.fan
        total = np.zeros_like(self.airflow)
        for k, curve in enumerate(fan.curves):
            watts = curve.power(self.entry)
            if watts is None:
                return None
            total = total + self.given.share[:, k] * watts
        for name, _ in fan.power_by:
            total = total * self._value(name, 1.0)
        # A table's watts are for standard air; at a given speed they go with density.
        return total * fan.entry

    def side(self, side: str) -> Array:
        """Drop of a side's ducts, room to test point or test point to room (sample,). [Pa]"""
        return self.state.supply if side == "supply" else -self.state.back

    def refuse_outside(self, weights: Array | None = None) -> None:
        """OutsideTableError if the middle of the answer lies more than 0.1 in. w.c. outside."""
        if not self.network.fan.has_table:
            return
        middle = Estimate.of(self.beyond, weights, "pressure").value
        if middle > blowers.LIMIT:
            top = max(curve.range[1] for curve in self.network.fan.curves)
            entry = Estimate.of(self.entry, weights, "pressure").value
            raise OutsideTableError(
                where="table",
                came=f"{_both_units(entry)} on the table's own boundary",
                right=f"what is known of this tap's table ends at {_both_units(top)}",
                do="Check both readings and the tap, or type the table's further columns; beyond "
                "its last one a blower is not to be run.",
            )


def _both_units(pressure: float) -> str:
    # Down here nobody knows in which units the person reads.
    text = said("{p}", p=(pressure, "pressure"))
    return f"{text.text('ip')} ({text.text('si')})"


def solve(
    network: Network,
    values: Values,
    size: int | None = None,
    given: Coefficients | None = None,
    guess: Array | None = None,
) -> Solution:
    """Solve a network for parameter values.

    Parameters
    ----------
    values : mapping of arrays (sample,)
        Values of the parameters by name; missing ones stand at their handbook value.
    size : int, optional
        Number of variants, when ``values`` is empty. [-]
    given : Coefficients, optional
        Resistances to use in place of those that follow from ``values``.
    guess : array (sample, leaf + 2), optional
        Flows and pressures to start from. [m3/s, Pa]

    Raises
    ------
    ConvergenceError
        If a variant does not come to rest; names the part.
    """
    if size is None:
        size = len(next(iter(values.values()))) if values else 1
    if given is None:
        given = coefficients(network, values, size)
    state = newton(network, given, guess)
    return Solution(network=network, values=values, state=state, given=given)
