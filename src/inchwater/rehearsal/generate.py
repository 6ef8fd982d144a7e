"""A virtual house by its number: what kind it is, its unit, and its ducts.

Drawn from the spreads of the field (docs/houses.md names them), in other families than the
model's priors: gamma and mixtures, correlated within a crew, with a crushed run in 25.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inchwater import units
from inchwater.rehearsal import generate_ducts as ducts
from inchwater.rehearsal.blower_true import printed
from inchwater.rehearsal.figures import figure, spread, stream
from inchwater.rehearsal.generate_kind import Kind
from inchwater.rehearsal.world import Coil, Hole, Leak, Machine, Wheel, World

if TYPE_CHECKING:
    import numpy as np

    Rng = np.random.Generator

# Wheels by capacity: diameter and breadth [in].
_WHEELS = {
    1.5: (9, 6),
    2.0: (10, 6),
    2.5: (10, 8),
    3.0: (10, 9),
    3.5: (10, 10),
    4.0: (11, 10),
    5.0: (12, 12),
}
# Airflow of each tap at 0.5 in. w.c. over 400 cfm/ton, from the fastest on.
_TAPS = {
    "psc": {
        3: {"high": 1.12, "med": 0.97, "low": 0.80},
        4: {"high": 1.16, "med-high": 1.05, "med": 0.93, "low": 0.78},
    },
    "constant-torque": {5: {"5": 1.20, "4": 1.10, "3": 1.0, "2": 0.85, "1": 0.66}},
}
_PER_TON = (450, 400, 350, 300)


@dataclass(frozen=True)
class Made:
    """A house and what its technician is told of it."""

    kind: Kind
    world: World


def make(seed: int, attempt: int) -> Made:
    """The house of a seed; another attempt is another house."""
    kind = Kind.draw(stream(seed, f"kind {attempt}"), seed)
    rng = stream(seed, f"unit {attempt}")
    machine = _machine(rng, kind)
    density = _density(rng, kind)
    air = 297.0
    cold = air - rng.uniform(8.0, 12.0)
    flow = 0.85 * kind.design
    hot = air + (machine.heat / (density * 1006.0 * flow) if machine.heat else 14.0)
    supply = {
        "cooling": density * air / cold,
        "heating": density * air / hot,
        "fan": density,
    }
    found = ducts.lay(stream(seed, f"ducts {attempt}"), kind)
    leaks = _leaks(stream(seed, f"leaks {attempt}"), kind)
    world = World(
        seed=seed,
        attempt=attempt,
        density=density,
        supply_density=supply,
        machine=machine,
        coil=_coil(rng, kind),
        filters=found.filters,
        backs=found.backs,
        limbs=found.limbs,
        leaks=leaks,
        holes=_holes(stream(seed, f"holes {attempt}"), kind),
        chambers=found.chambers,
        ways=found.ways,
    )
    return Made(kind, world)


# --- unit --------------------------------------------------------------------------------------


def _machine(rng: Rng, kind: Kind) -> Machine:
    wheel = _wheel(rng, kind)
    tap = _cooling_tap(rng, kind, wheel)
    names = tuple(wheel.settings)
    others = [name for name in names if name != tap]
    near = sorted(others, key=lambda name: abs(names.index(name) - names.index(tap)))
    heating = near[0] if rng.random() < 0.7 else near[min(1, len(near) - 1)]
    slower = [name for name in others if names.index(name) > names.index(tap)]
    fan = str(rng.choice(slower)) if slower else near[0]
    sigma = 0.032 if wheel.motor == "constant-airflow" else 0.036
    level = 0.995 * (1.0 + sigma * float(rng.standard_t(6)) / math.sqrt(1.5))
    return Machine(
        kind=kind.unit,
        capacity=kind.capacity_w,
        wheel=wheel,
        includes=kind.includes,
        tap=tap,
        calls={"cooling": tap, "heating": heating, "fan": fan},
        level=min(max(level, 0.86), 1.10),
        tilt=float(rng.normal(0.0, 0.03)),
        taps={name: float(1.0 + rng.normal(0.0, 0.014)) for name in names},
        watts=float(rng.gamma(300.0) / 300.0),
        dirt=kind.dirt,
        volts=float(rng.uniform(0.95, 1.03)) if wheel.motor == "psc" else 1.0,
        nominal=kind.nominal,
        heat=kind.heat * float(rng.uniform(0.95, 1.03)),
        heater=kind.heater * float(rng.gamma(8.0) / 8.0),
        heat_after=kind.heat_by != "heat-pump",
    )


def _wheel(rng: Rng, kind: Kind) -> Wheel:
    diameter, breadth = (units.to_si(float(x), "in") for x in _WHEELS[kind.tons])
    breadth *= float(rng.uniform(0.94, 1.06))
    loss = units.to_si(float(rng.uniform(0.17, 0.26)), "inwc") / kind.design**2
    top = float(rng.uniform(1180.0, 1380.0)) * math.pi / 30.0
    if kind.motor == "constant-airflow":
        wanted = [units.to_si(round(per * kind.tons / 25) * 25, "cfm") for per in _PER_TON]
        names = [f"{round(per * kind.tons / 25) * 25:.0f}" for per in _PER_TON]
        held = kind.design * 1.06
        power = held * 250.0 / 0.36 * float(rng.uniform(0.95, 1.25))
        settings = dict(zip(names, wanted, strict=True))
        wheel = Wheel(kind.motor, diameter, breadth, loss, settings, top, power, 0.78, 15.0)
        return wheel
    layout = _TAPS[kind.motor]
    wanted_by = layout[int(rng.choice(sorted(layout)))]
    shape = float(rng.normal(0.975, 0.03))
    efficiency, idle = (0.66, 50.0) if kind.motor == "psc" else (0.76, 12.0)
    torques: dict[str, float] = {}
    for name, share in wanted_by.items():
        target = kind.design * share * shape * float(rng.normal(1.0, 0.015))
        torques[name] = torque_for(
            Wheel(kind.motor, diameter, breadth, loss, {}, top, 0.0, efficiency, idle), target
        )
    return Wheel(kind.motor, diameter, breadth, loss, torques, top, 0.0, efficiency, idle)


def torque_for(wheel: Wheel, target: float) -> float:
    """The torque at which a wheel moves ``target`` at 0.5 in. w.c. [N m]"""
    from dataclasses import replace

    about = units.to_si(0.5, "inwc")
    low, high = 0.2, 14.0
    for _ in range(14):
        middle = math.sqrt(low * high)
        flow, _slope = printed(replace(wheel, settings={"x": middle}), "x").at(about)
        low, high = (middle, high) if flow < target else (low, middle)
    return round(math.sqrt(low * high), 4)


def _cooling_tap(rng: Rng, kind: Kind, wheel: Wheel) -> str:
    """The tap that somebody chose for cooling: near 400 cfm/ton at the plate's static, or not."""
    wanted = kind.design * float(rng.normal(0.99, 0.09))
    about = units.to_si(0.5, "inwc")
    near = {tap: abs(printed(wheel, tap).at(about)[0] - wanted) for tap in wheel.settings}
    return min(near, key=lambda tap: near[tap])


