"""The system as a tree in the air's order: every part with its drop and the air through it.

The return's ends come first and join on their way to the unit, the supply divides behind it; what
leaks, what a bypass takes back, and the ways out of rooms whose doors are shut have rows too.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from inchwater.answer.types import TreeRow
from inchwater.findings.labels import part_label
from inchwater.quantity import Estimate
from inchwater.survey import Survey

if TYPE_CHECKING:
    from inchwater.forecast import Prediction
    from inchwater.network.elements import Leaf, Network

# A row before its numbers: key, label, side, depth.
_Row = tuple[str, str, str, int]
# A node of the tree: the edges that branch off here, each with what hangs on it.
_Twigs = dict[int, "_Twigs"]


def tree(prediction: Prediction, survey: Survey) -> tuple[TreeRow, ...]:
    """Every part of a solved system, in the air's order.

    Parameters
    ----------
    prediction : Prediction
        Solved samples; their drops [Pa] and flows [m3/s] are what is shown.
    survey : Survey
        The survey that it is of; labels come from it.

    Returns
    -------
    tuple of TreeRow
        ``depth`` is how many parts lie between a row and the unit. Drops are of total pressure,
        so along every way from room to room they add up to what the blower adds, whose drop is
        negative. A flow against the usual way is negative.
    """
    solution = prediction.solution
    weights = np.asarray(prediction.weights, dtype=float)
    return tuple(
        TreeRow(
            key=key,
            label=label,
            side=side,
            depth=depth,
            drop=Estimate.of(_drop(prediction, key), weights, "pressure"),
            flow=Estimate.of(
                np.asarray(
                    solution.airflow if key == "blower" else solution.part_flow[key], dtype=float
                ),
                weights,
                "airflow",
            ),
        )
        for key, label, side, depth in _rows(solution.network, survey)
    )


def _drop(prediction: Prediction, key: str) -> NDArray[np.float64]:
    solution = prediction.solution
    if key != "blower":
        return np.asarray(solution.drop[key], dtype=float)
    network = solution.network
    added = np.asarray(solution.total["supply"]) - np.asarray(solution.total["return"])
    for edge in (*network.coil, *network.heater):
        added = added + np.asarray(solution.drop[network.edges[edge].key])
    return np.asarray(-added, dtype=float)


def _rows(network: Network, survey: Survey) -> Iterator[_Row]:
    def row(index: int, side: str, depth: int) -> _Row:
        edge = network.edges[index]
        return edge.key, part_label(edge.key, survey) or edge.label, side, depth

    for index, depth in _towards(_twigs(network.returns, "return"), 1):
        yield row(index, "return", depth)
    yield from (row(index, "return", 1) for index in _leaks(network.returns))
    yield from (row(index, "return", 0) for index in network.unit_filter)
    # A cased coil stands behind the furnace's blower, one in the cabinet before it (common
    # practice, no source: air handlers mostly draw through their coil).
    coil = [row(index, "unit", 0) for index in network.coil]
    yield from () if network.coil_outside else coil
    yield "blower", "Blower", "unit", 0
    yield from coil if network.coil_outside else ()
    yield from (row(index, "unit", 0) for index in network.heater)
    for index, depth in _away(_twigs(network.supply, "run", "pulled"), 1):
        yield row(index, "supply", depth)
    yield from (row(index, "supply", 1) for index in _leaks(network.supply))
    yield from (row(index, "bypass", 1) for index in network.bypass)
    for ways_out in network.rooms.values():
        yield from (row(index, "room", 1) for index in ways_out)


def _twigs(leaves: tuple[Leaf, ...], *kinds: str) -> _Twigs:
    """The paths of leaves, those of a common beginning put together."""
    root: _Twigs = {}
    for leaf in leaves:
        at = root
        for index in leaf.path if leaf.kind in kinds else ():
            at = at.setdefault(index, {})
    return root


def _leaks(leaves: tuple[Leaf, ...]) -> list[int]:
    return [leaf.path[-1] for leaf in leaves if leaf.kind == "leak" and leaf.path]


def _away(twigs: Mapping[int, _Twigs], depth: int) -> Iterator[tuple[int, int]]:
    """From the unit outward: a part, then all that leaves it."""
    for index, further in twigs.items():
        yield index, depth
        yield from _away(further, depth + 1)


def _towards(twigs: Mapping[int, _Twigs], depth: int) -> Iterator[tuple[int, int]]:
    """From the rooms inward: all that joins in a part, then the part."""
    for index, further in twigs.items():
        yield from _towards(further, depth + 1)
        yield index, depth
