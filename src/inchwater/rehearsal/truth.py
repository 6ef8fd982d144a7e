"""What truly happens in an invented house: flows and pressures by a plain, slow, separate way.

It shares no physics with the model that it rehearses: another friction law, other fitting and
filter figures (``data/figures.csv``), leaks with another exponent, a blower table read linearly and
off in level, and what a tube sees beside the mean static: velocity pressure, jets, a zero that
drifts.  One root finder inside another is fast enough for three houses.
"""

from __future__ import annotations

import csv
import functools
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from importlib import resources

from inchwater import units

# Standard air; the engine computes its own.
DENSITY = 1.2
KINEMATIC_VISCOSITY = 1.5e-5
HIGHEST = 3000.0  # no residential duct stands more than this [Pa]
MOST = 100.0  # nor carries more [m3/s]


@functools.cache
def figures() -> Mapping[str, float]:
    """Every figure of ``data/figures.csv`` by its key, in SI."""
    text = resources.files(__package__).joinpath("data/figures.csv").read_text("utf-8")
    return {
        row["key"]: units.to_si(float(row["value"]), row["unit"])
        for row in csv.DictReader(text.splitlines())
    }


@dataclass(frozen=True, slots=True)
class Piece:
    """A round duct with its bends.

    ``diameter`` and ``length`` [m]; ``friction`` is how many times a stretched duct's friction
    [-]; ``fittings`` are keys of ``data/figures.csv`` on the duct's velocity pressure.
    """

    diameter: float
    length: float
    roughness: str = "roughness-flex"
    friction: float = 1.0
    fittings: tuple[str, ...] = ()

    def drop(self, flow: float) -> float:
        """Loss of total pressure of a flow [m3/s] that is not negative. [Pa]"""
        velocity = flow / (math.pi / 4.0 * self.diameter**2)
        reynolds = velocity * self.diameter / KINEMATIC_VISCOSITY
        rough = figures()[self.roughness] / self.diameter
        lengths = self.friction * friction_altshul_tsal(reynolds, rough) * self.length
        losses = sum(figures()[key] for key in self.fittings)
        return (lengths / self.diameter + losses) * velocity_pressure(velocity)


@dataclass(frozen=True, slots=True)
class Face:
    """A grille or register: face area [m2] and a key of ``data/figures.csv``."""

    area: float
    kind: str = "grille-free-60"

    def drop(self, flow: float) -> float:
        """Loss of total pressure. [Pa]"""
        return figures()[self.kind] * velocity_pressure(flow / self.area)


@dataclass(frozen=True, slots=True)
class Media:
    """A pleated filter: face area [m2] and how many times its clean drop it takes now [-]."""

    area: float
    loading: float = 1.0

    def drop(self, flow: float) -> float:
        """Loss of total pressure: a viscous and an inertial part of the clean drop. [Pa]"""
        share = figures()["filter-viscous-share"]
        ratio = flow / self.area / figures()["filter-velocity"]
        clean = figures()["filter-merv8-drop"] * (share * ratio + (1.0 - share) * ratio**2)
        return self.loading * clean


@dataclass(frozen=True, slots=True)
class Line:
    """Parts that one flow passes one after another, from or to a room."""

    id: str
    parts: tuple[Piece | Face | Media, ...]
    # What leaves at the end of a trunk; a line with outlets does not reach a room itself.
    outlets: tuple[Line, ...] = ()

    def drop(self, flow: float) -> float:
        """Loss of total pressure of all parts. [Pa]"""
        return sum(part.drop(flow) for part in self.parts)


@dataclass(frozen=True, slots=True)
class CoolingCoil:
    """A coil at a design flow [m3/s]; inside the cabinet its dry drop is in the blower table."""

    design: float
    inside: bool
    wet: bool = True

    def drop(self, flow: float, wet: bool) -> float:
        """Loss of pressure, wet or dry. [Pa]"""
        rate = math.pow(flow / self.design, figures()["coil-exponent"])
        dry = figures()["coil-dry-drop"] * rate
        return dry * (figures()["coil-wet-ratio"] if wet else 1.0)


@dataclass(frozen=True, slots=True)
class Blower:
    """The columns of one tap: tesp [Pa], airflow [m3/s], power [W]; ``level`` scales the flow."""

    tesp: tuple[float, ...]
    airflow: tuple[float, ...]
    power: tuple[float, ...]
    level: float = 1.0

    def flow_at(self, tesp: float) -> float:
        """Airflow at an external static, linear between columns and beyond them. [m3/s]"""
        return self.level * _linear(tesp, self.tesp, self.airflow)

    def power_at(self, tesp: float) -> float:
        """Power taken at an external static. [W]"""
        return _linear(tesp, self.tesp, self.power)


@dataclass(frozen=True, slots=True)
class House:
    """One invented system.

    ``leak_return`` and ``leak_supply`` are flows at 25 Pa of the leaks at the plenums [m3/s];
    ``areas`` are the cross-sections at the test points [m2].
    """

    returns: tuple[Line, ...]
    supplies: tuple[Line, ...]
    blower: Blower
    coil: CoolingCoil
    areas: Mapping[str, float]
    media: Media | None = None
    leak_return: float = 0.0
    leak_supply: float = 0.0


@dataclass(frozen=True, slots=True)
class State:
    """What truly is: flows [m3/s], pressures [Pa], power [W]; ``static`` by test point, signed."""

    airflow: float
    delivered: float
    tesp: float
    power: float
    static: Mapping[str, float]
    runs: Mapping[str, float] = field(default_factory=dict)


