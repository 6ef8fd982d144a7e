"""What each quantity can be: ranges from ``data/ranges.csv``, in SI, and how an error says them."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from inchwater import units
from inchwater.errors import InchwaterError, InputError
from inchwater.survey.facts import UNITS_BY_KIND, Fact
from inchwater.survey.trials import KINDS, Quantity

# What the ranges are called in an error: "flex ducts run from 3.1 to 22 in".
_CALLED = {
    "airflow": "airflows",
    "airflow_per_capacity": "goals",
    "altitude": "altitudes",
    "capacity": "units",
    "carbon_monoxide": "shares of carbon monoxide",
    "damper_angle": "damper blades",
    "delivered_share": "wished shares of the air in the rooms",
    "door_pressure": "wished pressures in rooms",
    "door_width": "doors",
    "duct_air": "temperatures around ducts",
    "duct_diameter": "ducts",
    "drop": "drops across filters and coils",
    "duct_length": "pieces of duct",
    "duct_side": "the sides of ducts",
    "duct_static": "statics in single ducts",
    "energy": "yearly energies",
    "face": "faces of grilles and filters",
    "filter_depth": "filter depths",
    "flex_diameter": "flex ducts",
    "gate_rise": "temperature rises",
    "gate_time": "times of spillage",
    "heat_output": "the heat outputs of furnaces",
    "heat_power": "heat kits",
    "hood_airflow": "the airflows of registers and grilles",
    "insulation": "R-values",
    "leak_airflow": "the flows of leakage tests",
    "leak_pressure": "leakage tests",
    "noise_criterion": "noise criteria",
    "off_share": "wished tolerances of rooms",
    "power": "the watts of blowers",
    "power_per_airflow": "fan watts for the air moved",
    "price_of_energy": "prices of energy",
    "quieter": "wishes for less noise",
    "rated_drop": "printed drops",
    "room_load": "the loads of rooms",
    "running": "hours of a year",
    "sag": "sags",
    "sensible_share": "rated sensible shares",
    "spacing": "hangers",
    "speed": "the speeds of blowers",
    "static": "statics",
    "table_airflow": "the airflows of blower tables",
    "table_tesp": "the columns of blower tables",
    "temperature_rise": "temperature rises",
    "tesp_rating": "the plates of units",
    "undercut": "gaps below doors",
    "velocity": "wished air speeds",
    "voltage": "the volts of circuits",
}


@dataclass(frozen=True, slots=True)
class Range:
    """From ``low`` to ``high`` in the base SI unit of ``kind``, both included."""

    low: float
    high: float
    kind: str

    def holds(self, value: float) -> bool:
        """Whether a value [SI] lies inside; NaN does not."""
        return self.low <= value <= self.high

    def text(self, unit: str) -> str:
        """``0.08 to 0.56 m``: the range in a unit, rounded to two digits, with the label."""
        label = units.unit(unit).label
        return f"{_two_digits(self.low, unit)} to {_two_digits(self.high, unit)} {label}".rstrip()

    def meant(self, number: float, typed_in: str, choices: tuple[str, ...]) -> str | None:
        """The unit in which the same number would lie inside, if it does not in its own.

        Parameters
        ----------
        number : float
            As it was typed.
        typed_in : str
            Unit in which it was taken.
        choices : tuple of str
            Units to try, the most usual first.
        """
        for unit in choices:
            if unit != typed_in and self.holds(units.to_si(number, unit)):
                return unit
        return None


def _two_digits(si: float, unit: str) -> str:
    value = units.from_si(si, unit)
    if value == 0.0:
        return "0"
    return f"{round(value, 1 - math.floor(math.log10(abs(value)))):,.6g}".replace("-", "−")


@cache
def _table() -> dict[str, Range]:
    text = files("inchwater.survey").joinpath("data/ranges.csv").read_text("utf-8")
    rows = {row["key"]: row for row in csv.DictReader(text.splitlines())}

    def si(key: str) -> float:
        return units.to_si(float(rows[key]["value"]), rows[key]["unit"])

    return {
        name: Range(si(f"{name}.low"), si(f"{name}.high"), units.unit(rows[key]["unit"]).kind)
        for key in rows
        for name in [key.removesuffix(".low")]
        if key.endswith(".low")
    }


def range_of(key: str) -> Range:
    """The range of a key of ``data/ranges.csv``."""
    return _table()[key]


def said_range(key: str, unit: str) -> str:
    """``flex ducts run from 3.1 to 22 in``: a range of ``data/ranges.csv`` in words."""
    return f"{_CALLED[key]} run from {range_of(key).text(unit)}"


def fact_problem(where: str, fact: Fact | None, key: str) -> Iterator[InchwaterError]:
    """What is wrong with one fact, if anything.

    Parameters
    ----------
    where : str
        Its path in the document.
    fact : Fact or None
        None, unknown, is never wrong.
    key : str
        Key of ``data/ranges.csv``.
    """
    if fact is None:
        return
    wanted = range_of(key)
    choices = tuple(unit for unit, known in units.UNITS.items() if known.kind == wanted.kind)
    if fact.unit not in choices:
        yield InputError(
            where=f"{where}.unit",
            came=repr(fact.unit),
            right=f"one of {', '.join(choices)} is wanted",
        )
        return
    if wanted.holds(fact.si):
        return
    usual = UNITS_BY_KIND.get(key, UNITS_BY_KIND[wanted.kind])
    meant = wanted.meant(fact.value, fact.unit, usual)
    number = f"{fact.value:g}"
    yield InputError(
        where=where,
        came=f"{fact.value} {units.unit(fact.unit).label}".rstrip(),
        right=said_range(key, fact.unit),
        do="" if meant is None else f"Did you mean {number} {units.unit(meant).label}?",
    )


def range_key(quantity: Quantity, at: str) -> str:
    """The row of ``data/ranges.csv`` for a reading: a register carries less air than a unit."""
    return "hood_airflow" if quantity == "airflow" and at != "unit" else KINDS[quantity]
