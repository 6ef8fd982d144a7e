"""When a variant is at rest, and what is said of one that is not: the part that holds it up."""

from __future__ import annotations

from typing import NoReturn

import numpy as np
from numpy.typing import NDArray

from inchwater.errors import ConvergenceError
from inchwater.network.arrays import Coefficients, Found
from inchwater.network.elements import Network

# Accepted residuals: each path, the blower's among them, and the air that is lost on the way.
PATH_TOLERANCE = 1e-6
MASS_TOLERANCE = 1e-9


def refuse(
    network: Network, given: Coefficients, found: Found, bad: NDArray[np.bool_], size: int
) -> NoReturn:
    """Say which part keeps the first of the variants in ``bad`` (sample,) from coming to rest.

    ``size`` is the number of all variants, of which ``given`` and ``found`` hold some. [-]

    Raises
    ------
    ConvergenceError
        Always.
    """
    rows = np.flatnonzero(bad | ~np.isfinite(found.ends).all(axis=1))
    row = int(rows[0])
    came = f"{len(rows)} of {size} variants that did not come to rest"
    broken = _not_a_number(network, given, row)
    if broken is not None:
        raise ConvergenceError(
            where=broken,
            came=came,
            right="the resistance of a part is a finite number",
            do=f"Look at the sizes and losses typed for {broken}.",
        )
    worst = int(found.worst[row])
    if worst < 0:
        raise ConvergenceError(
            where="blower",
            came=came,
            right="the blower should move one airflow at the pressure that the ducts ask for",
            do="Look at the cells of the blower table.",
        )
    key = network.edges[worst].key
    leaf = next((one for one in network.leaves if one.path[-1] == worst), None)
    raise ConvergenceError(
        where=key,
        came=came,
        right="the pressures along its path should add up to the plenum's",
        do=f"Look at the sizes and losses typed for {key if leaf is None else leaf.id}.",
    )


def _not_a_number(network: Network, given: Coefficients, row: int) -> str | None:
    """Key of the first edge whose resistance in a variant is no finite number."""
    piece, law, tee = 0, 0, 0
    for i, edge in enumerate(network.edges):
        pieces, laws, tees = len(edge.friction), len(edge.power), int(edge.tee is not None)
        parts = (
            given.quadratic[row, i : i + 1],
            given.scale[row, i : i + 1],
            given.friction[row, piece : piece + pieces],
            given.power[row, law : law + laws],
            given.tee[row, tee : tee + tees],
        )
        if not all(np.isfinite(part).all() for part in parts):
            return edge.key
        piece, law, tee = piece + pieces, law + laws, tee + tees
    return None
