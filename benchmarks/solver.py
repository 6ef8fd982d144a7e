"""How fast the solver is beside EPANET and pandapipes: ``python -m benchmarks.solver [--quick]``.

All solve the same variants of one system, 10,000 times other random multipliers on every part: the
whole model, with a blower by table, two leaks, filters and coil by power law, a tee at every
take-off.  We start from nothing each time and count everything from the multipliers to the
airflow.  EPANET starts from the last variant's flows; only its own solving call is counted, not
the setting of values.  One core each, the best of five rounds, time by variant.  EPANET knows no
loss by flow ratio, so a tee's loss goes with the branch's own flow; we look it up by ratio.
"""

from __future__ import annotations

import ctypes
import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from benchmarks import frame
from benchmarks._systems import SPREAD, Array, Multipliers, multipliers, sized
from inchwater.network import Network, Solution, solve
from tests.oracles.as_network import network
from tests.oracles.systems import System

ROOT = Path(__file__).resolve().parents[1]
VARIANTS = 10_000
ROUNDS = 5
STRETCH = 500
PARTS = (12, 60)
# EPANET's accuracy (sum of the last changes of flow over the sum of flows) as it comes, which is
# also the loosest power of ten that costs no agreement; and the tightest that it takes.
ACCURACY, TIGHTEST = 1e-3, 1e-5
PROMISED = {"ratio_epanet": 5.0, "ratio_epanet_60": 3.0, "ratio_pandapipes": 8000.0}
AGREEMENT = 1e-3
ONE_CORE = {f"{name}_NUM_THREADS": "1" for name in ("OMP", "OPENBLAS", "MKL", "NUMBA")}


@dataclass(frozen=True)
class Case:
    """A system, its network, its multipliers, and our solution of all variants."""

    system: System
    network: Network
    drawn: Multipliers
    values: dict[str, Array]
    solution: Solution

    @classmethod
    def of(cls, parts: int, count: int = VARIANTS) -> Case:
        system = sized(parts)
        ours = network(system, steps=64)
        drawn = multipliers(system, count)
        values = drawn.values(system)
        return cls(system, ours, drawn, values, solve(ours, values))

    @property
    def flows(self) -> Array:
        """Flow of blower and pipes (variant, 1 + pipe). [m3/s]"""
        parts = [self.solution.part_flow[pipe.id] for pipe in self.system.pipes]
        return np.stack([self.solution.airflow, *parts], axis=1)


@dataclass(frozen=True)
class Differences:
    """How far another program's flows are from ours, of ours."""

    airflow: float
    run_middle: float
    run_worst: float

    @classmethod
    def between(cls, theirs: Array, ours: Array) -> Differences:
        off = np.abs(theirs / ours - 1.0)
        return cls(*(float(x) for x in (off[:, 0].max(), np.median(off[:, 1:]), off[:, 1:].max())))


def ours_us(case: Case, rounds: int = ROUNDS) -> float:
    """Our time from multipliers to airflow, the best of some rounds. [µs a variant]"""
    count = case.solution.airflow.shape[0]
    best = np.inf
    for _ in range(rounds):
        start = time.perf_counter()
        found = solve(case.network, case.values).airflow
        best = min(best, time.perf_counter() - start)
        if found.shape != (count,):
            raise RuntimeError(f"{found.shape} came for {count} variants")
    return best / count * 1e6


@dataclass(frozen=True)
class Epanet:
    """EPANET's times [µs a variant] and how far its flows are from ours.

    ``warm`` starts from the variant before, ``alone`` is the same without the binding's own time,
    ``cold`` starts from EPANET's first guess, ``tight`` is warm at the tightest accuracy it has.
    """

    warm: float
    alone: float
    cold: float
    tight: float
    apart: Differences


