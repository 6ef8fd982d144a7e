"""Budget, groups, worth: what takes the pressure, what it is called, what opening it up brings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from inchwater.calibration import calibrate
from inchwater.findings import budget, worth
from inchwater.findings.groups import groups
from inchwater.findings.labels import counted
from inchwater.forecast import predict
from inchwater.rehearsal import demos
from inchwater.survey import Fact
from inchwater.units import from_si
from tests.solved import SEED, demo, inwc, three_numbers, with_reading


def labels(prediction):
    return [group.label for group in groups(prediction, prediction.survey)]


def test_parts_are_named_as_a_technician_does_in_the_airs_order():
    """Equal runs, filters and returns are one line each; return side first, registers last."""
    assert labels(demo("a")[2]) == [
        "Two return grilles, 20 × 25",
        "Two filters, side by side, 20 × 25, 1 in pleated, MERV 8",
        "Two return ducts, 16-inch",
        "Cooling coil, in the cabinet",
        "Six 6-inch runs, all together",
        "Six registers with their boots",
    ]
    assert labels(demo("b")[2]) == [
        "Return grille, 24 × 14",
        "Panned return",
        "Filter, 16 × 25, 1 in pleated, MERV 8",
        "Cooling coil",
        "Supply trunk, 14-inch",
        "Eight 6-inch runs, all together",
        "Eight registers with their boots",
    ]


def test_what_nobody_described_has_a_plain_name():
    """Three numbers alone: the sides as wholes."""
    found = predict(calibrate(three_numbers(cells=False), SEED))
    assert labels(found) == [
        "Return duct",
        "Filter",
        "Cooling coil, in the cabinet",
        "Supply ducts and registers",
    ]


def test_a_run_of_another_size_is_a_line_of_its_own():
    """Five 6-inch runs and one 8-inch are two lines, and the single one has its room's name."""
    job = demos()["a"]
    supply = job.survey.supply
    first, *others = supply.branches
    other = replace(first, duct=replace(first.duct, diameter=Fact(8, "in")))
    survey = replace(job.survey, supply=replace(supply, branches=(other, *others)))
    job = replace(job, survey=survey)
    found = labels(predict(calibrate(job, SEED)))
    assert "8-inch run, hall" in found
    assert "Five 6-inch runs, all together" in found


@pytest.mark.parametrize(
    ("number", "text"), [(1, "One run"), (7, "Seven runs"), (10, "Ten runs"), (14, "14 runs")]
)
def test_numbers_are_written_out_up_to_ten(number, text):
    """As in running text."""
    assert counted(number, "run") == text


@pytest.mark.parametrize("letter", ["a", "b", "c"])
def test_the_rows_of_the_budget_add_up_to_both_sides(letter):
    """Return rows make the return's pressure, supply rows and a cased coil the supply's."""
    _, _, found = demo(letter)
    rows = budget(found, found.survey)
    by_side = {
        side: sum(r.drop.value for r in rows if r.side == side) for side in ("return", "supply")
    }
    ends = {
        "return": float(np.median(-found.solution.total["return"])),
        "supply": float(np.median(found.solution.total["supply"])),
    }
    # Medians of parts need not add up to the median of the sum, hence two percent.
    assert by_side["return"] == pytest.approx(ends["return"], rel=0.02, abs=inwc(0.01))
    assert by_side["supply"] == pytest.approx(ends["supply"], rel=0.02, abs=inwc(0.01))


def test_guidance_stands_beside_what_it_is_for():
    """A filter is allowed 0.10, a coil 0.20 in. w.c., and a figure from memory says so."""
    _, _, found = demo("b")
    rows = {row.key: row for row in budget(found, found.survey)}
    assert from_si(rows["filter:f1"].guidance, "inwc") == pytest.approx(0.10)
    assert from_si(rows["coil:c1"].guidance, "inwc") == pytest.approx(0.20)
    assert rows["return:g1:grille"].source == (
        "return grille allowance in residential duct design (from memory)"
    )


def worths(job):
    posterior = calibrate(job, SEED).thinned(200)
    found = predict(posterior)
    return {one.key: one for one in worth(posterior, found, found.survey)}


def test_the_demos_name_their_causes():
    """A: the runs are worth most; B: the filter, then the return."""
    _, posterior, found = demo("a")
    first = worth(posterior, found, found.survey)[0]
    assert (first.side, first.label) == ("supply", "Six 6-inch runs, all together")
    assert first.note == "which one, these readings cannot say"
    _, posterior, found = demo("b")
    first, second, *_ = worth(posterior, found, found.survey)
    assert first.label == "Filter, 16 × 25, 1 in pleated, MERV 8"
    assert second.label == "Panned return"


def test_worth_is_listed_by_what_it_brings_and_never_below_notice():
    """Largest first, and nothing under 3 cfm."""
    gains = [one.gain.value for one in worths(demos()["b"]).values()]
    assert gains == sorted(gains, reverse=True)
    assert all(from_si(gain, "cfm") >= 3.0 for gain in gains)


def test_a_worse_filter_is_worth_more():
    """The more suction is read behind the filter, the more a proper one would bring."""
    job = demos()["b"]
    gains = [
        worths(with_reading(job, "return", -inwc(suction)))["filter:f1"].gain.value
        for suction in (0.45, 0.55, 0.65)
    ]
    assert gains[0] < gains[1] < gains[2]


def test_a_blower_that_holds_its_airflow_has_nothing_to_gain_from_ducts():
    """Demo C: no restriction is worth a line in airflow."""
    assert worths(demos()["c"]) == {}
