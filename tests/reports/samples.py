"""Answers made by hand for drawing: shapes as of ``inchwater.answer``, numbers invented."""

from __future__ import annotations

import math
from types import SimpleNamespace as Made
from typing import Any

from inchwater.quantity import Estimate

INWC = 249.08891
CFM = 0.3048**3 / 60.0


def pressure(value: float, spread: float = 0.03) -> Estimate:
    """An estimate of a static or a drop, typed in in. w.c."""
    return Estimate(value * INWC, (value - spread) * INWC, (value + spread) * INWC, "pressure")


def flow(value: float, low: float, high: float) -> Estimate:
    """An estimate of an airflow, typed in cfm."""
    return Estimate(value * CFM, low * CFM, high * CFM, "airflow")


def made_curves(tap_count: int, flow_now: float, tesp_now: float) -> Any:
    """Blower lines that fall, and a square-law system line through the point. [cfm, in. w.c.]"""
    taps = []
    for k in range(tap_count):
        scale = 0.75 + 0.16 * k
        points = tuple(
            (flow_now * scale * (1.18 - 0.30 * p**1.6) * CFM, p * INWC)
            for p in (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8)
        )
        taps.append(Made(tap=str(k + 1), in_use=k == tap_count // 2, points=points))
    system = tuple(
        (
            q * CFM,
            0.9 * tesp_now * (q / flow_now) ** 1.9 * INWC,
            tesp_now * (q / flow_now) ** 1.9 * INWC,
            1.12 * tesp_now * (q / flow_now) ** 1.9 * INWC,
        )
        for q in [flow_now * s / 10 for s in range(5, 16)]
    )
    return Made(taps=tuple(taps), system=system, point=(flow_now * CFM, tesp_now * INWC))


def answer(
    returns: tuple[float, ...] = (0.0, -0.05, -0.19, -0.29),
    supplies: tuple[float, ...] = (0.42, 0.37, 0.09, 0.0),
    flow_now: tuple[float, float, float] = (745, 660, 830),
    goal: tuple[float, float] = (950, 1050),
    taps: int = 3,
) -> Any:
    """An answer; statics in in. w.c., flows in cfm."""
    names = (*("room", "grille", "filter", "After the return duct")[: len(returns) - 1], "return")
    path = []
    for i, value in enumerate(returns):
        spread = 0.0 if i == 0 else 0.04
        read = value * INWC if i == len(returns) - 1 else None
        path.append(
            Made(
                key=f"r{i}",
                label=names[i],
                side="return",
                static=pressure(value, spread),
                reading=read,
            )
        )
    names = ("plenum", "take-off", "run", "Register, into the room")
    for i, value in enumerate(supplies):
        last = i == len(supplies) - 1
        read = value * INWC + 2.0 if i == 0 else None
        path.append(
            Made(
                key=f"s{i}",
                label="Register, into the room" if last else names[i],
                side="supply",
                static=pressure(value, 0.0 if last else 0.03),
                reading=read,
            )
        )
    tesp = supplies[0] - returns[-1]
    budget = (
        Made(
            key="return:g1:grille",
            label="Return grille",
            side="return",
            drop=pressure(0.05),
            guidance=0.03 * INWC,
            source="s",
        ),
        Made(
            key="filter:f1",
            label="Filter, 1-inch pleated",
            side="return",
            drop=pressure(0.14, 0.06),
            guidance=0.10 * INWC,
            source="s",
        ),
        Made(
            key="coil:c1",
            label="Cased coil",
            side="unit",
            drop=pressure(0.22),
            guidance=None,
            source="",
        ),
        Made(
            key="supply",
            label="Seven 6-inch runs, all together",
            side="supply",
            drop=pressure(supplies[0], 0.05),
            guidance=0.12 * INWC,
            source="s",
        ),
    )
    value, low, high = flow_now

    def part(key: str, label: str, side: str, depth: int, drop: float, air: float) -> Any:
        share = flow(value * air, *sorted((low * air, high * air)))
        return Made(key=key, label=label, side=side, depth=depth, drop=pressure(drop), flow=share)

    tree = (
        part("return:g1:grille", "Return grille, 20 × 25, upper hall", "return", 3, 0.02, 0.6),
        part("filter:f1", "Filter, 20 × 25, 1 in pleated, MERV 8", "return", 2, 0.10, 0.6),
        part("return:g1:duct", "Return duct, 14-inch, upper hall", "return", 1, 0.05, 0.6),
        part("return:g2:grille", "Return grille, 14 × 20, den", "return", 2, 0.04, 0.35),
        part("return:g2:duct", "Return duct, 10-inch, den", "return", 1, 0.13, 0.35),
        part("return:leak", "Return leaks, air drawn in", "return", 1, 0.09, 0.05),
        part("filter:f2", "Filter, 16 × 25", "return", 0, 0.12, 1.0),
        part("blower", "Blower", "unit", 0, -tesp, 1.0),
        part("coil:c1", "Cooling coil", "unit", 0, 0.22, 1.0),
        part("trunk:t1", "Supply trunk t1, 16 × 8", "supply", 1, 0.02, 0.7),
        part("trunk:t2", "Supply trunk t2, 12 × 8", "supply", 2, 0.01, 0.3),
        part("run:r1", "6-inch run, the farthest of the upper bedrooms", "supply", 3, 0.2, 0.3),
        part("register:r1", "Register with its boot, den", "supply", 4, 0.1, 0.3),
        part("run:r2", "6-inch run, r2", "supply", 2, 0.2, 0.4),
        part("supply:leak", "Supply leaks, air lost", "supply", 1, supplies[0], 0.1),
        part("bypass:b1", "Humidifier", "bypass", 1, tesp, 0.2),
        part("room:den", "Den, door shut", "room", 1, -0.01, -0.3),
    )
    return Made(
        airflow=flow(value, low, high),
        delivered=flow(value * 0.93, low * 0.9, high * 0.95),
        goal=Made(low=goal[0] * CFM, high=goal[1] * CFM, source="s"),
        path=tuple(path),
        budget=budget,
        tree=tree,
        curves=made_curves(taps, value, tesp),
        runs=(
            Made(id="r1", room="den", airflow=flow(90, 70, 110)),
            Made(id="r2", room=None, airflow=flow(100, 80, 120)),
        ),
    )


def after(base: Any, gain: float = 1.25) -> Any:
    """A what-if of an answer: more air at less static."""
    q, p = base.curves.point
    curves = made_curves(len(base.curves.taps), q / CFM * gain, p / INWC / math.sqrt(gain))
    curves.taps = base.curves.taps

    def more(e: Estimate) -> Estimate:
        return Estimate(e.value * gain, e.low * gain, e.high * gain, e.kind)

    return Made(
        airflow=more(base.airflow),
        delivered=more(base.delivered),
        curves=curves,
        runs=(*base.runs, Made(id="r9", room="new", airflow=flow(60, 40, 80))),
    )


CASES: dict[str, Any] = {
    "usual": answer(),
    "supply heavy": answer(
        (0.0, -0.02, -0.05, -0.09), (0.68, 0.60, 0.3, 0.0), (820, 640, 1010), (1050, 1350)
    ),
    "return heavy": answer(
        (0.0, -0.1, -0.62, -0.71), (0.12, 0.1, 0.05, 0.0), (900, 760, 1040), (1050, 1350), 4
    ),
    "three numbers": answer((0.0, -0.29), (0.42, 0.0), (910, 420, 1500), (950, 1050), 1),
    "no table": answer((0.0, -0.2), (0.3, 0.0), (1000, 500, 1600), (1100, 1400), 0),
    "at the goal": answer(
        (0.0, -0.1, -0.15, -0.2), (0.25, 0.2, 0.1, 0.0), (1000, 960, 1040), (950, 1050), 5
    ),
    "crushed": answer(
        (0.0, -0.001, -0.002, -0.003), (1.48, 1.2, 0.9, 0.0), (300, 200, 480), (1400, 1800), 2
    ),
}