def epanet(case: Case, count: int) -> Epanet:
    """EPANET on the first ``count`` variants of a case.

    The best of the rounds is taken stretch by stretch, so that a disturbance of the machine costs
    EPANET, which needs longer, no more than us.
    """
    from benchmarks._epanet import Toolkit

    few = min(count, 1000)
    with tempfile.TemporaryDirectory(prefix="inchwater-bench-") as folder:

        def best(
            toolkit: Toolkit, solve: Callable[[], float], count: int, before: Callable[[], None]
        ) -> float:
            took = np.empty((ROUNDS, count))
            for number in range(ROUNDS):
                for i in range(count):
                    toolkit.set(case.drawn, i)
                    before()
                    took[number, i] = solve()
            by_stretch = took.reshape(ROUNDS, -1, STRETCH).sum(axis=2)
            return float(by_stretch.min(axis=0).sum()) / count / 1e3

        def nothing() -> None:
            pass

        with Toolkit(case.system, ACCURACY, Path(folder)) as toolkit:
            warm = best(toolkit, toolkit.solve, count, nothing)
            alone = best(toolkit, toolkit.solve_alone, few, nothing)
            cold = best(toolkit, toolkit.solve, few, toolkit.forget)
            theirs = np.empty((count, 1 + len(case.system.pipes)))
            for i in range(count):
                toolkit.set(case.drawn, i)
                toolkit.solve()
                theirs[i] = toolkit.flows()
        with Toolkit(case.system, TIGHTEST, Path(folder)) as toolkit:
            tight = best(toolkit, toolkit.solve, few, nothing)
    return Epanet(warm, alone, cold, tight, Differences.between(theirs, case.flows[:count]))


def pandapipes_us(case: Case, count: int) -> tuple[float, Differences]:
    """pandapipes' best time [µs a variant] over some variants, and its flows beside ours."""
    from benchmarks import _pandapipes

    solution = case.solution
    lift = solution.supply - solution.back + solution.drop["coil"]
    best, theirs = np.inf, []
    for i in range(count):
        flow = {law.id: float(solution.part_flow[law.id][i]) for law in case.system.laws}
        took, flows = _pandapipes.solve(
            case.system, case.drawn, i, flow, float(lift[i]), numba=True
        )
        best = min(best, took)
        theirs.append(flows)
    return best * 1e6, Differences.between(np.array(theirs), case.flows[:count])


def start_s(cache: Path) -> float:
    """Seconds from a fresh process to the first solution of a demo house, with a cache folder."""
    program = (
        "from inchwater.rehearsal import demos\n"
        "from inchwater.network import compile_network, solve\n"
        "print(solve(compile_network(demos()['a'].survey), {}).airflow[0])"
    )
    environment = {**os.environ, "NUMBA_CACHE_DIR": str(cache)}
    start = time.perf_counter()
    subprocess.run(
        [sys.executable, "-c", program], check=True, env=environment, cwd=ROOT, capture_output=True
    )
    return time.perf_counter() - start


def memory_mb(parts: int, count: int) -> float:
    """Memory that solving so many variants takes at most, their multipliers apart. [MB]"""
    done = subprocess.run(
        [sys.executable, "-m", "benchmarks.solver", "--memory", str(parts), str(count)],
        check=True,
        cwd=ROOT,
        env=os.environ,
        capture_output=True,
        text=True,
    )
    return float(json.loads(done.stdout.splitlines()[-1]))


def _memory(parts: int, count: int) -> None:
    """In a process of its own: solve a few, then many, and say how much more it held at most."""
    few = Case.of(parts, 8)
    values = multipliers(few.system, count).values(few.system)
    # What loading and drawing left behind goes back, and the peak is counted anew from here.
    ctypes.CDLL(None).malloc_trim(0)
    Path("/proc/self/clear_refs").write_text("5")
    before = _held("VmRSS")
    found = solve(few.network, values).airflow
    after = _held("VmHWM")
    if not np.isfinite(found).all():
        raise RuntimeError("a variant is not finite")
    print(json.dumps((after - before) / 1024.0))


def _held(name: str) -> int:
    """A figure of this process's memory, as Linux gives it. [KB]"""
    lines = Path("/proc/self/status").read_text().splitlines()
    return int(next(line for line in lines if line.startswith(name)).split()[1])


