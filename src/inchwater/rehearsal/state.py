"""What truly happens in a virtual house in a condition: flows, pressures at the holes, watts."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from inchwater.rehearsal.blower_true import STANDARD, Curve, installed
from inchwater.rehearsal.figures import figure, spread, stream
from inchwater.rehearsal.parts_true import coil_loss, heater_loss, media_drop
from inchwater.rehearsal.pipes_true import plan
from inchwater.rehearsal.plan_true import OUTSIDE, Plan, Setting, setting
from inchwater.rehearsal.solve_true import Arrays, Rest, settle
from inchwater.rehearsal.world import Hole, Media, World


@dataclass(frozen=True, slots=True)
class State:
    """What truly is, without any instrument.

    airflow : through the blower; delivered : into the rooms [m3/s, as the air enters the unit];
    tesp : supply less return at the blower table's boundary, at the test points' holes [Pa];
    power [W], speed [rad/s];
    static : gauge, at that very hole with its jet, by ``Reading.at``; return side negative [Pa];
    drop : lost across ``filter:<id>`` and ``coil:<id>``, at the same holes [Pa];
    runs : flow by run [m3/s]; grilles : flow by return [m3/s];
    rise : warming of the air by the heating call, 0 in others [K].
    """

    airflow: float
    delivered: float
    tesp: float
    power: float
    speed: float
    static: Mapping[str, float]
    drop: Mapping[str, float] = field(default_factory=dict)
    runs: Mapping[str, float] = field(default_factory=dict)
    grilles: Mapping[str, float] = field(default_factory=dict)
    rise: float = 0.0


# The node behind each test point.
_PLACES = {
    "before-filter": "back",
    "return": "inlet",
    "before-coil": "outlet",
    "supply": "plenum",
}
# Specific heat of air. [J/(kg K)]
_HEAT = 1006.0


def state(world: World, condition: Mapping[str, str]) -> State:
    """The state of a house in a condition; see :func:`entered`."""
    return entered(world, condition)[0]


@dataclass(frozen=True)
class Solved:
    """A house at rest in a condition, with all flows and pressures of its network.

    ``now`` is the condition in the terms of the physics, ``rest`` is where ``plan`` comes to rest;
    ``entry`` : where the blower's table is entered [Pa].
    """

    world: World
    now: Setting
    plan: Plan
    rest: Rest
    curve: Curve
    entry: float

    def through(self, name: str) -> float | None:
        """Flow of a named edge, as the air enters the unit; None where it has none. [m3/s]"""
        index = self.plan.named.get(name)
        return None if index is None else float(self.rest.flow[index])

    @property
    def runs(self) -> dict[str, float]:
        """Flow out of each register, by its run. [m3/s]"""
        return self._by("register", [limb.id for limb in self.world.runs])

    @property
    def grilles(self) -> dict[str, float]:
        """Flow into each return grille, by its return. [m3/s]"""
        return self._by("grille", [back.id for back in self.world.backs])

    def _by(self, kind: str, ids: list[str]) -> dict[str, float]:
        flows = {id_: self.through(f"{kind}:{id_}") for id_ in ids}
        return {id_: flow for id_, flow in flows.items() if flow is not None}

    @property
    def tesp(self) -> float:
        """External static, as between the points at its ends. [Pa]"""
        return _external(self.world, _at_unit(self.world, self.now, self.plan, self.rest))

    @property
    def state(self) -> State:
        """What truly is, at every hole."""
        world, now, rest = self.world, self.now, self.rest
        static = _statics(world, now, self.plan, rest)
        warmed = 0.0
        if now.call.startswith("heating"):
            warmed = world.machine.heat / (now.density * _HEAT * rest.blower)
        watts = float(self.curve.at(self.entry, self.curve.power)[0])
        runs = self.runs
        return State(
            airflow=float(rest.blower),
            delivered=sum(runs.values()),
            tesp=_external(world, static),
            power=float(watts * _fan_density(world, now) / STANDARD),
            speed=float(self.curve.at(self.entry, self.curve.speed)[0]),
            static=static,
            drop=_drops(world, now, self.plan, rest, static),
            runs=runs,
            grilles=self.grilles,
            rise=float(warmed),
        )


def solved(world: World, condition: Mapping[str, str]) -> Solved:
    """A house at rest in a condition (as ``Trial.condition``).

    Raises
    ------
    UnknownNameError
        If its physics does not know a part or a tap.
    ConvergenceError
        If blower and ducts agree nowhere.
    """
    now = setting(world, condition)
    found = plan(world, now)
    curve = installed(world.machine, now.tap)
    blower, entry = _blower(world, now, curve)
    start = 0.8 * figure("coil airflow") * world.machine.capacity
    rest = settle(found, blower, start)
    rise = float(rest.pressure[found.nodes["outlet"]] - rest.pressure[found.nodes["inlet"]])
    return Solved(world, now, found, rest, curve, entry(rise, rest.blower))


def entered(world: World, condition: Mapping[str, str]) -> tuple[State, float]:
    """The state of a house in a condition (as ``Trial.condition``), and where its table is entered.

    Returns
    -------
    State
    float
        External static at standard density, with what the table's cabinet did not hold. [Pa]

    Raises
    ------
    UnknownNameError
        If its physics does not know a part or a tap.
    ConvergenceError
        If blower and ducts agree nowhere.
    """
    found = solved(world, condition)
    return found.state, found.entry


def outlet_point(world: World) -> str:
    """The test point at the outlet of the table's boundary."""
    return "before-coil" if world.coil is not None and not world.coil.inside else "supply"


