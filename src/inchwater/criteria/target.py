"""One thing that is wanted of a system, with its bounds and who says so."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from inchwater import units
from inchwater.criteria.judge import OtherSaid, bounds_text
from inchwater.units import System


@dataclass(frozen=True, slots=True)
class Target:
    """What is wanted of one quantity in one thermostat call.

    ``call`` empty is the call that a forecast is for; ``subject`` empty is the system, else the id
    of a filter, run, trunk, return or room.  ``low`` and ``high`` are in SI, None where there is no
    bound.  ``quantity`` is a key of ``measure.QUANTITIES`` and ``unit_kind`` its kind.  ``stated``
    is whether somebody said so, of this system; ``needed`` whether it counts in "meets every
    target"; ``others`` are the figures of other sources.  ``louder`` is by how much louder than now
    a register or grille may become although it passes its bound (below zero: how much softer it has
    to become then) [dB], ``faster`` how many times as
    fast as now the air may be [-]; None where the bound holds alone.
    """

    key: str
    label: str
    quantity: str
    call: str
    subject: str
    low: float | None
    high: float | None
    unit_kind: str
    source: str
    status: str
    note: str = ""
    stated: bool = False
    needed: bool = True
    others: tuple[OtherSaid, ...] = ()
    louder: float | None = None
    faster: float | None = None

    @property
    def name(self) -> str:
        """``run-velocity:r1``: the key with what it is about; unique within a call."""
        return f"{self.key}:{self.subject}" if self.subject else self.key

    def bounds(self, system: System = "ip") -> str:
        """The bounds as a person reads them: ``875–1,125 cfm``, ``up to 0.50 in. w.c.``."""
        text = bounds_text(self.low, self.high, self.unit_kind, system)
        if self.louder is not None:
            much = units.shown(abs(self.louder), "sound_level", system)[1]
            if self.louder < 0.0:
                return f"{text}, or at least {much} dB softer than now"
            return f"{text}, or no more than {much} dB louder than now"
        if self.faster is not None:
            return f"{text}, or no more than {100.0 * (self.faster - 1.0):.0f} % faster than now"
        return text

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data, with the bounds in the system's unit."""
        unit = units.SHOWN[self.unit_kind][system][0]
        return {
            "key": self.key,
            "label": self.label,
            "call": self.call,
            "subject": self.subject,
            "low": None if self.low is None else units.from_si(self.low, unit),
            "high": None if self.high is None else units.from_si(self.high, unit),
            "unit": unit,
            "source": self.source,
            "status": self.status,
            "note": self.note,
            "stated": self.stated,
            "needed": self.needed,
            "others": [other.text(system) for other in self.others],
            "louder_db": self.louder,
            "times_as_fast": self.faster,
        }