def beside_others(quick: bool) -> dict[str, float]:
    """Our ratios to EPANET and pandapipes, and how far apart the answers are."""
    counts = {12: 2000, 60: 500} if quick else {12: VARIANTS, 60: VARIANTS}
    result: dict[str, float] = {}
    rows: list[tuple[str, ...]] = []

    def row(name: str, us: float, ours: float, off: Differences | None = None) -> None:
        apart = () if off is None else (off.airflow, off.run_middle, off.run_worst)
        cells = [f"{x:.3%}" for x in apart] or [""] * 3
        rows.append((name, f"{us:,.2f}", f"{us / ours:,.1f}", *cells))

    for parts in PARTS:
        case = Case.of(parts)
        tail = "" if parts == PARTS[0] else f"_{parts}"
        us = ours_us(case)
        theirs = epanet(case, counts[parts])
        row(f"{parts} parts: ours from scratch", us, us)
        row("  EPANET from the last flows", theirs.warm, us, theirs.apart)
        row("  … without the binding's time", theirs.alone, us)
        row("  … at its tightest accuracy", theirs.tight, us)
        row("  EPANET from scratch", theirs.cold, us)
        result |= {
            f"ours{tail}_us": round(us, 3),
            f"epanet{tail}_us": round(theirs.warm, 3),
            f"ratio_epanet{tail}": round(theirs.warm / us, 2),
            f"agreement{tail}": round(theirs.apart.airflow, 6),
        }
        if parts == PARTS[0]:
            took, apart = pandapipes_us(case, 20 if quick else 100)
            row("  pandapipes", took, us, apart)
            result |= {
                "ratio_pandapipes": round(took / us),
                "agreement_pandapipes": round(apart.airflow, 6),
            }
    head = ("what", "µs a variant", "of ours", "airflow apart", "pipes, middle", "pipes, worst")
    frame.table(head, rows)
    return result


def growth(quick: bool) -> dict[str, float]:
    """Whether time goes with parts and with variants, and how much memory is held."""
    rows = []
    each = {}
    for parts in (12, 30, 60, 120, 300):
        case = Case.of(parts, 2000 if quick else VARIANTS)
        each[parts] = ours_us(case, 3) / parts
        rows.append((f"{parts} parts", f"{each[parts] * parts:.2f}", f"{each[parts] * 1e3:.0f}"))
    per_variant = {}
    for count in (1000, 10_000, 40_000 if quick else 200_000):
        per_variant[count] = ours_us(Case.of(12, count), 3)
        rows.append((f"{count:,} variants of 12 parts", f"{per_variant[count]:.2f}", ""))
    frame.table(("how it grows", "µs a variant", "ns a part"), rows)
    result = {
        "part_growth": round(each[300] / min(each.values()), 2),
        "variant_growth": round(max(per_variant.values()) / min(per_variant.values()), 2),
    }
    if sys.platform == "linux":
        counts = (10_000, 50_000) if quick else (10_000, 200_000)
        held = {count: memory_mb(60, count) for count in counts}
        frame.table(
            ("memory of 60 parts", "MB", "bytes a variant"),
            [(f"{n:,} variants", f"{mb:.0f}", f"{mb * 2**20 / n:,.0f}") for n, mb in held.items()],
        )
        result["memory_mb"] = round(held[10_000], 1)
    return result


def starting() -> dict[str, float]:
    """Seconds to the first solution with an empty cache of compiled code, and with a full one."""
    with tempfile.TemporaryDirectory(prefix="inchwater-bench-") as folder:
        cold = start_s(Path(folder))
        warm = start_s(Path(folder))
    frame.table(
        ("first solution of a fresh process", "s"),
        [("nothing compiled yet", f"{cold:.1f}"), ("compiled before", f"{warm:.1f}")],
    )
    return {"jit_start_s": round(cold, 2), "warm_start_s": round(warm, 2)}


def main() -> None:
    """Measure, print the tables, and the one JSON object as last line."""
    if any(os.environ.get(name) != one for name, one in ONE_CORE.items()):
        # How many cores there are is asked once, when a library is loaded: so from the start.
        program = [sys.executable, "-m", "benchmarks.solver", *sys.argv[1:]]
        os.execve(sys.executable, program, {**os.environ, **ONE_CORE})
    if sys.argv[1:2] == ["--memory"]:
        _memory(int(sys.argv[2]), int(sys.argv[3]))
        return
    quick = frame.quick(__doc__ or "")
    print(
        f"Multipliers spread by {SPREAD:g} (logarithm). Accepted: ours a path to 1e-6 of the"
        f" blower's pressure, mass to 1e-9; EPANET an accuracy of {ACCURACY:g}."
    )
    result = beside_others(quick)
    result |= growth(quick)
    result |= starting()
    rows = [
        (name, f"{result[name]:,.1f}", f"{least:,.0f}", _verdict(result[name] >= least))
        for name, least in PROMISED.items()
    ]
    for name in ("agreement", "agreement_60", "agreement_pandapipes"):
        kept = _verdict(result[name] <= AGREEMENT)
        rows.append((name, f"{result[name]:.3%}", f"{AGREEMENT:.1%}", kept))
    frame.table(("what", "measured", "promised", ""), rows)
    frame.last_line(result)


def _verdict(kept: bool) -> str:
    return "kept" if kept else "not kept"


if __name__ == "__main__":
    main()
