"""The frontier's picture and tables, of offers made up for it."""

from __future__ import annotations

from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inchwater import reports
from inchwater.quantity import Estimate
from inchwater.reports import svg
from tests.reports.test_pictures import texts

NS = "{http://www.w3.org/2000/svg}"


def made(rows: Sequence[tuple[float, float]], preferred: int = 0) -> Any:
    """A frontier of offers by price [USD] and odds [-]; the first does nothing."""
    air = Estimate(0.45, 0.40, 0.50, "airflow")
    tesp = Estimate(150.0, 140.0, 160.0, "pressure")
    offers = []
    for k, (price, odds) in enumerate(rows):
        offers.append(
            SimpleNamespace(
                key=f"offer {k}",
                label="leaving it as it is" if not k else f"work {k}",
                changes=() if not k else ("c",),
                price=SimpleNamespace(value=price, low=0.8 * price, high=1.4 * price),
                odds=odds,
                expected_cost=price + 300.0,
                estimates={"airflow": air, "tesp": tesp},
            )
        )
    return SimpleNamespace(offers=tuple(offers), preferred=offers[preferred])


CASES = {
    "nothing but doing nothing": ((0.0, 0.0),),
    "nothing that reaches": ((0.0, 0.0), (1800.0, 0.0)),
    "a few": ((0.0, 0.02), (240.0, 0.31), (900.0, 0.64), (4100.0, 0.96)),
    "many in a crowd": ((0.0, 0.0), *((400.0 + 9.0 * k, 0.02 * k) for k in range(1, 14))),
}


@pytest.mark.parametrize("name", CASES)
def test_every_offer_is_a_point_that_can_be_tapped(name: str) -> None:
    """Each leads to its row, says itself in words, and is large enough for a glove."""
    found = made(CASES[name])
    root = ET.fromstring(reports.frontier(found))
    rows = {row.id for row in reports.frontier_table(found).rows}
    boxes = []
    for link in root.iter(f"{NS}a"):
        assert link.attrib["href"].removeprefix("#") in rows
        (place,) = link.iter(f"{NS}rect")
        x, y, width, height = (float(place.attrib[n]) for n in ("x", "y", "width", "height"))
        assert min(width, height) >= svg.TARGET - 1e-6
        boxes.append(svg.Box(x + 0.01, y + 0.01, x + width - 0.01, y + height - 0.01))
    # Where offers crowd, one place says all of them; no two places meet.
    assert not any(one.meets(two) for k, one in enumerate(boxes) for two in boxes[k + 1 :])
    words = [link.attrib["aria-label"] for link in root.iter(f"{NS}a")]
    for number, one in enumerate(found.offers, 1):
        mine = reports.offer_said(number, one, one is found.preferred)
        assert sum(mine in line for line in words) == 1
        assert mine in (root.findtext(f"{NS}desc") or "")


@pytest.mark.parametrize("preferred", [0, -1])
@pytest.mark.parametrize("name", CASES)
def test_what_is_preferred_says_so(name: str, preferred: int) -> None:
    """In the picture and in the table, once."""
    found = made(CASES[name], preferred)
    words = [text for text, _ in texts(reports.frontier(found))]
    assert sum("preferred" in text for text in words) == 1
    heads = [row.head for row in reports.frontier_table(found).rows]
    assert sum("preferred" in head for head in heads) == 1


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.floats(1.0, 60_000.0), st.floats(0.0, 1.0)), min_size=0, max_size=24).map(
        lambda rows: ((0.0, 0.0), *sorted(rows))
    )
)
def test_texts_keep_apart_and_inside_for_any_offers(rows: Sequence[tuple[float, float]]) -> None:
    """No two texts overlap and none leaves the picture, whatever the prices and odds are."""
    root = ET.fromstring(reports.frontier(made(rows)))
    _, _, width, height = (float(v) for v in root.attrib["viewBox"].split())
    boxes = texts(ET.tostring(root, encoding="unicode"))
    for k, (one, box) in enumerate(boxes):
        assert box.within(svg.Box(-0.5, -0.5, width + 0.5, height + 0.5)), one
        for other, its in boxes[k + 1 :]:
            assert not box.meets(its), (one, other)


def test_higher_is_likelier_and_further_right_is_dearer() -> None:
    """Points stand in the order of their prices and odds; the preferred one over the others."""
    root = ET.fromstring(reports.frontier(made(CASES["a few"], 2)))
    points = [(float(c.attrib["cx"]), float(c.attrib["cy"])) for c in root.iter(f"{NS}circle")]
    *others, preferred = points
    assert others == sorted(others)
    assert preferred == sorted(points)[2]
    points.sort()
    assert [y for _, y in points] == sorted((y for _, y in points), reverse=True)


def test_on_paper_it_has_colours_of_its_own() -> None:
    """Without the page's variables."""
    assert "var(--" not in reports.frontier(made(CASES["a few"]), plain=True)
