"""Changes that are made as they were asked for, and are asked about."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inchwater.survey import Branch, Change, Duct, Grille, Supply, Survey
from inchwater.survey.change_doubts import change_doubts
from tests.survey.houses import fact, house


def den(**duct) -> Survey:
    """A house whose only run, the den's, is a 6-inch flex that hangs slack."""
    known = {"material": "flex", "diameter": fact(6, "in"), "slack": "slack"} | duct
    return replace(house(), supply=Supply(branches=(Branch("den", duct=Duct(**known)),)))


def said(survey: Survey, *changes: Change) -> list[str]:
    """The whole text of every doubt."""
    return [str(one) for one in change_doubts(survey, changes)]


def enlarged(value: float, unit: str = "in") -> Change:
    """The den's run with another diameter."""
    return Change("x", "enlarge-run", ("den",), {"diameter": fact(value, unit)})


@pytest.mark.parametrize(("size", "unit", "words"), [(4, "in", "4 in"), (150, "mm", "150 mm")])
def test_an_enlarged_duct_that_is_smaller_is_asked_about(size, unit, words):
    """Whoever says enlarge means more area."""
    assert said(den(), enlarged(size, unit)) == [
        f"changes.x.to.diameter: den, 6 in, with {words} came. A duct that is enlarged has more "
        "area than before. Check the size."
    ]


def test_a_duct_of_the_same_size_is_not_enlarged():
    """It would hang better and still be no larger."""
    assert said(den(), enlarged(6)) == [
        "changes.x.to.diameter: den, 6 in, with 6 in came. A duct that is enlarged has more area "
        "than before. Check the size."
    ]
    assert said(den(slack="tight"), enlarged(152.4, "mm")) == [
        "changes.x: den came. What is asked for is there already, so this changes nothing. "
        "Choose something else, or leave it out."
    ]


def test_a_larger_duct_is_not_asked_about():
    """Nor one of which nobody knows how large it was."""
    assert said(den(), enlarged(7)) == []
    assert said(den(diameter=None), enlarged(4)) == []


def test_a_register_far_larger_than_its_run_is_asked_about():
    """The sizes that a change makes are held against each other, those that were there are not."""
    giant = Change("x", "register", ("den",), {"width": fact(40, "in"), "height": fact(40, "in")})
    text = (
        "survey.supply.branches[0].duct.register: a register of 40 × 40 in on den, 6 in, came. "
        "A register is seldom less than half, or more than 8 times, its duct. Check both sizes, "
        "and keep them if they are so."
    )
    assert said(den(), giant) == [text]
    there = den(register=Grille(fact(40, "in"), fact(40, "in")))
    assert said(there, Change("y", "tighten-run", ("den",))) == []


def test_what_is_there_already_is_said_so():
    """A change that leaves everything as it was, however its sizes are given."""
    nothing = (
        "changes.x: {} came. What is asked for is there already, so this changes nothing. "
        "Choose something else, or leave it out."
    )
    assert said(den(slack="tight"), Change("x", "tighten-run", ("den",))) == [nothing.format("den")]
    assert said(house(), Change("x", "tap", (), {"tap": "2"})) == [
        "changes.x: tap 2 came. It is in use already, so this changes nothing. Choose another tap."
    ]
    size = {"width": fact(16, "in"), "height": fact(635, "mm")}
    assert said(house(), Change("x", "grille", ("g1",), {"width": fact(16, "in")})) == []
    (old,) = house().filters
    clean = replace(house(), filters=(replace(old, condition="clean", rated_drop=None),))
    same = Change("x", "filter", ("f1",), {"grade": old.grade, **size})
    bare = replace(clean, filters=(replace(clean.filters[0], rated_airflow=None),))
    assert said(bare, same) == [nothing.format("f1")]
    assert said(house(), same) == []


def test_a_change_is_held_against_those_before_it():
    """The same change twice is nothing new the second time."""
    assert said(
        den(), Change("a", "tighten-run", ("den",)), Change("b", "tighten-run", ("den",))
    ) == [
        "changes.b: den came. What is asked for is there already, so this changes nothing. "
        "Choose something else, or leave it out."
    ]
