"""The compiled solver, made ready: loaded from this machine's disk, or compiled once and kept."""

from __future__ import annotations

import logging
from collections.abc import Callable
from functools import cache
from pathlib import Path


@cache
def kernel() -> Callable[..., None]:
    """The compiled function; says so in the log when it has to be compiled first."""
    from inchwater.network.kernel import work

    folder = getattr(getattr(work, "stats", None), "cache_path", None)
    if folder is None or not any(Path(folder).glob("kernel.work-*.nbi")):
        logging.getLogger("inchwater").warning(
            "Making the solver ready; only the first answer after an installation waits for it."
        )
    return work


def warm() -> None:
    """Have the solver compiled and kept, so that nobody waits for it later."""
    from inchwater.network import compile_network, solve
    from inchwater.survey import minimal_job
    from inchwater.units import to_si

    job = minimal_job(
        capacity=to_si(3.0, "ton"),
        return_static=-to_si(0.2, "inwc"),
        supply_static=to_si(0.3, "inwc"),
    )
    solve(compile_network(job.survey), {}, 1)
