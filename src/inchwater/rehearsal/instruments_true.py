"""What instruments show in a virtual house: gain, zero, noise, gusts, and what a display holds.

One manometer, hood, flow plate, thermometer and meter for a visit, each with its gain; the
manometer's zero is set anew for each trial.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from inchwater import units
from inchwater.rehearsal.figures import spread, stream
from inchwater.survey import Instrument, Quantity, Reading, place_of
from inchwater.survey.trials import RETURN_SIDE

if TYPE_CHECKING:
    import numpy as np

    from inchwater.rehearsal.state import State

INSTRUMENTS = (
    Instrument("i1", "manometer"),
    Instrument("i2", "power meter"),
    Instrument("i3", "flow plate", gain=0.05),
    Instrument("i4", "hood", gain=0.05),
    Instrument("i5", "thermometer"),
    Instrument("i6", "tachometer"),
)


@dataclass(frozen=True)
class Bench:
    """One technician's instruments on one visit."""

    digits: int
    manometer: float
    hood: float
    plate: float
    rise: float
    power: float

    @classmethod
    def bring(cls, seed: int) -> Bench:
        """The instruments that come to a house."""
        rng = stream(seed, "instruments")
        return cls(
            digits=3 if rng.random() < 0.4 else 2,
            manometer=1.0 + spread("manometer gain") * float(rng.normal()),
            hood=1.0 + spread("hood gain") * float(rng.normal()),
            plate=1.0 + spread("flow plate") * float(rng.normal()),
            rise=1.0 + spread("rise bias") * float(rng.normal()),
            power=1.0 + spread("power gain") * float(rng.normal()),
        )


class Observer:
    """The readings of one trial; the same trial of the same house reads the same, for ever.

    Parameters
    ----------
    seed : int
        Of the house.
    trial : str
        Id of the trial, from which its own noise comes.
    """

    def __init__(self, seed: int, trial: str) -> None:
        self.bench = Bench.bring(seed)
        self.trial = trial
        self.rng: np.random.Generator = stream(seed, "trial", trial)
        self.zero = spread("manometer zero") * float(self.rng.normal())
        self.gust = 0.0
        self.readings: list[Reading] = []

    def statics(self, state: State, points: tuple[str, ...]) -> None:
        """Statics of these places, typed without a sign."""
        for point in points:
            self._pressure(point, "static", state.static[point])

    def drops(self, state: State, parts: tuple[str, ...]) -> None:
        """Drops of these parts between the holes on their two sides."""
        for part in parts:
            self._pressure(part, "drop", state.drop[part])

    def _pressure(self, at: str, quantity: Quantity, true: float) -> None:
        # A gust moves several readings in a row, less and less.
        if self.rng.random() < spread("gust share"):
            self.gust += spread("gust") * float(self.rng.normal())
        noise = spread("manometer noise") * float(self.rng.normal()) + self.gust
        self.gust *= 0.3
        seen = true * self.bench.manometer + self.zero + noise
        number = abs(units.from_si(seen, "inwc"))
        typed = f"{number:.{self.bench.digits}f}"
        on_return = quantity == "static" and place_of(at)[0] in RETURN_SIDE
        sign = -1.0 if on_return else 1.0
        self._add(at, quantity, typed, "inwc", sign * units.to_si(float(typed), "inwc"), "i1")

    def plate(self, state: State) -> None:
        """Airflow at the unit by a flow plate."""
        self._flow("unit", state.airflow * self.bench.plate, "i3", 5.0)

    def hoods(self, state: State, density_ratio: float) -> None:
        """A hood on every register; it reads the volume of the air that comes out."""
        for run, flow in state.runs.items():
            gain = self.bench.hood * (1.0 + spread("hood reading") * float(self.rng.normal()))
            self._flow(f"register:{run}", flow * density_ratio * gain, "i4", 1.0)

    def _flow(self, at: str, value: float, instrument: str, step: float) -> None:
        typed = f"{max(step * round(units.from_si(value, 'cfm') / step), step):.0f}"
        self._add(at, "airflow", typed, "cfm", units.to_si(float(typed), "cfm"), instrument)

    def rise(self, state: State) -> None:
        """Temperature rise in a heating call."""
        seen = state.rise * self.bench.rise + spread("thermometer") * float(self.rng.normal())
        typed = f"{units.from_si(seen, 'degf_rise'):.1f}"
        value = units.to_si(float(typed), "degf_rise")
        self._add("unit", "temperature-rise", typed, "degf_rise", value, "i5")

    def watts(self, state: State, volts: float) -> None:
        """Watts, volts under load and revolutions of the blower."""
        typed = f"{state.power * self.bench.power + float(self.rng.normal(0.0, 2.0)):.0f}"
        self._add("unit", "power", typed, "w", float(typed), "i2")
        typed = f"{volts + spread('volts') * float(self.rng.normal()):.0f}"
        self._add("unit", "voltage", typed, "v", float(typed), "i2")
        seen = state.speed + spread("tachometer") * float(self.rng.normal())
        typed = f"{units.from_si(seen, 'rpm'):.0f}"
        self._add("unit", "speed", typed, "rpm", units.to_si(float(typed), "rpm"), "i6")

    def _add(
        self, at: str, quantity: Quantity, typed: str, unit: str, value: float, instrument: str
    ) -> None:
        self.readings.append(
            Reading(
                id=f"{self.trial}-{len(self.readings) + 1}",
                at=at,
                quantity=quantity,
                typed=typed,
                unit=unit,
                value=value,
                instrument=instrument,
            )
        )
