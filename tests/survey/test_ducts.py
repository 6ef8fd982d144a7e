"""The supply tree: what ``run_like`` fills in, and where each branch stands."""

from __future__ import annotations

from dataclasses import replace

from inchwater.survey import Branch, Duct, Supply, filled
from inchwater.survey.ducts import walked
from tests.survey.houses import fact, house


def test_what_a_run_says_goes_before_run_like():
    """Only what a run leaves out is taken from the common description."""
    like = Duct("flex", fact(6, "in"), fact(25, "ft"), "slack", ("elbow-90",))
    run = Duct(diameter=fact(8, "in"), fittings=())
    assert filled(run, like) == Duct("flex", fact(8, "in"), fact(25, "ft"), "slack", ())


def test_a_metal_run_among_flex_runs_hangs_in_no_way():
    """How the flex runs hang says nothing of one of metal."""
    like = Duct("flex", slack="draped")
    assert filled(Duct("metal"), like).slack is None
    assert filled(Duct("flex"), like).slack == "draped"
    assert filled(Duct(), like).slack == "draped"


def test_a_run_of_another_shape_takes_no_size_of_the_others():
    """A 10 × 4 stack among round runs has no diameter, whether its shape is said or its sizes."""
    like = Duct("metal", fact(6, "in"), fact(25, "ft"))
    stack = filled(Duct(width=fact(10, "in"), height=fact(4, "in")), like)
    assert (stack.diameter, stack.width, stack.length) == (None, fact(10, "in"), fact(25, "ft"))
    assert filled(Duct(shape="oval"), like).diameter is None
    # Flex has none of the sides of the others, and whether or not a size is known.
    assert filled(Duct("flex"), Duct(shape="rectangular")) == Duct("flex")
    assert filled(Duct(shape="rectangular"), Duct("flex", slack="draped")) == (
        Duct(shape="rectangular")
    )
    assert filled(Duct(shape="round"), like).diameter == fact(6, "in")


def test_a_run_with_sides_is_not_of_the_flex_of_the_others():
    """A stack among flex runs is of a material that nobody said."""
    like = Duct("flex", fact(6, "in"), slack="slack")
    stack = filled(Duct(width=fact(10, "in"), height=fact(4, "in")), like)
    assert (stack.material, stack.diameter, stack.slack) == (None, None, None)
    assert filled(Duct(diameter=fact(8, "in")), like).material == "flex"
    assert filled(Duct(shape="oval"), replace(like, material="metal")).material == "metal"


def test_a_run_of_the_same_shape_takes_the_size_that_it_leaves_out():
    """One height for all flat oval runs, each with its own width."""
    like = Duct("metal", shape="oval", width=fact(8, "in"), height=fact(5, "in"))
    run = filled(Duct(width=fact(12, "in")), like)
    assert (run.shape, run.width, run.height) == ("oval", fact(12, "in"), fact(5, "in"))


def test_a_run_of_which_somebody_said_how_it_hangs_keeps_to_that():
    """A measured sag goes before the word for all runs, and the other way round."""
    like = Duct("flex", slack="draped", spacing=fact(5, "ft"))
    run = filled(Duct(sag=fact(2, "in")), like)
    assert (run.slack, run.sag, run.spacing) == (None, fact(2, "in"), fact(5, "ft"))
    sagging = Duct("flex", sag=fact(6, "in"), spacing=fact(5, "ft"))
    assert filled(Duct(slack="tight"), sagging).sag is None
    for material in ("metal", "pvc", "ductboard", "lined"):
        run = filled(Duct(material), sagging)
        assert (run.sag, run.spacing, run.slack) == (None, None, None)
    assert filled(Duct(slack="slack"), Duct("metal", length=fact(9, "ft"))) == Duct(
        slack="slack", length=fact(9, "ft")
    )


def test_trunks_are_walked_in_the_order_of_the_air():
    """Every branch comes with the trunks above it; a trunk is no run."""
    supply = house().supply
    assert [(b.id, above) for b, above in supply.walk()] == [
        ("t1", ()),
        ("r1", ("t1",)),
        ("r2", ("t1",)),
        ("r3", ()),
    ]
    assert [run.id for run in supply.runs] == ["r1", "r2", "r3"]
    assert [(where, b.id) for where, b in supply.walk_paths()] == [
        ("branches[0]", "t1"),
        ("branches[0].branches[0]", "r1"),
        ("branches[0].branches[1]", "r2"),
        ("branches[1]", "r3"),
    ]


def test_the_order_of_runs_does_not_matter_to_what_they_are():
    """Two orders of the same runs are the same runs."""
    branches = (Branch("a"), Branch("b", Duct(diameter=fact(8, "in"))))
    like = Duct("flex", fact(6, "in"))
    one = {run.id: run for run in Supply(run_like=like, branches=branches).runs}
    other = {run.id: run for run in Supply(run_like=like, branches=branches[::-1]).runs}
    assert one == other


def test_all_ids_of_a_survey_are_listed_in_the_order_of_the_air():
    """Returns, filters, coils, plenum, branches."""
    assert house().part_ids == ("g1", "f1", "c1", "plenum", "t1", "r1", "r2", "r3")


def test_a_branch_of_which_nothing_changes_stays_the_same_object():
    """Of a trunk with two runs one is changed: the other, and what is beside the trunk, stay."""
    one, two, far = Branch("r1"), Branch("r2"), Branch("r3")
    other = Branch("t2", branches=(far,))
    before = (Branch("t1", branches=(one, two)), other)
    after = walked(before, lambda b: replace(b, room="Den") if b.id == "r2" else b)
    assert after[0].branches[0] is one
    assert after[0].branches[1] == replace(two, room="Den")
    assert after[0] == replace(before[0], branches=after[0].branches)
    assert after[1] is other
