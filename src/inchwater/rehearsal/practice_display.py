"""What a technician sees on a display while a reading comes to rest, look by look.

The figures start short of the end, creep up to it and flicker in the last digit; the end has the
gain, zero, noise and gusts of every virtual house's instruments.  Whoever writes too early writes
too little.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from inchwater import units
from inchwater.errors import UnknownNameError
from inchwater.rehearsal.figures import stream
from inchwater.rehearsal.instruments_true import Observer
from inchwater.rehearsal.practice_figures import practice
from inchwater.rehearsal.state import State
from inchwater.rehearsal.world import World
from inchwater.survey import Quantity, Reading, place_of

# The flow plate's chart is read in coarser steps than a display shows.
_PLATE = "i3"


@dataclass(frozen=True, slots=True)
class Display:
    """One instrument at one place: ``reading`` is where it comes to rest, ``figures`` the way."""

    reading: Reading
    figures: tuple[str, ...]

    def shown(self, looks: int) -> str:
        """The figure after so many looks, as it would be typed."""
        return self.figures[min(looks, len(self.figures)) - 1]

    def still(self, looks: int) -> bool:
        """Whether the last two looks showed the same."""
        return looks >= 2 and self.shown(looks) == self.shown(looks - 1)

    def looks_until_still(self, looks: int) -> int:
        """How many more looks it takes until two in a row show the same."""
        more = 1
        while not self.still(looks + more):
            more += 1
        return more

    def written(self, looks: int, id_: str) -> Reading:
        """The reading as it is written down after so many looks."""
        typed = self.shown(looks)
        value = math.copysign(units.to_si(float(typed), self.reading.unit), self.reading.value)
        return replace(self.reading, id=id_, typed=typed, value=value)


def display(
    world: World, state: State, quantity: Quantity, at: str, *, call: str, stretch: int, number: int
) -> Display:
    """An instrument that is put to a place.

    Parameters
    ----------
    world : World
        The house as it is now.
    state : State
        What truly is now.
    quantity, at : str
        As of a :class:`~inchwater.survey.Reading`.
    call : str
        The thermostat call.
    stretch : int
        Which stretch between two changes of state: the manometer's zero is set once for each.
    number : int
        Of the act in the round; two readings at one place differ by it.

    Raises
    ------
    UnknownNameError
        If nothing of that kind can be read there.
    """
    observer = Observer(world.seed, f"practice {stretch} {number} {quantity} {at}")
    observer.zero = Observer(world.seed, f"practice {stretch}").zero
    _read(observer, world, state, quantity, at, call)
    found = next((one for one in observer.readings if one.quantity == quantity), None)
    if found is None:
        raise UnknownNameError(
            where="read",
            came=f"{quantity} at {at}",
            right="nothing of that kind can be read there in this house as it stands",
            do="Choose one of the places that are listed.",
        )
    return Display(found, _figures(world.seed, number, found))


def _read(
    observer: Observer, world: World, state: State, quantity: Quantity, at: str, call: str
) -> None:
    kind, part = place_of(at)
    if quantity == "static" and at in state.static:
        observer.statics(state, (at,))
    elif quantity == "drop" and at in state.drop:
        observer.drops(state, (at,))
    elif quantity == "airflow" and at == "unit":
        observer.plate(state)
    elif quantity == "airflow" and kind == "register:" and part in state.runs:
        ratio = world.density / world.supply_air(call)
        observer.hoods(replace(state, runs={part: state.runs[part]}), ratio)
    elif quantity == "temperature-rise" and at == "unit" and state.rise > 0.0:
        observer.rise(state)
    elif quantity in ("power", "voltage", "speed") and at == "unit":
        observer.watts(state, world.machine.volts * world.machine.nominal)


def _figures(seed: int, number: int, end: Reading) -> tuple[str, ...]:
    """What the display shows from the first look on; the last two are the same."""
    rng = stream(seed, "settling", str(number), end.quantity, end.at)
    decimals = len(end.typed.partition(".")[2])
    step = 10.0**-decimals
    if end.instrument == _PLATE:
        step = units.from_si(practice("settling plate"), "cfm")
    rest = float(end.typed)
    left = practice("settling start") + practice("settling span") * float(rng.random())
    shown: list[str] = []
    while rest * left >= 0.5 * step and len(shown) < practice("settling most") - 2.0:
        flicker = int(rng.integers(-1, 2))
        steps = max(round(rest * (1.0 - left) / step) + flicker, 0)
        shown.append(f"{step * steps:.{decimals}f}")
        left *= practice("settling share")
        left *= 1.0 - practice("settling spread") * float(rng.random())
    return (*shown, end.typed, end.typed)
