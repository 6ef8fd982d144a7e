"""One line per flow: the estimate with its range, beside the window that is wanted."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inchwater import units
from inchwater.quantity import Estimate
from inchwater.reports.scales import Linear
from inchwater.reports.svg import WIDTH, Drawing, text_width
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.answer import Answer, WhatIf
    from inchwater.criteria import Goal

_ROW = 58.0
_TOP = 30.0


def flow_said(name: str, flow: Estimate, system: System) -> str:
    """One flow in words."""
    return f"{name}: {flow.text(system)} {flow.label(system)}, {flow.range_text(system)}, 9 in 10"


def interval(
    answer: Answer, system: System = "ip", *, after: WhatIf | None = None, plain: bool = False
) -> str:
    """Both flows against the goal as SVG: through the blower, and to the rooms.

    Parameters
    ----------
    answer : Answer
        ``answer.airflow``, ``answer.delivered``, ``answer.goal``. [m3/s]
    system : "ip" or "si"
        Units on the picture.
    after : WhatIf, optional
        The same two flows after a change, drawn below each, dashed.
    plain : bool
        Paper's colours in place of CSS variables.
    """
    rows = [
        ("Through the blower", answer.airflow, "ink"),
        ("To the rooms", answer.delivered, "ink"),
    ]
    if after:
        rows = [
            ("Blower now", answer.airflow, "ink"),
            ("Blower after", after.airflow, "after"),
            ("Rooms now", answer.delivered, "ink"),
            ("Rooms after", after.delivered, "after"),
        ]
    return _lines("interval", rows, answer.goal, system, plain)


def _lines(
    name: str,
    rows: Sequence[tuple[str, Estimate, str]],
    goal: Goal,
    system: System,
    plain: bool,
) -> str:
    def number(value: float) -> float:
        return units.shown(value, "airflow", system)[0]

    ends = [goal.low, goal.high, *(v for _, e, _ in rows for v in (e.low, e.high))]
    low, high = number(min(ends)), number(max(ends))
    room = 0.06 * (high - low or abs(high) or 1.0)
    across = Linear(low - room, high + room, 0.0, WIDTH)
    words = [flow_said(text, estimate, system) for text, estimate, _ in rows]
    wanted = f"{number(goal.low):,.0f}–{number(goal.high):,.0f}"
    label = units.unit(units.SHOWN["airflow"][system][0]).label
    bottom = _TOP + _ROW * len(rows)
    drawing = Drawing(
        name,
        WIDTH,
        bottom,
        "Airflow and goal",
        f"{'. '.join(words)}. Goal: {wanted} {label}.",
        plain,
    )
    left, right = across(number(goal.low)), across(number(goal.high))
    drawing.rect(
        left,
        _TOP - 8.0,
        right - left,
        bottom - _TOP + 6.0,
        fill="goal",
        stroke="goal-edge",
        stroke_dasharray="4 3",
    )
    middle = (left + right) / 2
    text = f"goal {wanted} {label}"
    half = text_width(text, 13.0) / 2
    drawing.text(min(max(middle, half), WIDTH - half), 15.0, text, size=13.0, anchor="middle")
    for i, (text, estimate, hue) in enumerate(rows):
        y = _TOP + _ROW * i + 10.0
        drawing.line(0.0, y, WIDTH, y, stroke="soft")
        start, end = across(number(estimate.low)), across(number(estimate.high))
        drawing.rect(start, y - 5.0, max(end - start, 1.0), 10.0, fill=hue, fill_opacity=0.42)
        at = across(number(estimate.value))
        drawing.line(at, y - 10.0, at, y + 10.0, stroke=hue, stroke_width=3.0)
        caption = f"{text} {estimate.text(system)} ({estimate.range_text(system)})"
        half = text_width(caption, 13.5) / 2
        under = min(max(at, half), WIDTH - half)
        drawing.text(under, y + 29.0, caption, size=13.5, anchor="middle", fill=hue)
        drawing.target(words[i], f"flow-{i}", 0.0, _TOP + _ROW * i - 6.0, WIDTH, _ROW)
    return drawing.svg()