def _density(rng: Rng, kind: Kind) -> float:
    """Of the air that comes to the unit. [kg/m3]"""
    pressure = 101325.0 * math.exp(-kind.altitude / 8434.0)
    return pressure / (287.05 * (296.5 + float(rng.normal(0.0, 1.0))))


def _coil(rng: Rng, kind: Kind) -> Coil:
    return Coil(
        id="c1",
        inside=kind.unit != "furnace",
        drop=figure("coil dry") * float(rng.gamma(9.0) / 9.0),
        exponent=float(rng.uniform(1.52, 1.85)),
        wet=float(rng.uniform(1.18, 1.52)),
        dirt=kind.coil_dirt,
    )


def _leaks(rng: Rng, kind: Kind) -> dict[str, Leak]:
    """At the plenums and the cabinet; those along ducts are with the ducts."""

    def leak(flow: float, pressure: float) -> Leak:
        exponent = float(rng.uniform(0.52, 0.70))
        return Leak(flow * (25.0 / pressure) ** exponent, exponent)

    back, ahead = kind.leak_return * kind.design, kind.leak_supply * kind.design
    share = float(rng.uniform(0.3, 0.7))
    return {
        "back": leak(back * 0.6 * share, 55.0),
        "inlet": leak(back * 0.6 * (1.0 - share), 75.0),
        "outlet": leak(ahead * 0.1, 70.0),
        "plenum": leak(ahead * 0.3, 45.0),
    }


def _holes(rng: Rng, kind: Kind) -> dict[str, Hole]:
    """The test points that this house has, with what stands out at each."""
    points = ["return", "supply"]
    points += ["before-filter"] if kind.filter == "unit" else []
    points += ["before-coil"] if kind.unit == "furnace" else []
    holes = {}
    for point in points:
        side = "return" if point in ("return", "before-filter") else "supply"
        low, high = (550.0, 950.0) if side == "return" else (600.0, 1050.0)
        speed = units.to_si(float(rng.uniform(low, high)), "fpm")
        usual = 0.6 * spread("jet velocity") ** 2
        sigma = spread(f"jet {side}") / usual
        jet = float(rng.standard_t(5)) / math.sqrt(5.0 / 3.0) * sigma
        holes[point] = Hole(kind.design / speed, min(max(jet, -1.6), 1.6))
    return holes
