"""What side effects are told for: the air that enters, the outdoors, a year's use, what is around.

None of it is read in a survey: the first two are named states with sources, the others are what
somebody says, and without them the effect is unknown.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from inchwater.air import standard_pressure
from inchwater.effects.data_rows import rows
from inchwater.effects.humid_air import COLDEST, WARMEST, humidity_ratio, wet_bulb
from inchwater.errors import InputError
from inchwater.parts import coefficients
from inchwater.parts.checks import positive, within
from inchwater.survey import CALLS, Survey
from inchwater.units import to_si

STATES = ("rating", "hot", "mild", "winter")


@dataclass(frozen=True)
class Conditions:
    """The air that enters a coil [K, relative humidity -], the outdoors [K], pressure [Pa]."""

    temperature: float
    relative_humidity: float
    outdoor: float
    label: str = ""
    pressure: float = 101325.0

    @cached_property
    def humidity_ratio(self) -> float:
        """Water over dry air of the air that enters, by mass. [-]"""
        return float(humidity_ratio(self.temperature, self.relative_humidity, self.pressure))

    @cached_property
    def wet_bulb(self) -> float:
        """Wet bulb of the air that enters. [K]"""
        return wet_bulb(self.temperature, self.humidity_ratio, self.pressure)

    def at(self, altitude: float) -> Conditions:
        """The same state at an altitude. [m]"""
        return replace(self, pressure=float(standard_pressure(altitude)))


def conditions(state: str, altitude: float = 0.0) -> Conditions:
    """A named state: the rating test, a hot day, a mild day (when coils ice first), a winter day.

    Parameters
    ----------
    state : {"rating", "hot", "mild", "winter"}
        See ``data/conditions.csv``.
    altitude : float
        Above sea level. [m]

    Raises
    ------
    UnknownNameError
        at ``conditions`` if there is no such state.
    """
    coefficients.choose(state, dict.fromkeys(STATES), "conditions")
    table = rows("conditions")
    row = table[f"{state} entering"]
    return Conditions(
        temperature=row.value,
        relative_humidity=table[f"{state} humidity"].value,
        outdoor=table[f"{state} outdoor"].value,
        label=row.more["label"],
        pressure=float(standard_pressure(altitude)),
    )


@dataclass(frozen=True)
class Use:
    """How much a system runs in a year, and what its energy costs.

    ``running`` : time in each thermostat call now [s]; ``price`` : of electric energy [USD/J];
    ``compressor`` : electric energy of compressor and outdoor fan in each call now [J].  What is
    left out is unknown.
    """

    running: Mapping[str, float] = field(default_factory=dict)
    price: float | None = None
    compressor: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for name, given in (("running", self.running), ("compressor", self.compressor)):
            for call, amount in given.items():
                if call not in CALLS:
                    raise InputError(
                        where=f"use.{name}",
                        came=repr(call),
                        right=f"calls are {', '.join(CALLS)}",
                    )
                within(f"use.{name}.{call}", amount, 0.0, _MOST[name], _RIGHT[name])
        if sum(self.running.values()) > _MOST["running"]:
            raise InputError(
                where="use.running",
                came=f"{sum(self.running.values()) / 3600.0:,.0f} h in all calls together",
                right="a year has 8,760 h",
            )
        if self.price is not None:
            within(
                "use.price",
                self.price,
                0.0,
                to_si(5.0, "usd_kwh"),
                "energy costs 0 to 5 USD/kWh",
                "USD/J",
                do="Give the price of a kilowatt-hour.",
            )

    @classmethod
    def of(
        cls,
        hours: Mapping[str, float],
        usd_per_kwh: float | None = None,
        compressor_kwh: Mapping[str, float] | None = None,
    ) -> Use:
        """From hours a year in each call [h], a tariff [USD/kWh], and a year's energy [kWh].

        Examples
        --------
        >>> Use.of({"cooling": 1000.0}, 0.15).running["cooling"]
        3600000.0
        """
        return cls(
            {call: to_si(amount, "h") for call, amount in hours.items()},
            None if usd_per_kwh is None else to_si(usd_per_kwh, "usd_kwh"),
            {call: to_si(amount, "kwh") for call, amount in (compressor_kwh or {}).items()},
        )

    @classmethod
    def of_survey(cls, survey: Survey) -> Use:
        """What a survey says of it."""
        use = survey.use
        return cls(
            {call: fact.si for call, fact in use.hours.items()},
            None if use.price is None else use.price.si,
            {call: fact.si for call, fact in use.energy.items()},
        )


_MOST = {"running": to_si(8784.0, "h"), "compressor": to_si(100_000.0, "kwh")}
_AIR = f"air around ducts has {COLDEST:.0f} to {WARMEST:.0f} K"
_RIGHT = {"running": "a year has 8,760 h", "compressor": "a year's energy is 0 to 100,000 kWh"}


@dataclass(frozen=True)
class Surroundings:
    """What is around the ducts: air temperature and dew point [K], insulation [m2 K/W], its jacket.

    ``insulation`` is one figure for all ducts, or by id of run or trunk; ``reflective`` is whether
    the jacket is of foil.  None is unknown.
    """

    temperature: float | None = None
    dew_point: float | None = None
    insulation: float | Mapping[str, float] | None = None
    reflective: bool | None = None

    def __post_init__(self) -> None:
        for where, given in (("temperature", self.temperature), ("dew_point", self.dew_point)):
            if given is not None:
                within(f"around.{where}", given, COLDEST, WARMEST, _AIR, "K")
        if self.temperature is not None and self.dew_point is not None:
            within(
                "around.dew_point",
                self.dew_point,
                COLDEST,
                self.temperature,
                f"it is no higher than the air's temperature, {self.temperature:g} K",
                "K",
                do="Check both.",
            )

    @classmethod
    def of_survey(cls, survey: Survey) -> Surroundings:
        """What a survey says of it; the jacket is of foil where all that are known are."""
        ducts = {}
        if survey.supply is not None:
            ducts = {b.id: b.duct for b, _ in survey.supply.walk() if b.is_trunk}
            ducts |= {run.id: run.duct for run in survey.supply.runs}
        insulated = {i: d.insulation.si for i, d in ducts.items() if d.insulation is not None}
        jackets = {duct.jacket for duct in ducts.values()} - {None}
        air, dew = survey.place.duct_air, survey.place.duct_dew_point
        return cls(
            None if air is None else air.si,
            None if dew is None else dew.si,
            insulated or None,
            jackets == {"foil"} if jackets else None,
        )

    def insulation_of(self, id_: str) -> float | None:
        """Insulation of one duct; None where nobody said. [m2 K/W]"""
        if isinstance(self.insulation, Mapping):
            return self.insulation.get(id_)
        return self.insulation


@dataclass(frozen=True)
class Plate:
    """What plates and tables of the unit say of heat and of the rating test; None is unknown.

    ``rise`` : temperature rise that the furnace may have [K], by thermostat call;
    ``heat_output_low`` : heat of the low stage [W]; ``kit_airflow`` : least air for the heat kit
    [m3/s]; ``sensible_share`` : sensible heat ratio of the rating test [-].
    """

    rise: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    heat_output_low: float | None = None
    kit_airflow: float | None = None
    sensible_share: float | None = None

    def __post_init__(self) -> None:
        for where, given, unit in (
            ("heat_output_low", self.heat_output_low, "W"),
            ("kit_airflow", self.kit_airflow, "m3/s"),
        ):
            if given is not None:
                positive(f"plate.{where}", given, unit=unit)

    @classmethod
    def of_survey(cls, survey: Survey) -> Plate:
        """What a survey says of it."""
        unit = survey.unit
        kit = None if unit.heat_kit is None else unit.heat_kit.least_airflow
        return cls(
            {call: (one.low.si, one.high.si) for call, one in unit.rise.items()},
            None if unit.heat_output_low is None else unit.heat_output_low.si,
            None if kit is None else kit.si,
            None if unit.sensible_share is None else unit.sensible_share.si,
        )
