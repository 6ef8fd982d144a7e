"""The houses of a benchmark, and one function done to each of them in several processes."""

from __future__ import annotations

import multiprocessing
import os
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from itertools import count as count_up
from itertools import islice
from pathlib import Path
from typing import TypeVar

from benchmarks._kept import Kept
from benchmarks.frame import Options
from inchwater.rehearsal import VirtualHouse, load_houses, virtual_house

T = TypeVar("T")
# Each process has one core: libraries that would start threads of their own are told not to.
_ONE_CORE = {f"{name}_NUM_THREADS": "1" for name in ("OMP", "OPENBLAS", "MKL", "NUMBA")}
_TOLD_EVERY = 30.0  # [s]
# The usual trials, in the order in which they are taken; the last is one of two.
_USUAL = ("first", "filter-drop", "other-call")
_FOURTH = ("filter-out", "watts")


def usual_trials(house: VirtualHouse, count: int) -> tuple[str, ...] | None:
    """Roles of the first ``count`` usual trials; None where a house does not have that many.

    The fourth is the filter out where that is allowed, watts where it is not.
    """
    there = set(house.roles.values())
    fourth = next((role for role in _FOURTH if role in there), _FOURTH[0])
    roles = (*_USUAL, fourth)[:count]
    return roles if there.issuperset(roles) else None


def houses(options: Options, count: int) -> Iterator[VirtualHouse]:
    """The houses of ``--houses FILE``, or virtual ones by seed 0, 1, 2 …; at most ``count``.

    ``--count`` outranks ``count``.  The same number gives the same houses, and a smaller one the
    first of them.
    """
    most = options.count or count
    if options.houses is not None:
        yield from islice(load_houses(options.houses), most)
        return
    yield from islice(virtual_houses(), most)


def virtual_houses() -> Iterator[VirtualHouse]:
    """Houses of seed 0, 1, 2 …, without end."""
    return map(virtual_house, count_up())


def each(
    function: Callable[[VirtualHouse], T],
    houses: Iterable[VirtualHouse],
    jobs: int,
    keep: Path | None = None,
) -> list[T]:
    """What a function gives for each house, in their order, by ``jobs`` processes of one core.

    Parameters
    ----------
    function : picklable
        Called with one house.
    keep : Path, optional
        Folder that keeps what was found as it comes; what it has already is not done again.
    """
    if keep is not None:
        known = Kept(keep, function)
        left, order = known.those(houses)
        for _ in known.keep(left, _by_processes(function, left, jobs)):
            pass
        return [known.found[id_] for id_ in order]
    return list(_by_processes(function, houses, jobs))


def _by_processes(
    function: Callable[[VirtualHouse], T], houses: Iterable[VirtualHouse], jobs: int
) -> Iterator[T]:
    kept = {name: os.environ.get(name) for name in _ONE_CORE}
    os.environ.update(_ONE_CORE)
    try:
        # Not forked: a process that is started anew reads how many threads it may have.
        with multiprocessing.get_context("spawn").Pool(jobs) as pool:
            yield from _told(pool.imap(function, houses))
    finally:
        for name, value in kept.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


def _told(results: Iterable[T]) -> Iterator[T]:
    """The results, with a line now and then for who waits."""
    start = told = time.perf_counter()
    for number, result in enumerate(results, 1):
        now = time.perf_counter()
        if now - told > _TOLD_EVERY:
            told = now
            print(f"{number} houses after {now - start:.0f} s", file=sys.stderr, flush=True)
        yield result
