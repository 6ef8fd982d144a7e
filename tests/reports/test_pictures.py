"""Every picture holds its text, keeps labels apart, and puts points where the numbers say."""

from __future__ import annotations

import re
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from inchwater import errors, reports, units
from inchwater.reports import svg
from inchwater.units import System
from tests.reports.samples import CASES, after, answer

NS = "{http://www.w3.org/2000/svg}"
SYSTEMS: tuple[System, ...] = ("ip", "si")


def pictures(case: Any, system: System) -> dict[str, str]:
    """All pictures of an answer, with and without a change."""
    then = after(case)
    return {
        "path": reports.path(case, system),
        "budget": reports.budget(case, system),
        "tree": reports.tree(case, system),
        "interval": reports.interval(case, system),
        "interval after": reports.interval(case, system, after=then),
        "curves": reports.curves(case, system),
        "curves after": reports.curves(case, system, after=then),
    }


ALL = [pytest.param(name, system, id=f"{name}-{system}") for name in CASES for system in SYSTEMS]


def texts(picture: str) -> list[tuple[str, svg.Box]]:
    """The visible texts of a picture with their boxes."""
    found = []
    for element in ET.fromstring(picture).iter(f"{NS}text"):
        assert element.text
        found.append(
            (
                element.text,
                svg.text_box(
                    element.text,
                    float(element.attrib["x"]),
                    float(element.attrib["y"]),
                    float(element.attrib["font-size"]),
                    element.attrib.get("text-anchor", "start"),
                    element.attrib.get("font-weight") == "700",
                ),
            )
        )
    return found


@pytest.mark.parametrize(("name", "system"), ALL)
def test_labels_keep_apart_and_inside(name: str, system: System) -> None:
    """No two texts overlap and none leaves the picture, in either unit system."""
    for which, picture in pictures(CASES[name], system).items():
        root = ET.fromstring(picture)
        _, _, width, height = (float(v) for v in root.attrib["viewBox"].split())
        boxes = texts(picture)
        assert boxes, which
        for i, (one, box) in enumerate(boxes):
            assert box.within(svg.Box(-0.5, -0.5, width + 0.5, height + 0.5)), (which, one, box)
            for other, its in boxes[i + 1 :]:
                assert not box.meets(its), (which, one, other)


@pytest.mark.parametrize(("name", "system"), ALL)
def test_a_picture_has_name_words_and_named_targets(name: str, system: System) -> None:
    """Title and description are there, points can be heard, each target leads to a row."""
    case = CASES[name]
    tables = {
        "path": reports.path_table(case, system),
        "budget": reports.budget_table(case, system),
        "tree": reports.tree_table(case, system),
        "interval": reports.flows_table(case, system),
        "interval after": reports.flows_table(case, system, after(case)),
        "curves": reports.curves_table(case, system),
        "curves after": reports.curves_table(case, system, after(case)),
    }
    for which, picture in pictures(case, system).items():
        root = ET.fromstring(picture)
        assert root.attrib["role"] == "group"
        title, desc = root.find(f"{NS}title"), root.find(f"{NS}desc")
        assert title is not None
        assert title.text
        assert desc is not None
        assert desc.text
        assert root.attrib["aria-labelledby"] == title.attrib["id"]
        assert root.attrib["aria-describedby"] == desc.attrib["id"]
        links = list(root.iter(f"{NS}a"))
        assert links, which
        rows = {row.id for row in tables[which].rows}
        for link in links:
            assert link.attrib["aria-label"]
            assert link.attrib["href"].removeprefix("#") in rows


@pytest.mark.parametrize("name", CASES)
def test_targets_are_wide_enough_for_a_glove(name: str) -> None:
    """At 390 px (354 of picture) every target is 48 px or more."""
    case = CASES[name]
    for which, picture in pictures(case, "ip").items():
        for link in ET.fromstring(picture).iter(f"{NS}a"):
            shape = link.find(f"{NS}rect")
            assert shape is not None
            assert shape.attrib["pointer-events"] == "all"
            assert float(shape.attrib["width"]) * 354 / 360 >= 48.0, which
            assert float(shape.attrib["height"]) * 354 / 360 >= 48.0, which


