"""When a variant is at rest, and what is said of one that is not: the part that holds it up."""

from __future__ import annotations

from typing import NoReturn

import numpy as np
from numpy.typing import NDArray

from inchwater.errors import ConvergenceError
from inchwater.network.elements import Array
from inchwater.network.equations import Equations

# Accepted residuals: each path against the fan's pressure, mass against the fan's flow.
PATH_TOLERANCE = 1e-6
MASS_TOLERANCE = 1e-9


def refuse(equations: Equations, residual: Array, x: Array, bad: NDArray[np.bool_]) -> NoReturn:
    """Say which part keeps the first of the variants in ``bad`` (sample,) from coming to rest.

    Parameters
    ----------
    residual, x : array (sample, leaf + 2)
        What is left of the equations, and the flows and pressures at which it is. [Pa, m3/s]

    Raises
    ------
    ConvergenceError
        Always.
    """
    network = equations.network
    rows = np.flatnonzero(bad | ~np.isfinite(x).all(axis=1))
    n = len(network.leaves)
    came = f"{len(rows)} of {len(bad)} variants that did not come to rest"
    broken = _not_a_number(equations, int(rows[0]))
    if broken is not None:
        raise ConvergenceError(
            where=broken,
            came=came,
            right="the resistance of a part is a finite number",
            do=f"Look at the sizes and losses typed for {broken}.",
        )
    left = np.abs(np.nan_to_num(residual[rows[0]], nan=np.inf))
    head = max(float(x[rows[0], n] - x[rows[0], n + 1]), 1.0)
    if left[n:].max() / network.design_flow > left[:n].max() / head:
        raise ConvergenceError(
            where="blower",
            came=came,
            right="the blower should move one airflow at the pressure that the ducts ask for",
            do="Look at the cells of the blower table.",
        )
    leaf = network.leaves[int(np.argmax(left[:n]))]
    raise ConvergenceError(
        where=network.edges[leaf.path[-1]].key if leaf.path else leaf.id,
        came=came,
        right="the pressures along its path should add up to the plenum's",
        do=f"Look at the sizes and losses typed for {leaf.id}.",
    )


def _not_a_number(equations: Equations, row: int) -> str | None:
    """Key of the first edge whose resistance in a variant is no finite number."""
    given = equations.given
    for i, edge in enumerate(equations.network.edges):
        parts = (
            given.quadratic[row, i : i + 1],
            given.scale[row, i : i + 1],
            given.friction[row, equations.piece_edge == i],
            given.power[row, equations.law_edge == i],
        )
        if not all(np.isfinite(part).all() for part in parts):
            return edge.key
    return None
