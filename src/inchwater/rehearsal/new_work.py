"""New work in a virtual house: its random streams, and how a crew paid for flow leaves it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from inchwater.rehearsal.figures import stream
from inchwater.rehearsal.world import World

if TYPE_CHECKING:
    import numpy as np

    from inchwater.survey import Change

    Rng = np.random.Generator

# What a crew that is paid to mend flow leaves behind: compression of new flex [-].
_TIGHT_A, _TIGHT_B = 2.6, 70.0
NEW_FITTINGS = 1.05


def stream_of(world: World, change: Change, part: str) -> Rng:
    """The stream of one part's new work."""
    return stream(world.seed, "work", str(world.attempt), change.id, change.kind, part)


def si(to: Mapping[str, Any], key: str, default: float) -> float:
    """A size that a change names in SI, or the default."""
    return float(to[key].si) if key in to else default


def tight(rng: Rng) -> float:
    """Compression of flex that was pulled tight. [-]"""
    return float(rng.beta(_TIGHT_A, _TIGHT_B))


def hung(rng: Rng, to: Mapping[str, Any]) -> float:
    """Compression of new flex; somebody may say that it is to hang slack. [-]"""
    middle = {"slack": 0.14, "draped": 0.24, "kinked": 0.34}.get(str(to.get("slack", "tight")))
    return tight(rng) if middle is None else middle * float(rng.gamma(12.0) / 12.0)
