"""The answer and the what-if as plain frozen data, with their one JSON form."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from inchwater import units
from inchwater.criteria import Goal, Judgement, Standing
from inchwater.findings import BudgetRow, Caution, Doubt, Limit, NotUsed, Outside, Worth
from inchwater.planning import NextAct, ReadingValue
from inchwater.quantity import Estimate, Said
from inchwater.survey import Change, How
from inchwater.units import System


@dataclass(frozen=True, slots=True)
class PathPoint:
    """Static at one place along the air's way [Pa]; ``reading`` where it was measured there."""

    key: str
    label: str
    side: str
    static: Estimate
    reading: float | None = None

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units."""
        return {
            "key": self.key,
            "label": self.label,
            "side": self.side,
            "static": self.static.to_dict(system),
            "reading": shown(self.reading, "pressure", system),
        }


@dataclass(frozen=True, slots=True)
class TapLine:
    """One tap of the blower: its points (airflow [m3/s], tesp [Pa]), rising in pressure."""

    tap: str
    in_use: bool
    points: tuple[tuple[float, float], ...]

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units."""
        return {
            "tap": self.tap,
            "in_use": self.in_use,
            "points": [_point(*point, system) for point in self.points],
        }


@dataclass(frozen=True, slots=True)
class Curves:
    """Blower by tap, and the duct system with its band: (airflow, low, mid, high) [m3/s, Pa]."""

    taps: tuple[TapLine, ...]
    system: tuple[tuple[float, float, float, float], ...]
    point: tuple[float, float]

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units."""
        return {
            "taps": [tap.to_dict(system) for tap in self.taps],
            "system": [
                [
                    shown(flow, "airflow", system),
                    *(shown(pressure, "pressure", system) for pressure in band),
                ]
                for flow, *band in self.system
            ],
            "point": _point(*self.point, system),
            "airflow_unit": units.SHOWN["airflow"][system][0],
            "tesp_unit": units.SHOWN["pressure"][system][0],
        }


@dataclass(frozen=True, slots=True)
class RunFlow:
    """What one run delivers. [m3/s]"""

    id: str
    room: str | None
    airflow: Estimate

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units."""
        return {"id": self.id, "room": self.room, "airflow": self.airflow.to_dict(system)}


@dataclass(frozen=True, slots=True)
class TreeRow:
    """One part in the air's order: its drop [Pa], the air through it [m3/s], how deep it hangs."""

    key: str
    label: str
    side: str
    depth: int
    drop: Estimate
    flow: Estimate

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units."""
        return {
            "key": self.key,
            "label": self.label,
            "side": self.side,
            "depth": self.depth,
            "drop": self.drop.to_dict(system),
            "flow": self.flow.to_dict(system),
        }


@dataclass(frozen=True, slots=True)
class Alternative:
    """The answer for one thing that the blower table may include; never blended with another."""

    includes: tuple[str, ...]
    label: str
    airflow: Estimate
    delivered: Estimate
    tesp: Estimate
    airflow_per_ton: Estimate
    sentence: Said

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units."""
        return {
            "includes": list(self.includes),
            "label": self.label,
            "sentence": self.sentence.text(system),
            **_estimates(self, ("airflow", "delivered", "tesp", "airflow_per_ton"), system),
        }


