"""pandapipes on the same variants: one solution each, of a blower and parts that are already right.

pandapipes knows neither power laws nor a blower by table.  Each variant gets the losses and the
lift that our solution says they have, so one solution is all the work that is counted, where a
user of it would need some ten.
"""

from __future__ import annotations

import time

import numpy as np

from benchmarks._systems import Array, Multipliers
from tests.oracles import as_pandapipes
from tests.oracles.systems import System

# Loosest powers of ten at which its flows are still our flows to 0.1 %; its own would be 1e-5 bar.
TOLERANCE = {"tol_p": 1e-7, "tol_m": 1e-5, "tol_res": 1e-6, "tolerance_colebrook": 1e-4}


def solve(
    system: System, drawn: Multipliers, i: int, flow: dict[str, float], lift: float, numba: bool
) -> tuple[float, Array]:
    """Solve one variant: how long it took [s], flows of coil and pipes [m3/s].

    ``flow`` [m3/s] are the flows of the laws and ``lift`` [Pa] the blower's, both as we have them.
    """
    import pandapipes

    variant = drawn.variant(system, i)
    net = as_pandapipes.net_of(variant)
    as_pandapipes.fit(net, variant, flow, lift)
    options = {**as_pandapipes.OPTIONS, **TOLERANCE, "use_numba": numba}
    start = time.perf_counter()
    pandapipes.pipeflow(net, **options)
    took = time.perf_counter() - start
    moved = dict(zip(net.pipe.name, net.res_pipe.mdot_from_kg_per_s / system.density, strict=True))
    return took, np.array([moved[name] for name in ("coil", *(p.id for p in system.pipes))])
