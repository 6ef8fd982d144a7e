"""The state in which blower, ducts and leaks of a virtual house agree.

Node pressures and edge flows together, as in the global gradient method of water networks (Todini
and Pilati 1988): each step solves the node balances with every edge linearised at its own flow.
Where air divides, an edge's loss goes by another's flow too; if that keeps the state from coming to
rest, Newton's method on all flows and pressures finishes.  Accepted on what is left over, never on
the size of a step.

References
----------
Todini, E., Pilati, S., "A gradient algorithm for the analysis of pipe networks", in Computer
Applications in Water Supply, 1988; status: memory.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from inchwater.errors import ConvergenceError
from inchwater.rehearsal.truth import figures

if TYPE_CHECKING:
    import numpy as np

    from inchwater.rehearsal.plan_true import Plan

    Array = np.ndarray[Any, np.dtype[np.float64]]

# What may be left over: pressure round every edge [Pa], flow at every node [m3/s].
PRESSURE_LEFT, FLOW_LEFT = 1e-6, 1e-9
_ROUNDS = 120
_GRADIENT_ROUNDS = 14
# A step of Newton's method changes no flow by more than this. [m3/s]
_LONGEST_STEP = 0.1
_LEAST_FLOW = 1e-7
_SOFT = 1e-3
_LAMINAR, _TURBULENT = 2000.0, 4000.0


@dataclass(frozen=True)
class Rest:
    """Node pressures [Pa], edge and opening flows [m3/s], and the blower's flow [m3/s]."""

    pressure: Array
    flow: Array
    leaks: Array
    blower: float
    rounds: int


# Flow of the blower at a rise of total pressure, given its last flow: (flow, d flow / d rise).
Blower = Callable[[float, float], tuple[float, float]]


def friction_factor(reynolds: Array, rough: Array) -> tuple[Array, Array]:
    """Darcy friction factor by Altshul and Tsal, and its slope by the Reynolds number.

    Laminar below 2000, straight between 2000 and 4000.

    References
    ----------
    ASHRAE Fundamentals, Duct Design, Altshul-Tsal equation; status: memory.
    """
    import numpy as np

    known = figures()
    smooth = known["altshul-tsal-reynolds"]
    re = np.maximum(reynolds, 1e-9)
    fast = np.maximum(re, _TURBULENT)
    inner = rough + smooth / fast
    first = known["altshul-tsal-factor"] * inner**0.25
    slope = 0.25 * first / inner * (-smooth / fast**2)
    low = first < known["altshul-tsal-bound"]
    first = np.where(low, 0.85 * first + 0.0028, first)
    slope = np.where(low, 0.85 * slope, slope)
    start = 64.0 / _LAMINAR
    part = (re - _LAMINAR) / (_TURBULENT - _LAMINAR)
    between = start + part * (first - start)
    between_slope = (first - start) / (_TURBULENT - _LAMINAR)
    factor = np.where(re >= _TURBULENT, first, np.where(re <= _LAMINAR, 64.0 / re, between))
    rise = np.where(re >= _TURBULENT, slope, np.where(re <= _LAMINAR, -64.0 / re**2, between_slope))
    return factor, rise


