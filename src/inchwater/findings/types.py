"""What a finding is made of: plain frozen data that page, prompt and Python show alike."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from inchwater import units
from inchwater.quantity import Estimate, Said
from inchwater.units import System

Side = Literal["return", "unit", "supply"]
# What an airflow in a sentence is rounded to: the first step that the width of the range bears.
_STEPS: dict[System, tuple[float, ...]] = {"ip": (5, 10, 25, 50), "si": (2, 5, 10, 25)}


@dataclass(frozen=True, slots=True)
class Told(Said):
    """A :class:`Said` whose airflows are rounded to what their range bears.

    ``widths`` has the width of the range of each value that is to be rounded [m3/s]; the others
    are printed as ever.
    """

    widths: Mapping[str, float] = dataclasses.field(default_factory=dict)

    def text(self, system: System = "ip") -> str:
        """The sentence in the units of ``system``."""
        values: dict[str, tuple[float, str] | str] = dict(self.values)
        for name, width in self.widths.items():
            value = values[name]
            if not isinstance(value, str):
                values[name] = (rounded_airflow(value[0], width, system), "airflow")
        return Said(self.template, values).text(system)


def rounded_airflow(value: float, width: float, system: System) -> float:
    """An airflow rounded by the largest round step up to a twentieth of its range. [m3/s]"""
    unit = units.SHOWN["airflow"][system][0]
    steps = _STEPS[system]
    bearable = [step for step in steps if step <= units.from_si(width, unit) / 20.0]
    step = max(bearable, default=steps[0])
    return units.to_si(round(units.from_si(value, unit) / step) * step, unit)


def told(template: str, **values: tuple[float, str] | str | Estimate) -> Told:
    """A :class:`Told`; an :class:`Estimate` gives its median, rounded if it is an airflow."""
    plain: dict[str, tuple[float, str] | str] = {}
    widths: dict[str, float] = {}
    for name, value in values.items():
        if isinstance(value, Estimate):
            plain[name] = (value.value, value.kind)
            if value.kind == "airflow":
                widths[name] = value.high - value.low
        else:
            plain[name] = value
    return Told(template, plain, widths)


def near(airflow: float) -> Estimate:
    """An airflow without a range, to be rounded by the finest step in a sentence. [m3/s]"""
    return Estimate(airflow, airflow, airflow, "airflow")


@dataclass(frozen=True, slots=True)
class BudgetRow:
    """What one part takes of the pressure, beside what it usually may. [Pa]"""

    key: str
    label: str
    side: str
    drop: Estimate
    guidance: float | None
    source: str

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units."""
        return {
            "key": self.key,
            "label": self.label,
            "side": self.side,
            "drop": self.drop.to_dict(system),
            "guidance": _pressure(self.guidance, system),
            "source": self.source,
        }


@dataclass(frozen=True, slots=True)
class Worth:
    """How much more air the blower would move if this were as it should be."""

    key: str
    label: str
    side: str
    gain: Estimate
    note: str

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units."""
        return {
            "key": self.key,
            "label": self.label,
            "side": self.side,
            "gain": self.gain.to_dict(system),
            "note": self.note,
        }


@dataclass(frozen=True, slots=True)
class Limit:
    """The airflow that no change on one side alone can pass.

    ``kind`` names the sides that are not ruled out to reach the goal by themselves: ``supply``,
    ``return``, ``both``, ``neither``.
    """

    text: Said
    supply_alone: Estimate
    return_alone: Estimate
    kind: Literal["supply", "return", "both", "neither"]

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units."""
        return {
            "text": self.text.text(system),
            "supply_alone": self.supply_alone.to_dict(system),
            "return_alone": self.return_alone.to_dict(system),
            "kind": self.kind,
        }


@dataclass(frozen=True, slots=True)
class Doubt:
    """Readings that cannot be right, or contradict each other, and what to re-check.

    ``field`` is the test point to read again or the fact to look at, ``runs`` for the supply runs
    together; empty where neither helps.
    """

    text: Said
    recheck: str
    id: str = ""
    field: str = ""

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units."""
        return {
            "id": self.id,
            "text": self.text.text(system),
            "recheck": self.recheck,
            "field": self.field,
        }


@dataclass(frozen=True, slots=True)
class Outside:
    """Parts outside the range they are known for, by key and by name, and what that means."""

    keys: tuple[str, ...]
    labels: tuple[str, ...]
    text: str

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data; the same in both systems."""
        return {"keys": list(self.keys), "labels": list(self.labels), "text": self.text}


@dataclass(frozen=True, slots=True)
class Caution:
    """A danger of the work, with what to do about it and who says so."""

    id: str
    title: str
    text: str
    source: str
    status: str = "memory"

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data; the same in both systems."""
        return {
            "id": self.id,
            "title": self.title,
            "text": self.text,
            "source": self.source,
            "status": self.status,
        }


def _pressure(value: float | None, system: System) -> float | None:
    return None if value is None else units.from_si(value, units.SHOWN["pressure"][system][0])
