"""Every picture's numbers as a table: the same rows, under the ids that the points lead to."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inchwater import units
from inchwater.quantity import Estimate
from inchwater.reports.curves import tap_name
from inchwater.reports.ports import ports
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.answer import Answer, Curves, RunFlow, WhatIf


Point = tuple[float, float]
# Points of one tap's line in a table, at most.
_POINTS = 6


@dataclass(frozen=True, slots=True)
class Row:
    """A row: the id that a point of the picture leads to, its heading, its cells."""

    id: str
    head: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A table with its caption and the names of its columns (the first is that of the headings)."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]


def _label(kind: str, system: System) -> str:
    return units.unit(units.SHOWN[kind][system][0]).label


def _shown(value: float | None, kind: str, system: System) -> str:
    return "–" if value is None else units.shown(value, kind, system)[1]


def _range(estimate: Estimate, system: System) -> tuple[str, str]:
    return estimate.text(system), estimate.range_text(system)


def path_table(answer: Answer, system: System = "ip") -> Table:
    """Static along the air's way, point by point."""
    rows = (
        Row(
            f"path-{i}",
            p.label,
            (*_range(p.static, system), _shown(p.reading, "pressure", system)),
        )
        for i, p in enumerate(answer.path)
    )
    columns = ("Place", "Static", "9 in 10", "Read")
    return Table(f"Static along the air's way, {_label('pressure', system)}", columns, tuple(rows))


def budget_table(answer: Answer, system: System = "ip") -> Table:
    """What each part takes, beside the guidance."""
    rows = (
        Row(
            f"budget-{i}",
            r.label,
            (*_range(r.drop, system), _shown(r.guidance, "pressure", system)),
        )
        for i, r in enumerate(answer.budget)
    )
    columns = ("Part", "Drop", "9 in 10", "Guide")
    return Table(f"What each part takes, {_label('pressure', system)}", columns, tuple(rows))


def tree_table(answer: Answer, system: System = "ip") -> Table:
    """Every part in the air's order: its drop and the air through it."""
    rows = (
        Row(f"tree-{i}", r.label, (*_range(r.drop, system), *_range(r.flow, system)))
        for i, r in enumerate(answer.tree)
    )
    in_units = f"drop {_label('pressure', system)}, air {_label('airflow', system)}"
    columns = ("Part", "Drop", "9 in 10", "Air", "9 in 10")
    return Table(f"Part by part in the air's order, {in_units}", columns, tuple(rows))


def flows_table(answer: Answer, system: System = "ip", after: WhatIf | None = None) -> Table:
    """Both flows, now and after; the goal is the last row."""
    pairs: list[tuple[str, Estimate]] = [
        ("Through the blower", answer.airflow),
        ("To the rooms", answer.delivered),
    ]
    if after:
        pairs = [
            ("Blower now", answer.airflow),
            ("Blower after", after.airflow),
            ("Rooms now", answer.delivered),
            ("Rooms after", after.delivered),
        ]
    rows = [Row(f"flow-{i}", name, _range(e, system)) for i, (name, e) in enumerate(pairs)]
    goal = "–".join(_shown(v, "airflow", system) for v in (answer.goal.low, answer.goal.high))
    rows.append(Row("flow-goal", "Goal", ("", goal)))
    columns = ("Flow", "Middle", "9 in 10")
    return Table(f"Airflow and goal, {_label('airflow', system)}", columns, tuple(rows))


def curves_table(answer: Answer, system: System = "ip", after: WhatIf | None = None) -> Table:
    """The operating points, then every cell of the blower's lines."""
    columns = ("Line", "Airflow", "Static")

    def row(id_: str, head: str, point: tuple[float, float]) -> Row:
        return Row(
            id_, head, (_shown(point[0], "airflow", system), _shown(point[1], "pressure", system))
        )

    rows = [row("curves-now", "Now", answer.curves.point)]
    if after:
        rows.append(row("curves-after", "After", after.curves.point))
    shown: Curves = (after or answer).curves
    for number, line in enumerate(shown.taps):
        name = tap_name(line.tap).capitalize()
        use = ", in use" if line.in_use and name != "In use" else ""
        rows += [
            row(f"curves-{number}-{i}", f"{name}{use}", point)
            for i, point in enumerate(_some(line.points))
        ]
    in_units = f"{_label('airflow', system)} at {_label('pressure', system)}"
    return Table(f"Blower and ducts, {in_units}", columns, tuple(rows))


def _some(points: tuple[Point, ...]) -> list[Point]:
    """The ends of a line and a few points between: the line is drawn finer than it is read."""
    every = max(1, -(-(len(points) - 1) // (_POINTS - 1)))
    kept = list(points[:-1:every])
    return [*kept, points[-1]] if points else []


def runs_table(
    runs: Iterable[RunFlow], system: System = "ip", after: Iterable[RunFlow] = ()
) -> Table:
    """Air to each run, now and after."""
    then = {r.id: r for r in after}
    columns: tuple[str, ...] = ("Run", "Now", "9 in 10")
    if then:
        columns = (*columns, "After", "9 in 10")
    rows = []
    seen = set()
    for r in runs:
        seen.add(r.id)
        cells: tuple[str, ...] = _range(r.airflow, system)
        if then:
            cells += _range(then[r.id].airflow, system) if r.id in then else ("–", "–")
        rows.append(Row(f"run-{r.id}", r.room or r.id, cells))
    rows += [
        Row(f"run-{r.id}", r.room or r.id, ("–", "–", *_range(r.airflow, system)))
        for r in then.values()
        if r.id not in seen
    ]
    return Table(f"Air to each run, {_label('airflow', system)}", columns, tuple(rows))


def ports_table(kind: str) -> Table:
    """The test points of a kind of unit."""
    rows = (Row(f"port-{p.key}", f"{p.number} {p.label}", (p.where,)) for p in ports(kind))
    return Table("Test points, in the air's order", ("Point", "Where"), tuple(rows))