@pytest.mark.parametrize("name", CASES)
def test_no_target_lies_on_another(name: str) -> None:
    """Two targets never share ground, however near two operating points are."""
    near = after(CASES[name], gain=1.01)
    for picture in (*pictures(CASES[name], "ip").values(), reports.curves(CASES[name], after=near)):
        boxes = []
        for link in ET.fromstring(picture).iter(f"{NS}a"):
            shape = link.find(f"{NS}rect")
            assert shape is not None
            x, y, w, h = (float(shape.attrib[k]) for k in ("x", "y", "width", "height"))
            boxes.append(svg.Box(x, y, x + w - 0.1, y + h - 0.1))
        assert not any(a.meets(b) for i, a in enumerate(boxes) for b in boxes[i + 1 :])


def scale(picture: str, unit_texts: list[tuple[str, svg.Box]], top: float) -> tuple[float, float]:
    """Slope and origin of the horizontal axis, found from its tick texts alone."""
    ticks = [
        (float(t.replace("−", "-").replace(",", "")), (b.left + b.right) / 2)
        for t, b in unit_texts
        if b.top < top and re.fullmatch(r"−?[\d.,]+", t)
    ]
    (v0, x0), (v1, x1) = ticks[0], ticks[-1]
    slope = (x1 - x0) / (v1 - v0)
    return slope, x0 - slope * v0


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", CASES)
def test_dots_lie_where_the_readings_say(name: str, system: System) -> None:
    """A reading's dot is at its value on the axis that is printed above it, one row per part."""
    case = CASES[name]
    picture = reports.path(case, system)
    slope, origin = scale(picture, texts(picture), 40.0)
    dots = [
        (float(c.attrib["cx"]), float(c.attrib["cy"]))
        for c in ET.fromstring(picture).iter(f"{NS}circle")
        if float(c.attrib["r"]) > 5
    ]
    expected = [
        (units.shown(p.reading, "pressure", system)[0], i)
        for i, p in enumerate(case.path)
        if p.reading is not None
    ]
    assert len(dots) == len(expected)
    for (x, y), (value, row) in zip(dots, expected, strict=True):
        assert x == pytest.approx(origin + slope * value, abs=0.1)
        assert y == pytest.approx(48.0 + 49.0 * (row + 0.5), abs=0.1)


def test_bars_are_as_long_as_the_drops() -> None:
    """Bars keep the proportions of the drops."""
    case = CASES["usual"]
    root = ET.fromstring(reports.budget(case))
    bars = [float(r.attrib["width"]) for r in root.iter(f"{NS}rect") if r.attrib["height"] == "12"]
    drops = [row.drop.value for row in case.budget]
    assert [b / bars[0] for b in bars] == pytest.approx([d / drops[0] for d in drops], rel=0.001)


def test_the_system_line_is_cut_at_the_top_and_not_bent() -> None:
    """A line that leaves the picture keeps its slope up to the edge."""
    from inchwater.reports.curves import _cut

    assert _cut([(0.0, 100.0), (10.0, 60.0), (20.0, -40.0), (30.0, -200.0)]) == [
        (0.0, 100.0),
        (10.0, 60.0),
        (pytest.approx(12.8), 32.0),
    ]


def stems(picture: str) -> list[tuple[float, ...]]:
    """The lines of a tree: both ends and thickness."""
    keys = ("x1", "y1", "x2", "y2", "stroke-width")
    lines = ET.fromstring(picture).iter(f"{NS}line")
    return [tuple(float(line.attrib[key]) for key in keys) for line in lines]


def test_a_stem_is_as_thick_as_the_air_through_it() -> None:
    """A part's own branch has its share of the thickest stem, which carries all of the air."""
    case = CASES["usual"]
    lines = stems(reports.tree(case))
    most = max(width for *_, width in lines)
    thick = sorted({round(width / most, 3) for x1, y1, x2, y2, width in lines if y1 == y2})
    assert thick == pytest.approx([0.12, 0.2, 0.3, 0.35, 0.4, 0.6, 0.7], abs=0.03)


