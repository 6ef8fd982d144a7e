"""Pictures and tables of answers as the engine gives them: the invented houses, three numbers."""

from __future__ import annotations

from functools import cache
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from inchwater import rehearsal, reports, units
from inchwater.answer import answer, what_if
from inchwater.calibration import calibrate
from inchwater.reports import svg
from inchwater.survey import Change, minimal_job
from inchwater.units import System
from tests.reports.test_pictures import NS, SYSTEMS, texts

SEED = 7


def three_numbers() -> Any:
    """Capacity and two statics, typed in inches."""
    return minimal_job(
        capacity=units.to_si(3.0, "ton"),
        return_static=units.to_si(0.29, "inwc"),
        supply_static=units.to_si(0.42, "inwc"),
        kind="air-handler",
    )


@cache
def answered(name: str) -> tuple[Any, Any]:
    """An answer, and where something can be changed the same after a change."""
    if name == "three numbers":
        return answer(three_numbers(), SEED), None
    job = rehearsal.demos()[name]
    posterior = calibrate(job, SEED)
    width, height = (units.to_si(v, "in") for v in (30.0, 25.0))
    from inchwater.survey import Fact

    filters = tuple(f.id for f in job.survey.filters or ())
    to = {"width": Fact(width, "m"), "height": Fact(height, "m")}
    change = Change("c1", "filter", filters, to)
    return answer(job, SEED, posterior), what_if(job, (change,), posterior)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", ["three numbers", "a", "b", "c"])
def test_a_real_answer_is_drawn_and_tabled(name: str, system: System) -> None:
    """Labels keep apart, every target has its row, and ids are there once."""
    found, after = answered(name)
    drawn = [
        (reports.path(found, system), reports.path_table(found, system)),
        (reports.budget(found, system), reports.budget_table(found, system)),
        (reports.tree(found, system), reports.tree_table(found, system)),
        (reports.interval(found, system), reports.flows_table(found, system)),
        (reports.curves(found, system), reports.curves_table(found, system)),
    ]
    if after:
        drawn += [
            (
                reports.interval(found, system, after=after),
                reports.flows_table(found, system, after),
            ),
            (
                reports.curves(found, system, after=after),
                reports.curves_table(found, system, after),
            ),
        ]
    for picture, table in drawn:
        root = ET.fromstring(picture)
        _, _, width, height = (float(v) for v in root.attrib["viewBox"].split())
        boxes = texts(picture)
        for i, (one, box) in enumerate(boxes):
            assert box.within(svg.Box(-0.5, -0.5, width + 0.5, height + 0.5)), one
            assert not any(box.meets(its) for _, its in boxes[i + 1 :]), one
        ids = [row.id for row in table.rows]
        assert len(ids) == len(set(ids))
        links = [a.attrib["href"].removeprefix("#") for a in root.iter(f"{NS}a")]
        assert links
        assert set(links) <= set(ids)


def test_the_operating_point_lies_on_both_lines() -> None:
    """The dot of a house with a table lies on the tap in use and on the line of the ducts."""
    found, _ = answered("a")
    flow, tesp = found.curves.point
    line = next(tap for tap in found.curves.taps if tap.in_use)
    near = min(line.points, key=lambda p: abs(p[1] - tesp))
    assert near[0] == pytest.approx(flow, rel=0.05)
    rows = found.curves.system
    mid = min(rows, key=lambda row: abs(row[0] - flow))
    assert mid[1] <= tesp * 1.15
    assert mid[3] >= tesp * 0.85
