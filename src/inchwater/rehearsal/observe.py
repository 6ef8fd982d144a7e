"""What a technician would read in a house: the truth through a tube, a gauge and two decimals."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, field

from inchwater import units
from inchwater.survey.trials import Quantity, Reading

# One sigma each: a jet or a swirl at the hole, the gauge's zero, its gain, a power meter's gain.
# Invented within the ranges that gauges and field guides state.
JET = units.to_si(0.010, "inwc")
ZERO = units.to_si(0.003, "inwc")
GAIN = 0.01
POWER_GAIN = 0.02


@dataclass
class Observer:
    """One technician with one gauge on one visit.

    The jet at a hole stays what it is during the visit, as the tube is not moved; the gauge's zero
    is set anew for each trial.
    """

    seed: int
    taken: str
    gauge: random.Random = field(init=False)
    gain: float = field(init=False)
    jets: dict[str, float] = field(init=False, default_factory=dict)
    count: int = field(init=False, default=0)

    def __post_init__(self) -> None:
        self.gauge = random.Random(self.seed)
        self.gain = 1.0 + self.gauge.gauss(0.0, GAIN)

    def statics(self, static: Mapping[str, float]) -> tuple[Reading, ...]:
        """Readings of the true statics [Pa, signed] by test point, typed without a sign."""
        zero = self.gauge.gauss(0.0, ZERO)
        readings = []
        for point, true in static.items():
            if point not in self.jets:
                self.jets[point] = self.gauge.gauss(0.0, JET)
            seen = (true + self.jets[point]) * self.gain + zero
            typed = f"{abs(units.from_si(seen, 'inwc')):.2f}"
            sign = -1.0 if true < 0.0 else 1.0
            value = sign * units.to_si(float(typed), "inwc")
            readings.append(self._reading(point, "static", typed, "inwc", value))
        return tuple(readings)

    def power(self, true: float) -> Reading:
        """A reading of the blower's true power [W]."""
        typed = f"{true * (1.0 + self.gauge.gauss(0.0, POWER_GAIN)):.0f}"
        return self._reading("unit", "power", typed, "w", float(typed))

    def voltage(self, true: float) -> Reading:
        """A reading of the voltage at the unit [V]."""
        typed = f"{true:.0f}"
        return self._reading("unit", "voltage", typed, "v", float(typed))

    def _reading(self, at: str, quantity: Quantity, typed: str, unit: str, value: float) -> Reading:
        self.count += 1
        return Reading(
            id=f"rd{self.count}",
            at=at,
            quantity=quantity,
            typed=typed,
            unit=unit,
            value=value,
            instrument="i1" if quantity == "static" else "i2",
            taken=self.taken,
        )
