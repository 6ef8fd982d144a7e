"""What a benchmark's figures have to be, and whether they are."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from benchmarks._tables import Table


@dataclass(frozen=True)
class Promise:
    """Bounds of a figure, both belonging to it, in the figure's own unit."""

    low: float = -math.inf
    high: float = math.inf

    def kept(self, value: float) -> bool:
        """Whether a figure is within; one that is no number is not."""
        return self.low <= value <= self.high

    @property
    def said(self) -> str:
        """In signs."""
        if self.low == -math.inf:
            return f"≤ {self.high:g}"
        return f"≥ {self.low:g}" if self.high == math.inf else f"{self.low:g} to {self.high:g}"


Promises = Mapping[str, Promise]


def missed(result: Mapping[str, float], promises: Promises) -> list[str]:
    """Keys of the result that are not what was promised; one that was not judged is missed."""
    return [key for key, promise in promises.items() if not promise.kept(result[key])]


def judged(result: Mapping[str, float], promises: Promises) -> Table:
    """What was promised beside what was measured."""
    rows = []
    for key, promise in promises.items():
        value = result[key]
        verdict = "met" if promise.kept(value) else "missed"
        if math.isnan(value):
            rows.append((key, "-", promise.said, "not judged"))
        else:
            rows.append((key, f"{value:.4g}", promise.said, verdict))
    return Table("What was promised", ("figure", "measured", "promised", ""), rows)