def inlet_point(world: World) -> str:
    """The test point at the inlet of the table's boundary."""
    return "before-filter" if "filter" in world.machine.includes else "return"


def _external(world: World, static: Mapping[str, float]) -> float:
    """External static, of what the holes at the ends of the table's boundary see. [Pa]"""
    return static[outlet_point(world)] - static[inlet_point(world)]


def _fan_density(world: World, now: Setting) -> float:
    """Of the air in the wheel, which draws through the coil of all but a furnace. [kg/m3]"""
    after = world.machine.kind == "furnace"
    after = after or (world.machine.heat_after and now.call.startswith("heating"))
    return now.density if after else now.supply_density


Entry = Callable[[float, float], float]


def _blower(
    world: World, now: Setting, curve: Curve
) -> tuple[Callable[[float, float], tuple[float, float]], Entry]:
    """The blower as the solver asks for it, and the pressure at which its table is entered."""
    dense = _fan_density(world, now)
    ratio = 1.0 if world.machine.wheel.motor == "constant-airflow" else STANDARD / dense
    volume = dense / now.density
    terms = _inside(world, now)
    velocity = _velocity(world, now, outlet_point(world)) - _velocity(world, now, "return")
    tested = _tested(world)

    def added(flow: float) -> tuple[float, float]:
        size = max(abs(flow), 1e-6)
        total = -velocity * flow * size
        slope = -2.0 * velocity * size
        for coefficient, exponent in terms:
            total += coefficient * flow * size ** (exponent - 1.0)
            slope += coefficient * exponent * size ** (exponent - 1.0)
        if tested is not None:
            step = 1e-4
            total -= media_drop(tested, flow)
            slope -= (media_drop(tested, flow + step) - media_drop(tested, flow)) / step
        return total, slope

    def entry(rise: float, flow: float) -> float:
        return (rise + added(flow)[0]) * ratio

    def blower(rise: float, flow: float) -> tuple[float, float]:
        extra, extra_slope = added(flow)
        value, fall = curve.at((rise + extra) * ratio)
        value, fall = value * volume, min(fall * ratio * volume, -1e-7)
        resists = max(1.0 - fall * extra_slope, 0.2)
        return flow + (value - flow) / resists, fall / resists

    return blower, entry


