"""Networks of every shape that the solver promises to bring to rest, drawn by Hypothesis."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from hypothesis import strategies as st

from inchwater.network import Network
from inchwater.parts.blower_tables import Cell
from inchwater.parts.blowers import tap_curve
from inchwater.parts.tees import tee
from tests.network.builders import ByHand

# An invented blower: pressure [Pa], share of the design flow.
TABLE = [
    (25.0, 1.36), (50.0, 1.30), (75.0, 1.24), (100.0, 1.17), (125.0, 1.09), (150.0, 1.0),
    (175.0, 0.89), (200.0, 0.75), (225.0, 0.58), (250.0, 0.36),
]  # fmt: skip
TAKE_OFFS = ("take-off-90", "take-off-45", "take-off-30")
JOINS = ("join-90", "join-45")
METAL, FLEX = 9e-5, 9e-4  # roughness [m]
PER_RUN = 0.05  # [m3/s]


@dataclass(frozen=True)
class Wishes:
    """What a network may have; ``None`` leaves it to chance."""

    runs: int | None = None
    tees: bool | None = None
    bypass: bool | None = None
    doors: bool | None = None


def _area(diameter: float) -> float:
    return float(np.pi / 4.0 * diameter**2)


def _round(flow: float) -> float:
    return float(max(np.sqrt(4.0 * flow / 3.0 / np.pi), 0.1))


class _Drawing:
    """One network: its structure from Hypothesis, its sizes from a seed that Hypothesis draws."""

    def __init__(self, draw, wishes: Wishes) -> None:
        self.draw = draw
        self.rng = np.random.default_rng(draw(st.integers(0, 10**6)))
        self.count = wishes.runs or draw(st.integers(1, 10))
        self.design = PER_RUN * self.count
        self.tees = self.maybe(wishes.tees)
        cells = [Cell("t", p, share * self.design) for p, share in TABLE]
        self.hand = ByHand(tap_curve(cells, "t"), design=self.design)
        self._supply(self.maybe(wishes.doors))
        self._returns()
        exponent = draw(st.floats(1.0, 2.0))
        self.hand.unit = [self.hand.law("filter", 25.0, self.design, exponent)]
        self.hand.unit.append(self.hand.law("coil", 45.0, self.design, 1.8))
        for side in ("supply", "return"):
            self._leak(side)
        if self.maybe(wishes.bypass):
            at = draw(st.sampled_from([0.02, 0.2, 0.5])) * self.design
            self.hand.bypass = [self.hand.law("bypass", 60.0, at, 2.0, "bypass")]

    def maybe(self, wish: bool | None) -> bool:
        return self.draw(st.booleans()) if wish is None else wish

    def _leak(self, side: str) -> None:
        n = self.draw(st.floats(0.5, 1.0))
        at = self.draw(st.sampled_from([1e-4, 0.05, 0.3])) * self.design
        self.hand.leak(f"{side}-leak", at / 50.0**n, n, side)

    def _tee(self, key: str, diameter: float, common: float):
        curve = tee(key).curve(min(max(_area(diameter) / _area(common), 0.05), 1.0))
        return curve, _area(common)

    def _supply(self, doors: bool) -> None:
        hand, rng, draw = self.hand, self.rng, self.draw
        trunks = draw(st.integers(0, min(4, self.count)))
        # A trunk hangs on the plenum or on the one before it; the first runs make sure that each
        # has one, since a trunk that ends nowhere is no network.
        above = [int(rng.integers(-1, k)) for k in range(trunks)]
        on = [i if i < trunks else int(rng.integers(-1, trunks)) for i in range(self.count)]
        carried = np.array([on.count(k) for k in range(trunks)], dtype=float)
        for k in reversed(range(trunks)):
            if above[k] >= 0:
                carried[above[k]] += carried[k]
        paths: list[tuple[int, ...]] = []
        sizes = [_round(PER_RUN * n) for n in carried]
        for k in range(trunks):
            up = above[k]
            known = self._tee("past-take-off", sizes[k], sizes[up]) if up >= 0 else None
            edge = hand.pipe(
                f"trunk{k}", sizes[k], rng.uniform(1, 8), METAL, rng.uniform(0.2, 0.8),
                tee=known if self.tees else None,
            )  # fmt: skip
            paths.append((*(paths[up] if up >= 0 else ()), edge))
        shut = draw(st.sets(st.integers(0, self.count - 1), max_size=min(3, self.count - 1)))
        for i, k in enumerate(on):
            d = 0.0254 * int(rng.integers(5, 10))
            loss = rng.uniform(1.5, 6.0)
            if i in shut:
                loss *= draw(st.sampled_from([1e2, 1e4, 1e6, 1e9]))
            known = self._tee(rng.choice(TAKE_OFFS), d, sizes[k]) if k >= 0 else None
            rough = FLEX if rng.random() < 0.5 else METAL
            edge = hand.pipe(
                f"run{i}", d, rng.uniform(1, 15), rough, loss, tee=known if self.tees else None
            )
            room = f"room{i % 2}" if doors and i < 4 else None
            hand.run(f"run{i}", *(paths[k] if k >= 0 else ()), edge, behind=room)
            if room and room not in hand.rooms:
                n = draw(st.floats(0.5, 0.65))
                crack = hand.law(f"{room}:door", 3.0, PER_RUN, 1.0 / n, "room")
                hand.rooms[room] = (crack,)

    def _returns(self) -> None:
        hand, rng, draw = self.hand, self.rng, self.draw
        count = draw(st.integers(1, 3))
        linear = draw(st.booleans())
        joined = count > 1 and draw(st.booleans())
        main, size = (), _round(self.design)
        if joined:
            main = (hand.pipe("main", size, 2.0, METAL, 0.5, "return"),)
        for i in range(count):
            flow = self.design / count
            d = _round(flow * rng.uniform(0.6, 1.4))
            known = None
            if joined and self.tees:
                key = "past-join-45" if i == 0 else str(rng.choice(JOINS))
                known = self._tee(key, d, size)
            duct = hand.pipe(
                f"return{i}", d, rng.uniform(2, 8), METAL, rng.uniform(1.2, 2.6), "return",
                tee=known,
            )  # fmt: skip
            n = 1.0 if linear else rng.uniform(1.0, 2.0)
            path = (*main, duct, hand.law(f"grille{i}", rng.uniform(8, 40), flow, n, "return"))
            hand.opening(f"return{i}", *path)


class Drawn(Network):
    """A network that a failing example shows in one line."""

    def __repr__(self) -> str:
        parts = ", ".join(f"{len(getattr(self, name))} {name}" for name in ("edges", "supply"))
        return f"<{parts}, rooms {list(self.rooms)}, {'a' if self.bypass else 'no'} bypass>"

    def _repr_pretty_(self, printer, cycle) -> None:
        printer.text(repr(self))


@st.composite
def networks(draw, wishes: Wishes = Wishes()) -> Network:
    """A network of one to ten runs, some of them all but shut, with any of what there is."""
    return Drawn(**vars(_Drawing(draw, wishes).hand.network()))


def drawn(network: Network, size: int, seed: int, spread: float = 0.4) -> dict[str, np.ndarray]:
    """Lognormal multipliers of everything in a network that resists."""
    rng = np.random.default_rng(seed)
    parts = [
        part
        for edge in network.edges
        for part in (*edge.friction, *edge.local, *edge.power, *([edge.tee] if edge.tee else []))
    ]
    names = [name for part in parts for name, _ in part.by]
    return {name: np.exp(spread * rng.standard_normal(size)) for name in dict.fromkeys(names)}
