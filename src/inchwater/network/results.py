"""What a solved network tells: both flows, pressures at the test points, drops and runs.

Network pressures are total; a test point reads static, which is total less the velocity pressure
at that place.  All arrays have the axis (sample,).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from inchwater.errors import OutsideTableError, UnknownNameError
from inchwater.network.arrays import Coefficients, Found
from inchwater.network.elements import Array, Leaf, Network, Values
from inchwater.network.holes import pressures
from inchwater.network.newton import newton, of_given, of_values, unit_flow
from inchwater.network.resistances import coefficients, fan_level, tap_shares
from inchwater.network.sensitivity import Nudge, nudges
from inchwater.parts import blowers
from inchwater.quantity import Estimate, said

# The parameter by which a blower turns faster or slower than its table.
SPEED = "unit:speed"


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
    found: Found
    set_to: Coefficients | None = None
    nudges: Mapping[str, Nudge] = field(default_factory=dict)

    @property
    def size(self) -> int:
        """Number of variants. [-]"""
        return len(self.found.entry)

    @cached_property
    def given(self) -> Coefficients:
        """Resistances of all variants, made again from the values unless they were set."""
        if self.set_to is not None:
            return self.set_to
        return coefficients(self.network, self.values, self.size)

    @property
    def supply(self) -> Array:
        """Total pressure in the supply plenum (sample,). [Pa]"""
        return np.asarray(self.found.ends[:, 0])

    @property
    def back(self) -> Array:
        """Total pressure at the return end of the ducts, negative (sample,). [Pa]"""
        return np.asarray(-self.found.ends[:, 1])

    @cached_property
    def room(self) -> Mapping[str, Array]:
        """Pressure of each room whose door is shut, against the house (sample,). [Pa]"""
        return {name: self.found.ends[:, 2 + i] for i, name in enumerate(self.network.rooms)}

    @cached_property
    def airflow(self) -> Array:
        """Flow through the blower (sample,). [m3/s]"""
        return unit_flow(self.network, self.found)

    @cached_property
    def delivered(self) -> Array:
        """Flow through registers into rooms (sample,). [m3/s]"""
        ends = [leaf.path[-1] for leaf in self.network.supply if leaf.kind == "run"]
        return np.asarray(self.found.flow[:, ends].sum(axis=1))

    @property
    def edge_flow(self) -> Array:
        """Flow of each edge (sample, edge). [m3/s]"""
        return np.asarray(self.found.flow)

    @property
    def edge_drop(self) -> Array:
        """Drop of total pressure along each edge (sample, edge). [Pa]"""
        return np.asarray(self.found.drop)

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
            leaf.id: self.edge_flow[:, leaf.path[-1]]
            for leaf in self.network.supply
            if leaf.kind != "leak"
        }

    @cached_property
    def drawn(self) -> Mapping[str, Array]:
        """Flow into each return opening by its id. [m3/s]"""
        return {
            leaf.id: self.edge_flow[:, leaf.path[-1]]
            for leaf in self.network.returns
            if leaf.kind == "return"
        }

    def _leak(self, leaves: tuple[Leaf, ...]) -> Array:
        lost = [leaf.path[-1] for leaf in leaves if leaf.kind == "leak"]
        return np.asarray(self.edge_flow[:, lost].sum(axis=1))

    @property
    def leak_supply(self) -> Array:
        """Air lost from the supply ducts (sample,). [m3/s]"""
        return self._leak(self.network.supply)

    @property
    def leak_return(self) -> Array:
        """Air drawn in by the return ducts from around them (sample,). [m3/s]"""
        return self._leak(self.network.returns)

    @cached_property
    def total(self) -> Mapping[str, Array]:
        """Total pressure at each test point of this system (sample,). [Pa]"""
        network = self.network
        at_filter = sum((self.edge_drop[:, i] for i in network.unit_filter), np.zeros(1))
        result = {
            "before-filter": self.back,
            "return": self.back - at_filter,
            "supply": self.supply,
        }
        if network.coil and network.coil_outside:
            at_coil = sum((self.edge_drop[:, i] for i in network.coil), np.zeros(1))
            result["before-coil"] = self.supply + at_coil
        return result

    @cached_property
    def static(self) -> Mapping[str, Array]:
        """True static at each test point (sample,). [Pa]"""
        result = {}
        for point, total in self.total.items():
            port = self.network.ports[point]
            vp = 0.5 * self.network.density(port.side) * (self.airflow / port.area) ** 2
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

    def read_at(self, place: str) -> Array | None:
        """Static as a tip shows it, the place's own error included (sample,). [Pa]

        Parameters
        ----------
        place : str
            A test point, or one of ``network.holes``; None for what is neither.
        """
        if place in self.reads:
            return self.reads[place]
        hole = self.network.holes.get(place)
        if hole is None:
            return None
        total, velocity = pressures(self, hole)
        errs = self._value(hole.offset_by, 0.0) - self._value(hole.velocity_by, 1.0)
        return np.asarray(total + velocity * errs)

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

    @property
    def entry(self) -> Array:
        """Pressure at which the table is entered, at standard density (sample,). [Pa]"""
        return np.asarray(self.found.entry)

    @cached_property
    def share(self) -> Array:
        """Weights of the blower's taps (sample, tap), where the tap is not known. [-]"""
        if self.set_to is not None:
            return self.set_to.share
        return tap_shares(self.network.fan, self.values, self.size)

    @property
    def level(self) -> Array:
        """Factor on the blower's flow (sample,). [-]"""
        if self.set_to is not None:
            return np.asarray(self.set_to.level)
        return fan_level(self.network.fan, self.values, self.size)

    @cached_property
    def beyond(self) -> Array:
        """How far outside the blower table the entry lies, 0 inside (sample,). [Pa]"""
        far = [np.abs(curve.beyond(self.entry)) for curve in self.network.fan.curves]
        return np.asarray(np.sum([self.share[:, k] * f for k, f in enumerate(far)], axis=0))

    @cached_property
    def power(self) -> Array | None:
        """Watts of the blower (sample,), None if the table has none. [W]"""
        fan = self.network.fan
        total = np.zeros_like(self.airflow)
        for k, curve in enumerate(fan.curves):
            watts = curve.power(self.entry)
            if watts is None:
                return None
            total = total + self.share[:, k] * watts
        for name, exponent in fan.power_by:
            total = total * self._value(name, 1.0) ** exponent
        # A table's watts are for standard air; at a given speed they go with density.
        return total * fan.entry

    @cached_property
    def speed(self) -> Array | None:
        """Shaft speed of the blower (sample,), None if the table has none. [rad/s]"""
        total = np.zeros_like(self.airflow)
        for k, curve in enumerate(self.network.fan.curves):
            speed = curve.speed(self.entry)
            if speed is None:
                return None
            total = total + self.share[:, k] * speed
        return total * self._value(SPEED, 1.0)

    def side(self, side: str) -> Array:
        """Drop of a side's ducts, room to test point or test point to room (sample,). [Pa]"""
        return self.supply if side == "supply" else -self.back

    def output(self, name: str) -> Array:
        """A result by its name (sample,).

        ``airflow``, ``delivered``, ``leak_supply``, ``leak_return``, ``tesp``, ``entry``,
        ``power``, ``speed``; ``static:<test point or single duct>`` as read, ``drop:<part>``,
        ``flow:<run>``, ``drawn:<return>``, ``room:<room>``.

        Raises
        ------
        UnknownNameError
            If there is no such result.
        """
        what, _, key = name.partition(":")
        many: Mapping[str, Mapping[str, Array]] = {
            "static": self.reads,
            "drop": self.drop,
            "flow": self.flow,
            "drawn": self.drawn,
            "room": self.room,
        }
        found = self.read_at(key) if what == "static" else many.get(what, {}).get(key)
        if found is not None:
            return found
        plain = (
            "airflow",
            "delivered",
            "leak_supply",
            "leak_return",
            "tesp",
            "entry",
            "power",
            "speed",
        )
        result = getattr(self, name) if name in plain else None
        if result is None:
            known = [*plain, *(f"{kind}:{one}" for kind, all_ in many.items() for one in all_)]
            known += [f"static:{place}" for place in self.network.holes]
            raise UnknownNameError(
                where="output", came=repr(name), right=f"results are {', '.join(known)}"
            )
        return np.asarray(result)

    def sensitivity(self, output: str, parameter: str) -> Array:
        """Slope of a result over a parameter's value (sample,). [SI of the result per unit]

        Parameters
        ----------
        output : str
            As for :meth:`output`.
        parameter : str
            Name of one of the network's parameters: ``run:r1:friction``.

        Raises
        ------
        UnknownNameError
            If there is no such result or parameter.
        """
        moved = self.nudges.get(parameter)
        if moved is None:
            one = nudges(self.network, self.values, self.given, self.found, [parameter])
            moved = one[parameter]
        low, high = (
            Solution(
                self.network,
                values,
                moved.moved(self.found, sign),
            ).output(output)
            for values, sign in ((moved.low, -1.0), (moved.high, 1.0))
        )
        return np.asarray((high - low) / (2.0 * moved.step))

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
    wrt: Sequence[str] = (),
    threads: int = 1,
    near: Solution | None = None,
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
    wrt : sequence of str
        Parameters whose sensitivities are wanted; others can be asked for later at the same cost.
    threads : int
        How many cores may work on it; results are the same bits with any number. [-]
    near : Solution, optional
        As many variants of the network that are close by, to begin at.

    Raises
    ------
    ConvergenceError
        If a variant does not come to rest; names the part.

    Notes
    -----
    Variants are made and solved in chunks of :data:`newton.CHUNK`.  The result holds 8 · variants ·
    (2 · edges + 8) bytes beside the values; the resistances of all variants exist only if they are
    given, or asked for.
    """
    size = len(next(iter(values.values()), [0])) if size is None else size
    made = of_values(network, values, size) if given is None else of_given(given)
    found = newton(network, made, size, threads, near.found if near else None)
    solution = Solution(network, values, found, given)
    if not wrt:
        return solution
    moved = nudges(network, values, solution.given, solution.found, wrt)
    return replace(solution, nudges=moved)
