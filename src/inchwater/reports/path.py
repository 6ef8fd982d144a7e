"""The pressure path: static along the air's way, from the room through the unit to the room again.

It runs down the page, one row per part in the air's order.  The line is the model, the band holds
9 in 10, a dot is a reading.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import groupby, pairwise
from typing import TYPE_CHECKING

from inchwater import units
from inchwater.reports.scales import Linear, round_out, tick_texts, ticks
from inchwater.reports.svg import TARGET, WIDTH, Box, Drawing, lines_of
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.answer import Answer, PathPoint

_TOP = 48.0
_LEFT, _RIGHT = 124.0, WIDTH - 14.0
_DOT = 6.5
_HUE = {"return": "return", "supply": "supply", "unit": "ink"}


# Where a static of a point lies on the picture.
_At = Callable[..., tuple[float, float]]


def _pressure(value: float, system: System) -> float:
    return units.shown(value, "pressure", system)[0]


def point_said(point: PathPoint, system: System) -> str:
    """One point in words, for those who tap it or hear it: place, model, range, reading."""
    label = point.static.label(system)
    text = f"{point.label}: {point.static.text(system)} {label}, {point.static.range_text(system)}"
    if point.reading is not None:
        text += f"; read {units.shown(point.reading, 'pressure', system)[1]}"
    return text


def path(answer: Answer, system: System = "ip", *, plain: bool = False) -> str:
    """The pressure path of an answer as SVG.

    Parameters
    ----------
    answer : Answer
        ``answer.path`` in the air's order. [Pa]
    system : "ip" or "si"
        Units on the picture.
    plain : bool
        Paper's colours in place of CSS variables.
    """
    points = answer.path
    values = [v for p in points for v in (p.static.low, p.static.high, p.reading or 0.0)]
    least, most = (_pressure(v, system) for v in (min(0.0, *values), max(0.0, *values)))
    # Room for a reading's number outside of its dot.
    room = 0.30 * (most - least)
    low, high = round_out(least - (room if least else 0.0), most + (room if most else 0.0), 10)
    across = Linear(low, high, _LEFT, _RIGHT)
    bottom = _TOP + TARGET * len(points)
    drawing = Drawing(
        "path",
        WIDTH,
        bottom + 8.0,
        "Where the pressure goes",
        "Static pressure along the air's way. " + ". ".join(point_said(p, system) for p in points),
        plain,
    )
    _axis(drawing, across, bottom, system)
    rows = {id(p): _TOP + TARGET * (i + 0.5) for i, p in enumerate(points)}

    def at(point: PathPoint, value: float | None = None) -> tuple[float, float]:
        static = point.static.value if value is None else value
        return across(_pressure(static, system)), rows[id(point)]

    for side, group in groupby(points, key=lambda p: p.side):
        along = list(group)
        if side != "unit" and len(along) > 1:
            edge = [at(p, p.static.low) for p in along]
            edge += [at(p, p.static.high) for p in reversed(along)]
            drawing.area(edge, fill=_HUE[side], fill_opacity=0.22)
    for one, other in pairwise(points):
        ends = [at(one), at(other)]
        if one.side == other.side != "unit":
            drawing.polyline(ends, stroke=_HUE[one.side], stroke_width=2.5, stroke_linecap="round")
        else:
            drawing.polyline(ends, stroke="ink", stroke_width=1.6, stroke_dasharray="2 4")
    for point in points:
        x, y = at(point)
        hue = _HUE[point.side]
        if point.reading is None:
            drawing.circle(x, y, 2.5, fill=hue)
        else:
            x, y = at(point, point.reading)
            drawing.circle(x, y, _DOT, fill=hue, stroke="paper", stroke_width=2.0)
        _name(drawing, point.label, y)
    for i, point in enumerate(points):
        _value(drawing, point, at, across, system)
        row = rows[id(point)] - TARGET / 2
        drawing.target(point_said(point, system), f"path-{i}", 0.0, row, WIDTH, TARGET)
    return drawing.svg()


def _name(drawing: Drawing, label: str, y: float) -> None:
    """The name of a row, in two lines where it is long."""
    lines = lines_of(label, _LEFT - 14.0, 14.0)
    for i, line in enumerate(lines):
        drawing.text(0.0, y + 5.0 + 16.0 * (i - (len(lines) - 1) / 2), line, size=14.0)


def _axis(drawing: Drawing, across: Linear, bottom: float, system: System) -> None:
    label = units.unit(units.SHOWN["pressure"][system][0]).label
    drawing.text(0.0, 14.0, f"static pressure, {label}", size=13.0, fill="soft")
    values = ticks(across.low, across.high, 5)
    for value, text in zip(values, tick_texts(values), strict=True):
        x = across(value)
        zero = value == 0.0
        drawing.line(
            x,
            _TOP - 6.0,
            x,
            bottom,
            stroke="ink" if zero else "line",
            stroke_width=1.4 if zero else 1.0,
        )
        edges = Box(_LEFT - 30.0, 0.0, WIDTH, _TOP)
        drawing.place([(x, _TOP - 12.0, "middle")], text, inside=edges, size=13.0, fill="soft")


def _value(drawing: Drawing, point: PathPoint, at: _At, across: Linear, system: System) -> None:
    """The number of a point, beside the zero line where the other side leaves room."""
    measured = point.reading is not None
    shown = point.reading if point.reading is not None else point.static.value
    text = units.shown(shown, "pressure", system)[1]
    x, y = at(point, shown)
    left, right = at(point, point.static.low)[0], at(point, point.static.high)[0]
    left, right = min(left, x - _DOT), max(right, x + _DOT)
    zero = across(0.0)
    beside = [(right + 6.0, y + 5.0, "start"), (left - 6.0, y + 5.0, "end")]
    if point.side == "return":
        beside.reverse()
    if not measured:
        empty = (zero + 6.0, y + 5.0, "start") if shown <= 0.0 else (zero - 6.0, y + 5.0, "end")
        beside.insert(0, empty)
    drawing.place(
        beside,
        text,
        inside=Box(0.0, _TOP, WIDTH, drawing.height),
        size=15.0 if measured else 13.0,
        bold=measured,
        fill=_HUE[point.side] if measured else "soft",
        avoid=[Box(left, y - 6.0, right, y + 6.0)],
    )
