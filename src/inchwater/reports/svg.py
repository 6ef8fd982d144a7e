"""A small writer of SVG: text stays text, colours are CSS variables, points are links.

A :class:`Drawing` collects shapes and knows the boxes of its texts, so that a label can be put
where none is yet.  ``plain=True`` writes the fallback colours themselves, for paper.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from xml.etree import ElementTree as ET

# The light theme's values; a page overrides them by custom properties of the same names.
COLOURS = {
    "ink": "#1b2a33",
    "paper": "#fbfaf7",
    "return": "#6a51a3",
    "supply": "#b35806",
    "after": "#2166ac",
    "goal": "#dfe7e3",
    "goal-edge": "#5f7a6d",
    "line": "#dcd9d0",
    "soft": "#56646c",
}
# Names that start a word with a digit would have to be quoted.
FONT = "Inter, system-ui, sans-serif"
# A finger in a glove. [user units]; 360 of them are about 354 px on a phone of 390 px.
TARGET = 49.0
WIDTH = 360.0

# Widths of glyphs [em], of the widest of the fonts in the stack that we met (DejaVu Sans).
_NARROW = {**dict.fromkeys("iljI|'.,:;!", 0.34), **dict.fromkeys("ftr()-/ ", 0.42)}
_WIDE = {**dict.fromkeys("mMW", 0.96), **dict.fromkeys("wGOQCDHNU−+=–", 0.80)}


def text_width(text: str, size: float, bold: bool = False) -> float:
    """An upper bound of the width of a text. [user units]"""
    em = sum(_NARROW.get(c) or _WIDE.get(c) or 0.635 for c in text)
    return em * size * (1.10 if bold else 1.0)


def lines_of(text: str, width: float, size: float) -> tuple[str, ...]:
    """A text broken between words so that each line is at most so wide (one word may be wider)."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width(longer, size) > width:
            lines.append(word)
        else:
            lines[-1] = longer
    return tuple(lines)


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle. [user units]"""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Whether the two overlap."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def within(self, other: Box) -> bool:
        """Whether this lies inside the other."""
        return (
            self.left >= other.left
            and self.right <= other.right
            and self.top >= other.top
            and self.bottom <= other.bottom
        )


def text_box(
    text: str, x: float, y: float, size: float, anchor: str = "start", bold: bool = False
) -> Box:
    """The box of a text whose baseline starts, has its middle, or ends at ``x, y``."""
    width = text_width(text, size, bold)
    left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * width
    return Box(left, y - 0.80 * size, left + width, y + 0.24 * size)


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


class Drawing:
    """One picture.

    Parameters
    ----------
    name : str
        Makes the ids on the page unique: ``path``.
    width, height : float
        Size. [user units]
    title, desc : str
        Accessible name, and what the picture shows, in words.
    plain : bool
        Write colours as they are on paper, without CSS variables.
    """

    def __init__(
        self, name: str, width: float, height: float, title: str, desc: str, plain: bool = False
    ) -> None:
        self.name, self.width, self.height, self.plain = name, width, height, plain
        self.boxes: list[Box] = []
        self.root = ET.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "viewBox": f"0 0 {_number(width)} {_number(height)}",
                # A group, not an image: an image would hide the names of its points.
                "role": "group",
                "aria-labelledby": f"{name}-title",
                "aria-describedby": f"{name}-desc",
                "class": f"picture picture-{name}",
                "font-family": FONT,
                "font-variant-numeric": "tabular-nums",
            },
        )
        ET.SubElement(self.root, "title", {"id": f"{name}-title"}).text = title
        ET.SubElement(self.root, "desc", {"id": f"{name}-desc"}).text = desc
        self._into = self.root

    def colour(self, name: str) -> str:
        """The paint of this name; ``none`` stays ``none``."""
        if name == "none" or self.plain:
            return COLOURS.get(name, name)
        return f"var(--{name}, {COLOURS[name]})"

    def _shape(self, tag: str, attributes: dict[str, str | float | None]) -> ET.Element:
        shown = {
            key.rstrip("_").replace("_", "-"): _number(value)
            if isinstance(value, (int, float))
            else value
            for key, value in attributes.items()
            if value is not None
        }
        for paint in ("fill", "stroke"):
            if paint in shown:
                shown[paint] = self.colour(shown[paint])
        return ET.SubElement(self._into, tag, shown)

    def rect(self, x: float, y: float, width: float, height: float, **more: str | float) -> None:
        """A rectangle."""
        self._shape("rect", {"x": x, "y": y, "width": width, "height": height, **more})

    def line(self, x1: float, y1: float, x2: float, y2: float, **more: str | float) -> None:
        """A straight line."""
        self._shape("line", {"x1": x1, "y1": y1, "x2": x2, "y2": y2, **more})

    def polyline(self, points: Iterable[tuple[float, float]], **more: str | float) -> None:
        """A line through points."""
        path = " ".join(f"{_number(x)},{_number(y)}" for x, y in points)
        self._shape("polyline", {"points": path, "fill": "none", **more})

    def area(self, points: Iterable[tuple[float, float]], **more: str | float) -> None:
        """A filled outline."""
        path = " ".join(f"{_number(x)},{_number(y)}" for x, y in points)
        self._shape("polygon", {"points": path, **more})

    def circle(self, x: float, y: float, radius: float, **more: str | float) -> None:
        """A circle."""
        self._shape("circle", {"cx": x, "cy": y, "r": radius, **more})

    def text(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: float = 14.0,
        anchor: str = "start",
        bold: bool = False,
        fill: str = "ink",
        halo: str = "paper",
    ) -> None:
        """A text; it keeps a halo of paper so that a line behind it does not cut it.

        ``halo`` is the ground that it stands on, where that is another.
        """
        self.boxes.append(text_box(text, x, y, size, anchor, bold))
        element = self._shape(
            "text",
            {
                "x": x,
                "y": y,
                "font_size": size,
                "text_anchor": anchor if anchor != "start" else None,
                "font_weight": "700" if bold else None,
                "fill": fill,
                "stroke": halo,
                "stroke_width": 3.0,
                "stroke_linejoin": "round",
                "paint_order": "stroke",
            },
        )
        element.text = text

    def place(
        self,
        candidates: Iterable[tuple[float, float, str]],
        text: str,
        *,
        inside: Box,
        size: float = 14.0,
        bold: bool = False,
        fill: str = "ink",
        avoid: Iterable[Box] = (),
    ) -> bool:
        """Put a text at the first candidate ``(x, y, anchor)`` where it meets nothing.

        Returns False, and draws nothing, when there is no room for it.
        """
        taken = [*self.boxes, *avoid]
        for x, y, anchor in candidates:
            box = text_box(text, x, y, size, anchor, bold)
            if box.within(inside) and not any(box.meets(other) for other in taken):
                self.text(x, y, text, size=size, anchor=anchor, bold=bold, fill=fill)
                return True
        return False

    def target(self, label: str, row: str, x: float, y: float, width: float, height: float) -> None:
        """A transparent place to tap, named in words, that leads to its row in the table."""
        link = self._shape(
            "a", {"href": f"#{row}", "aria_label": label, "class_": "point", "data-said": label}
        )
        into, self._into = self._into, link
        self.rect(x, y, width, height, fill="none", pointer_events="all", rx=4.0)
        self._into = into

    def svg(self) -> str:
        """The picture as text."""
        return ET.tostring(self.root, encoding="unicode")
