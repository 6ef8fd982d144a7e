"""A virtual house in a condition as numbers: nodes, and what drives air between them.

Trunks are cut where runs leave; leaks sit at boots, along trunks, behind grilles, at both plenums
and at the cabinet.  Flows are volumes of the air as it enters the unit, so that they are conserved
although the supply air is denser or thinner.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from inchwater import units
from inchwater.errors import UnknownNameError
from inchwater.rehearsal.figures import figure, fitting
from inchwater.rehearsal.world import Back, Face, Leak, Limb, Media, Pipe, World

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
        supply_density=world.supply_density.get(call, world.density),
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


def plan(world: World, now: Setting) -> Plan:
    """The numbers of a house in a condition."""
    found = Plan()
    for name in ("back", "inlet", "outlet", "plenum"):
        found.node(name)
    held = [one for one in world.filters if one.at == "unit"]
    if not held:
        # Without a slot both are one place; a wide opening stands for it.
        found.add(Edge(found.node("back"), found.node("inlet"), linear=1e-3))
    at = found.node("back")
    for index, one in enumerate(held):
        last = index == len(held) - 1
        end = found.node("inlet") if last else found.node(f"slot:{one.id}")
        edge = Edge(at, end)
        _media(edge, one, now, 1)
        found.add(edge, f"filter:{one.id}")
        at = end
    _returns(found, world, now)
    _coil(found, world, now)
    for limb in _in_order(world.limbs):
        _limb(found, world, now, limb, found.node("plenum"), -1, 0.0)
    for way in world.ways:
        if way.id in now.ways_shut:
            continue
        edge = Edge(found.node("plenum"), found.node("back"))
        _pipe(edge, way.pipe, now.supply_density, now)
        edge.square += way.extra * _head(way.pipe, now.supply_density, now)
        found.add(edge, f"bypass:{way.id}")
    for name, leak in world.leaks.items():
        found.open(leak, found.node(name))
    return found


# --- pieces ------------------------------------------------------------------------------------


def area(pipe: Pipe | Face) -> float:
    """Free section of a duct, or gross face of a grille. [m2]"""
    if isinstance(pipe, Face) or pipe.height is not None:
        return pipe.width * float(pipe.height or 0.0)
    return math.pi / 4.0 * pipe.width**2


def _head(piece: Pipe | Face, density: float, now: Setting) -> float:
    """Velocity pressure per square of the flow. [Pa s2/m6]"""
    return 0.5 * now.density**2 / density / area(piece) ** 2


def _pipe(edge: Edge, pipe: Pipe, density: float, now: Setting, share: float = 1.0) -> None:
    """Friction and fittings of a duct; ``share`` of its length, and no fittings below 1."""
    section = area(pipe)
    if pipe.height is None:
        hydraulic = pipe.width
    else:
        hydraulic = 2.0 * pipe.width * pipe.height / (pipe.width + pipe.height)
    stretched = pipe.factor * pipe.crush * compressed(pipe)
    edge.friction = stretched * share * pipe.length / hydraulic * _head(pipe, density, now)
    viscosity = 1.82e-5
    edge.reynolds = now.density * hydraulic / viscosity / section
    edge.rough = figure(f"roughness {pipe.material}") / hydraulic
    if share == 1.0:
        edge.square += fitting_loss(pipe) * pipe.crush * _head(pipe, density, now)


def compressed(pipe: Pipe) -> float:
    """How many times its stretched friction compressed flex takes. [-]"""
    if pipe.material != "flex" or pipe.compression <= 0.0:
        return 1.0
    wide = (figure("compression diameter") / pipe.width) ** figure("compression diameter power")
    rise = figure("compression factor") * pipe.compression ** figure("compression power")
    return float(1.0 + rise * wide)


def fitting_loss(pipe: Pipe) -> float:
    """Loss of all fittings on the duct's own velocity pressure. [-]"""
    return sum(fitting(one.key)[0] * one.factor for one in pipe.fittings)


