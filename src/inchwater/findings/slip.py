"""One slip that a visit's readings may hold, and the figures by which slips are weighed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from inchwater import units
from inchwater.calibration.observe import Observed
from inchwater.network.elements import Array
from inchwater.parts.coefficients import table

# How many times too large a number is that was read in the first unit and typed in the second.
UNITS: Mapping[str, float] = {
    "Pa typed as inches": units.to_si(1.0, "inwc"),
    "inches typed as Pa": 1.0 / units.to_si(1.0, "inwc"),
    "mm of water typed as inches": units.to_si(1.0, "in") / units.to_si(1.0, "mm"),
    "hPa typed as inches": units.to_si(1.0, "inwc") / 100.0,
}


def figure(key: str) -> float:
    """One figure of ``data/slips.csv``, in SI."""
    return table("slips", "inchwater.findings.data")[key].value


@dataclass(frozen=True, slots=True)
class Slip:
    """One slip that could have been made.

    kind : a word of ``data/slips.csv``; odds : before anything is read [-]; trials, places :
    where; to : what truly was (a tap, a unit, a side, a size).
    taken, spreads : array (reading,), what was truly shown if so [SI], None where as typed;
    log_scale : logarithm of by how much typing stretched the readings [-];
    observed : the trials as they truly were, None where as said.
    """

    kind: str
    odds: float
    trials: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    to: str = ""
    taken: Array | None = field(default=None, compare=False)
    spreads: Array | None = field(default=None, compare=False)
    log_scale: float = 0.0
    observed: tuple[Observed, ...] | None = field(default=None, compare=False, repr=False)
