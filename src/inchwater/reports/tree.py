"""The system as a plain tree: the air runs down the page, from the rooms through the unit to them.

Each part has a row with its drop and its flow.  The stem of a part is as thick as the air through
it; what leaks or goes back past the rooms is dashed.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from inchwater import units
from inchwater.quantity import Estimate
from inchwater.reports.svg import TARGET, WIDTH, Drawing, lines_of
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.answer import Answer, TreeRow

_TOP = 46.0
# Right edges of the two columns of numbers, and what a number may take of the width.
_DROP, _FLOW, _NUMBER = WIDTH - 62.0, WIDTH, 58.0
_SIZE, _LINE, _MOST_LINES = 14.0, 16.0, 3
# A stem: its place at the unit, the step to the next, and what all steps may take.
_FIRST, _STEP, _STEPS = 8.0, 15.0, 75.0
_THICK, _THIN = 10.0, 1.2
_HUE = {"return": "return", "supply": "supply", "bypass": "ink", "room": "ink"}


def row_said(row: TreeRow, system: System) -> str:
    """One part in words: what it takes and what goes through it, each with its range."""
    drop, flow, word = row.drop, row.flow, "drop"
    if drop.value < 0.0:
        drop = Estimate(-drop.value, -drop.high, -drop.low, drop.kind)
        # Air that goes against the usual way loses pressure too.
        word = "adds" if flow.value > 0.0 else "drop"
    return (
        f"{row.label}: {word} {drop.text(system)} {drop.label(system)}, "
        f"{drop.range_text(system)}; {flow.text(system)} {flow.label(system)}, "
        f"{flow.range_text(system)}"
    )


def tree(answer: Answer, system: System = "ip", *, plain: bool = False) -> str:
    """The tree of an answer as SVG.

    Parameters
    ----------
    answer : Answer
        ``answer.tree`` in the air's order: drop [Pa] and flow [m3/s] of each part.
    system : "ip" or "si"
        Units on the picture.
    plain : bool
        Paper's colours in place of CSS variables.
    """
    rows = answer.tree
    deepest = max((row.depth for row in rows), default=0)
    step = min(_STEP, _STEPS / max(deepest, 1))
    names = [lines_of(row.label, _room(row, step), _SIZE)[:_MOST_LINES] for row in rows]
    heights = [TARGET + _LINE * max(0, len(lines) - 2) for lines in names]
    middles = [_TOP + sum(heights[:i]) + tall / 2 for i, tall in enumerate(heights)]
    drawing = Drawing(
        "tree",
        WIDTH,
        _TOP + sum(heights) + 4.0,
        "The system, part by part",
        "In the air's order. " + ". ".join(row_said(row, system) for row in rows),
        plain,
    )
    _heads(drawing, system)
    most = max((abs(row.flow.value) for row in rows), default=0.0) or 1.0
    _stems(drawing, rows, middles, step, most)
    for i, (row, lines, tall) in enumerate(zip(rows, names, heights, strict=True)):
        _row(drawing, row, lines, middles[i], step, system)
        top = middles[i] - tall / 2
        drawing.target(row_said(row, system), f"tree-{i}", 0.0, top, WIDTH, tall)
    return drawing.svg()


def _room(row: TreeRow, step: float) -> float:
    """How wide a row's name may be."""
    return _DROP - _NUMBER - _name_at(row, step)


def _name_at(row: TreeRow, step: float) -> float:
    return _stem_at(row.depth, step) + 14.0


def _stem_at(depth: int, step: float) -> float:
    return _FIRST + step * depth


def _heads(drawing: Drawing, system: System) -> None:
    for x, name, kind in ((_DROP, "drop", "pressure"), (_FLOW, "air", "airflow")):
        label = units.unit(units.SHOWN[kind][system][0]).label
        drawing.text(x, 14.0, name, size=13.0, anchor="end", fill="soft")
        drawing.text(x, 32.0, label, size=13.0, anchor="end", fill="soft")
    drawing.text(0.0, 32.0, "the air runs down", size=13.0, fill="soft")


def _row(
    drawing: Drawing,
    row: TreeRow,
    lines: Sequence[str],
    middle: float,
    step: float,
    system: System,
) -> None:
    """The name of a part and its two numbers; what adds pressure has a plus."""
    for k, line in enumerate(lines):
        y = middle + 5.0 + _LINE * (k - (len(lines) - 1) / 2)
        drawing.text(_name_at(row, step), y, line, size=_SIZE, bold=row.side == "unit")
    text = _size(row.drop.value, system)
    if row.drop.value < 0.0 < row.flow.value and text.strip("0."):
        text = f"+{text}"
    y = middle + 5.0
    drawing.text(_DROP, y, text, size=15.0, anchor="end", bold=True)
    drawing.text(_FLOW, y, row.flow.text(system), size=15.0, anchor="end")


def _size(value: float, system: System) -> str:
    return units.shown(abs(value), "pressure", system)[1]


def _stems(
    drawing: Drawing, rows: Sequence[TreeRow], middles: Sequence[float], step: float, most: float
) -> None:
    """Lines from each part to the one that it hangs on, as thick as the air that they carry."""
    thick = min(_THICK, 0.7 * step)

    def line(carried: Sequence[int], one: tuple[float, float], other: tuple[float, float]) -> None:
        flow = sum(abs(rows[i].flow.value) for i in carried)
        first = rows[carried[0]]
        hue = _HUE.get(first.side, "ink") if first.depth else "ink"
        width = max(_THIN, thick * flow / most)
        if all(_is_aside(rows[i]) for i in carried):
            drawing.line(*one, *other, stroke=hue, stroke_width=width, stroke_dasharray="4 3")
        else:
            drawing.line(*one, *other, stroke=hue, stroke_width=width)

    at_unit = [i for i, row in enumerate(rows) if row.depth == 0]
    for above, below in pairwise(at_unit):
        line([above], (_FIRST, middles[above]), (_FIRST, middles[below]))
    for (parent, joins), children in _children(rows).items():
        x = _stem_at(rows[parent].depth, step)
        # Where they join, more air comes with each child; where they leave, less goes on.
        places = [*children, parent] if joins else [parent, *children]
        for k, (above, below) in enumerate(pairwise(places)):
            carried = children[: k + 1] if joins else children[k:]
            line(carried, (x, middles[above]), (x, middles[below]))
        for child in children:
            end = (_stem_at(rows[child].depth, step) + thick / 2, middles[child])
            line([child], (x, middles[child]), end)


def _children(rows: Sequence[TreeRow]) -> dict[tuple[int, bool], list[int]]:
    """The rows that hang on each row, in the air's order: those that join in it, those that leave.

    Only the unit may have both.
    """
    found: dict[tuple[int, bool], list[int]] = {}
    for i, row in enumerate(rows):
        if row.depth == 0 or row.side == "room":
            continue
        joins = row.side == "return"
        onward = range(i + 1, len(rows)) if joins else range(i - 1, -1, -1)
        parent = next((k for k in onward if rows[k].depth == row.depth - 1), None)
        if parent is not None:
            found.setdefault((parent, joins), []).append(i)
    return found


def _is_aside(row: TreeRow) -> bool:
    """Whether its air does not come from or go to a room's opening."""
    return row.side == "bypass" or row.key.endswith(":leak")