def _media(edge: Edge, one: Media, now: Setting, share: int) -> None:
    face = one.width * one.height * one.count
    if one.id in now.out:
        edge.square += figure("filter slot") * 0.5 * now.density / face**2
        return
    clean = figure(f"filter {one.grade}") * one.factor * one.loading
    velocity = figure("filter velocity")
    # A cake of dust is viscous: what loading adds goes with the velocity.
    viscous = 1.0 - (1.0 - one.viscous) / max(one.loading, 1.0) ** 0.5
    edge.linear += clean * viscous / velocity / face
    edge.square += clean * (1.0 - viscous) / (velocity * face) ** 2


def media_drop(one: Media, flow: float) -> float:
    """Drop of a clean filter of the maker's, for a table that holds it. [Pa]"""
    speed = flow / (one.width * one.height * one.count) / figure("filter velocity")
    return figure("filter fiberglass-1in") * (0.3 * speed + 0.7 * speed * abs(speed))


# --- return side -------------------------------------------------------------------------------


def _returns(found: Plan, world: World, now: Setting) -> None:
    filters = {one.id: one for one in world.filters}
    for back in world.backs:
        end = found.node("back" if back.into is None else f"common:{back.into}")
        if back.kind == "common":
            start = found.node(f"common:{back.id}")
        else:
            start = found.node(f"behind:{back.id}")
            front = _room(found, world, now, back.room)
            if back.face is not None:
                edge = Edge(front, start)
                edge.square = (
                    figure(f"face {back.face.kind}")
                    * back.face.factor
                    * _head(back.face, now.density, now)
                )
                middle = start
                if back.filter is not None:
                    middle = found.node(f"face:{back.id}")
                    edge.end = middle
                found.add(edge, f"grille:{back.id}")
                if back.filter is not None:
                    media = Edge(middle, start)
                    _media(media, filters[back.filter], now, 1)
                    found.add(media, f"filter:{back.filter}")
        _return_pipe(found, back, start, end, now)
        found.open(back.leak, start)


def _return_pipe(found: Plan, back: Back, start: int, end: int, now: Setting) -> None:
    edge = Edge(start, end)
    _pipe(edge, back.pipe, now.density, now)
    if back.kind in ("panned", "stud", "platform"):
        edge.square += (
            figure(f"cavity {back.kind}") * back.pipe.factor * _head(back.pipe, now.density, now)
        )
    found.add(edge, f"return:{back.id}")
    found.sections[f"return:{back.id}"] = area(back.pipe)


def _room(found: Plan, world: World, now: Setting, room: str | None) -> int:
    """The node of a room: the house, unless it has a door and that is shut."""
    for chamber in world.chambers:
        if room in (chamber.id, chamber.name) and chamber.id in now.shut:
            name = f"room:{chamber.id}"
            if name not in found.nodes:
                found.open(chamber.leak, found.node(name))
            return found.node(name)
    return OUTSIDE


# --- unit --------------------------------------------------------------------------------------


def coil_loss(world: World, wet: bool, dirty: bool = True) -> tuple[float, float]:
    """Coefficient [Pa s^n/m3n] and exponent [-] of the coil's power law."""
    coil = world.coil
    if coil is None:
        return 0.0, 1.0
    design = figure("coil airflow") * world.machine.capacity
    drop = coil.drop * (coil.wet if wet else 1.0) * (coil.dirt if dirty else 1.0)
    return drop / design**coil.exponent, coil.exponent


def heater_loss(world: World) -> float:
    """Loss of the electric heat per square of the flow. [Pa s2/m6]"""
    design = figure("coil airflow") * world.machine.capacity
    return world.machine.heater * figure("heater drop") / design**2


def _coil(found: Plan, world: World, now: Setting) -> None:
    edge = Edge(found.node("outlet"), found.node("plenum"), linear=1e-3)
    name = ""
    if world.coil is not None and not world.coil.inside:
        edge.power, edge.exponent = coil_loss(world, now.wet)
        name = f"coil:{world.coil.id}"
    found.add(edge, name)


