"""A wheel on a motor: what a maker prints of it, and what it does in a house.

The forward-curved wheel is dimensionless, the motors are a slipping induction motor, one that
holds a torque and one that holds an airflow; constants are invented and give the shapes of
published tables (slopes at 0.5 in. w.c. of 6, 4.5 and 0 % per 0.1 in. w.c.).
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from inchwater import units

if TYPE_CHECKING:
    import numpy as np

    from inchwater.rehearsal.world import Machine, Wheel

    Array = np.ndarray[Any, np.dtype[np.float64]]

STANDARD = 1.2014
# Synchronous speed of a six-pole motor at 60 Hz. [rad/s]
SYNCHRONOUS = 1200.0 * math.pi / 30.0
_ZERO_LIFT = 1.1
_FREE_PHI = 0.40
_SHAPE = 2.2
_LAMBDA_0, _LAMBDA_1 = 0.10, 1.65
_BREAKDOWN_SLIP = 0.38
# Pressures that a curve is made for. [Pa]
LOWEST, HIGHEST, CELLS = -60.0, 420.0, 97


@dataclass(frozen=True)
class Curve:
    """A tap on an even grid of external static: airflow [m3/s], power [W], speed [rad/s]."""

    airflow: Array
    power: Array
    speed: Array

    def at(self, pressure: float, of: Array | None = None) -> tuple[float, float]:
        """A value and its slope at a pressure [Pa], smooth between cells, straight outside."""
        values = self.airflow if of is None else of
        step = (HIGHEST - LOWEST) / (CELLS - 1)
        place = (pressure - LOWEST) / step
        cell = min(max(int(place), 1), CELLS - 3)
        t = place - cell
        a, b = float(values[cell]), float(values[cell + 1])
        if t < 0.0 or t > 1.0:
            end = a if t < 0.0 else b
            slope = b - a
            return end + slope * (t if t < 0.0 else t - 1.0), slope / step
        before, after = float(values[cell - 1]), float(values[cell + 2])
        m0, m1 = 0.5 * (b - before), 0.5 * (after - a)
        t2, t3 = t * t, t * t * t
        value = (
            (2 * t3 - 3 * t2 + 1) * a
            + (t3 - 2 * t2 + t) * m0
            + (-2 * t3 + 3 * t2) * b
            + (t3 - t2) * m1
        )
        slope = (
            (6 * t2 - 6 * t) * (a - b) + (3 * t2 - 4 * t + 1) * m0 + (3 * t2 - 2 * t) * m1
        ) / step
        return value, slope


def grid() -> Array:
    """The pressures of a curve. [Pa]"""
    import numpy as np

    return np.linspace(LOWEST, HIGHEST, CELLS)


def printed(wheel: Wheel, tap: str) -> Curve:
    """The curve that the maker measured, at nominal volts and standard air."""
    return _curve(_plain(wheel), wheel.settings[tap], 1.0, 0.0)


def installed(machine: Machine, tap: str) -> Curve:
    """The curve in this house: level, tilt, the tap's own share, dirt and volts."""
    clean = _curve(_plain(machine.wheel), machine.wheel.settings[tap], machine.volts, machine.dirt)
    about = units.to_si(0.5, "inwc")
    tilt = 1.0 + machine.tilt * (grid() - about) / units.to_si(1.0, "inwc")
    return Curve(
        clean.airflow * machine.level * machine.taps.get(tap, 1.0) * tilt,
        clean.power * machine.watts,
        clean.speed,
    )


def _plain(wheel: Wheel) -> tuple[Any, ...]:
    return (
        wheel.motor,
        wheel.diameter,
        wheel.breadth,
        wheel.loss,
        wheel.top,
        wheel.power,
        wheel.efficiency,
        wheel.idle,
    )


