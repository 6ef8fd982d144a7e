"""Ways of the air beside the main one: bypasses at the unit, and out of rooms with shut doors."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import hypot

from inchwater.network.build import Bench
from inchwater.network.elements import Edge, Local, Parameter, Power
from inchwater.network.pieces import anew, damper_piece, friction_piece, sized
from inchwater.parts import bypasses, dampers, transfers
from inchwater.parts.laws import PowerLaw
from inchwater.survey import Bypass, Fact, How, Room, Survey, Transfer

_WORDS = {
    "cracks": "Cracks round the door",
    "undercut": "Door undercut",
    "grille": "Transfer grille",
    "jumper": "Jumper duct",
}


def compile_bypasses(bench: Bench, survey: Survey, state: Mapping[str, str]) -> None:
    """Put every bypass on the bench, from the supply plenum to the return end of the ducts."""
    for one in survey.bypasses or ():
        bench.bypass.append(_bypass(bench, one, state.get(f"bypass:{one.id}") == "shut"))


def _bypass(bench: Bench, one: Bypass, shut: bool) -> int:
    base = f"bypass:{one.id}"
    usual = bypasses.bypass(one.kind)
    duct = one.duct
    sides = duct.width is not None and duct.height is not None
    if duct.diameter is None and not sides:
        duct = replace(duct, diameter=Fact(usual.diameter, "m", How.TYPICAL))
    if duct.length is None:
        duct = replace(duct, length=Fact(usual.length, "m", How.TYPICAL))
    section = sized(duct, "run").section
    bench.note(base, bypasses.beyond(one.kind, section.equivalent_diameter))
    loss, sigma = bypasses.open_loss()
    facts = sized(duct, "run").facts(4.0)
    ends = bench.unknown(Parameter(f"{base}:fittings", "fittings", sigma, 1.0, facts=facts))
    local = [Local(loss, section.area, ((ends, 1.0),))]
    power = []
    if one.kind == "humidifier":
        law, spread = bypasses.humidifier_law()
        pad = bench.unknown(Parameter(f"{base}:pad", "fittings", sigma=spread, median=1.0))
        power.append(Power.of(law, ((pad, 1.0),)))
    if shut:
        local.append(damper_piece(bench, base, None, dampers.SHUT, section.area))
    elif duct.damper is not None:
        local.append(damper_piece(bench, base, None, duct.damper.si, section.area))
    elif one.kind == "damper":
        loss, spread = bypasses.bypass_damper_loss(None)
        blade = bench.unknown(Parameter(f"{base}:damper", "fittings", sigma=spread, median=1.0))
        local.append(Local(loss, section.area, ((blade, 1.0),)))
    friction = friction_piece(bench, base, duct, {}, "bypass", "return")
    return bench.add(
        Edge(base, f"Bypass {one.id}", "bypass", (friction,), tuple(local), tuple(power))
    )


def shut_rooms(survey: Survey, state: Mapping[str, str]) -> tuple[Room, ...]:
    """The rooms whose doors are shut in a condition."""
    return tuple(one for one in survey.rooms or () if state.get(f"door:{one.id}") == "shut")


def name_rooms(bench: Bench, rooms: tuple[Room, ...]) -> None:
    """Tell the bench by which names its runs and returns call the rooms that are shut."""
    for one in rooms:
        bench.shut.update({name: one.id for name in (one.id, one.name) if name})


def compile_rooms(bench: Bench, rooms: tuple[Room, ...]) -> None:
    """Put the ways out of the shut rooms on the bench: what is known, or the usual, and cracks."""
    used = {leaf.behind for leaf in (*bench.supply, *bench.returns)}
    for room in rooms:
        if room.id not in used:
            # No run and no return reaches it: its door changes nothing.
            continue
        ways = [_way(bench, room, "cracks", *transfers.cracks_law())]
        known = (Transfer("undercut"),) if room.transfers is None else room.transfers
        for number, one in enumerate(known, start=1):
            name = anew(f"room:{room.id}:{one.kind}-{number}", one.renewed.get("way"))
            law, sigma = _law(bench, room, one)
            ways.append(_way(bench, room, f"{one.kind}-{number}", law, sigma, name))
        bench.rooms[room.id] = tuple(ways)


def _way(
    bench: Bench, room: Room, what: str, law: PowerLaw, sigma: float, name: str | None = None
) -> int:
    key = f"room:{room.id}:{what}"
    name = bench.unknown(Parameter(name or key, "fittings", sigma=sigma, median=1.0))
    label = f"{_WORDS[what.partition('-')[0]]}, {room.name or room.id}"
    return bench.add(Edge(key, label, "room", power=(Power.of(law, ((name, 1.0),)),)))


def _law(bench: Bench, room: Room, one: Transfer) -> tuple[PowerLaw, float]:
    usual = transfers.usual(one.kind)
    width = usual.width if one.width is None else one.width.si
    height = usual.height if one.height is None else one.height.si
    # A face that nobody measured is a doubt of its own: the drop goes with its square.
    unknown = [key for key in ("width", "height") if getattr(one, key) is None]
    doubt = [2.0 * transfers.usual_sigma(one.kind, key) for key in unknown]
    if one.kind == "undercut":
        bench.note(f"room:{room.id}", transfers.undercut_beyond(height))
        law, sigma = transfers.undercut_law(width, height)
        return law, hypot(sigma, *doubt)
    if one.kind == "grille":
        law, sigma = transfers.grille_pair_law(width, height)
        return law, hypot(sigma, *doubt)
    duct = one.duct
    diameter = usual.diameter if duct.diameter is None else duct.diameter.si
    length = usual.length if duct.length is None else duct.length.si
    # A jumper's usual sizes are all there.
    law, sigma = transfers.jumper_law(
        width, height, diameter or 0.0, length or 0.0, duct.material or "flex"
    )
    if duct.diameter is None:
        doubt.append(4.0 * transfers.usual_sigma(one.kind, "diameter"))
    return law, hypot(sigma, *doubt)
