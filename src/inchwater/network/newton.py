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
from inchwater.network.elements import Array, Network
from inchwater.network.program import Found, Given, Job, Program, Tangent, found, program, tangent
from inchwater.network.resistances import Coefficients, coefficients
from inchwater.network.rest import MASS_TOLERANCE, PATH_TOLERANCE, refuse

# Variants that are solved at a time; the memory beyond the results is that of one chunk's
# resistances for each thread: about 8 bytes times (edges * 2 + ducts + laws) for each variant.
CHUNK = 4096
# Rounds of Newton after which a variant is given up. [-]
MAX_ROUNDS = 60
_PROGRAM = "_program"
_SOLVE = Job(PATH_TOLERANCE, MASS_TOLERANCE, MAX_ROUNDS, as_found=False, careful=False)
_AGAIN = _SOLVE._replace(careful=True)
_LOOK = _SOLVE._replace(rounds=0, as_found=True)


def newton(network: Network, given: Coefficients, threads: int = 1) -> Found:
    """All variants of a network at rest.

    Parameters
    ----------
    threads : int
        How many chunks are worked on at the same time; results do not depend on it. [-]

    Raises
    ------
    ConvergenceError
        If a variant's residuals stay above the accepted ones; names the part on the worst path.
    PartError
        If the network is no tree, or no air can leave it.
    """
    p = prepared(network)
    size, edges = given.scale.shape
    ends = 2 + len(network.rooms)
    result = found(size, edges, ends)
    _in_chunks(
        size,
        threads,
        lambda rows: _work(
            p, _rows(given, rows), _SOLVE, Found(*(field[rows] for field in result))
        ),
    )
    bad = _bad(result)
    if np.any(bad):
        rows = np.flatnonzero(bad)
        second = found(len(rows), edges, ends)
        _work(p, _rows(given, rows), _AGAIN, second)
        for whole, part in zip(result, second, strict=True):
            whole[rows] = part
        bad = _bad(result)
        if np.any(bad):
            refuse(network, given, result, bad)
    return result


def _bad(result: Found) -> NDArray[np.bool_]:
    """Which variants are not at rest (sample,), those that are no numbers among them."""
    good = (result.path <= PATH_TOLERANCE) & (result.mass <= MASS_TOLERANCE)
    return np.asarray(~(good & np.isfinite(result.ends).all(axis=1)))


def _work(p: Program, given: Given, job: Job, result: Found) -> None:
    from inchwater.network.kernel import work

    size, edges = result.flow.shape
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
    _work(p, _rows(coefficients(network, {}, 1), slice(0, 1)), _SOLVE, result)
    flow = result.flow[0]
    if not np.all(np.isfinite(flow)) or not result.path[0] <= PATH_TOLERANCE:
        # The variants may still be solvable; they start from equal shares.
        return p
    return program(network, flow, float(result.entry[0]))


def _rows(given: Coefficients, rows: slice | NDArray[np.intp]) -> Given:
    return Given(*(np.ascontiguousarray(getattr(given, name)[rows]) for name in Given._fields))


def looked_at(network: Network, given: Coefficients, flow: Array, ends: Array) -> Found:
    """Drops, blower and residuals at given flows and pressures, whether or not they are at rest.

    Parameters
    ----------
    flow : array (sample, edge) [m3/s]
    ends : array (sample, end), as in :class:`program.Found` [Pa]
    """
    size, edges = flow.shape
    result = found(size, edges, ends.shape[1])
    result.flow[:], result.ends[:] = flow, ends
    _work(prepared(network), _rows(given, slice(None)), _LOOK, result)
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
    from inchwater.network.kernel import work

    size, edges = at.flow.shape
    result = tangent(len(added), size, edges, at.ends.shape[1])
    work(prepared(network), _rows(given, slice(None)), _LOOK, at, added, blown, result)
    return result


def unit_flow(network: Network, found: Found) -> Array:
    """Flow through the unit: all that is supplied and all that a bypass takes back. [m3/s]"""
    out = {leaf.path[0] for leaf in network.supply} | set(network.bypass)
    return np.asarray(found.flow[:, sorted(out)].sum(axis=1))
