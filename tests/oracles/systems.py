"""Twenty invented systems as plain data, for our solver and for the programs of other people.

A system is links between named nodes, nothing of ours in it: round pipes with a sum of local
losses, parts known by a power law (filters, coil, leaks), a blower's table.  Node ``P`` is the
supply plenum, ``RP`` the return plenum, ``C`` the blower's inlet, ``room`` every room at zero.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

DENSITY = 1.2013847  # of the air that tables and power laws are printed for [kg/m3]
VISCOSITY = 1.82e-5  # [Pa s]


@dataclass(frozen=True)
class Pipe:
    """A round duct in SI.

    ``tee`` is the loss coefficient of its tee on the velocity pressure that its own flow would have
    in the section of ``tee_diameter``, the common leg's: one that no other program needs to know
    the common leg's flow for.
    """

    id: str
    start: str
    end: str
    diameter: float
    length: float
    roughness: float
    loss: float
    tee: float = 0.0
    tee_diameter: float = 1.0

    @property
    def area(self) -> float:
        return np.pi / 4.0 * self.diameter**2

    @property
    def tee_area(self) -> float:
        return np.pi / 4.0 * self.tee_diameter**2

    @property
    def whole_loss(self) -> float:
        """All local losses on the pipe's own velocity pressure."""
        return self.loss + self.tee * (self.area / self.tee_area) ** 2


@dataclass(frozen=True)
class Law:
    """A part whose drop is ``coefficient`` · flow^``exponent`` [Pa, m3/s] in standard air."""

    id: str
    start: str
    end: str
    coefficient: float
    exponent: float
    leak: bool = False

    def drop(self, flow, density):
        """Signed drop [Pa] in air of another density and the same viscosity."""
        return self.in_air(density) * np.sign(flow) * np.abs(flow) ** self.exponent

    def in_air(self, density):
        """The coefficient in air of another density: what is turbulent goes with it."""
        return self.coefficient * (density / DENSITY) ** (self.exponent - 1.0)


@dataclass(frozen=True)
class System:
    """Links in the order of the air, the blower's (pressure [Pa], flow [m3/s]) cells, the air."""

    name: str
    pipes: tuple[Pipe, ...]
    laws: tuple[Law, ...]
    table: tuple[tuple[float, float], ...]
    density: float = DENSITY

    @property
    def links(self) -> tuple[Pipe | Law, ...]:
        return self.pipes + self.laws

    @property
    def inner(self) -> tuple[str, ...]:
        """Names of all nodes but the rooms."""
        names = [node for link in self.links for node in (link.start, link.end)]
        return tuple(dict.fromkeys(name for name in names if name != "room"))

    @property
    def runs(self) -> tuple[Pipe, ...]:
        return tuple(pipe for pipe in self.pipes if pipe.id.startswith("run"))

    def multiplied(self, friction, local, tee, law) -> System:
        """The same system with every part's resistance multiplied: arrays by pipe and by law."""
        pipes = tuple(
            replace(p, length=p.length * f, loss=p.loss * k, tee=p.tee * t)
            for p, f, k, t in zip(self.pipes, friction, local, tee, strict=True)
        )
        laws = tuple(
            replace(one, coefficient=one.coefficient * m)
            for one, m in zip(self.laws, law, strict=True)
        )
        return replace(self, pipes=pipes, laws=laws)


# Runs of the twenty systems; more runs, more air and a bigger blower.
RUNS = (5, 6, 7, 8, 9, 10, 11, 12, 14, 16, 18, 20, 23, 26, 30, 35, 40, 46, 53, 60)
METAL, FLEX = 9.0e-5, 9.0e-4  # absolute roughness [m]
PER_RUN = 0.055  # flow that a run is meant to carry [m3/s]
# An invented table's shape: pressure [Pa] and share of the design flow.
SHAPE = (
    (25.0, 1.38), (50.0, 1.33), (75.0, 1.27), (100.0, 1.19), (125.0, 1.10), (150.0, 1.00),
    (175.0, 0.88), (200.0, 0.73), (225.0, 0.58), (250.0, 0.40),
)  # fmt: skip


def trunk_diameter(flow: float, velocity: float = 4.5) -> float:
    """Round duct for a flow at a velocity, to the centimetre. [m]"""
    return round(float(np.sqrt(4.0 * flow / velocity / np.pi)), 2)