class Arrays:
    """The edges and openings of a plan as arrays."""

    def __init__(self, plan: Plan) -> None:
        import numpy as np

        names = (
            "start end square linear power exponent friction reynolds rough above common straight"
            " speed speed_above"
        )
        rows = np.array(
            [[getattr(edge, name) for name in names.split()] for edge in plan.edges], dtype=float
        ).T
        for name, row in zip(names.split(), rows, strict=True):
            setattr(self, name, row)
        self.size = len(plan.nodes)
        self.start: Array = _node(rows[0], self.size)
        self.end: Array = _node(rows[1], self.size)
        self.above: Array = rows[9].astype(int)
        self.hole_start = _node([h.start for h in plan.holes], self.size)
        self.hole_end = _node([h.end for h in plan.holes], self.size)
        self.hole_c = np.array([h.coefficient for h in plan.holes])
        self.hole_n = np.array([h.exponent for h in plan.holes])
        self.inlet, self.outlet = plan.nodes["inlet"], plan.nodes["outlet"]
        self.branches = np.flatnonzero(self.above >= 0)
        self.powers = np.flatnonzero(rows[4] != 0.0)
        self.rubs = np.flatnonzero(rows[6] != 0.0)
        every_start = np.concatenate([self.start, self.hole_start, [self.inlet]])
        every_end = np.concatenate([self.end, self.hole_end, [self.outlet]])
        m = self.size + 1
        self.cells = np.concatenate(
            [
                every_start * m + every_start,
                every_end * m + every_end,
                every_start * m + every_end,
                every_end * m + every_start,
            ]
        )
        self.every_start, self.every_end = every_start, every_end

    square: Array
    linear: Array
    power: Array
    exponent: Array
    friction: Array
    reynolds: Array
    rough: Array
    common: Array
    straight: Array
    speed: Array
    speed_above: Array

    def loss(self, flow: Array) -> tuple[Array, Array]:
        """Loss of each edge at its flow [Pa], and its slope by that flow [Pa s/m3]."""
        import numpy as np

        size = np.abs(flow)
        lost = self.square * flow * size + self.linear * flow
        slope = 2.0 * self.square * size + self.linear
        rub = self.rubs
        if rub.size:
            q, s = flow[rub], size[rub]
            factor, rise = friction_factor(self.reynolds[rub] * s, self.rough[rub])
            lost[rub] += self.friction[rub] * factor * q * s
            slope[rub] += self.friction[rub] * (
                2.0 * factor * s + self.reynolds[rub] * rise * s * s
            )
        p = self.powers
        if p.size:
            s = np.maximum(size[p], _LEAST_FLOW)
            lost[p] += self.power[p] * np.sign(flow[p]) * s ** self.exponent[p]
            slope[p] += self.power[p] * self.exponent[p] * s ** (self.exponent[p] - 1.0)
        b = self.branches
        if b.size:
            common = flow[self.above[b]]
            difference = common * self.speed_above[b] - flow[b] * self.speed[b]
            # What leaves with the air's own direction costs; backwards there is no such jet.
            lost[b] += self.common[b] * common * np.maximum(common, 0.0)
            lost[b] += self.straight[b] * difference * np.maximum(difference, 0.0)
        return lost, np.maximum(slope, _SOFT)

    def cross(self, flow: Array) -> tuple[Array, Array]:
        """Slopes of the losses where air divides, by the own and by the other flow [Pa s/m3]."""
        import numpy as np

        b = self.branches
        common = flow[self.above[b]]
        difference = common * self.speed_above[b] - flow[b] * self.speed[b]
        rise = 2.0 * self.straight[b] * np.maximum(difference, 0.0)
        other = 2.0 * self.common[b] * np.maximum(common, 0.0) + rise * self.speed_above[b]
        return -rise * self.speed[b], other

    def holes(self, across: Array) -> tuple[Array, Array]:
        """Flow of each opening at the pressure across it [m3/s], and its slope."""
        soft = across * across + _SOFT * _SOFT
        half = 0.5 * (self.hole_n - 1.0)
        scale = self.hole_c * soft**half
        return scale * across, scale * (1.0 + 2.0 * half * across * across / soft)


def _node(of: Any, size: int) -> Array:
    import numpy as np

    found = np.asarray(of, dtype=int).reshape(-1)
    return np.where(found < 0, size, found)


