"""What stands in the air's way at the unit: the unit, its blower table, filters and coils."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from inchwater.survey.facts import Fact, How

UnitKind = Literal["air-handler", "furnace", "packaged"]
Motor = Literal["psc", "constant-torque", "constant-airflow"]
# What a blower table's zero of external static already holds.
Included = Literal["filter", "coil-dry", "coil-wet", "heater"]


@dataclass(frozen=True, slots=True)
class TableRow:
    """One cell of a blower table; ``airflow`` None is the table's dash: do not run here.

    tesp [Pa], airflow [m3/s], power [W], speed [rad/s].
    """

    tap: str
    tesp: float
    airflow: float | None
    power: float | None = None
    speed: float | None = None


@dataclass(frozen=True, slots=True)
class BlowerTable:
    """A printed blower table; ``includes`` None: unknown boundary; an empty set: none of them."""

    id: str
    rows: tuple[TableRow, ...]
    includes: frozenset[str] | None = None

    @property
    def taps(self) -> tuple[str, ...]:
        """The taps in the order in which they were printed."""
        return tuple(dict.fromkeys(row.tap for row in self.rows))


# The thermostat's calls; the stages of cooling and heating have their own where a unit has two.
CALLS = ("cooling", "cooling-low", "heating", "heating-low", "fan")
HEATING_CALLS = ("heating", "heating-low")


@dataclass(frozen=True, slots=True)
class HeatKit:
    """Electric heat at the unit, in its cabinet or in a section of its own behind the coil.

    ``least_airflow`` is the least air that its own table allows.
    """

    power: Fact | None = None
    inside_unit: bool = True
    rated_drop: Fact | None = None
    rated_airflow: Fact | None = None
    least_airflow: Fact | None = None


@dataclass(frozen=True, slots=True)
class RiseRange:
    """The temperature rise that a plate allows, from ``low`` to ``high``. [K]"""

    low: Fact
    high: Fact


@dataclass(frozen=True, slots=True)
class Unit:
    """The air handler, furnace or packaged unit.

    ``tap`` is the tap in force unless a trial's condition or a change says otherwise; ``calls``
    maps thermostat calls (:data:`CALLS`) to taps and ``calls_how`` says how each is known.
    ``heat_output`` is what the plate says that a furnace gives to the air in its (highest) heating
    call, not what it takes in; ``heat_output_low`` is the same of a low stage.  ``rise`` is what
    the plate allows in each heating call, ``sensible_share`` the sensible heat ratio of the rating
    test, ``leak_airflow`` the least air that the maker asks for when a sensor finds a leak of
    refrigerant.
    """

    kind: UnitKind
    capacity: Fact
    motor: Motor | None = None
    tesp_rating: Fact | None = None
    table: BlowerTable | None = None
    tap: str | None = None
    calls: Mapping[str, str] = field(default_factory=dict)
    nominal_volts: Fact | None = None
    wheel: Literal["clean", "dusty", "caked"] | None = None
    heat: Literal["gas", "electric", "heat-pump", "none"] | None = None
    count: int = 1
    calls_how: Mapping[str, How] = field(default_factory=dict)
    heat_kit: HeatKit | None = None
    heat_output: Fact | None = None
    heat_output_low: Fact | None = None
    rise: Mapping[str, RiseRange] = field(default_factory=dict)
    sensible_share: Fact | None = None
    leak_airflow: Fact | None = None
    renewed: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Filter:
    """A filter: where it sits, its class or its rating, its face and its condition.

    ``grade`` is a key of ``parts/data/filters.csv`` (``pleat-1in-merv8``).  ``renewed`` maps a
    feature to the change that replaced it, ``before`` is the filter that was found there (both kept
    by ``changes.apply``, not stored in files).
    """

    id: str
    at: Literal["grille", "unit"] = "unit"
    grade: str | None = None
    width: Fact | None = None
    height: Fact | None = None
    condition: Literal["clean", "used", "loaded"] | None = None
    rated_drop: Fact | None = None
    rated_airflow: Fact | None = None
    count: int = 1
    renewed: Mapping[str, str] = field(default_factory=dict)
    before: Filter | None = None


@dataclass(frozen=True, slots=True)
class Coil:
    """A cooling coil; inside the unit's cabinet or cased on top of it."""

    id: str
    inside_unit: bool
    condition: Literal["clean", "dusty", "caked", "iced"] | None = None
    rated_drop: Fact | None = None
    rated_airflow: Fact | None = None
    rated_wet: bool = False
    renewed: Mapping[str, str] = field(default_factory=dict)
