"""Numbers with their odds, and sentences with numbers in them, ready for either unit system.

An :class:`Estimate` is what every answer of Inchwater is made of: a median and the range that
holds 9 in 10.  A :class:`Said` is a sentence whose numbers stay SI until somebody reads them, so
page, prompt and JSON say the same in inch-pound or SI.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from inchwater import units
from inchwater.units import System

# The odds that every interval of the program holds.
HELD = 0.90


def weighted_quantile(
    samples: NDArray[np.float64], weights: NDArray[np.float64], probability: float
) -> float:
    """Quantile of weighted samples.

    Parameters
    ----------
    samples : array (sample,)
        Values, in any unit.
    weights : array (sample,)
        Weights, not negative; they need not sum to one. [-]
    probability : float
        Between 0 and 1. [-]
    """
    order = np.argsort(samples)
    mass = np.cumsum(weights[order]) - 0.5 * weights[order]
    return float(np.interp(probability, mass / np.sum(weights), samples[order]))


@dataclass(frozen=True, slots=True)
class Estimate:
    """A median and the range that holds 9 in 10, in SI, with the kind of quantity."""

    value: float
    low: float
    high: float
    kind: str

    @classmethod
    def of(
        cls,
        samples: NDArray[np.float64],
        weights: NDArray[np.float64] | None,
        kind: str,
    ) -> Estimate:
        """The estimate of weighted samples [shape (sample,), SI]."""
        if weights is None:
            weights = np.ones_like(samples)
        tail = (1.0 - HELD) / 2.0
        return cls(
            value=weighted_quantile(samples, weights, 0.5),
            low=weighted_quantile(samples, weights, tail),
            high=weighted_quantile(samples, weights, 1.0 - tail),
            kind=kind,
        )

    def text(self, system: System = "ip") -> str:
        """The median alone, as a person reads it, without the unit."""
        return units.shown(self.value, self.kind, system)[1]

    def range_text(self, system: System = "ip") -> str:
        """The range alone: ``660–830``."""
        low = units.shown(self.low, self.kind, system)[1]
        high = units.shown(self.high, self.kind, system)[1]
        # A dash between two minus signs cannot be read.
        return f"{low} to {high}" if "−" in low + high else f"{low}–{high}"

    def label(self, system: System = "ip") -> str:
        """The unit, as it is printed."""
        return units.unit(units.SHOWN[self.kind][system][0]).label

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """``{value, low, high, unit}`` in the system's unit, unrounded."""
        name, _ = units.SHOWN[self.kind][system]
        return {
            "value": units.from_si(self.value, name),
            "low": units.from_si(self.low, name),
            "high": units.from_si(self.high, name),
            "unit": name,
        }


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence with holes for numbers: ``said("About {q} leaves.", q=(0.35, "airflow"))``.

    A value is ``(SI number, kind)``; it is printed with its unit's label.  ``{q:bare}`` leaves the
    label out.  A plain string value goes in as it is.
    """

    template: str
    values: Mapping[str, tuple[float, str] | str] = field(default_factory=dict)

    def text(self, system: System = "ip") -> str:
        """The sentence in the units of ``system``."""
        shown = {
            name: value if isinstance(value, str) else _Shown(*value, system)
            for name, value in self.values.items()
        }
        # A unit that ends in a full stop (in. w.c.) ends the sentence by itself.
        return self.template.format(**shown).replace("w.c..", "w.c.")


@dataclass(frozen=True, slots=True)
class _Shown:
    value: float
    kind: str
    system: System

    def __format__(self, spec: str) -> str:
        _, text, label = units.shown(self.value, self.kind, self.system)
        return text if spec == "bare" or not label else f"{text} {label}"


def in_sentence(text: str) -> str:
    """A label as it stands inside a sentence: its first letter small."""
    return text[:1].lower() + text[1:]


def said(template: str, **values: tuple[float, str] | str) -> Said:
    """A :class:`Said` from a template and its values."""
    return Said(template, values)