@dataclass(frozen=True, slots=True)
class Answer:
    """All that one job's readings say, for page, prompt and Python alike.

    Estimates are in SI and hold 9 in 10; statics are magnitudes. ``plate`` is the
    rated TESP [Pa] and ``plate_how`` how it is known, ``typical`` where nobody has read the plate;
    ``plate_share`` is what the return and the supply side take of it. ``not_used`` are readings
    that no number rests on; ``next_readings`` what could be read by what it is worth, empty where
    the system cannot run in a cooling call.
    """

    job_id: str
    job_hash: str
    engine_version: str
    seed: int
    sentence: Said
    says: tuple[Said, ...]
    airflow: Estimate
    delivered: Estimate
    tesp: Estimate
    airflow_per_ton: Estimate
    return_static: Estimate
    supply_static: Estimate
    plate: float
    plate_how: How
    plate_share: tuple[Estimate, Estimate]
    basis: Said
    goal: Goal
    path: tuple[PathPoint, ...]
    curves: Curves
    budget: tuple[BudgetRow, ...]
    worth: tuple[Worth, ...]
    runs: tuple[RunFlow, ...]
    criteria: tuple[Judgement, ...]
    limit: Limit
    doubts: tuple[Doubt, ...]
    unseen: tuple[str, ...]
    cautions: tuple[Caution, ...]
    next: NextAct
    alternatives: tuple[Alternative, ...] = ()
    tree: tuple[TreeRow, ...] = ()
    outside: tuple[Outside, ...] = ()
    not_used: tuple[NotUsed, ...] = ()
    next_readings: tuple[ReadingValue, ...] = ()

    @property
    def before_reading(self) -> NextAct | None:
        """The next act where it comes before anything new is read: a fact, or a doubt."""
        known = {one.title for one in self.next_readings}
        return None if self.next.kind == "enough" or self.next.title in known else self.next

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """One JSON document in the system's units."""
        return {
            "job": self.job_id,
            "job_hash": self.job_hash,
            "engine_version": self.engine_version,
            "seed": self.seed,
            "sentence": self.sentence.text(system),
            "says": [said.text(system) for said in self.says],
            **_estimates(self, _NUMBERS, system),
            "plate": shown(self.plate, "pressure", system),
            "plate_how": str(self.plate_how),
            "plate_share": {
                "return": self.plate_share[0].to_dict(system),
                "supply": self.plate_share[1].to_dict(system),
            },
            "basis": self.basis.text(system),
            "goal": goal_to_dict(self.goal, system),
            "path": [point.to_dict(system) for point in self.path],
            "curves": self.curves.to_dict(system),
            "budget": [row.to_dict(system) for row in self.budget],
            "worth": [one.to_dict(system) for one in self.worth],
            "runs": [run.to_dict(system) for run in self.runs],
            "criteria": [one.to_dict(system) for one in self.criteria],
            "limit": self.limit.to_dict(system),
            "doubts": [doubt.to_dict(system) for doubt in self.doubts],
            "unseen": list(self.unseen),
            "cautions": [caution.to_dict(system) for caution in self.cautions],
            "next": self.next.to_dict(system),
            "alternatives": [one.to_dict(system) for one in self.alternatives],
            "tree": [row.to_dict(system) for row in self.tree],
            "outside": [one.to_dict(system) for one in self.outside],
            "not_used": [one.to_dict(system) for one in self.not_used],
            "next_readings": [one.to_dict(system) for one in self.next_readings],
        }


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What changes would do, before they are made; differences are sample by sample."""

    changes: tuple[Change, ...]
    sentence: Said
    airflow: Estimate
    delivered: Estimate
    tesp: Estimate
    airflow_per_ton: Estimate
    return_static: Estimate
    supply_static: Estimate
    airflow_change: Estimate
    delivered_change: Estimate
    tesp_change: Estimate
    runs: tuple[RunFlow, ...]
    odds_goal: float
    criteria: tuple[Judgement, ...]
    cautions: tuple[Caution, ...]
    notes: tuple[str, ...]
    curves: Curves
    standing: Standing

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """One JSON document in the system's units."""
        return {
            "changes": [
                {"id": change.id, "kind": change.kind, "targets": list(change.targets)}
                for change in self.changes
            ],
            "sentence": self.sentence.text(system),
            **_estimates(self, (*_NUMBERS, *_DIFFERENCES), system),
            "runs": [run.to_dict(system) for run in self.runs],
            "odds_goal": self.odds_goal,
            "criteria": [one.to_dict(system) for one in self.criteria],
            "wanted": self.standing.to_dict(system),
            "cautions": [caution.to_dict(system) for caution in self.cautions],
            "notes": list(self.notes),
            "curves": self.curves.to_dict(system),
        }


_NUMBERS = ("airflow", "delivered", "tesp", "airflow_per_ton", "return_static", "supply_static")
_DIFFERENCES = ("airflow_change", "delivered_change", "tesp_change")


def shown(value: float | None, kind: str, system: System) -> float | None:
    """An SI value in the unit that this kind is shown in; None stays None."""
    return None if value is None else units.from_si(value, units.SHOWN[kind][system][0])


def goal_to_dict(goal: Goal, system: System = "ip") -> dict[str, Any]:
    """The wanted window in the system's units."""
    return {
        "low": shown(goal.low, "airflow", system),
        "high": shown(goal.high, "airflow", system),
        "unit": units.SHOWN["airflow"][system][0],
        "source": goal.source,
    }


def _estimates(of: object, names: tuple[str, ...], system: System) -> dict[str, Any]:
    return {name: getattr(of, name).to_dict(system) for name in names}


def _point(airflow: float, tesp: float, system: System) -> list[float | None]:
    return [shown(airflow, "airflow", system), shown(tesp, "pressure", system)]
