"""From a network to the plain arrays of :class:`arrays.Program`: its tree, its laws, its curves."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

import numpy as np

from inchwater.errors import PartError
from inchwater.network.arrays import Program
from inchwater.network.elements import Array, Edge, Leaf, Network
from inchwater.parts import ducts
from inchwater.parts.monotone import Monotone

# Below this share of the design flow a power law is replaced by its chord, so that Newton always
# has a slope to stand on; the drop there is below a millionth of the fan's pressure.
CHORD = 1e-4
# A floor under the resistance of an edge whose gain at a tee outweighs its own losses. [Pa at the
# design flow]
_LEAST = 1e-3
_FREE = 100.0  # how far below its first column a table's straight line goes on [Pa]
# Laws are tabulated between these flows over the nominal one, so finely that a cubic errs by less
# than 1e-7 of the drop; outside, the law itself is computed.
_LOW, _HIGH, _PIECES = 0.3, 2.2, 64
_START_X = 6.0  # 1/sqrt(f) of an ordinary duct, from which Newton on Colebrook starts [-]


def program(network: Network) -> Program:
    """The arrays of a network, made near equal shares of the design flow.

    Raises
    ------
    PartError
        If the leaves' paths are no tree; names the edge.
    """
    edges = network.edges
    above, leaf_of, order = _tree(network)
    rooms = {name: index for index, name in enumerate(network.rooms)}
    behind = np.full(len(edges), -1)
    for edge, index in leaf_of.items():
        room = network.leaves[index].behind
        if room is not None:
            behind[edge] = rooms[room]
    is_leaf = np.zeros(len(edges), dtype=np.bool_)
    is_leaf[list(leaf_of)] = True
    transfers = [(e, rooms[name]) for name, ways in network.rooms.items() for e in ways]
    on_supply = np.zeros(len(edges), dtype=np.bool_)
    on_supply[[e for one in network.supply for e in one.path]] = True
    fan = network.fan
    lines = [curve.curve for curve in fan.curves]
    exponents = np.array([law.exponent for law in fan.references])
    vp = {
        name: 0.5 * network.density(port.side) / port.area**2
        for name, port in network.ports.items()
    }
    fixed: dict[str, Any] = dict(
        tree=np.array(order, dtype=np.int64),
        above=above,
        on_supply=on_supply,
        is_leaf=is_leaf,
        behind=behind,
        unit=np.array(network.unit, dtype=np.int64),
        bypass=np.array(network.bypass, dtype=np.int64),
        transfer=np.array([e for e, _ in transfers], dtype=np.int64),
        transfer_room=np.array([room for _, room in transfers], dtype=np.int64),
        **_tees(network, above),
        **_curves(network),
        fan_entry=float(fan.entry),
        fan_rated=np.array([float(curve.airflow_and_slope(fan.rated)[0]) for curve in fan.curves]),
        # A fan that nothing tilts needs no pressure to be tilted about, but none divides by it.
        fan_about=float(fan.rated) or 1.0,
        velocity=vp["supply"] - vp["return"],
        reference_exponent=exponents,
        rooms=len(network.rooms),
        low=_LOW,
        steps=_PIECES / (_HIGH - _LOW),
        pieces=_PIECES,
        design=float(network.design_flow),
        chord=CHORD * network.design_flow,
        least=_LEAST / network.design_flow**2,
    )
    entry = float(np.mean([line.x.mean() for line in lines]))
    return Program(**fixed, **_about(network, fixed, _equal(network, above), entry))


def moved(p: Program, network: Network, nominal: Array, entry: float) -> Program:
    """The arrays of the same network, made near other flows.

    Parameters
    ----------
    nominal : array (edge,)
        Flows near which the variants are expected. [m3/s]
    entry : float
        Pressure at which the blower's table is entered there. [Pa]
    """
    return p._replace(**_about(network, p._asdict(), nominal, entry))


def _about(
    network: Network, fixed: Mapping[str, Any], nominal: Array, entry: float
) -> dict[str, Any]:
    """The fields that rest on the flows near which the variants are expected.

    ``fixed`` are those that do not, by the names of :class:`arrays.Program`.
    """
    order, above, on_supply = fixed["tree"], fixed["above"], fixed["on_supply"]
    size = np.maximum(np.abs(nominal), CHORD * network.design_flow)
    flow = float(nominal[order][(above[order] < 0) & on_supply[order]].sum())
    passed = float(nominal[list(network.bypass)].sum())
    # A bypass that overpowers its house may leave the handbook variant without a forward flow.
    through = max(flow + passed, CHORD * network.design_flow)
    fan = network.fan
    slope = float(np.mean([_slope_at(curve.curve, entry) for curve in fan.curves]))
    return {
        **_pieces(network, size),
        **_laws(network, size),
        "tee_nominal": _tees_at_rest(network, fixed, nominal, size),
        "reference_nominal": through ** (fixed["reference_exponent"] - 2.0),
        "nominal_unit": through,
        "nominal_slope": slope / float(fan.entry),
        "nominal_entry": entry * float(fan.entry),
        "nominal_bypass": passed / through,
    }


def _tree(network: Network) -> tuple[Any, dict[int, int], list[int]]:
    """The edge above each, the leaf that ends at each, the edges from the unit outward."""
    above = np.full(len(network.edges), -1, dtype=np.int64)
    seen: dict[int, str] = {}
    leaf_of: dict[int, int] = {}
    order: list[int] = []
    for index, leaf in enumerate(network.leaves):
        before = -1
        side = "supply" if index < len(network.supply) else "return"
        for e in leaf.path:
            if e not in seen:
                seen[e] = side
                above[e] = before
                order.append(e)
            elif above[e] != before or seen[e] != side:
                raise _no_tree(network.edges[e], "it is reached by two ways")
            before = e
        if before < 0 or before in leaf_of:
            raise _no_tree(network.edges[before], f"{leaf.id} has no part of its own")
        leaf_of[before] = index
    for e in order:
        if above[e] in leaf_of:
            ends = network.leaves[leaf_of[int(above[e])]]
            raise _no_tree(network.edges[e], f"it lies behind {ends.id}, where the air ends")
    return above, leaf_of, order


def _no_tree(edge: Edge, came: str) -> PartError:
    return PartError(
        where=edge.key, came=came, right="from the unit to each end there is one way for the air"
    )


def _equal(network: Network, above: Any) -> Array:
    """Flows of all edges if every leaf of a side had the same share of the design flow."""
    flow = np.zeros(len(network.edges))
    sides: tuple[tuple[Leaf, ...], ...] = (network.supply, network.returns)
    for leaves in sides:
        for leaf in leaves:
            flow[list(leaf.path)] += network.design_flow / len(leaves)
    flow[list(network.unit)] = network.design_flow
    return flow


def _starts(counts: list[int]) -> Any:
    return np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)


def _pieces(network: Network, size: Array) -> dict[str, Any]:
    """Friction pieces: Darcy–Weisbach with f Re for f, so that nothing is divided by the flow."""
    air = network.air
    pieces = [(e, piece) for e, edge in enumerate(network.edges) for piece in edge.friction]
    at = np.array([e for e, _ in pieces], dtype=np.int64)
    diameter = np.array([piece.diameter for _, piece in pieces])
    length = np.array([piece.length for _, piece in pieces])
    rough = np.array([piece.roughness for _, piece in pieces]) / diameter / 3.7
    reynolds = 4.0 * air.density / (np.pi * diameter * air.viscosity)
    thinner = np.array([network.thinner_on(network.edges[e].side) for e, _ in pieces])
    scale = thinner * length * air.viscosity**2 / (2.0 * air.density * diameter**3) * reynolds
    re = np.maximum(reynolds * size[at], 1.0)
    steps = np.linspace(_LOW, _HIGH, _PIECES + 1)
    table = np.zeros((len(pieces), _PIECES, 4))
    if len(pieces):
        flow = size[at][:, None] * steps
        drop, slope = ducts.friction_drop(
            flow, diameter[:, None], length[:, None], (rough * diameter * 3.7)[:, None], air
        )
        plain = (scale / thinner)[:, None]
        drag = drop / (plain * flow)
        rise = (slope / plain - drag) / flow * size[at][:, None]
        table = _cubics(np.asarray(drag), np.asarray(rise))
    # Haaland's explicit formula is near enough for a start.
    x = np.full(len(pieces), _START_X)
    if len(pieces):
        x = -1.8 * np.log10(rough**1.11 + 6.9 / np.maximum(re, 2000.0))
    return {
        "piece_start": _starts([len(edge.friction) for edge in network.edges]),
        "piece_reynolds": reynolds,
        "piece_scale": scale,
        "piece_rough": rough,
        "piece_x": x,
        "piece_inverse": 1.0 / size[at],
        # A cubic that begins in the transition would miss its bend: the first whole one above it.
        "piece_from": np.ceil(
            (np.maximum(ducts.TURBULENT_START / re, _LOW) - _LOW) * (_PIECES / (_HIGH - _LOW))
        ),
        "piece_table": table,
        "piece_nominal": scale * re / x**2 / size[at],
    }


def _cubics(value: Array, slope: Array) -> Array:
    """Cubics between equal steps of the flow over the nominal one, with given values and slopes.

    value, slope : array (law, step + 1), slope per nominal flow.  Returns (law, step, 4), powers of
    the share of a step.
    """
    rise = slope * ((_HIGH - _LOW) / _PIECES)
    left, right = value[:, :-1], value[:, 1:]
    first, last = rise[:, :-1], rise[:, 1:]
    square = 3.0 * (right - left) - 2.0 * first - last
    return np.stack([left, first, square, 2.0 * (left - right) + first + last], axis=2)


def _laws(network: Network, size: Array) -> dict[str, Any]:
    laws = [(e, law.exponent) for e, edge in enumerate(network.edges) for law in edge.power]
    at = np.array([e for e, _ in laws], dtype=np.int64)
    exponent = np.array([n for _, n in laws], dtype=np.float64)
    steps = np.linspace(_LOW, _HIGH, _PIECES + 1)
    power = (size[at][:, None] * steps) ** (exponent - 1.0)[:, None]
    rise = (exponent - 1.0)[:, None] * power / steps
    return {
        "law_start": _starts([len(edge.power) for edge in network.edges]),
        "law_exponent": exponent,
        "law_inverse": 1.0 / size[at],
        "law_table": _cubics(power, rise),
        "law_nominal": size[at] ** (exponent - 2.0),
    }


def _tees(network: Network, above: Any) -> dict[str, Any]:
    """Curves of the tees as cubics over equal steps of the flow ratio."""
    tees = [(e, edge.tee) for e, edge in enumerate(network.edges) if edge.tee is not None]
    row = np.full(len(network.edges), -1, dtype=np.int64)
    most = _points(network)
    curves = np.zeros((len(tees), most - 1, 4))
    anchor = np.array([tee.anchor for _, tee in tees])
    scale = np.zeros(len(tees))
    for k, (e, tee) in enumerate(tees):
        if above[e] < 0:
            raise PartError(
                where=network.edges[e].key,
                came="a tee with no common leg",
                right="air divides off a trunk or joins a common return",
            )
        row[e] = k
        curves[k] = _steps_of(tee.curve, most)
        scale[k] = 0.5 * network.density(network.edges[e].side) / tee.area**2
    return {"tee_row": row, "tee_curve": curves, "tee_scale": scale, "tee_anchor": anchor}


def _tees_at_rest(network: Network, fixed: Mapping[str, Any], nominal: Array, size: Array) -> Array:
    """Loss of the tees over their own flow squared at the nominal flows, see :class:`Program`."""
    row, scale, anchor = fixed["tee_row"], fixed["tee_scale"], fixed["tee_anchor"]
    rest, most = np.zeros((len(scale), 2)), _points(network)
    for e in np.flatnonzero(row >= 0):
        tee, k = network.edges[e].tee, row[e]
        assert tee is not None  # it has a row
        common = float(nominal[fixed["above"][e]])
        ratio = min(max(float(nominal[e]) / common, 0.0), 1.0) if common else 0.0
        loss = scale[k] * common**2 / float(size[e]) ** 2
        rest[k] = loss * anchor[k], loss * (float(_line(tee.curve, most)(ratio)) - anchor[k])
    return rest


def _points(network: Network) -> int:
    """Points of the tee's curve that has most; all are put on so many."""
    return max((len(edge.tee.curve) for edge in network.edges if edge.tee is not None), default=2)


