"""Bringing a network to rest, thousands of variants at once: the compiled kernel, in chunks.

The handbook's own variant is solved first; from its flows every variant gets a start of its own by
square laws, and Newton with a halved step where a full one does not help finishes.  A variant is
accepted on its residuals, never on the size of a step; if one does not come to rest, the error
names the part and no numbers are left.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from numpy.typing import NDArray

from inchwater.errors import PartError
from inchwater.network.arrays import Coefficients, Found, Job, Program, Tangent, found, tangent
from inchwater.network.elements import Array, Network, Values
from inchwater.network.program import moved, program
from inchwater.network.ready import kernel
from inchwater.network.resistances import coefficients
from inchwater.network.rest import MASS_TOLERANCE, PATH_TOLERANCE, refuse

Rows = slice | NDArray[np.intp]
Made = Callable[[Rows], Coefficients]
# Variants that are made and solved at a time, few enough to stay near the processor: the memory
# beyond the results is one chunk's for each thread, 8 bytes * (2 edges + ducts + laws + tees) each.
CHUNK = 2048
# Rounds of Newton after which a variant is given up. [-]
MAX_ROUNDS = 60
_PROGRAM = "_program"
_SOLVE = Job(PATH_TOLERANCE, MASS_TOLERANCE, MAX_ROUNDS, careful=False)
# A tee that takes nearly all of a run's pressure lets it go on falling for long before it turns.
_AGAIN = _SOLVE._replace(careful=True, rounds=100 * MAX_ROUNDS)
_LOOK = _SOLVE._replace(rounds=0)
# From a solved variant close by: held to more, so that none is taken unmoved for being near enough,
# and a slope between the two is the network's.
_NEAR = _SOLVE._replace(path_tolerance=1e-2 * PATH_TOLERANCE)


def newton(
    network: Network, made: Made, size: int, threads: int = 1, near: Found | None = None
) -> Found:
    """All variants of a network at rest.

    Parameters
    ----------
    made : function of rows
        Makes the resistances of some of the variants, so that those of all need not exist at once.
    size : int
        Number of variants. [-]
    threads : int
        How many chunks are worked on at the same time; results do not depend on it. [-]
    near : Found, optional
        Solved variants, one for each, that are close by; Newton begins at their flows.

    Raises
    ------
    ConvergenceError
        If a variant's residuals stay above the accepted ones; names the part on the worst path.
    PartError
        If the network is no tree, or no air can leave it.
    """
    p = prepared(network)
    edges, ends = len(network.edges), 2 + len(network.rooms)
    result = found(size, edges, ends)

    def one(rows: slice) -> None:
        some = Found(*(field[rows] for field in result))
        if near is None:
            _work(p, _plain(made(rows)), _SOLVE, some)
        else:
            some.flow[:], some.ends[:] = near.flow[rows], near.ends[rows]
            _work(p, _plain(made(rows)), _NEAR, some, afresh=False)

    _in_chunks(size, threads, one)
    bad = _bad(result)
    if np.any(bad):
        rows = np.flatnonzero(bad)
        given = made(rows)
        second = found(len(rows), edges, ends)
        _work(p, _plain(given), _AGAIN, second)
        for whole, part in zip(result, second, strict=True):
            whole[rows] = part
        if np.any(_bad(second)):
            refuse(network, given, second, _bad(second), size)
    return result


def of_values(network: Network, values: Values, size: int) -> Made:
    """Makes the resistances of rows for parameter values, arrays (sample,)."""

    def made(rows: Rows) -> Coefficients:
        count = len(rows) if isinstance(rows, np.ndarray) else rows.stop - rows.start
        some = {
            name: value[rows] if len(value) == size else value for name, value in values.items()
        }
        return coefficients(network, some, count)

    return made


def of_given(given: Coefficients) -> Made:
    """Takes the resistances of rows from those of all."""
    return lambda rows: Coefficients(*(field[rows] for field in given))


def _bad(result: Found) -> NDArray[np.bool_]:
    """Which variants are not at rest (sample,), those that are no numbers among them."""
    good = (result.path <= PATH_TOLERANCE) & (result.mass <= MASS_TOLERANCE)
    return np.asarray(~(good & np.isfinite(result.ends).all(axis=1)))


def _work(p: Program, given: Coefficients, job: Job, result: Found, afresh: bool = True) -> None:
    """Solve variants from a start of their own or from the flows that they have, or only look."""
    start, work = kernel()
    size, edges = result.flow.shape
    if job.rounds and afresh:
        start(p, given, job, result)
    nothing = np.empty((0, size, edges)), np.empty((0, size))
    no_change = tangent(0, size, edges, result.ends.shape[1])
    work(p, given, job, result, *nothing, no_change)


def _in_chunks(size: int, threads: int, do: Callable[[slice], None]) -> None:
    chunks = [slice(at, min(at + CHUNK, size)) for at in range(0, size, CHUNK)]
    if threads == 1 or len(chunks) == 1:
        for rows in chunks:
            do(rows)
        return
    with ThreadPoolExecutor(threads) as pool:
        for done in [pool.submit(do, rows) for rows in chunks]:
            done.result()


def prepared(network: Network) -> Program:
    """The network's arrays with the flows of its handbook variant, made once for each network."""
    kept = network.__dict__.get(_PROGRAM)
    if kept is None:
        kept = network.__dict__[_PROGRAM] = _prepare(network)
    result: Program = kept
    return result