@functools.lru_cache(maxsize=512)
def _curve(plain: tuple[Any, ...], setting: float, volts: float, dirt: float) -> Curve:
    import numpy as np

    motor, diameter, breadth, loss, top, _, efficiency, idle = plain
    if motor == "constant-airflow":
        return _held(plain, setting, dirt)
    if motor == "psc":
        speed = np.linspace(0.25 * SYNCHRONOUS, 0.999 * SYNCHRONOUS, 700)
        slip = (SYNCHRONOUS - speed) / SYNCHRONOUS
        torque = setting * volts**2 * 2.0 / (slip / _BREAKDOWN_SLIP + _BREAKDOWN_SLIP / slip)
        watts = torque * SYNCHRONOUS / efficiency + idle
    else:
        speed = np.linspace(0.25 * top, 1.12 * top, 700)
        torque = setting * np.clip(1.0 - 0.6 * (speed / top) ** 8, 0.0, None)
        watts = torque * speed / efficiency + idle
    return _sorted(torque * speed, speed, watts, diameter, breadth, loss, dirt)


def _sorted(
    shaft: Array,
    speed: Array,
    watts: Array,
    diameter: float,
    breadth: float,
    loss: float,
    dirt: float,
) -> Curve:
    """The curve along which shaft power and wheel agree, by pressure."""
    import numpy as np

    tip = speed * diameter / 2.0
    swept = math.pi * diameter * breadth
    phi = (shaft / (STANDARD * tip**3 * swept) - _LAMBDA_0) / _LAMBDA_1
    inside = (phi > 0.004) & (phi < _FREE_PHI)
    phi, tip = phi[inside], tip[inside]
    # Dirt in the cups turns less of the tip's speed into flow and into pressure.
    flow = phi * swept * tip * (1.0 - dirt)
    lift = STANDARD * tip**2 * _ZERO_LIFT * (1.0 - (phi / _FREE_PHI) ** _SHAPE) * (1.0 - 0.5 * dirt)
    pressure = lift - loss * flow**2
    # With more pressure the wheel unloads and turns faster; what does not is beyond its peak.
    rising = np.concatenate([[True], np.diff(np.maximum.accumulate(pressure)) > 0.0])
    order = pressure[rising]
    at = grid()
    return Curve(*(_straight(at, order, of[rising]) for of in (flow, watts[inside], speed[inside])))


def _straight(at: Array, order: Array, values: Array) -> Array:
    """Linear between points and straight beyond both ends."""
    import numpy as np

    found = np.interp(at, order, values)
    for end, beyond in ((slice(0, 8), at < order[0]), (slice(-8, None), at > order[-1])):
        x, y = order[end], values[end]
        slope = (y[-1] - y[0]) / (x[-1] - x[0])
        edge = (x[0], y[0]) if end.start == 0 else (x[-1], y[-1])
        found = np.where(beyond, edge[1] + slope * (at - edge[0]), found)
    return found


def _held(plain: tuple[Any, ...], setting: float, dirt: float) -> Curve:
    """Airflow held by a motor until its power or its speed runs out."""
    import numpy as np

    _, diameter, breadth, loss, top, limit, efficiency, idle = plain
    at = grid()
    swept = math.pi * diameter * breadth
    wanted = setting * (1.0 - 0.02 * (at - 25.0) / 249.0)
    flow = wanted / (1.0 - dirt)
    need = (at + loss * wanted**2) / (1.0 - 0.5 * dirt)
    low = np.maximum(flow / (swept * _FREE_PHI), 1.0)
    high = np.full_like(low, 60.0)
    for _ in range(40):
        tip = 0.5 * (low + high)
        phi = flow / (swept * tip)
        short = STANDARD * tip**2 * _ZERO_LIFT * (1.0 - (phi / _FREE_PHI) ** _SHAPE) < need
        low, high = np.where(short, tip, low), np.where(short, high, tip)
    tip = 0.5 * (low + high)
    speed = tip / (diameter / 2.0)
    shaft = STANDARD * tip**3 * swept * (_LAMBDA_0 + _LAMBDA_1 * flow / (swept * tip))
    # Where it cannot hold it any more it gives the power that it has, up to its top speed.
    free = np.linspace(0.25 * top, 1.05 * top, 700)
    spent = limit * np.clip(1.0 - 0.6 * (free / top) ** 12, 0.0, None)
    most = _sorted(spent, free, spent / efficiency + idle, diameter, breadth, loss, dirt)
    soft = 0.01 * setting
    gap = most.airflow - wanted
    held = wanted + np.minimum(gap, 0.0) - soft * np.exp(-np.abs(gap) / soft)
    power = np.where(gap > 0.0, shaft / efficiency + idle, most.power)
    return Curve(held, power, np.where(gap > 0.0, speed, most.speed))
