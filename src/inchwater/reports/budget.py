"""The budget: what each part takes of the pressure, as a bar against published guidance."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inchwater import units
from inchwater.reports.scales import Linear
from inchwater.reports.svg import WIDTH, Box, Drawing, lines_of
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.answer import Answer
    from inchwater.findings import BudgetRow

_ROW = 62.0
_BAR = 12.0
_TOP = 26.0
# Names: their size, the height of a further line, and how wide they may be beside the number.
_SIZE, _LINE, _NAME = 14.0, 17.0, WIDTH - 62.0
_HUE = {"return": "return", "supply": "supply", "unit": "ink"}


def row_said(row: BudgetRow, system: System) -> str:
    """One part in words: what it takes, the range, the guidance."""
    label = row.drop.label(system)
    text = f"{row.label}: {row.drop.text(system)} {label}, {row.drop.range_text(system)}"
    if row.guidance is not None:
        text += f"; guidance {units.shown(row.guidance, 'pressure', system)[1]}"
    return text


def budget(answer: Answer, system: System = "ip", *, plain: bool = False) -> str:
    """Bars by part as SVG, in the air's order.

    Parameters
    ----------
    answer : Answer
        ``answer.budget``: drop per part [Pa], guidance [Pa] or None.
    system : "ip" or "si"
        Units on the picture.
    plain : bool
        Paper's colours in place of CSS variables.
    """
    rows = answer.budget
    most = max((v for r in rows for v in (r.drop.high, r.guidance or 0.0)), default=1.0)
    across = Linear(0.0, most if most > 0.0 else 1.0, 0.0, WIDTH - 6.0)
    label = units.unit(units.SHOWN["pressure"][system][0]).label
    names = [lines_of(row.label, _NAME, _SIZE) for row in rows]
    heights = [_ROW + _LINE * (len(lines) - 1) for lines in names]
    drawing = Drawing(
        "budget",
        WIDTH,
        _TOP + sum(heights),
        "What each part takes",
        ". ".join(row_said(row, system) for row in rows) or "No part is known yet.",
        plain,
    )
    drawing.text(0.0, 14.0, f"pressure drop, {label}", size=13.0, fill="soft")
    top = _TOP
    for i, (row, lines, tall) in enumerate(zip(rows, names, heights, strict=True)):
        for k, line in enumerate(lines):
            drawing.text(0.0, top + 16.0 + _LINE * k, line, size=_SIZE)
        drawing.text(WIDTH, top + 16.0, row.drop.text(system), size=15.0, anchor="end", bold=True)
        _bar(drawing, row, top + tall, across, system)
        drawing.target(row_said(row, system), f"budget-{i}", 0.0, top, WIDTH, tall)
        top += tall
    return drawing.svg()


def _bar(drawing: Drawing, row: BudgetRow, bottom: float, across: Linear, system: System) -> None:
    """The bar of a part with its whisker and its guidance, above ``bottom``."""
    top = bottom - _ROW
    bar, hue = top + 24.0, _HUE[row.side]
    middle = bar + _BAR / 2
    low, high = across(max(row.drop.low, 0.0)), across(row.drop.high)
    drawing.rect(0.0, bar, max(across(row.drop.value), 1.0), _BAR, fill=hue)
    # The whisker is ink over the bar and over the paper, with a halo so that both show it.
    drawing.line(low, middle, high, middle, stroke="paper", stroke_width=4.5)
    drawing.line(low, middle, high, middle, stroke="ink", stroke_width=1.8)
    for x in (low, high):
        drawing.line(x, middle - 4.0, x, middle + 4.0, stroke="ink", stroke_width=1.8)
    if row.guidance is not None:
        x = across(row.guidance)
        drawing.line(
            x,
            bar - 4.0,
            x,
            bar + _BAR + 6.0,
            stroke="goal-edge",
            stroke_width=2.0,
            stroke_dasharray="4 3",
        )
        text = f"guidance {units.shown(row.guidance, 'pressure', system)[1]}"
        spots = [(x + 5.0, bar + _BAR + 14.0, "start"), (x - 5.0, bar + _BAR + 14.0, "end")]
        drawing.place(spots, text, inside=Box(0.0, top, WIDTH, top + _ROW), size=12.5, fill="soft")