def friction_altshul_tsal(reynolds: float, relative_roughness: float) -> float:
    """Darcy friction factor by Altshul and Tsal; 64/Re when laminar, linear in between.

    Parameters
    ----------
    reynolds : float
        Reynolds number. [-]
    relative_roughness : float
        Roughness over diameter. [-]

    References
    ----------
    ASHRAE Fundamentals, Duct Design; status: memory.
    """
    known = figures()

    def turbulent(re: float) -> float:
        smooth = known["altshul-tsal-reynolds"] / re
        first = known["altshul-tsal-factor"] * math.pow(relative_roughness + smooth, 0.25)
        return first if first >= known["altshul-tsal-bound"] else 0.85 * first + 0.0028

    if reynolds <= 0.0:
        return 0.0
    if reynolds < 2000.0:
        return 64.0 / reynolds
    if reynolds > 4000.0:
        return turbulent(reynolds)
    part = (reynolds - 2000.0) / 2000.0
    return (1.0 - part) * 64.0 / 2000.0 + part * turbulent(4000.0)


def velocity_pressure(velocity: float) -> float:
    """Velocity pressure of standard air. [Pa]"""
    return 0.5 * DENSITY * velocity**2


def settle(house: House) -> State:
    """The state in which the blower's table and the ducts agree."""
    airflow = _root(
        lambda flow: house.blower.flow_at(_blower_sees(house, flow)) - flow, 0.02, _upper(house)
    )
    before_filter, at_return, before_coil, at_supply = _statics(house, airflow)
    static = {"return": at_return, "supply": at_supply}
    if house.media:
        static["before-filter"] = before_filter
    if not house.coil.inside:
        static["before-coil"] = before_coil
    runs = _through(house.supplies, _supply_total(house, airflow))
    return State(
        airflow=airflow,
        delivered=sum(runs.values()),
        tesp=(at_supply if house.coil.inside else before_coil) - at_return,
        power=house.blower.power_at(_blower_sees(house, airflow)),
        static=static,
        runs=runs,
    )


def without_filter(house: House) -> House:
    """The house with the filter at the unit taken out."""
    return replace(house, media=None)


def _statics(house: House, flow: float) -> tuple[float, float, float, float]:
    """Static before the filter, at the return, before the coil, at the supply. [Pa]"""
    suction = _return_total(house, flow)
    entering = suction - (house.media.drop(flow) if house.media else 0.0)
    leaving = _supply_total(house, flow)
    lost = 0.0 if house.coil.inside else house.coil.drop(flow, house.coil.wet)

    def static(total: float, point: str) -> float:
        return total - velocity_pressure(flow / house.areas.get(point, math.inf))

    return (
        static(suction, "before-filter"),
        static(entering, "return"),
        static(leaving + lost, "before-coil"),
        static(leaving, "supply"),
    )


def _blower_sees(house: House, flow: float) -> float:
    """The external static at which the table is entered: water on an inside coil adds to it."""
    _, at_return, before_coil, at_supply = _statics(house, flow)
    if not house.coil.inside:
        return before_coil - at_return
    water = house.coil.drop(flow, house.coil.wet) - house.coil.drop(flow, wet=False)
    return at_supply - at_return + water


def _return_total(house: House, flow: float) -> float:
    """Total pressure in the return plenum when the blower takes ``flow``; negative. [Pa]"""
    return -_root(
        lambda suction: (
            sum(_through(house.returns, suction).values())
            + _leak(house.leak_return, suction)
            - flow
        ),
        0.0,
        HIGHEST,
    )


def _supply_total(house: House, flow: float) -> float:
    """Total pressure in the supply plenum when the blower gives ``flow``. [Pa]"""
    return _root(
        lambda pressure: (
            sum(_through(house.supplies, pressure).values())
            + _leak(house.leak_supply, pressure)
            - flow
        ),
        0.0,
        HIGHEST,
    )


def _through(lines: tuple[Line, ...], pressure: float) -> dict[str, float]:
    """The flow that each room gives or gets when ``pressure`` drives the lines. [m3/s]"""
    flows: dict[str, float] = {}
    if pressure <= 0.0:
        return flows
    for line in lines:
        if line.outlets:
            left = _left_after_trunk(line, pressure)
            flows |= _through(line.outlets, left)
        else:
            flows[line.id] = _root(_shortfall(line, pressure), 0.0, MOST)
    return flows


def _shortfall(line: Line, pressure: float) -> Callable[[float], float]:
    return lambda flow: line.drop(flow) - pressure


def _left_after_trunk(trunk: Line, pressure: float) -> float:
    """The pressure at a trunk's end that its outlets and its own loss agree on. [Pa]"""
    return _root(
        lambda left: trunk.drop(sum(_through(trunk.outlets, left).values())) + left - pressure,
        0.0,
        pressure,
    )


def _leak(at_25: float, pressure: float) -> float:
    return at_25 * math.pow(pressure / 25.0, figures()["leak-exponent"])


def _upper(house: House) -> float:
    return 1.2 * max(house.blower.airflow)


def _root(function: Callable[[float], float], low: float, high: float) -> float:
    from scipy.optimize import brentq

    return float(brentq(function, low, high, xtol=1e-9, rtol=1e-10))


def _linear(x: float, xs: tuple[float, ...], ys: tuple[float, ...]) -> float:
    """Linear between points; beyond either end the last slope goes on."""
    last = next((i for i in range(1, len(xs) - 1) if x < xs[i]), len(xs) - 1)
    share = (x - xs[last - 1]) / (xs[last] - xs[last - 1])
    return ys[last - 1] + share * (ys[last] - ys[last - 1])
