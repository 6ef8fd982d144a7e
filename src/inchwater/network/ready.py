"""The compiled solver, made ready: loaded from this machine's disk, or compiled once and kept.

numba looks only at the file of the function itself when it decides whether what it kept is still
true; here all files that are compiled into it count, so that an old one is never run.
"""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from pathlib import Path

from inchwater.parts import ducts

_STAMP = "kernel.digest"


@cache
def kernel() -> tuple[Callable[..., None], Callable[..., None]]:
    """The compiled start and solver; says so in the log when they have to be compiled first."""
    from inchwater.network.kernel import work
    from inchwater.network.kernel_start import start

    kept = getattr(getattr(work, "stats", None), "cache_path", None)
    if kept is None or not _current(Path(kept)):
        logging.getLogger("inchwater").warning(
            "Making the solver ready; only the first answer after an installation waits for it."
        )
    return start, work


def _current(folder: Path) -> bool:
    """Whether what was compiled is of these very files; what is of others is thrown away."""
    here = Path(__file__).parent
    sources = [*sorted(here.glob("kernel*.py")), here / "arrays.py", Path(ducts.__file__)]
    digest = hashlib.sha256(b"".join(path.read_bytes() for path in sources)).hexdigest()
    stamp = folder / _STAMP
    with suppress(OSError):
        if stamp.read_text("utf-8") == digest:
            return any(folder.glob("kernel.work-*.nbi"))
    # Where nothing can be written nothing was kept either.
    with suppress(OSError):
        for old in folder.glob("kernel*.nb[ic]"):
            old.unlink(missing_ok=True)
        folder.mkdir(parents=True, exist_ok=True)
        stamp.write_text(digest, "utf-8")
    return False


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
