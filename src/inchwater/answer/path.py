"""The pressure path: static at each place along the air's way, from the room and back to it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from inchwater.answer.types import PathPoint
from inchwater.findings.groups import AT_UNIT, Group, group_drop, groups
from inchwater.quantity import Estimate
from inchwater.survey import Survey

if TYPE_CHECKING:
    from inchwater.forecast import Prediction

Samples = NDArray[np.float64]
_LABELS = {
    "before-filter": "Before the filter",
    "return": "Return, at the unit",
    "before-coil": "After the blower",
    "supply": "Supply plenum",
}


def path(
    prediction: Prediction, survey: Survey, readings: Mapping[str, float]
) -> tuple[PathPoint, ...]:
    """Static along the air's way, with what was read where it was read.

    Parameters
    ----------
    prediction : Prediction
        The solved system.
    survey : Survey
        The survey that it is of.
    readings : mapping of str to float
        Static read at each test point, gauge, return side negative. [Pa]

    Returns
    -------
    tuple of PathPoint
        Gauge to the room. Where several returns or runs stand side by side, the way goes through
        the one that carries most. [Pa]

    Notes
    -----
    At a test point this is what a tip shows there, its velocity pressure included; between them it
    is what the parts up to there have taken.
    """
    weights = np.asarray(prediction.weights, dtype=float)
    return tuple(
        PathPoint(
            key=key,
            label=label,
            side=side,
            static=Estimate.of(samples, weights, "pressure"),
            reading=readings.get(key),
        )
        for key, label, side, samples in _places(prediction, survey)
    )


def _places(prediction: Prediction, survey: Survey) -> Iterator[tuple[str, str, str, Samples]]:
    solution = prediction.solution
    found = groups(prediction, survey)
    nothing = np.zeros_like(np.asarray(solution.airflow, dtype=float))
    yield "room", "Room", "return", nothing

    taken = nothing
    way = [g for g in _way(prediction, found, "return") if g.rank < AT_UNIT]
    for group in way[:-1]:  # after the last of them the test point stands
        taken = taken - group_drop(prediction, group)
        yield group.key, _after(group), "return", taken
    at_unit = any(group.rank == AT_UNIT for group in found)
    for point in (("before-filter",) if at_unit else ()) + ("return",):
        yield point, _LABELS[point], "return", np.asarray(solution.reads[point])

    if "before-coil" in solution.reads:
        yield "before-coil", _LABELS["before-coil"], "supply", solution.reads["before-coil"]
    yield "supply", _LABELS["supply"], "supply", np.asarray(solution.reads["supply"])
    way = _way(prediction, found, "supply")
    drops = [group_drop(prediction, group) for group in way]
    for number, group in enumerate(way[:-1]):
        left = np.sum(np.stack(drops[number + 1 :]), axis=0)
        yield group.key, _after(group), "supply", left
    yield "register", "Register, into the room", "supply", nothing


def _way(prediction: Prediction, found: tuple[Group, ...], side: str) -> list[Group]:
    """The groups on the way through the opening that carries most, in the air's order."""
    network, flows = prediction.solution.network, prediction.solution.part_flow
    of_part = {part: group for group in found if group.side == side for part in group.parts}
    ways = [
        [network.edges[index].key for index in leaf.path]
        for leaf in (network.returns if side == "return" else network.supply)
        if leaf.kind != "leak" and leaf.path
    ]
    if not ways:
        return []
    keys = max(ways, key=lambda way: float(np.median(flows[way[-1]])))
    # A path leads from the unit outward.
    onward = reversed(keys) if side == "return" else keys
    return list(dict.fromkeys(of_part[key] for key in onward if key in of_part))


def _after(group: Group) -> str:
    words = {
        "grille": "After the grille",
        "filter": "After the filter",
        "return": "After the return duct",
        "trunk": "After the trunk",
        "run": "Before the register",
    }
    kind = group.parts[0].partition(":")[0]
    return words.get(group.guidance if kind == "return" else kind, group.label)