# --- supply side -------------------------------------------------------------------------------


def _in_order(limbs: tuple[Limb, ...]) -> list[Limb]:
    return sorted(limbs, key=lambda limb: limb.place)


def _limb(
    found: Plan, world: World, now: Setting, limb: Limb, start: int, above: int, speed: float
) -> None:
    if now.pulled.get(limb.id) == "pulled-capped":
        return
    if limb.limbs:
        _trunk(found, world, now, limb, start, above, speed)
        return
    dense = now.supply_density
    head = _head(limb.pipe, dense, now)
    if now.pulled.get(limb.id) == "pulled-open":
        edge = Edge(start, OUTSIDE)
        edge.square = (fitting_loss(limb.pipe) * 0.3 + figure("pulled collar")) * head
        found.add(edge, f"pulled:{limb.id}")
        return
    boot = found.node(f"boot:{limb.id}")
    edge = Edge(start, boot)
    _pipe(edge, limb.pipe, dense, now)
    _divides(edge, limb, above, speed, now)
    found.add(edge, f"run:{limb.id}")
    first = limb.pipe.fittings[0] if limb.pipe.fittings else None
    own = 0.0 if first is None else fitting(first.key)[0] * first.factor * head
    found.entry_loss[f"run:{limb.id}"] = (own, edge.common, edge.above)
    found.sections[f"run:{limb.id}"] = area(limb.pipe)
    found.open(limb.leak, boot)
    register = limb.register
    if register is not None:
        out = Edge(boot, _room(found, world, now, limb.room))
        loss = figure(f"face {register.kind}") * register.factor
        if limb.id in now.closed:
            loss += figure("closed register") * register.factor
        out.square = loss * _head(register, dense, now)
        found.add(out, f"register:{limb.id}")
    else:
        found.add(
            Edge(boot, _room(found, world, now, limb.room), square=head), f"register:{limb.id}"
        )


def _divides(edge: Edge, limb: Limb, above: int, speed: float, now: Setting) -> None:
    """Loss where a branch leaves a trunk that rises with the trunk's velocity."""
    if above < 0:
        return
    edge.above = above
    common = sum(fitting(one.key)[1] * one.factor for one in limb.pipe.fittings)
    edge.common = common * 0.5 * now.density**2 / now.supply_density * speed**2


def _trunk(
    found: Plan, world: World, now: Setting, limb: Limb, start: int, above: int, speed: float
) -> None:
    """A trunk as the pieces between its take-offs, which get the fittings at its start."""
    dense = now.supply_density
    places = sorted({round(one.place, 6) for one in limb.limbs})
    own_speed = 1.0 / area(limb.pipe)
    node, before, last = start, 0.0, above
    for number, place in enumerate(places):
        end = found.node(f"trunk:{limb.id}:{number}")
        edge = Edge(node, end)
        _pipe(edge, limb.pipe, dense, now, max(place - before, 0.02) * 0.999)
        if number == 0:
            edge.square += fitting_loss(limb.pipe) * limb.pipe.crush * _head(limb.pipe, dense, now)
            _divides(edge, limb, above, speed, now)
        else:
            edge.above = last
            edge.straight = figure("straight through") * 0.5 * now.density**2 / dense
            edge.speed, edge.speed_above = own_speed, own_speed
        last = found.add(edge, f"trunk:{limb.id}" if number == 0 else f"trunk:{limb.id}:{number}")
        share = Leak(limb.leak.flow / len(places), limb.leak.exponent)
        found.open(share, end)
        for one in limb.limbs:
            if round(one.place, 6) == place:
                _limb(found, world, now, one, end, last, own_speed)
        node, before = end, place
    found.sections[f"trunk:{limb.id}"] = area(limb.pipe)


def inches(value: float) -> float:
    """Metres of inches."""
    return units.to_si(value, "in")
