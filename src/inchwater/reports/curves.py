"""The curves: blower by tap, the system as it is found with its band, and what it would become."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from inchwater import units
from inchwater.reports.scales import Linear, round_out, tick_texts, ticks
from inchwater.reports.svg import WIDTH, Box, Drawing
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.answer import Answer, Curves, TapLine, WhatIf
    from inchwater.criteria import Goal

_LEFT, _RIGHT, _TOP, _BOTTOM = 40.0, WIDTH - 10.0, 32.0, 330.0
_HEIGHT = _BOTTOM + 44.0
# Never two taps of the same stroke; the one in use is solid.
_DASHES = ("7 4", "2 4", "10 3 2 3", "4 2", "1 3")
_REACH = 30.5

Place = tuple[float, float]


def point_said(name: str, point: Place, system: System) -> str:
    """An operating point in words."""
    _, flow, flow_label = units.shown(point[0], "airflow", system)
    _, tesp, tesp_label = units.shown(point[1], "pressure", system)
    return f"{name}: {flow} {flow_label} at {tesp} {tesp_label}"


def curves(
    answer: Answer,
    system: System = "ip",
    *,
    after: WhatIf | None = None,
    plain: bool = False,
) -> str:
    """Blower lines, system lines and operating points as SVG.

    Parameters
    ----------
    answer : Answer
        ``answer.curves``: airflow [m3/s] against external static [Pa].
    system : "ip" or "si"
        Units on the picture.
    after : WhatIf, optional
        A change whose system line and point are drawn too, dashed.
    plain : bool
        Paper's colours in place of CSS variables.
    """
    now, then = answer.curves, after.curves if after else None
    frame = _Frame(answer.goal, [c for c in (now, then) if c], system)
    words = [point_said("Now", now.point, system)]
    if then:
        words.append(point_said("After", then.point, system))
    words += [
        f"Speed tap {line.tap}{' (in use)' if line.in_use else ''}"
        for line in now.taps
        if line.points
    ]
    drawing = Drawing("curves", WIDTH, _HEIGHT, "Blower and ducts", ". ".join(words) + ".", plain)
    frame.axes(drawing)
    inside = Box(_LEFT, _TOP, _RIGHT, _BOTTOM)
    _goal(drawing, answer.goal, frame)
    lines = _system(drawing, now, frame, "ink", None)
    if then:
        after_lines = _system(drawing, then, frame, "after", "8 4")
    taps = _taps(drawing, (then or now).taps, frame)
    # Points before labels, so that no label hides one.
    keep = [_mark(drawing, now.point, frame, "ink", diamond=False)]
    if then:
        keep.append(_mark(drawing, then.point, frame, "after", diamond=True))
    labels = [
        _Label(tap_name(tap), places, "ink" if in_use else "soft", in_use, high=False)
        for tap, in_use, places in taps
    ]
    labels.insert(0, _Label("ducts now" if then else "ducts", lines, "ink", True, high=True))
    if then:
        labels.insert(1, _Label("ducts after", after_lines, "after", True, high=True))
    for label in labels:
        _put(drawing, label, labels, inside, keep)
    _targets(drawing, now, then, frame, system)
    return drawing.svg()


def tap_name(tap: str) -> str:
    """A tap that is only a number or letter says that it is a tap; a word stands for itself."""
    return tap if len(tap) > 1 and not any(c.isdigit() for c in tap) else f"tap {tap}"


@dataclass(frozen=True, slots=True)
class _Label:
    """A line's own label; ``high`` looks for room from the line's upper end."""

    text: str
    places: list[Place]
    hue: str
    bold: bool
    high: bool


def _put(
    drawing: Drawing, label: _Label, labels: list[_Label], inside: Box, keep: list[Box]
) -> None:
    """Label a line where no other line passes; where there is no such place, over one."""
    others = [box for other in labels if other is not label for box in _trace(other.places)]
    for avoid in ([*keep, *others], keep):
        if drawing.place(
            _along(label.places, high=label.high),
            label.text,
            inside=inside,
            size=13.5,
            bold=label.bold,
            fill=label.hue,
            avoid=avoid,
        ):
            return


def _trace(places: list[Place]) -> Iterator[Box]:
    """Small boxes along a line."""
    for (x0, y0), (x1, y1) in pairwise(places):
        count = max(1, int(max(abs(x1 - x0), abs(y1 - y0)) / 4.0))
        for k in range(count + 1):
            x, y = x0 + (x1 - x0) * k / count, y0 + (y1 - y0) * k / count
            yield Box(x - 1.0, y - 1.0, x + 1.0, y + 1.0)


class _Frame:
    """The two scales, wide enough for every line and the goal."""

    def __init__(self, goal: Goal, all_curves: Sequence[Curves], system: System) -> None:
        self.system = system
        flows = [goal.low, goal.high]
        tesps = [0.0]
        for each in all_curves:
            flows += [q for line in each.taps for q, _ in line.points] + [each.point[0]]
            tesps += [p for line in each.taps for _, p in line.points] + [each.point[1]]
        # The ducts' lines leave the picture where the blower has nothing to say.
        flows += [0.85 * min(each.point[0] for each in all_curves)]
        tesps = [1.08 * max(tesps)]
        x = [self.flow(q) for q in flows]
        low, high = round_out(min(x), max(x), 12)
        self.x = Linear(low, high, _LEFT, _RIGHT)
        self.y = Linear(*round_out(0.0, self.pressure(max(tesps)), 10), _BOTTOM, _TOP)

    def flow(self, value: float) -> float:
        return units.shown(value, "airflow", self.system)[0]

    def pressure(self, value: float) -> float:
        return units.shown(value, "pressure", self.system)[0]

    def at(self, flow: float, tesp: float) -> Place:
        """The place of a point on the picture."""
        return self.x(self.flow(flow)), self.y(self.pressure(tesp))

    def column(self, flow: float, tesps: Sequence[float]) -> list[Place]:
        """The places of several pressures at one flow."""
        return [self.at(flow, tesp) for tesp in tesps]

    def axes(self, drawing: Drawing) -> None:
        """Rules, ticks, and the names of the axes along the top left and the bottom right."""
        pressure = units.unit(units.SHOWN["pressure"][self.system][0]).label
        flow = units.unit(units.SHOWN["airflow"][self.system][0]).label
        drawing.text(0.0, 14.0, f"external static, {pressure}", size=13.0, fill="soft")
        drawing.text(
            _RIGHT, _HEIGHT - 6.0, f"airflow, {flow}", size=13.0, anchor="end", fill="soft"
        )
        values = ticks(self.y.low, self.y.high, 6)
        for value, text in zip(values, tick_texts(values), strict=True):
            y = self.y(value)
            drawing.line(_LEFT, y, _RIGHT, y, stroke="line")
            drawing.text(_LEFT - 6.0, y + 4.5, text, size=13.0, anchor="end", fill="soft")
        values = ticks(self.x.low, self.x.high, 6)
        outside = Box(0.0, 0.0, WIDTH, _HEIGHT)
        for value, text in zip(values, tick_texts(values), strict=True):
            x = self.x(value)
            drawing.line(x, _BOTTOM, x, _BOTTOM + 5.0, stroke="soft")
            spots = [(x, _BOTTOM + 19.0, "middle"), (WIDTH, _BOTTOM + 19.0, "end")]
            drawing.place(spots, text, inside=outside, size=13.0, fill="soft")


def _goal(drawing: Drawing, goal: Goal, frame: _Frame) -> None:
    left, _ = frame.at(goal.low, 0.0)
    right, _ = frame.at(goal.high, 0.0)
    drawing.rect(
        left,
        _TOP,
        right - left,
        _BOTTOM - _TOP,
        fill="goal",
        fill_opacity=0.85,
        stroke="goal-edge",
        stroke_dasharray="4 3",
    )
    middle = (left + right) / 2
    inside = Box(_LEFT, 0.0, WIDTH, _TOP + 30.0)
    spots = [
        (middle, _TOP - 6.0, "middle"),
        (right, _TOP - 6.0, "end"),
        (left, _TOP - 6.0, "start"),
    ]
    drawing.place(spots, "goal", inside=inside, size=13.0, fill="ink")


def _system(drawing: Drawing, of: Curves, frame: _Frame, hue: str, dash: str | None) -> list[Place]:
    """One system line with its band, cut (not bent) at the edges of the picture."""
    rows = [frame.column(q, p) for q, *p in of.system]
    lower, middle, upper = (_cut(_between(edge)) for edge in zip(*rows, strict=True))
    if len(lower) > 1 and len(upper) > 1:
        # Where the upper edge leaves at the top, the corner beyond it belongs to the band.
        corner = [(lower[-1][0], _TOP)] if upper[-1][1] <= _TOP else []
        drawing.area([*lower, *corner, *reversed(upper)], fill=hue, fill_opacity=0.18)
    if dash is None:
        drawing.polyline(middle, stroke=hue, stroke_width=2.5)
    else:
        drawing.polyline(middle, stroke=hue, stroke_width=2.5, stroke_dasharray=dash)
    return middle


def _between(places: Sequence[Place]) -> list[Place]:
    """The part of a line between the left and the right edge of the picture."""
    kept: list[Place] = []
    for (x0, y0), (x1, y1) in pairwise(places):
        if x1 <= _LEFT or x0 >= _RIGHT or x1 <= x0:
            continue
        start, end = max(x0, _LEFT), min(x1, _RIGHT)
        ends = [(x, y0 + (y1 - y0) * (x - x0) / (x1 - x0)) for x in (start, end)]
        kept += ends if not kept else ends[1:]
    return kept


def _cut(places: Sequence[Place]) -> list[Place]:
    """The part of a line below the top of the picture; its last point lies on the edge."""
    kept: list[Place] = []
    for place in places:
        if place[1] < _TOP:
            if kept:
                (x0, y0), (x1, y1) = kept[-1], place
                kept.append((x0 + (x1 - x0) * (_TOP - y0) / (y1 - y0), _TOP))
            break
        kept.append(place)
    return kept


def _taps(
    drawing: Drawing, taps: Iterable[TapLine], frame: _Frame
) -> list[tuple[str, bool, list[Place]]]:
    drawn = []
    dashes = iter(_DASHES * 4)
    for line in taps:
        places = [frame.at(q, p) for q, p in line.points]
        if not places:
            continue
        if line.in_use:
            drawing.polyline(places, stroke="ink", stroke_width=1.6)
        else:
            drawing.polyline(places, stroke="soft", stroke_width=1.4, stroke_dasharray=next(dashes))
        if len(places) == 1:
            drawing.circle(*places[0], 2.5, fill="soft")
        drawn.append((line.tap, line.in_use, places))
    return drawn


def _mark(drawing: Drawing, point: Place, frame: _Frame, hue: str, *, diamond: bool) -> Box:
    x, y = frame.at(*point)
    if diamond:
        r = 8.5
        drawing.area(
            [(x, y - r), (x + r, y), (x, y + r), (x - r, y)],
            fill=hue,
            stroke="paper",
            stroke_width=2.0,
        )
    else:
        drawing.circle(x, y, 7.0, fill=hue, stroke="paper", stroke_width=2.0)
    return Box(x - 9.0, y - 9.0, x + 9.0, y + 9.0)


def _along(places: list[Place], *, high: bool) -> Iterator[tuple[float, float, str]]:
    """Spots for a label beside a line, from one end inwards: right of it, left of it."""
    spots = []
    for (x0, y0), (x1, y1) in pairwise(places):
        for part in (0.0, 0.33, 0.66, 1.0):
            spots.append((x0 + part * (x1 - x0), y0 + part * (y1 - y0)))
    spots = spots or list(places)
    for x, y in sorted(spots, key=lambda s: s[1] if high else -s[1]):
        for gap in (7.0, 13.0):
            yield x + gap, y + 12.0, "start"
            yield x - gap, y - 4.0, "end"
            yield x + gap, y - 4.0, "start"
            yield x - gap, y + 14.0, "end"


def _targets(
    drawing: Drawing, now: Curves, then: Curves | None, frame: _Frame, system: System
) -> None:
    """A place to tap per operating point; where two crowd, each reaches away from the other."""
    x, y = frame.at(*now.point)
    box = Box(x - _REACH, y - _REACH, x + _REACH, y + _REACH)
    if then:
        other_x, other_y = frame.at(*then.point)
        other = Box(other_x - _REACH, other_y - _REACH, other_x + _REACH, other_y + _REACH)
        if box.meets(other):
            box, other = _parted(box, other)
        said = point_said("After", then.point, system)
        _target(drawing, said, "curves-after", other)
    _target(drawing, point_said("Now", now.point, system), "curves-now", box)


def _parted(one: Box, other: Box) -> tuple[Box, Box]:
    """Two boxes moved apart from the middle between their centres, along the longer distance."""
    dx, dy = other.left - one.left, other.top - one.top
    if abs(dx) >= abs(dy):
        middle = (one.left + other.right) / 2
        before, behind = (middle - 2 * _REACH, middle), (middle, middle + 2 * _REACH)
        first, second = (before, behind) if dx >= 0.0 else (behind, before)
        return Box(first[0], one.top, first[1], one.bottom), Box(
            second[0], other.top, second[1], other.bottom
        )
    middle = (one.top + other.bottom) / 2
    above, below = (middle - 2 * _REACH, middle), (middle, middle + 2 * _REACH)
    first, second = (above, below) if dy >= 0.0 else (below, above)
    return Box(one.left, first[0], one.right, first[1]), Box(
        other.left, second[0], other.right, second[1]
    )


def _target(drawing: Drawing, said: str, row: str, box: Box) -> None:
    drawing.target(said, row, box.left, box.top, box.right - box.left, box.bottom - box.top)
