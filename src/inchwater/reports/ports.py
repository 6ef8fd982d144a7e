"""Where a hole for a static tip may go, as a sketch per kind of unit, and where never.

The places and the list are data (``data/test_points.csv``, ``data/do_not_drill.csv``), each with
its source; the sketch shows the usual order of parts, not the unit at hand.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from importlib import resources

from inchwater.errors import UnknownNameError
from inchwater.reports.svg import WIDTH, Drawing

KINDS = {
    "furnace": "Furnace with a coil on top",
    "air-handler": "Air handler with the coil inside",
    "packaged": "Packaged unit",
}


@dataclass(frozen=True, slots=True)
class Port:
    """One test point of a kind of unit: its number on the sketch, its name and its place."""

    key: str
    number: str
    label: str
    where: str
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class NoDrill:
    """One place never to drill."""

    key: str
    place: str
    source: str
    status: str


def _rows(name: str) -> list[dict[str, str]]:
    text = resources.files("inchwater.reports").joinpath("data", name).read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))


def ports(kind: str) -> tuple[Port, ...]:
    """The test points of a kind of unit, in the air's order; UnknownNameError for another kind."""
    if kind not in KINDS:
        raise UnknownNameError(
            where="unit kind", came=repr(kind), right=f"kinds are {', '.join(KINDS)}"
        )
    return tuple(
        Port(r["key"], r["number"], r["label"], r["where"], r["source"], r["status"])
        for r in _rows("test_points.csv")
        if r["kind"] == kind
    )


def do_not_drill() -> tuple[NoDrill, ...]:
    """The places never to drill."""
    return tuple(
        NoDrill(r["key"], r["place"], r["source"], r["status"]) for r in _rows("do_not_drill.csv")
    )


# The air rises: bottom to top.  Part: (name, height, hue, may a hole go here).
_STACKS: dict[str, tuple[tuple[str, float, str, bool], ...]] = {
    "furnace": (
        ("supply plenum", 112.0, "supply", True),
        ("coil case, drain pan", 72.0, "ink", False),
        ("gap, if there is one", 56.0, "supply", True),
        ("furnace, burners, blower", 118.0, "ink", False),
        ("filter to furnace", 56.0, "return", True),
        ("return duct", 84.0, "return", True),
    ),
    "air-handler": (
        ("supply plenum", 112.0, "supply", True),
        ("cabinet: blower, coil", 132.0, "ink", False),
        ("filter to cabinet", 60.0, "return", True),
        ("return duct", 84.0, "return", True),
    ),
    "packaged": (
        ("supply duct", 112.0, "supply", True),
        ("cabinet, all inside", 132.0, "ink", False),
        ("return at the unit", 60.0, "return", True),
        ("return duct, filter", 84.0, "return", True),
    ),
}
# Which part of the stack, from the top, carries which test point.
_CARRIES = {
    "furnace": {0: "supply", 2: "before-coil", 4: "return", 5: "before-filter"},
    "air-handler": {0: "supply", 2: "return", 3: "before-filter"},
    "packaged": {0: "supply", 2: "return", 3: "before-filter"},
}
_X, _W = 92.0, 176.0


def sketch(kind: str, *, plain: bool = False) -> str:
    """The sketch of a kind of unit as SVG: numbered test points, and crossed-out parts.

    Parameters
    ----------
    kind : str
        ``furnace``, ``air-handler`` or ``packaged``.
    plain : bool
        Paper's colours in place of CSS variables.
    """
    points = {port.key: port for port in ports(kind)}
    stack = _STACKS[kind]
    height = 34.0 + sum(part[1] for part in stack) + 34.0
    words = ". ".join(f"{p.number} {p.label}: {p.where}" for p in points.values())
    drawing = Drawing(
        "ports",
        WIDTH,
        height,
        f"Test points: {KINDS[kind].lower()}",
        f"Air enters below and leaves above. {words} Crossed-out parts are never drilled.",
        plain,
    )
    middle = _X + _W / 2
    drawing.text(middle, 18.0, "↑ to the rooms", size=13.0, anchor="middle", fill="soft")
    top = 30.0
    for i, (name, tall, hue, allowed) in enumerate(stack):
        _part(drawing, name, top, tall, hue, allowed)
        key = _CARRIES[kind].get(i)
        if key:
            y = top + (tall * 0.35 if key == "supply" else tall / 2)
            _port(drawing, points[key], y)
        top += tall
    drawing.text(middle, top + 22.0, "↑ from the rooms", size=13.0, anchor="middle", fill="soft")
    return drawing.svg()


def _part(drawing: Drawing, name: str, top: float, tall: float, hue: str, allowed: bool) -> None:
    drawing.rect(
        _X,
        top,
        _W,
        tall,
        fill=hue,
        fill_opacity=0.10 if allowed else 0.05,
        stroke="ink",
        stroke_width=1.4,
    )
    if not allowed:
        drawing.line(_X, top, _X + _W, top + tall, stroke="ink", stroke_width=1.0)
        drawing.line(_X + _W, top, _X, top + tall, stroke="ink", stroke_width=1.0)
        drawing.text(_X + _W / 2, top + tall - 12.0, name, size=13.0, anchor="middle")
        drawing.text(0.0, top + tall / 2 - 4.0, "never", size=14.0, bold=True)
        drawing.text(0.0, top + tall / 2 + 14.0, "drill here", size=14.0, bold=True)
    else:
        low = tall - 10.0 if tall > 100.0 else tall / 2 + 5.0
        drawing.text(_X + 10.0, top + low, name, size=13.0)


def _port(drawing: Drawing, port: Port, y: float) -> None:
    x = _X + _W
    hue = "supply" if port.key in ("supply", "before-coil") else "return"
    drawing.line(x - 26.0, y, x + 14.0, y, stroke=hue, stroke_width=2.5)
    drawing.circle(x + 24.0, y, 12.0, fill="paper", stroke=hue, stroke_width=2.5)
    drawing.text(x + 24.0, y + 5.0, port.number, size=14.0, anchor="middle", bold=True, fill=hue)
    drawing.text(x + 41.0, y + 5.0, port.label.split()[0], size=13.0, fill=hue)
    if " " in port.label:
        drawing.text(x + 41.0, y + 20.0, port.label.split()[1], size=13.0, fill=hue)
    drawing.target(
        f"{port.number} {port.label}: {port.where}",
        f"port-{port.key}",
        x - 2.0,
        y - 24.5,
        WIDTH - x + 2.0,
        49.0,
    )