def test_what_joins_comes_above_and_what_leaves_stands_below() -> None:
    """Every return hangs above the unit and every run below it; two of a kind share a stem."""
    case = CASES["usual"]
    found = dict(texts(reports.tree(case)))
    joins, unit, leaves = "Return duct, 10-inch, den", "Blower", "6-inch run, r2"
    assert found[joins].bottom < found[unit].top < found[leaves].top
    # The deeper a part hangs, the farther it is set in.
    assert found[unit].left < found[joins].left
    assert found["6-inch run, r2"].left == found["Supply trunk t2, 12 × 8"].left


def test_what_adds_pressure_has_a_plus_and_is_said_so() -> None:
    """The blower's row is told apart from a drop, in the picture and in words."""
    case = CASES["usual"]
    picture = reports.tree(case)
    assert "+0.71" in [text for text, _ in texts(picture)]
    said = [a.attrib["aria-label"] for a in ET.fromstring(picture).iter(f"{NS}a")]
    assert said[7] == "Blower: adds 0.71 in. w.c., 0.68–0.74; 745 cfm, 660–830"
    assert said[8] == "Cooling coil: drop 0.22 in. w.c., 0.19–0.25; 745 cfm, 660–830"
    # Air into a room through the gap of its door goes against the usual way, and loses as well.
    assert said[16] == "Den, door shut: drop 0.01 in. w.c., −0.02 to 0.04; −224 cfm, −249 to −198"
    rows = reports.tree_table(case).rows
    assert rows[7].cells == ("−0.71", "−0.74 to −0.68", "745", "660–830")


@pytest.mark.parametrize("kind", ["furnace", "air-handler", "packaged"])
def test_a_sketch_names_its_points_and_what_is_never_drilled(kind: str) -> None:
    """The sketch is as accessible as a chart; its points are those of the table."""
    picture = reports.sketch(kind)
    root = ET.fromstring(picture)
    rows = [row.id for row in reports.ports_table(kind).rows]
    assert sorted(a.attrib["href"] for a in root.iter(f"{NS}a")) == sorted(f"#{r}" for r in rows)
    assert "never" in [text for text, _ in texts(picture)]
    boxes = texts(picture)
    for i, (one, box) in enumerate(boxes):
        assert box.within(svg.Box(-0.5, 0, 360.5, 800)), one
        for other, its in boxes[i + 1 :]:
            assert not box.meets(its), (one, other)


def test_an_unknown_kind_of_unit_is_told_in_words() -> None:
    """The choices are named."""
    with pytest.raises(errors.UnknownNameError) as caught:
        reports.sketch("boiler")
    assert str(caught.value) == (
        "unit kind: 'boiler' came; kinds are furnace, air-handler, packaged."
    )


def test_the_list_of_places_never_to_drill_has_sources() -> None:
    """Each place says where it is from, or that it is from memory."""
    places = reports.do_not_drill()
    assert len(places) >= 10
    assert all(p.place and p.source and p.status in ("read", "memory") for p in places)


def test_paper_has_colours_and_the_page_has_variables() -> None:
    """``plain`` leaves no CSS variable; the page's picture has a fallback for each."""
    plain, page = reports.path(answer(), plain=True), reports.path(answer())
    assert "var(" not in plain
    assert svg.COLOURS["supply"] in plain
    assert set(re.findall(r"var\(--([a-z-]+)", page)) <= set(svg.COLOURS)
    assert f"var(--supply, {svg.COLOURS['supply']})" in page


def test_both_systems_draw_the_same_line() -> None:
    """The unit changes the axis, not the picture's numbers: the dot's share of the axis agrees."""
    case = CASES["usual"]
    ip, si = reports.path_table(case, "ip"), reports.path_table(case, "si")
    assert ip.caption == "Static along the air's way, in. w.c."
    assert si.caption == "Static along the air's way, Pa"
    assert ip.rows[3].cells == ("−0.29", "−0.33 to −0.25", "−0.29")
    assert si.rows[3].cells == ("−72", "−82 to −62", "−72")