def _inside(world: World, now: Setting) -> list[tuple[float, float]]:
    """What the cabinet takes beyond what the table's maker had in it: (coefficient, exponent)."""
    held = world.machine.includes
    terms = []
    if world.coil is not None and world.coil.inside:
        actual, exponent = coil_loss(world, now.wet)
        table, _ = coil_loss(world, "coil-wet" in held, dirty=False)
        terms.append((actual - table, exponent))
    if world.machine.heater > 0.0 and "heater" not in held:
        terms.append((heater_loss(world), 2.0))
    return terms


def _tested(world: World) -> Media | None:
    """The filter in the unit's slot when its table was made, where the table holds one."""
    if "filter" not in world.machine.includes:
        return None
    return next((one for one in world.filters if one.at == "unit"), None)


def _velocity(world: World, now: Setting, point: str) -> float:
    """Velocity pressure at a test point per square of the flow. [Pa s2/m6]"""
    dense = now.density if point in ("return", "before-filter") else now.supply_density
    return 0.5 * now.density**2 / dense / world.holes[point].area ** 2


def _at_unit(world: World, now: Setting, found: Plan, rest: Rest) -> dict[str, float]:
    """What a tip in each hole about the unit sees. [Pa]"""
    static = {}
    for point, node in _PLACES.items():
        if point in world.holes:
            head = _velocity(world, now, point) * rest.blower**2
            total = float(rest.pressure[found.nodes[node]])
            static[point] = float(total - head * (1.0 - world.holes[point].jet))
    return static


def _statics(world: World, now: Setting, found: Plan, rest: Rest) -> dict[str, float]:
    """What a tip in each hole sees. [Pa]"""
    static = _at_unit(world, now, found, rest)
    a = found
    for name, section in a.sections.items():
        index = a.named.get(name)
        if index is None:
            continue
        kind = name.partition(":")[0]
        edge = a.edges[index]
        flow = float(rest.flow[index])
        dense = now.density if kind == "return" else now.supply_density
        head = 0.5 * now.density**2 / dense * (flow / section) ** 2
        hole = _hole(world, name, section)
        if kind == "run":
            own, common, above = a.entry_loss[name]
            lost = own * flow * abs(flow)
            if above >= 0:
                lost += common * float(rest.flow[above]) ** 2
            total = _at(rest, edge.start) - lost
        elif kind == "trunk":
            total = _at(rest, edge.end)
        else:
            total = _at(rest, edge.start)
            # Behind a grille the box is wide and the air slow.
            head *= spread("box velocity share")
        static[name] = float(total - head * (1.0 - hole.jet))
    return static


def _at(rest: Rest, node: int) -> float:
    return 0.0 if node == OUTSIDE else float(rest.pressure[node])


def _hole(world: World, name: str, section: float) -> Hole:
    """A hole that somebody may drill: its jet is the house's own, whenever it is drilled."""
    if name in world.holes:
        return world.holes[name]
    return Hole(section, float(stream(world.seed, "hole", name).standard_t(4)) * spread("duct jet"))


def _drops(
    world: World, now: Setting, found: Plan, rest: Rest, static: Mapping[str, float]
) -> dict[str, float]:
    """What a gauge between the holes on both sides of a filter or coil shows. [Pa]"""
    lost, _ = Arrays(found).loss(rest.flow)
    drops = {}
    for one in world.filters:
        index = found.named[f"filter:{one.id}"]
        drop = float(lost[index])
        if one.at == "unit":
            drop = static["before-filter"] - static["return"]
        else:
            hole = _hole(world, f"filter:{one.id}", 1.0)
            face = one.width * one.height * one.count
            drop += hole.jet * 0.5 * now.density * (float(rest.flow[index]) / face) ** 2
        drops[f"filter:{one.id}"] = float(drop)
    if world.coil is not None and not world.coil.inside:
        drops[f"coil:{world.coil.id}"] = static["before-coil"] - static["supply"]
    return drops
