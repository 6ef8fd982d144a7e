"""What changes of returns, runs, plenum and unit truly make of a virtual house.

As in :mod:`changes_true`, whose streams and pieces of new work it shares.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from inchwater.errors import NotPossibleError
from inchwater.rehearsal import generate_work as work
from inchwater.rehearsal.changes_unit_true import clean_coil, clean_wheel, motor
from inchwater.rehearsal.figures import figure, fitting
from inchwater.rehearsal.new_work import NEW_FITTINGS, hung, si, stream_of
from inchwater.rehearsal.world import (
    Back,
    Chamber,
    Leak,
    Limb,
    Local,
    Media,
    Pipe,
    Way,
    World,
    with_limbs,
)
from inchwater.survey.change_work import is_boot, is_damper, is_take_off

if TYPE_CHECKING:
    import numpy as np

    from inchwater.survey import Change

    Rng = np.random.Generator

# What is left of one opening that was sealed by hand, from least to most. [-]
_LEFT = (0.2, 0.6)
# Pressure behind a shut door at which a new way out of the room is taken to be. [Pa]
_DOOR = 3.0


def nothing(world: World, change: Change) -> World:
    """The house as it is."""
    return world


def insulate(world: World, change: Change) -> World:
    """The house as it is, as far as its air goes."""
    return world


# --- ducts -------------------------------------------------------------------------------------


def enlarge_return(world: World, change: Change) -> World:
    """New duct behind the same grille; a cavity is left behind with its leak."""

    def enlarge(back: Back) -> Back:
        rng = stream_of(world, change, back.id)
        to, old = change.to, back.pipe
        cavity = back.kind in ("panned", "stud", "platform")
        usual = ("return-box", "flex-bend-90") if cavity else tuple(f.key for f in old.fittings)
        material = str(to.get("material", "flex" if cavity else old.material))
        pipe = Pipe(
            material,
            si(to, "diameter", si(to, "width", old.width)),
            None if "diameter" in to else si(to, "height", old.width),
            si(to, "length", old.length),
            compression=hung(rng, to) if material == "flex" else 0.0,
            factor=work.friction(rng, 1.0),
            fittings=_made(rng, to.get("fittings", usual)),
        )
        leak = Leak(0.001 * float(rng.gamma(2.0)), 0.6) if cavity else back.leak
        kind = back.kind if back.kind == "common" else "ducted"
        return replace(back, pipe=pipe, leak=leak, kind=kind)

    backs = tuple(enlarge(b) if b.id in change.targets else b for b in world.backs)
    return replace(world, backs=backs)


def shorten_run(world: World, change: Change) -> World:
    """What is left of a run; flex is pulled tight and lies free."""

    def shorten(limb: Limb) -> Limb:
        rng = stream_of(world, change, limb.id)
        return replace(limb, pipe=_hung_again(rng, change, limb.pipe))

    return with_limbs(world, change.targets, shorten)


def _hung_again(rng: Rng, change: Change, old: Pipe) -> Pipe:
    """A pipe of another length, with the fittings that a change names beside those it keeps."""
    to = change.to
    length = si(to, "length", old.length) * float(rng.lognormal(0.0, 0.03))
    fittings = old.fittings
    if "fittings" in to:
        left = list(old.fittings)
        kept: list[Local] = []
        for key in to["fittings"]:
            there = next((one for one in left if one.key == key), None)
            if there is None:
                kept.append(work.fitting(rng, str(key), NEW_FITTINGS))
            else:
                left.remove(there)
                kept.append(there)
        fittings = tuple(kept)
    new = replace(old, length=length, fittings=fittings)
    if old.material != "flex":
        return new
    return replace(new, compression=hung(rng, to), crush=1.0)


def move_run(world: World, change: Change) -> World:
    """A run taken off its place and hung to another one."""
    (id_,) = change.targets
    found = next(limb for limb, _ in world.walk() if limb.id == id_)
    trunks = tuple(limb.id for limb, _ in world.walk() if limb.limbs)
    place = str(change.to["at"])
    if place not in ("plenum", *trunks):
        raise NotPossibleError(
            where=f"changes.{change.id}.to.at",
            came=repr(place),
            right=f"runs of this house leave from {', '.join(('plenum', *trunks))}",
        )
    rng = stream_of(world, change, id_)
    pipe = _hung_again(rng, change, found.pipe)
    usual = "take-off-straight" if place == "plenum" else "trunk-take-off-90"
    first = next((one for one in pipe.fittings if is_take_off(one.key)), None)
    if "fittings" not in change.to or first is None:
        rest = tuple(one for one in pipe.fittings if not is_take_off(one.key))
        take_off = work.fitting(rng, str(change.to.get("into", usual)), NEW_FITTINGS)
        pipe = replace(pipe, fittings=(take_off, *rest))
    moved = replace(found, pipe=replace(pipe, factor=work.friction(rng, 1.0)))

    def without(limb: Limb) -> Limb:
        return replace(limb, limbs=tuple(one for one in limb.limbs if one.id != id_))

    world = with_limbs(world, trunks, without)
    world = replace(world, limbs=tuple(one for one in world.limbs if one.id != id_))
    if place == "plenum":
        return replace(world, limbs=(*world.limbs, replace(moved, place=0.0)))
    moved = replace(moved, place=round(float(rng.uniform(0.3, 0.95)), 3))
    return with_limbs(world, (place,), lambda one: replace(one, limbs=(*one.limbs, moved)))


def boot(world: World, change: Change) -> World:
    """Another boot at the end of runs."""

    def renew(limb: Limb) -> Limb:
        rng = stream_of(world, change, limb.id)
        kept = tuple(one for one in limb.pipe.fittings if not is_boot(one.key))
        new = work.fitting(rng, str(change.to["into"]), NEW_FITTINGS)
        return replace(limb, pipe=replace(limb.pipe, fittings=(*kept, new)))

    return with_limbs(world, change.targets, renew)


def plenum(world: World, change: Change) -> World:
    """New take-offs on all that leaves the plenum; its test point is drilled anew."""

    def renew(limb: Limb) -> Limb:
        rng = stream_of(world, change, limb.id)
        old = next((one for one in limb.pipe.fittings if is_take_off(one.key)), None)
        if old is None and "into" not in change.to:
            return limb
        key = str(change.to.get("into", "" if old is None else old.key))
        rest = tuple(one for one in limb.pipe.fittings if one is not old)
        new = work.fitting(rng, key, NEW_FITTINGS)
        return replace(limb, pipe=replace(limb.pipe, fittings=(new, *rest)))

    hole = world.holes["supply"]
    # Its jet changes its sign as often as not; the blower's own outlet is what it was.
    turned = -1.0 if stream_of(world, change, "plenum").random() < 0.5 else 1.0
    holes = {**world.holes, "supply": replace(hole, jet=turned * hole.jet)}
    return replace(world, limbs=tuple(renew(limb) for limb in world.limbs), holes=holes)


def damper(world: World, change: Change) -> World:
    """A blade at an angle, on the velocity pressure of the duct that it stands in."""
    turn = math.degrees(change.to["angle"].si)
    loss = figure("damper open") * math.pow(10.0, figure("damper rise") * turn)

    def blade(part: str) -> float:
        rng = stream_of(world, change, part)
        return loss * float(rng.gamma(12.0) / 12.0)

    def stands(part: str, pipe: Pipe) -> Pipe:
        kept = tuple(one for one in pipe.fittings if not is_damper(one.key))
        return replace(pipe, fittings=(*kept, _of_loss(blade(part))))

    def bypass(way: Way) -> Way:
        if way.id not in change.targets:
            return way
        if way.kind == "damper":
            return replace(way, extra=blade(way.id))
        return replace(way, pipe=stands(way.id, way.pipe))

    backs = tuple(
        replace(b, pipe=stands(b.id, b.pipe)) if b.id in change.targets else b for b in world.backs
    )
    world = replace(world, backs=backs, ways=tuple(map(bypass, world.ways)))
    return with_limbs(
        world, change.targets, lambda one: replace(one, pipe=stands(one.id, one.pipe))
    )


def _of_loss(loss: float) -> Local:
    return Local("damper-open", loss / fitting("damper-open")[0])


def _made(rng: Rng, keys: Any) -> tuple[Local, ...]:
    return tuple(work.fitting(rng, str(key), NEW_FITTINGS) for key in keys)


# --- filters, leaks, ways ----------------------------------------------------------------------


def cabinet(world: World, change: Change) -> World:
    """A filter at the unit in place of others; its grilles stay without."""
    to = change.to
    gone = change.targets or tuple(one.id for one in world.filters)
    id_ = str(to["id"])
    rng = stream_of(world, change, id_)
    sides = (si(to, "width", 0.5), si(to, "height", 0.5))
    new = work.media(rng, id_, "unit", str(to["grade"]), *sides, float(rng.uniform(1.0, 1.04)))
    new = replace(new, count=int(to.get("count", 1)))
    kept: tuple[Media, ...] = tuple(one for one in world.filters if one.id not in gone)
    backs = tuple(replace(b, filter=None) if b.filter in gone else b for b in world.backs)
    holes = dict(world.holes)
    if "before-filter" not in holes:
        # A point before the new cabinet is drilled where the air is as slow as after it.
        holes["before-filter"] = replace(
            holes["return"], jet=float(rng.normal(0.0, abs(holes["return"].jet) + 0.1))
        )
    return replace(world, filters=(*kept, new), backs=backs, holes=holes)


def seal(world: World, change: Change) -> World:
    """Every opening of a side sealed as well as a hand reaches it."""
    for side in change.targets:
        world = _sealed(world, change, side)
    return world


def _sealed(world: World, change: Change, side: str) -> World:
    rng = stream_of(world, change, side)
    share = float(rng.uniform(*_LEFT))
    names = ("back", "inlet") if side == "return" else ("outlet", "plenum")
    if "airflow" in change.to:
        there = [one for name, one in world.leaks.items() if name in names]
        there += [b.leak for b in world.backs] if side == "return" else []
        there += [limb.leak for limb, _ in world.walk()] if side == "supply" else []
        test = change.to["pressure"].si
        now = sum(one.flow * (test / 25.0) ** one.exponent for one in there)
        share = change.to["airflow"].si * float(rng.lognormal(0.0, 0.1)) / max(now, 1e-9)

    def left(one: Leak) -> Leak:
        scatter = float(rng.gamma(8.0) / 8.0) if "airflow" not in change.to else 1.0
        return replace(one, flow=one.flow * min(share * scatter, 1.0))

    leaks = {name: left(one) if name in names else one for name, one in world.leaks.items()}
    world = replace(world, leaks=leaks)
    if side == "return":
        return replace(world, backs=tuple(replace(b, leak=left(b.leak)) for b in world.backs))
    every = tuple(limb.id for limb, _ in world.walk())
    return with_limbs(world, every, lambda limb: replace(limb, leak=left(limb.leak)))


def remove_bypass(world: World, change: Change) -> World:
    """The house without a bypass."""
    return replace(world, ways=tuple(w for w in world.ways if w.id not in change.targets))


def transfer(world: World, change: Change) -> World:
    """Another way out of rooms whose doors are shut."""

    def renew(room: Chamber) -> Chamber:
        if room.id not in change.targets:
            return room
        new = _way_out(change) * float(stream_of(world, change, room.id).gamma(20.0) / 20.0)
        # What the way lets out at such a pressure, in the terms of the room's own cracks.
        flow = new * (25.0 / _DOOR) ** room.leak.exponent
        if change.to["kind"] == "undercut":
            return replace(room, leak=replace(room.leak, flow=max(room.leak.flow, flow)))
        return replace(room, leak=replace(room.leak, flow=room.leak.flow + flow))

    return replace(world, chambers=tuple(map(renew, world.chambers)))


def _way_out(change: Change) -> float:
    """Flow of a new way at the pressure of a shut door. [m3/s]"""
    to, kind = change.to, change.to["kind"]
    speed = math.sqrt(2.0 * _DOOR / 1.2)
    if kind == "undercut":
        gap = si(to, "width", work.inches(30.0)) * si(to, "height", work.inches(0.75))
        return figure("discharge") * gap * speed
    face = si(to, "width", work.inches(12.0)) * si(to, "height", work.inches(8.0))
    # Two faces, one behind the other.
    lost = 2.0 * figure("face grille-stamped") / face**2
    if kind == "jumper":
        wide = si(to, "diameter", work.inches(8.0))
        section = math.pi / 4.0 * wide**2
        along = 0.03 * si(to, "length", 3.0) / wide
        lost += (along + 2.4) / section**2
    return speed / math.sqrt(lost)


KINDS: Mapping[str, Callable[[World, Change], World]] = {
    "cabinet": cabinet,
    "enlarge-return": enlarge_return,
    "shorten-run": shorten_run,
    "move-run": move_run,
    "boot": boot,
    "plenum": plenum,
    "damper": damper,
    "insulate": insulate,
    "seal": seal,
    "remove-bypass": remove_bypass,
    "transfer": transfer,
    "clean-wheel": clean_wheel,
    "clean-coil": clean_coil,
    "motor": motor,
    "nothing": nothing,
}
