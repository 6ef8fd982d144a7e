"""The limit: what one side alone can reach, in each of the ways it can turn out."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

import inchwater.forecast
from inchwater.criteria import Goal
from inchwater.findings import limit
from tests.solved import cfm, demo, stand_in, three_numbers

GOAL = Goal(cfm(875), cfm(1125), "test")
# Enough samples, spread by 20 cfm, that "likely" and "unlikely" are meant.
SPREAD = np.linspace(-20, 20, 41)


def found(monkeypatch, now, supply, return_, motor=None):
    """The limit of a system whose sides alone reach these airflows [cfm]."""
    alone = {"supply": cfm(supply + SPREAD), "return": cfm(return_ + SPREAD)}
    monkeypatch.setattr(
        inchwater.forecast,
        "without",
        lambda posterior, side: SimpleNamespace(solution=SimpleNamespace(airflow=alone[side])),
    )
    survey = three_numbers().survey
    survey = replace(survey, unit=replace(survey.unit, motor=motor))
    return limit(None, stand_in(survey, cfm(now + SPREAD)), survey, GOAL)


CASES = [
    (950, 1000, 1000, "both", "The wanted airflow is there as it is."),
    (
        700,
        800,
        780,
        "neither",
        "Opening up either side alone does not reach the goal: without any resistance on the "
        "supply side it would be 800 cfm, on the return side 780 cfm.",
    ),
    (
        700,
        800,
        950,
        "return",
        "No change on the supply side alone reaches the goal: without any resistance there it "
        "would be 800 cfm. The return side has to open up.",
    ),
    (
        700,
        950,
        800,
        "supply",
        "No change on the return side alone reaches the goal: without any resistance there it "
        "would be 800 cfm. The supply side has to open up.",
    ),
    (
        700,
        800,
        880,
        "return",
        "No change on the supply side alone reaches the goal: without any resistance there it "
        "would be 800 cfm. Whether the return side alone does, these readings cannot say.",
    ),
    (700, 950, 950, "both", "Either side alone has enough to give to reach the goal."),
    (
        700,
        950,
        870,
        "both",
        "The supply side alone has enough to give to reach the goal; whether the return side "
        "alone has, these readings cannot say: without any resistance there it would be 870 cfm.",
    ),
    (
        700,
        870,
        880,
        "both",
        "Whether opening up one side alone reaches the goal, these readings cannot say for sure: "
        "without any resistance on the supply side it would be 870 cfm, on the return side "
        "880 cfm.",
    ),
]


@pytest.mark.parametrize(("now", "supply", "return_", "kind", "text"), CASES)
def test_the_limit_says_which_side_can_and_which_cannot(
    monkeypatch, now, supply, return_, kind, text
):
    """Each way it can turn out has its own sentence and kind."""
    said = found(monkeypatch, now, supply, return_)
    assert said.kind == kind
    assert said.text.text() == text


def test_the_limit_reads_in_si_as_well(monkeypatch):
    """The same sentence in L/s."""
    said = found(monkeypatch, 700, 800, 780)
    assert said.text.text("si") == (
        "Opening up either side alone does not reach the goal: without any resistance on the "
        "supply side it would be 378 L/s, on the return side 368 L/s."
    )


def test_a_blower_that_holds_its_airflow_is_not_opened_up(monkeypatch):
    """Ducts lower its watts, not its shortage."""
    said = found(monkeypatch, 700, 705, 702, motor="constant-airflow")
    assert said.kind == "neither"
    assert said.text.text() == (
        "This blower moves what it is set to; opening up the ducts lowers its watts and noise, "
        "and hardly changes its airflow."
    )


def test_no_side_alone_can_pass_its_own_limit():
    """A side without any resistance never moves less than the system as found."""
    _, posterior, system = demo("b")
    from inchwater.criteria import goal
    from inchwater.survey import Targets

    said = limit(posterior, system, system.survey, goal(system.survey, Targets()))
    now = system.estimate("airflow").value
    assert said.supply_alone.value > now
    assert said.return_alone.value > said.supply_alone.value
    assert said.text.text().startswith("No change on the supply side alone reaches the goal:")