def leak(name: str, node: str, flow: float, pressure: float, exponent: float) -> Law:
    """A leak of ``flow`` [m3/s] at ``pressure`` [Pa]; air goes with pressure^``exponent``."""
    back = name.startswith("return")
    ends = ("room", node) if back else (node, "room")
    n = 1.0 / exponent
    return Law(name, *ends, pressure / flow**n, n, leak=True)


def through(name: str, start: str, end: str, drop: float, flow: float, exponent: float) -> Law:
    """A part known by one point."""
    return Law(name, start, end, drop / flow**exponent, exponent)


def generated(seed: int, runs: int | None = None) -> System:
    """An invented system: trunk and branches, one to three returns with a filter each, leaks.

    Tees have a coefficient that does not depend on how the air divides, since neither of the other
    programs knows one that does; some are negative, none makes a pipe's own sum so.
    """
    rng = np.random.default_rng([4, seed])
    count = RUNS[seed] if runs is None else runs
    design = PER_RUN * count
    pipes: list[Pipe] = []

    def grow(node: str, below: int, depth: int, common: float | None) -> None:
        """Hang ``below`` runs on a node, on trunks of their own where there are many."""
        while below:
            tee = {}
            if common is not None:
                tee = {"tee": rng.uniform(-0.15, 1.2), "tee_diameter": common}
            if below >= 3 and depth < 4 and rng.random() < 0.45:
                share = int(rng.integers(2, below + 1)) if depth else max(below // 2, 2)
                name = f"trunk{sum(p.id.startswith('trunk') for p in pipes)}"
                d = trunk_diameter(PER_RUN * share)
                if tee:
                    tee["tee"] = rng.uniform(-0.1, 0.6)
                pipes.append(
                    Pipe(
                        name,
                        node,
                        name,
                        d,
                        rng.uniform(1.5, 8),
                        METAL,
                        rng.uniform(0.3, 0.8),
                        **tee,
                    )
                )
                grow(name, share, depth + 1, d)
                below -= share
                continue
            flex = rng.random() < 0.6
            number = sum(p.id.startswith("run") for p in pipes)
            d = 0.0254 * int(rng.integers(6, 10))
            pipes.append(
                Pipe(
                    f"run{number}", node, "room", d, rng.uniform(3, 14), FLEX if flex else METAL,
                    rng.uniform(2.4, 6.0), **tee,
                )
            )  # fmt: skip
            below -= 1

    grow("P", count, 0, None)
    laws: list[Law] = []
    returns = int(rng.integers(1, 4))
    shares = rng.dirichlet(np.full(returns, 6.0))
    for i, share in enumerate(shares):
        flow = share * design
        pipes.append(
            Pipe(
                f"return{i}", "room", f"grille{i}", trunk_diameter(flow, 4.0),
                rng.uniform(2, 8), METAL, rng.uniform(1.2, 2.6),
            )
        )  # fmt: skip
        laws.append(
            through(
                f"filter{i}", f"grille{i}", "RP", rng.uniform(15, 40), flow, rng.uniform(1.05, 1.95)
            )
        )
    laws.append(through("coil", "RP", "C", rng.uniform(25, 50), design, rng.uniform(1.7, 1.95)))
    outlets = [p.end for p in pipes if p.id.startswith("trunk")]
    at = ["P", *outlets[: int(rng.integers(0, 3))]]
    for i, node in enumerate(at):
        lost = rng.uniform(0.02, 0.08) * design / len(at)
        laws.append(leak(f"supply{i}-leak", node, lost, 40.0, rng.uniform(0.5, 1.0)))
    laws.append(
        leak("return-leak", "RP", rng.uniform(0.02, 0.06) * design, 40.0, rng.uniform(0.5, 1.0))
    )
    scale = design * rng.uniform(0.95, 1.15)
    return System(
        name=f"{count} runs",
        pipes=tuple(pipes),
        laws=tuple(laws),
        table=tuple((p, share * scale) for p, share in SHAPE),
        density=DENSITY * float(rng.choice([1.0, 1.0, 0.93, 0.82])),
    )


SYSTEMS = tuple(generated(seed) for seed in range(len(RUNS)))
