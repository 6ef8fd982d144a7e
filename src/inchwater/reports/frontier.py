"""The frontier of what could be done as SVG: price to the right, odds upward, a point an offer.

A price's range is the thin line through its point; of many offers, the preferred one has it.  What
is preferred is filled and says so; the others are open.  No region of the picture is better by its
colour: the odds are the axis itself.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from inchwater.planning import money
from inchwater.reports.offers import price_said
from inchwater.reports.scales import Linear, round_out, tick_texts, ticks
from inchwater.reports.svg import TARGET, WIDTH, Box, Drawing, text_width

if TYPE_CHECKING:
    from inchwater.planning import Frontier, Offer

_TOP, _LEFT, _PLOT = 30.0, 38.0, 210.0
_RADIUS = 7.5
# So many prices can show their ranges; of more, the preferred one does.
_FEW = 6
_SIZE = 13.0


def offer_said(number: int, offer: Offer, preferred: bool) -> str:
    """One offer in words: its number, what it costs, the odds."""
    word = ", preferred" if preferred else ""
    return f"{number}{word}, {offer.label}: {price_said(offer)}, {100.0 * offer.odds:.0f} in 100"


def frontier(found: Frontier, *, plain: bool = False) -> str:
    """The offers by price [USD] and odds [in 100] as SVG; each leads to its row in the table.

    Parameters
    ----------
    found : Frontier
        Its offers are by rising price.
    plain : bool
        Paper's colours in place of CSS variables.
    """
    said = [
        offer_said(number, one, one is found.preferred)
        for number, one in enumerate(found.offers, 1)
    ]
    few = len(found.offers) <= _FEW
    shown = [one for one in found.offers if few or one is found.preferred]
    most = max(one.price.high if one in shown else one.price.value for one in found.offers)
    low, high = round_out(0.0, most if most > 0.0 else 100.0, 4)
    best = 100.0 * max(one.odds for one in found.offers)
    top = round_out(0.0, best, 4)[1] if best >= 1.0 else 100.0
    across = Linear(low, high, _LEFT + 14.0, WIDTH - 20.0)
    up = Linear(0.0, top, _TOP + _PLOT - 14.0, _TOP + 18.0)
    drawing = Drawing(
        "frontier",
        WIDTH,
        _TOP + _PLOT + 46.0,
        "Cost against odds",
        f"Odds that all that is wanted is met, against the price. {'. '.join(said)}.",
        plain,
    )
    _axes(drawing, across, up)
    places = [(across(one.price.value), up(100.0 * one.odds)) for one in found.offers]
    # A step from offer to offer: between two prices nothing better is known.
    steps: list[tuple[float, float]] = []
    for x, y in places:
        if steps:
            steps.append((x, steps[-1][1]))
        steps.append((x, y))
    drawing.polyline(steps, stroke="after", stroke_width=2.0, stroke_dasharray="6 4")
    # The preferred one is drawn last: none of its neighbours covers it.
    for k in sorted(range(len(places)), key=lambda k: found.offers[k] is found.preferred):
        one, (x, y) = found.offers[k], places[k]
        if one.changes and one in shown:
            _range(drawing, across(one.price.low), across(one.price.high), y)
        preferred = one is found.preferred
        hue = "after" if one.changes else "ink"
        fill = hue if preferred else "paper"
        radius = _RADIUS if preferred else _RADIUS - 1.5
        drawing.circle(x, y, radius, fill=fill, stroke=hue, stroke_width=2.0)
    _numbers(drawing, found, places)
    for box, members in _together(places):
        words = ". ".join(said[k] for k in members)
        width, height = box.right - box.left, box.bottom - box.top
        drawing.target(words, f"offer-{members[0] + 1}", box.left, box.top, width, height)
    return drawing.svg()


def _together(places: list[tuple[float, float]]) -> list[tuple[Box, list[int]]]:
    """Places to tap that keep apart: points too near for a finger are one, with all their words."""
    half = TARGET / 2
    left = [min(max(x - half, 0.0), WIDTH - TARGET) for x, _ in places]
    found = [
        (Box(start, y - half, start + TARGET, y + half), [k])
        for k, (start, (_, y)) in enumerate(zip(left, places, strict=True))
    ]
    k = 0
    while k < len(found):
        box, members = found[k]
        near = next((n for n in range(k + 1, len(found)) if box.meets(found[n][0])), None)
        if near is None:
            k += 1
            continue
        other, more = found.pop(near)
        corners = (min, box.left, other.left), (min, box.top, other.top)
        ends = (max, box.right, other.right), (max, box.bottom, other.bottom)
        found[k] = (Box(*(pick(a, b) for pick, a, b in (*corners, *ends))), members + more)
        # The larger one may meet what the smaller one did not.
        k = 0
    return [(box, sorted(members)) for box, members in found]


def _axes(drawing: Drawing, across: Linear, up: Linear) -> None:
    """Rules at round odds, prices below, and what the two directions are."""
    drawing.text(0.0, 14.0, "odds that all that is wanted is met, in 100", size=_SIZE, fill="soft")
    values = ticks(up.low, up.high, 4)
    for odds, label in zip(values, tick_texts(values), strict=True):
        y = up(odds)
        drawing.line(_LEFT, y, WIDTH, y, stroke="line")
        drawing.text(_LEFT - 6.0, y + 4.5, label, size=_SIZE, anchor="end", fill="soft")
    bottom = _TOP + _PLOT
    drawing.line(_LEFT, bottom, WIDTH, bottom, stroke="soft")
    for value in ticks(across.low, across.high, 4):
        x = across(value)
        drawing.line(x, bottom, x, bottom + 5.0, stroke="soft")
        label = money(value)
        half = text_width(label, _SIZE) / 2
        drawing.text(
            min(x, WIDTH - half), bottom + 20.0, label, size=_SIZE, anchor="middle", fill="soft"
        )
    drawing.text(WIDTH, bottom + 38.0, "price, US dollars", size=_SIZE, anchor="end", fill="soft")


def _range(drawing: Drawing, low: float, high: float, y: float) -> None:
    """The range of a price at a height."""
    drawing.line(low, y, high, y, stroke="after", stroke_width=1.8)
    for end in (low, high):
        drawing.line(end, y - 4.0, end, y + 4.0, stroke="after", stroke_width=1.8)


def _numbers(drawing: Drawing, found: Frontier, places: list[tuple[float, float]]) -> None:
    """Each point's number where there is room for it, that of the preferred one first."""
    points = [Box(x - _RADIUS, y - _RADIUS, x + _RADIUS, y + _RADIUS) for x, y in places]
    rows = list(zip(enumerate(found.offers, 1), places, strict=True))
    rows.sort(key=lambda row: row[0][1] is not found.preferred)
    away = _RADIUS + 5.0
    for (number, one), (x, y) in rows:
        preferred = one is found.preferred
        spots = [
            (x, y - away, "middle"),
            (x, y + away + 10.0, "middle"),
            (x + away, y - 6.0, "start"),
            (x - away, y - 6.0, "end"),
            (x + away, y + 16.0, "start"),
            (x - away, y + 16.0, "end"),
        ]
        if preferred:
            # Over its neighbours, where they crowd.
            for rise in (12.0, 24.0, 36.0, 48.0, 60.0):
                spots.append((x - _RADIUS, y - away - rise, "start"))
                spots.append((x + _RADIUS, y - away - rise, "end"))
        drawing.place(
            spots,
            f"{number} preferred" if preferred else f"{number}",
            inside=Box(_LEFT, _TOP - 6.0, WIDTH, _TOP + _PLOT),
            size=14.0,
            bold=True,
            fill="after" if preferred else "ink",
            avoid=points,
        )