@lru_cache(maxsize=1024)
def _steps_of(curve: tuple[float, ...], most: int) -> Array:
    """A tee's cubics (piece, 4), from powers of the ratio's distance to those of a step's share."""
    step = 1.0 / (most - 1)
    return np.asarray(_line(curve, most).power[:, 1:-1].T * step ** np.arange(4))


@lru_cache(maxsize=1024)
def _line(curve: tuple[float, ...], most: int) -> Monotone:
    """A tee's loss over the flow ratio, on so many equal steps; the same in every variant."""
    line = Monotone(np.linspace(0.0, 1.0, len(curve)), np.array(curve))
    if len(curve) == most:
        return line
    steps = np.linspace(0.0, 1.0, most)
    return Monotone(steps, np.asarray(line(steps)))


def _slope_at(line: Monotone, at: float) -> float:
    piece = int(np.searchsorted(line.x, at, side="right"))
    u = at - line.left[piece]
    _, b, c, d = line.power[:, piece]
    return float(b + u * (2.0 * c + 3.0 * u * d))


def _curves(network: Network) -> dict[str, Any]:
    """Cubics of the taps' curves, with an end to the straight line below the first column.

    A blower that nothing holds back still moves no more than it can; without an end to its line a
    part that resists less than the table's own zero would have it move air without limit.
    """
    lines = [curve.curve for curve in network.fan.curves]
    most = max(len(line.x) for line in lines) + 1
    x = np.full((len(lines), most), np.inf)
    left = np.zeros((len(lines), most + 1))
    power = np.zeros((len(lines), 4, most + 1))
    for k, line in enumerate(lines):
        n = len(line.x) + 1
        x[k, 0] = line.x[0] - _FREE
        x[k, 1:n] = line.x
        left[k, 0] = x[k, 0]
        left[k, 1 : n + 1] = line.left
        power[k, :, 1 : n + 1] = line.power
        # From the end of the straight line on its flow stands still.
        power[k, 0, 0] = line.power[0, 0] + line.power[1, 0] * (x[k, 0] - line.left[0])
    return {
        "fan_x": x,
        "fan_left": left,
        "fan_power": power,
        "fan_count": np.array([len(line.x) + 1 for line in lines], dtype=np.int64),
    }
