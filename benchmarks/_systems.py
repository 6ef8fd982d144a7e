"""Invented systems of any number of parts, with the same multipliers for every program."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.oracles.systems import (
    FLEX,
    METAL,
    PER_RUN,
    SHAPE,
    Law,
    Pipe,
    System,
    leak,
    through,
    trunk_diameter,
)

Array = NDArray[np.float64]
SPREAD = 0.3  # standard deviation of a multiplier's logarithm


def sized(parts: int) -> System:
    """A system of so many parts: returns with filters, coil, a tree of trunks, runs, two leaks.

    12 parts are one return, a trunk in two pieces and five runs; from 30 parts on there are two
    returns.  Trunks form a binary tree with some five runs on each; every piece of the tree below
    the first has a tee.  Both leaks have the exponent 0.65, the filters 1.4, the coil 1.8.
    """
    rng = np.random.default_rng(parts)
    returns = 1 if parts < 30 else 2
    rest = parts - 2 * returns - 3
    trunks = max(2, round(rest / 6))
    runs = rest - trunks
    on = [k % trunks for k in range(runs)]
    carried = np.bincount(on, minlength=trunks).astype(float)
    above = [max((k - 1) // 2, 0) for k in range(trunks)]
    for k in reversed(range(1, trunks)):
        carried[above[k]] += carried[k]
    diameter = [trunk_diameter(PER_RUN * n) for n in carried]
    pipes = [
        Pipe(
            f"trunk{k}", f"t{above[k]}" if k else "P", f"t{k}", diameter[k], rng.uniform(2, 6),
            METAL, rng.uniform(0.3, 0.8), tee=0.2 if k else 0.0, tee_diameter=diameter[above[k]],
        )
        for k in range(trunks)
    ]  # fmt: skip
    pipes += [
        Pipe(
            f"run{i}", f"t{k}", "room", 0.0254 * int(rng.integers(6, 9)), rng.uniform(4, 10), FLEX,
            rng.uniform(1.5, 3.5), tee=rng.uniform(0.2, 1.0), tee_diameter=diameter[k],
        )
        for i, k in enumerate(on)
    ]  # fmt: skip
    design = PER_RUN * runs
    laws: list[Law] = []
    for i in range(returns):
        flow = design / returns
        pipes.append(
            Pipe(f"return{i}", "room", f"g{i}", trunk_diameter(flow, 4.0), 4.5, METAL, 2.2)
        )
        laws.append(through(f"filter{i}", f"g{i}", "RP", 30.0, flow, 1.4))
    laws.append(through("coil", "RP", "C", 50.0, design, 1.8))
    laws.append(leak("supply-leak", "P", 0.06 * design, 40.0, 0.65))
    laws.append(leak("return-leak", "RP", 0.04 * design, 40.0, 0.65))
    table = tuple((p, 1.1 * share * design) for p, share in SHAPE)
    return System(f"{parts} parts", tuple(pipes), tuple(laws), table)


@dataclass(frozen=True)
class Multipliers:
    """Random multipliers of a system: arrays (variant, pipe) and (variant, law)."""

    friction: Array
    local: Array
    tee: Array
    law: Array

    def values(self, system: System) -> dict[str, Array]:
        """As our solver takes them, by parameter."""
        found = {one.id: self.law[:, i] for i, one in enumerate(system.laws)}
        for i, pipe in enumerate(system.pipes):
            found[f"{pipe.id}:friction"] = self.friction[:, i]
            found[f"{pipe.id}:local"] = self.local[:, i]
            if pipe.tee:
                found[f"{pipe.id}:tee"] = self.tee[:, i]
        return {name: np.ascontiguousarray(value) for name, value in found.items()}

    def variant(self, system: System, i: int) -> System:
        """The system of one variant as plain data."""
        return system.multiplied(self.friction[i], self.local[i], self.tee[i], self.law[i])


def multipliers(system: System, count: int, seed: int = 1) -> Multipliers:
    """Lognormal multipliers on everything that resists, each of its own."""
    rng = np.random.default_rng(seed)
    pipes, laws = len(system.pipes), len(system.laws)
    drawn = [np.exp(SPREAD * rng.standard_normal((count, n))) for n in (pipes, pipes, pipes, laws)]
    return Multipliers(*drawn)
