"""A virtual house laid out as nodes and edges: return side, unit, supply side, leaks.

Trunks are cut where runs leave; leaks sit at boots, along trunks, behind grilles, at both plenums
and at the cabinet.
"""

from __future__ import annotations

from inchwater.rehearsal.figures import figure, fitting
from inchwater.rehearsal.parts_true import along, area, coil_loss, fitting_loss, head, through
from inchwater.rehearsal.plan_true import OUTSIDE, Edge, Plan, Setting
from inchwater.rehearsal.world import Back, Leak, Limb, World


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
        through(edge, one, now)
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
        along(edge, way.pipe, now.supply_density, now)
        edge.square += way.extra * head(way.pipe, now.supply_density, now)
        found.add(edge, f"bypass:{way.id}")
    for name, leak in world.leaks.items():
        found.open(leak, found.node(name))
    return found


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
                    * head(back.face, now.density, now)
                )
                middle = start
                if back.filter is not None:
                    middle = found.node(f"face:{back.id}")
                    edge.end = middle
                found.add(edge, f"grille:{back.id}")
                if back.filter is not None:
                    media = Edge(middle, start)
                    through(media, filters[back.filter], now)
                    found.add(media, f"filter:{back.filter}")
        _return_pipe(found, back, start, end, now)
        found.open(back.leak, start)


def _return_pipe(found: Plan, back: Back, start: int, end: int, now: Setting) -> None:
    edge = Edge(start, end)
    along(edge, back.pipe, now.density, now)
    if back.kind in ("panned", "stud", "platform"):
        edge.square += (
            figure(f"cavity {back.kind}") * back.pipe.factor * head(back.pipe, now.density, now)
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
    velocity = head(limb.pipe, dense, now)
    if now.pulled.get(limb.id) == "pulled-open":
        edge = Edge(start, OUTSIDE)
        edge.square = (fitting_loss(limb.pipe) * 0.3 + figure("pulled collar")) * velocity
        found.add(edge, f"pulled:{limb.id}")
        return
    boot = found.node(f"boot:{limb.id}")
    edge = Edge(start, boot)
    along(edge, limb.pipe, dense, now)
    _divides(edge, limb, above, speed, now)
    found.add(edge, f"run:{limb.id}")
    first = limb.pipe.fittings[0] if limb.pipe.fittings else None
    own = 0.0 if first is None else fitting(first.key)[0] * first.factor * velocity
    found.entry_loss[f"run:{limb.id}"] = (own, edge.common, edge.above)
    found.sections[f"run:{limb.id}"] = area(limb.pipe)
    found.open(limb.leak, boot)
    register = limb.register
    if register is not None:
        out = Edge(boot, _room(found, world, now, limb.room))
        loss = figure(f"face {register.kind}") * register.factor
        if limb.id in now.closed:
            loss += figure("closed register") * register.factor
        out.square = loss * head(register, dense, now)
        found.add(out, f"register:{limb.id}")
    else:
        found.add(
            Edge(boot, _room(found, world, now, limb.room), square=velocity), f"register:{limb.id}"
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
        along(edge, limb.pipe, dense, now, max(place - before, 0.02) * 0.999)
        if number == 0:
            edge.square += fitting_loss(limb.pipe) * limb.pipe.crush * head(limb.pipe, dense, now)
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
