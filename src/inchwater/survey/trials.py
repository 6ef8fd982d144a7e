"""Trials: one condition of the system each, with the readings taken in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from inchwater.errors import joined

# The test points, in the air's order.  ``return``: between the last filter at the unit and the
# unit; ``before-filter``: in the return plenum upstream of a filter at the unit; ``before-coil``:
# between a furnace and its cased coil; ``supply``: in the supply plenum, after the coil.
# ``unit`` is the place of what is read at the unit itself: watts, volts, airflow.
TestPoint = Literal["before-filter", "return", "before-coil", "supply", "unit"]
TEST_POINTS: tuple[TestPoint, ...] = ("before-filter", "return", "before-coil", "supply", "unit")
Quantity = Literal["static", "drop", "airflow", "temperature-rise", "power", "voltage", "speed"]
# Where each quantity is read: at a test point by its word, or at a part by ``kind:<its id>``.
READ_AT: Mapping[Quantity, tuple[str, ...]] = {
    "static": (*TEST_POINTS[:-1], "trunk:", "run:", "return:"),
    "drop": ("filter:", "coil:"),
    "airflow": ("unit", "register:", "grille:"),
    "temperature-rise": ("unit",),
    "power": ("unit",),
    "voltage": ("unit",),
    "speed": ("unit",),
}
# The places where a static is below that of the space around it.
RETURN_SIDE = ("before-filter", "return", "return:")
# The kind of quantity by which each converts and is shown.
KINDS: Mapping[Quantity, str] = {
    "static": "pressure",
    "drop": "pressure",
    "airflow": "airflow",
    "temperature-rise": "temperature_rise",
    "power": "power",
    "voltage": "voltage",
    "speed": "speed",
}


def place_of(at: str) -> tuple[str, str]:
    """A place as its kind and the part's id: ``run:`` and ``r1``; a test point has no id."""
    kind, colon, id_ = at.partition(":")
    return kind + colon, id_


def places_said(quantity: Quantity) -> str:
    """Where a quantity is read, in words: ``filter:<id> or coil:<id>``."""
    return joined([f"{one}<id>" if one.endswith(":") else one for one in READ_AT[quantity]])


@dataclass(frozen=True, slots=True)
class Reading:
    """One measured quantity at one place.

    ``at`` is a test point or a part: ``trunk:<branch id>`` (in that trunk, before its first
    take-off), ``run:<id>`` (in that run, just after its take-off), ``return:<id>`` (behind that
    return's grille and filter, before its duct), ``filter:<id>``, ``coil:<id>`` (a drop, air side
    to air side), ``register:<run id>``, ``grille:<return id>`` (a hood); :data:`READ_AT` says
    which quantity is read where.

    ``typed`` and ``unit`` are kept as they came and never recomputed.  ``value`` is the SI value
    with its sign: static is gauge to the surrounding space, so the return side is negative [Pa];
    drop [Pa], airflow [m3/s], temperature rise, supply less return [K], power [W], voltage [V] and
    speed [rad/s] are positive.  A reading that ``corrects`` another replaces it.
    """

    id: str
    at: str
    quantity: Quantity
    typed: str
    unit: str
    value: float
    instrument: str | None = None
    taken: str | None = None
    corrects: str | None = None


@dataclass(frozen=True, slots=True)
class Trial:
    """One condition with its readings.

    ``after`` lists the changes in force.  ``condition`` holds only what is temporary:
    ``call`` (one of ``CALLS``), ``tap`` (a tap's name), ``coil`` (wet, dry), ``filter:<id>`` (in,
    out), ``run:<id>`` (pulled-open, pulled-capped), ``register:<id>`` (open, closed),
    ``door:<room id>`` (open, shut), ``zone:<name>`` (open, shut), ``bypass:<id>`` (open, shut).
    """

    id: str
    after: tuple[str, ...] = ()
    condition: Mapping[str, str] = field(default_factory=dict)
    readings: tuple[Reading, ...] = ()

    @property
    def in_force(self) -> tuple[Reading, ...]:
        """The readings that no other reading corrects."""
        replaced = {reading.corrects for reading in self.readings if reading.corrects}
        return tuple(reading for reading in self.readings if reading.id not in replaced)


@dataclass(frozen=True, slots=True)
class Instrument:
    """What a reading was taken with; its spread is added to repeatability and jetting."""

    id: str
    kind: str = "manometer"
    gain: float | None = None  # one sigma of reading, ratio
    zero: float | None = None  # one sigma of zero, SI
