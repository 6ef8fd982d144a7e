"""What each quantity can be: ranges from ``data/ranges.csv``, in SI, and how an error says them."""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from inchwater import units
from inchwater.survey.trials import KINDS, Quantity

# What the ranges are called in an error: "flex ducts run from 3.1 to 22 in".
_CALLED = {
    "airflow": "airflows",
    "airflow_per_capacity": "goals",
    "altitude": "altitudes",
    "capacity": "units",
    "damper_angle": "damper blades",
    "door_width": "doors",
    "duct_diameter": "ducts",
    "drop": "drops across filters and coils",
    "duct_length": "pieces of duct",
    "duct_side": "the sides of ducts",
    "duct_static": "statics in single ducts",
    "face": "faces of grilles and filters",
    "filter_depth": "filter depths",
    "flex_diameter": "flex ducts",
    "heat_output": "the heat outputs of furnaces",
    "heat_power": "heat kits",
    "hood_airflow": "the airflows of registers and grilles",
    "insulation": "R-values",
    "leak_airflow": "the flows of leakage tests",
    "leak_pressure": "leakage tests",
    "power": "the watts of blowers",
    "rated_drop": "printed drops",
    "sag": "sags",
    "spacing": "hangers",
    "speed": "the speeds of blowers",
    "static": "statics",
    "table_airflow": "the airflows of blower tables",
    "table_tesp": "the columns of blower tables",
    "temperature_rise": "temperature rises",
    "tesp_rating": "the plates of units",
    "undercut": "gaps below doors",
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
        return f"{_two_digits(self.low, unit)} to {_two_digits(self.high, unit)} {label}"

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


def range_key(quantity: Quantity, at: str) -> str:
    """The row of ``data/ranges.csv`` for a reading: a register carries less air than a unit."""
    return "hood_airflow" if quantity == "airflow" and at != "unit" else KINDS[quantity]