def _prepare(network: Network) -> Program:
    if not network.supply or not network.returns:
        side = "supply" if not network.supply else "return"
        raise PartError(
            where=side, came="no way for the air", right="air needs a way out and a way back"
        )
    p = program(network)
    result = found(1, len(network.edges), 2 + len(network.rooms))
    _work(p, _plain(coefficients(network, {}, 1)), _SOLVE, result)
    flow = result.flow[0]
    if not np.all(np.isfinite(flow)) or not result.path[0] <= PATH_TOLERANCE:
        # The variants may still be solvable; they start from equal shares.
        return p
    return moved(p, network, flow, float(result.entry[0]))


def _plain(given: Coefficients) -> Coefficients:
    """The same, each array in one piece as the compiled solver takes it."""
    return Coefficients(*(np.ascontiguousarray(field) for field in given))


def looked_at(network: Network, given: Coefficients, flow: Array, ends: Array) -> Found:
    """Drops, blower and residuals at given flows and pressures, whether or not they are at rest.

    Parameters
    ----------
    flow : array (sample, edge) [m3/s]
    ends : array (sample, end), as in :class:`arrays.Found` [Pa]
    """
    size, edges = flow.shape
    result = found(size, edges, ends.shape[1])
    result.flow[:], result.ends[:] = flow, ends
    _work(prepared(network), _plain(given), _LOOK, result)
    return result


def answers(
    network: Network, given: Coefficients, at: Found, added: Array, blown: Array
) -> Tangent:
    """How flows and pressures answer to small changes of the parts, at solved flows.

    Parameters
    ----------
    added : array (change, sample, edge)
        What each change adds to each edge's drop. [Pa per unit of the change]
    blown : array (change, sample)
        What it adds to the blower's flow at these flows. [m3/s per unit]
    """
    size, edges = at.flow.shape
    result = tangent(len(added), size, edges, at.ends.shape[1])
    _, work = kernel()
    work(prepared(network), _plain(given), _LOOK, at, added, blown, result)
    return result


def unit_flow(network: Network, found: Found) -> Array:
    """Flow through the unit: all that is supplied and all that a bypass takes back. [m3/s]"""
    out = {leaf.path[0] for leaf in network.supply} | set(network.bypass)
    return np.asarray(found.flow[:, sorted(out)].sum(axis=1))