def settle(plan: Plan, blower: Blower, first: float) -> Rest:
    """The state in which everything agrees.

    Parameters
    ----------
    plan : Plan
        Edges and openings.
    blower : callable
        Flow at a rise of total pressure and at its last flow, and the slope by the rise. [m3/s]
    first : float
        Where to start. [m3/s]

    Raises
    ------
    ConvergenceError
        If nothing agrees after many rounds.
    """
    import numpy as np

    a = Arrays(plan)
    edges, m = len(plan.edges), a.size + 1
    through = a.start.size
    flow = np.full(edges, first / max(through, 1) * 3.0)
    pressure = np.zeros(m)
    pressure[a.outlet], pressure[a.inlet] = 60.0, -60.0
    fan = first
    conduct = np.empty(a.every_start.size)
    carried = np.empty(a.every_start.size)
    for done in range(_ROUNDS):
        lost, slope = a.loss(flow)
        across = pressure[a.hole_start] - pressure[a.hole_end]
        leaks, leak_slope = a.holes(across)
        rise = pressure[a.outlet] - pressure[a.inlet]
        given, fall = blower(rise, fan)
        if done:
            left = np.abs(pressure[a.start] - pressure[a.end] - lost).max()
            out = np.concatenate([flow, leaks, [given]])
            net = np.bincount(a.every_end, out, m) - np.bincount(a.every_start, out, m)
            short = max(np.abs(net[:-1]).max(), abs(given - fan))
            if left < PRESSURE_LEFT and short < FLOW_LEFT:
                return Rest(pressure[:-1], flow, leaks, given, done)
        if done >= _GRADIENT_ROUNDS:
            state = _Now(pressure, flow, fan, lost, slope, leaks, leak_slope, given, fall)
            pressure, flow, fan = _newton(a, state)
            continue
        conduct[:edges] = 1.0 / slope
        carried[:edges] = flow - lost / slope
        conduct[edges:-1] = leak_slope
        carried[edges:-1] = leaks - leak_slope * across
        conduct[-1] = -fall
        carried[-1] = given - fall * rise
        matrix = np.bincount(
            a.cells, np.concatenate([conduct, conduct, -conduct, -conduct]), m * m
        ).reshape(m, m)[:-1, :-1]
        right = np.bincount(a.every_end, carried, m) - np.bincount(a.every_start, carried, m)
        pressure[:-1] = np.linalg.solve(matrix, right[:-1])
        # Flows follow at once from the pressures that were just found.
        flow = carried[:edges] + conduct[:edges] * (pressure[a.start] - pressure[a.end])
        fan = given + fall * (pressure[a.outlet] - pressure[a.inlet] - rise)
    raise ConvergenceError(
        where="virtual house",
        came=f"{left:.3g} Pa and {short:.3g} m³/s left after {_ROUNDS} rounds",
        right=f"at most {PRESSURE_LEFT:g} Pa and {FLOW_LEFT:g} m³/s",
    )


class _Now(NamedTuple):
    """A state on its way, with losses, leaks and the blower's flow at it, and their slopes."""

    pressure: Array
    flow: Array
    fan: float
    lost: Array
    slope: Array
    leaks: Array
    leak_slope: Array
    given: float
    fall: float


def _newton(a: Arrays, now: _Now) -> tuple[Array, Array, float]:
    """One step of Newton's method on all pressures, flows and the blower's flow."""
    import numpy as np

    nodes, edges = a.size, a.start.size
    size = nodes + edges + 1
    # One row and column more, for what lies outside.
    matrix = np.zeros((size + 1, size + 1))
    right = np.zeros(size + 1)

    def at(node: Array) -> Any:
        return np.where(node == nodes, size, node)

    start, end = at(a.start), at(a.end)
    rows: Any = nodes + np.arange(edges)
    own, other = a.cross(now.flow)
    np.add.at(matrix, (start, rows), -1.0)
    np.add.at(matrix, (end, rows), 1.0)
    np.add.at(matrix, (rows, start), 1.0)
    np.add.at(matrix, (rows, end), -1.0)
    np.add.at(matrix, (rows, rows), -now.slope)
    np.add.at(matrix, (rows[a.branches], rows[a.branches]), -own)
    np.add.at(matrix, (rows[a.branches], rows[a.above[a.branches]]), -other)
    right[rows] = now.lost - (now.pressure[a.start] - now.pressure[a.end])
    np.add.at(right, start, now.flow)
    np.add.at(right, end, -now.flow)
    left, to = at(a.hole_start), at(a.hole_end)
    for row, sign in ((left, -1.0), (to, 1.0)):
        np.add.at(matrix, (row, left), sign * now.leak_slope)
        np.add.at(matrix, (row, to), -sign * now.leak_slope)
        np.add.at(right, row, -sign * now.leaks)
    last = size - 1
    for place, sign in ((a.inlet, -1.0), (a.outlet, 1.0)):
        matrix[place, last] += sign
        right[place] -= sign * now.fan
    matrix[last, a.outlet], matrix[last, a.inlet], matrix[last, last] = now.fall, -now.fall, -1.0
    right[last] = now.fan - now.given
    step = np.linalg.solve(matrix[:-1, :-1], right[:-1])
    moved = float(np.abs(step[nodes:]).max())
    step *= min(1.0, _LONGEST_STEP / moved) if moved > 0.0 else 1.0
    pressure = now.pressure.copy()
    pressure[:-1] += step[:nodes]
    return pressure, now.flow + step[nodes:-1], now.fan + float(step[-1])
