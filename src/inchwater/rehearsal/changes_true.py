"""What a change truly makes of a virtual house: new work has its own scatter, the rest stays.

The scatter of new work is drawn from a stream keyed by house, change and part, so that the same
change of the same house is always the same work.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from inchwater.errors import UnknownNameError
from inchwater.rehearsal import generate_work as work
from inchwater.rehearsal.changes_more_true import KINDS as MORE
from inchwater.rehearsal.new_work import NEW_FITTINGS, hung, si, stream_of, tight
from inchwater.rehearsal.parts_true import clean_drop
from inchwater.rehearsal.world import Back, Face, Leak, Limb, Local, Media, Pipe, World, with_limbs

if TYPE_CHECKING:
    import numpy as np

    from inchwater.survey import Change

    Rng = np.random.Generator


def changed(world: World, change: Change) -> World:
    """The house with one change made.

    Raises
    ------
    UnknownNameError
        If the kind or a part is not known.
    """
    if change.kind not in _KINDS:
        raise UnknownNameError(
            where=f"changes.{change.id}.kind",
            came=repr(change.kind),
            right=f"kinds of change are {', '.join(_KINDS)}",
        )
    known = _known(world, change.kind)
    for target in change.targets:
        if target not in known:
            raise UnknownNameError(
                where=f"changes.{change.id}.targets",
                came=repr(target),
                right=f"this house has {', '.join(known)}",
            )
    made = _KINDS[change.kind](world, change)
    return replace(made, changes=(*world.changes, change.id))


def _known(world: World, kind: str) -> tuple[str, ...]:
    if kind in ("filter", "cabinet"):
        return tuple(one.id for one in world.filters)
    if kind in ("grille", "enlarge-return"):
        return tuple(one.id for one in world.backs)
    other = _known_beside(world).get(kind)
    if other is not None:
        return other
    limbs = tuple(limb.id for limb, _ in world.walk())
    if kind in ("fitting", "insulate", "damper"):
        ways = tuple(one.id for one in world.ways) if kind == "damper" else ()
        return (*limbs, *(one.id for one in world.backs), *ways)
    if kind == "add-run":
        return ("plenum", *limbs)
    if kind == "tap":
        return ("unit", "cooling", "cooling-low", "heating", "heating-low", "fan")
    return limbs


def _known_beside(world: World) -> Mapping[str, tuple[str, ...]]:
    """What changes beside filters, returns and runs can be done to, by their kind."""
    return {
        "seal": ("supply", "return"),
        "plenum": ("plenum",),
        "remove-bypass": tuple(one.id for one in world.ways),
        "transfer": tuple(one.id for one in world.chambers),
        "clean-coil": () if world.coil is None else (world.coil.id,),
        "clean-wheel": ("unit",),
        "motor": ("unit",),
        "nothing": (),
    }


# --- filters and returns -----------------------------------------------------------------------


def _new_media(world: World, change: Change, old: Media, width: float, height: float) -> Media:
    rng = stream_of(world, change, old.id)
    grade = change.to.get("grade", old.grade)
    new = work.media(rng, old.id, old.at, grade, width, height, float(rng.uniform(1.0, 1.04)))
    new = replace(new, count=int(change.to.get("count", old.count)))
    return _as_printed(rng, change.to, new)


def _as_printed(rng: Rng, to: Mapping[str, Any], new: Media) -> Media:
    """The product whose box says a drop at an airflow, which it keeps to within a tenth."""
    if "rated_drop" not in to or "rated_airflow" not in to:
        return new
    flow, drop = to["rated_airflow"].si, to["rated_drop"].si
    factor = drop / clean_drop(replace(new, factor=1.0), flow) * float(rng.gamma(100.0) / 100.0)
    return replace(new, factor=factor)


def _filter(world: World, change: Change) -> World:
    to = change.to
    filters = tuple(
        _new_media(world, change, one, si(to, "width", one.width), si(to, "height", one.height))
        if one.id in change.targets
        else one
        for one in world.filters
    )
    sized = "width" in to or "height" in to
    backs = tuple(
        _with_face(world, change, back)
        if sized and back.filter in change.targets and back.filter is not None
        else back
        for back in world.backs
    )
    return replace(world, filters=filters, backs=backs)


def _with_face(world: World, change: Change, back: Back) -> Back:
    old = back.face or Face(0.5, 0.4, "grille-unknown")
    rng = stream_of(world, change, f"{back.id} grille")
    kind = change.to.get("kind", old.kind)
    new = work.face(rng, 1.0, 1.0, kind)
    return replace(
        back,
        face=replace(
            new,
            width=si(change.to, "width", old.width),
            height=si(change.to, "height", old.height),
        ),
    )


def _grille(world: World, change: Change) -> World:
    backs = tuple(
        _with_face(world, change, back) if back.id in change.targets else back
        for back in world.backs
    )
    filters = world.filters
    if "width" in change.to or "height" in change.to:
        held = {back.filter for back in world.backs if back.id in change.targets and back.filter}
        filters = tuple(
            _new_media(
                world,
                change,
                one,
                si(change.to, "width", one.width),
                si(change.to, "height", one.height),
            )
            if one.id in held
            else one
            for one in filters
        )
    return replace(world, backs=backs, filters=filters)


def _add_return(world: World, change: Change) -> World:
    to = change.to
    id_ = str(to["id"])
    rng = stream_of(world, change, id_)
    width, height = si(to, "width", 0.5), si(to, "height", 0.4)
    filters, held = world.filters, None
    if "grade" in to:
        held = f"{id_}-filter"
        loading = float(rng.uniform(1.0, 1.04))
        new = work.media(rng, held, "grille", str(to["grade"]), width, height, loading)
        # From a stream of its own, so that the rest of the new return is the same work without it.
        new = _as_printed(stream_of(world, change, held), to, new)
        filters = (*filters, new)
    kind = str(to.get("kind", "grille-filter" if held else "grille-stamped"))
    face = replace(work.face(rng, 1.0, 1.0, kind), width=width, height=height)
    usual = ("return-box", "flex-bend-90")
    pipe = _new_pipe(rng, to, usual, width * height / 2.5)
    back = Back(id_, "ducted", pipe, face, held, Leak(0.001 * float(rng.gamma(2.0)), 0.6))
    return replace(world, backs=(*world.backs, back), filters=filters)


# --- runs --------------------------------------------------------------------------------------


def _new_pipe(
    rng: Rng, to: Mapping[str, Any], usual: tuple[str, ...], area: float, material: str = "flex"
) -> Pipe:
    material = str(to.get("material", material))
    keys = tuple(to.get("fittings", usual))
    width = si(to, "diameter", math.sqrt(4.0 * area / math.pi))
    return Pipe(
        material,
        width,
        None,
        si(to, "length", 4.5) * float(rng.lognormal(0.0, 0.08)),
        compression=hung(rng, to) if material == "flex" else 0.0,
        factor=work.friction(rng, 1.0),
        fittings=tuple(work.fitting(rng, key, NEW_FITTINGS) for key in keys),
    )


def _enlarge_run(world: World, change: Change) -> World:
    def enlarge(limb: Limb) -> Limb:
        rng = stream_of(world, change, limb.id)
        old = limb.pipe
        material = str(change.to.get("material", old.material))
        pipe = Pipe(
            material,
            si(change.to, "diameter", old.width),
            None,
            old.length,
            compression=hung(rng, change.to) if material == "flex" else 0.0,
            factor=work.friction(rng, 1.0),
            fittings=tuple(work.fitting(rng, one.key, NEW_FITTINGS) for one in old.fittings),
        )
        register = limb.register
        if register is not None:
            new = work.face(rng, 1.0, 1.0, register.kind)
            register = replace(new, width=register.width, height=register.height)
        return replace(limb, pipe=pipe, register=register)

    return with_limbs(world, change.targets, enlarge)


def _tighten_run(world: World, change: Change) -> World:
    def tighten(limb: Limb) -> Limb:
        rng = stream_of(world, change, limb.id)
        if limb.pipe.material != "flex":
            return limb
        pulled = min(tight(rng), limb.pipe.compression)
        return replace(limb, pipe=replace(limb.pipe, compression=pulled, crush=1.0))

    return with_limbs(world, change.targets, tighten)


def _add_run(world: World, change: Change) -> World:
    to = change.to
    id_ = str(to["id"])
    rng = stream_of(world, change, id_)
    target = (change.targets or ("plenum",))[0]
    first = "take-off-straight" if target == "plenum" else "trunk-take-off-90"
    pipe = _new_pipe(rng, to, (first, "flex-bend-90", "flex-bend-90", "boot-angle"), 0.025)
    width, height = si(to, "width", 0.254), si(to, "height", 0.152)
    register = replace(
        work.face(rng, 1.0, 1.0, str(to.get("kind", "register-stamped"))),
        width=width,
        height=height,
    )
    room = to.get("room")
    new = Limb(
        id_,
        pipe,
        1.0,
        Leak(0.0006 * float(rng.gamma(2.0)), 0.6),
        None if room is None else str(room),
        register,
    )
    if target == "plenum":
        return replace(world, limbs=(*world.limbs, new))
    placed = replace(new, place=round(float(rng.uniform(0.3, 0.95)), 3))
    return with_limbs(world, (target,), lambda limb: replace(limb, limbs=(*limb.limbs, placed)))


def _fitting(world: World, change: Change) -> World:
    old, new = change.to.get("from"), change.to.get("into")

    def exchanged(id_: str, pipe: Pipe) -> Pipe:
        rng = stream_of(world, change, id_)
        made = () if new is None else (work.fitting(rng, str(new), NEW_FITTINGS),)
        if old is None:
            return replace(pipe, fittings=(*pipe.fittings, *made))
        keys = [one.key for one in pipe.fittings]
        if old not in keys:
            raise UnknownNameError(
                where=f"changes.{change.id}.to.from",
                came=repr(old),
                right=f"{id_} truly has {', '.join(keys) or 'no fittings'}",
            )
        at = keys.index(str(old))
        fittings: tuple[Local, ...] = (*pipe.fittings[:at], *made, *pipe.fittings[at + 1 :])
        return replace(pipe, fittings=fittings)

    backs = tuple(
        replace(back, pipe=exchanged(back.id, back.pipe)) if back.id in change.targets else back
        for back in world.backs
    )
    return with_limbs(
        replace(world, backs=backs),
        change.targets,
        lambda limb: replace(limb, pipe=exchanged(limb.id, limb.pipe)),
    )


def _register(world: World, change: Change) -> World:
    def renew(limb: Limb) -> Limb:
        rng = stream_of(world, change, limb.id)
        old = limb.register or Face(0.254, 0.152, "register-stamped")
        new = work.face(rng, 1.0, 1.0, str(change.to.get("kind", old.kind)))
        return replace(
            limb,
            register=replace(
                new,
                width=si(change.to, "width", old.width),
                height=si(change.to, "height", old.height),
            ),
        )

    return with_limbs(world, change.targets, renew)


def _tap(world: World, change: Change) -> World:
    machine, tap = world.machine, str(change.to["tap"])
    if tap not in machine.wheel.settings:
        raise UnknownNameError(
            where=f"changes.{change.id}.to.tap",
            came=repr(tap),
            right=f"this unit has {', '.join(machine.wheel.settings)}",
        )
    calls = dict(machine.calls)
    for call in change.targets or ("unit",):
        calls["cooling" if call == "unit" else call] = tap
    usual = tap if {"unit", "cooling"} & set(change.targets or ("unit",)) else machine.tap
    return replace(world, machine=replace(machine, tap=usual, calls=calls))


_KINDS: Mapping[str, Callable[[World, Change], World]] = {
    "filter": _filter,
    "grille": _grille,
    "add-return": _add_return,
    "enlarge-run": _enlarge_run,
    "tighten-run": _tighten_run,
    "add-run": _add_run,
    "fitting": _fitting,
    "register": _register,
    "tap": _tap,
    **MORE,
}
