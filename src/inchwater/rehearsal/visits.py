"""The trials that a visit to a virtual house may hold: condition, truth and readings of each.

Two more exist to test what is found of slips: a filter that was said to be out and was in, and a
cooling call that truly runs on another tap than the survey says.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from inchwater.rehearsal.figures import stream
from inchwater.rehearsal.instruments_true import Observer
from inchwater.rehearsal.state import State, state
from inchwater.rehearsal.world import World
from inchwater.survey import Trial

COOLING = {"call": "cooling", "coil": "wet"}
# Slips are for benchmarks.slips alone.
SLIPS = ("filter-left-in", "wrong-tap")


@dataclass(frozen=True)
class Visited:
    """One trial of a house, the part that it plays, and what truly was."""

    role: str
    trial: Trial
    truth: State


Read = Callable[[Observer, State], None]


def visited(world: World) -> tuple[Visited, ...]:
    """All trials of a house."""
    found = []
    states: dict[str, State] = {}
    for number, (role, said, true, read) in enumerate(_planned(world), 1):
        key = repr(sorted(true.items()))
        if key not in states:
            states[key] = state(world, true)
        observer = Observer(world.seed, f"tr{number}")
        read(observer, states[key])
        trial = Trial(f"tr{number}", (), dict(said), tuple(observer.readings))
        found.append(Visited(role, trial, states[key]))
    return tuple(found)


def wrong_tap(world: World) -> str:
    """The tap that truly runs in the slip house: a neighbour of the one that was written down."""
    names = list(world.machine.wheel.settings)
    at = names.index(world.machine.tap)
    near = [names[k] for k in (at - 1, at + 1) if 0 <= k < len(names)]
    return near[int(stream(world.seed, "wrong tap").integers(len(near)))]


def _planned(
    world: World,
) -> Iterator[tuple[str, Mapping[str, str], Mapping[str, str], Read]]:
    """Role, condition as said, condition as it truly is, and what is read."""
    plain = tuple(p for p in ("return", "before-coil", "supply") if p in world.holes)
    at_unit = tuple(f"filter:{one.id}" for one in world.filters if one.at == "unit")
    filters = tuple(f"filter:{one.id}" for one in world.filters)
    backs = tuple(f"return:{back.id}" for back in world.backs if back.kind != "common")

    def statics(o: Observer, s: State) -> None:
        o.statics(s, plain)

    yield "first", COOLING, COOLING, statics

    def each_side(o: Observer, s: State) -> None:
        if at_unit:
            o.statics(s, ("before-filter", "return"))
        else:
            o.drops(s, filters)

    yield "filter-drop", COOLING, COOLING, each_side
    other = _other_call(world)
    yield "other-call", other, other, statics
    out = COOLING | dict.fromkeys(filters, "out")
    yield "filter-out", out, out, statics
    yield "flow", COOLING, COOLING, lambda o, s: o.plate(s)
    ratio = world.density / world.supply_air(COOLING["call"])
    yield "hoods", COOLING, COOLING, lambda o, s: o.hoods(s, ratio)
    heating = {"call": "heating", "coil": "dry"}
    yield "temperature-rise", heating, heating, lambda o, s: o.rise(s)
    volts = world.machine.volts * world.machine.nominal
    yield "watts", COOLING, COOLING, lambda o, s: o.watts(s, volts)
    before = ("before-filter",) if at_unit else backs
    yield "pre-filter", COOLING, COOLING, lambda o, s: o.statics(s, before)
    trunks = tuple(f"trunk:{limb.id}" for limb, _ in world.walk() if limb.limbs)
    if trunks:
        yield "trunks", COOLING, COOLING, lambda o, s: o.statics(s, trunks)
    runs = tuple(f"run:{limb.id}" for limb in world.runs)
    yield "run-statics", COOLING, COOLING, lambda o, s: o.statics(s, runs)
    if world.chambers:
        shut = COOLING | {f"door:{one.id}": "shut" for one in world.chambers}
        yield "doors-shut", shut, shut, statics
    yield "filter-left-in", out, COOLING, statics
    yield "wrong-tap", COOLING, COOLING | {"tap": wrong_tap(world)}, statics


def _other_call(world: World) -> dict[str, str]:
    """Another thermostat call: fan in one house, heating in the next."""
    fan = stream(world.seed, "other call").random() < 0.5
    return {"call": "fan" if fan else "heating", "coil": "dry"}
