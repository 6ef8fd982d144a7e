"""What each kind of change makes of a survey, and what it is refused for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inchwater.errors import InputError, UnknownNameError
from inchwater.survey import Branch, Change, Duct, Grille, Return, Supply, Survey, apply, targets_of
from inchwater.survey.change_keys import KEYS
from tests.survey.houses import fact, house, job


def run(survey: Survey, id_: str):
    """The branch of this id as the network sees it, ``run_like`` filled in."""
    assert survey.supply is not None
    return {branch.id: branch for branch in survey.supply.runs}[id_]


def test_a_new_filter_is_clean_and_drops_the_old_rating():
    """Another class of filter is new and clean; what was printed on the old one is gone."""
    after = apply(house(), Change("x", "filter", ("f1",), {"grade": "media-4in-merv11"}))
    (new,) = after.filters
    assert (new.grade, new.condition, new.rated_drop) == ("media-4in-merv11", "clean", None)
    assert new.width == fact(16, "in")
    assert new.renewed == {"filter": "x"}
    assert after.returns == house().returns


def test_the_same_filter_renewed_keeps_its_rating():
    """A filter exchanged for its like keeps class, size and printed drop."""
    (new,) = apply(house(), Change("x", "filter", ("f1",))).filters
    assert (new.grade, new.condition) == ("pleat-1in-merv8", "clean")
    assert new.rated_drop == fact(0.2, "inwc")


def test_a_larger_filter_in_a_grille_is_a_larger_grille():
    """A filter fills its grille, so both become larger and both are new."""
    after = apply(house(), Change("x", "filter", ("f1",), {"width": fact(20, "in")}))
    (back,) = after.returns
    assert back.grille == Grille(fact(20, "in"), fact(25, "in"), "grille-bar")
    assert back.renewed == {"grille": "x"}


def test_a_larger_grille_takes_a_larger_filter():
    """The filter of a filter grille follows the grille's size and is new."""
    change = Change("x", "grille", ("g1",), {"width": fact(20, "in"), "kind": "grille-mesh"})
    after = apply(house(), change)
    (back,), (filter_,) = after.returns, after.filters
    assert back.grille == Grille(fact(20, "in"), fact(25, "in"), "grille-mesh")
    assert back.renewed == {"grille": "x"}
    assert (filter_.width, filter_.height) == (fact(20, "in"), fact(25, "in"))
    assert (filter_.condition, filter_.renewed) == ("clean", {"filter": "x"})


def test_another_face_on_the_same_opening_leaves_the_filter():
    """A grille of the same size and another kind leaves the filter behind it alone."""
    after = apply(house(), Change("x", "grille", ("g1",), {"kind": "grille-mesh"}))
    assert after.filters == house().filters


def test_an_added_return_is_new_all_over():
    """Grille, duct and fittings of an added return have multipliers of their own."""
    to = {"id": "g2", "width": fact(20, "in"), "height": fact(20, "in"), "material": "flex"}
    after = apply(house(), Change("x", "add-return", (), to))
    old, new = after.returns
    assert old == house().returns[0]
    assert new.renewed == {"grille": "x", "duct": "x", "fittings": "x"}
    assert (new.kind, new.filter, new.duct.slack) == ("ducted", None, "tight")


def test_an_added_return_can_be_a_filter_grille():
    """With a class of filter the added return holds a filter of its size."""
    to = {"id": "g2", "width": fact(20, "in"), "height": fact(20, "in"), "grade": "pleat-1in-merv8"}
    after = apply(house(), Change("x", "add-return", (), to))
    assert after.returns[1].filter == "g2-filter"
    assert after.filters[1].id == "g2-filter"
    assert after.filters[1].at == "grille"
    assert after.filters[1].renewed == {"filter": "x"}


def test_a_run_that_only_run_like_describes_gets_a_duct_of_its_own():
    """An enlarged run keeps length and fittings of ``run_like``; its neighbours are left alone."""
    before = house()
    after = apply(before, Change("x", "enlarge-run", ("r1",), {"diameter": fact(8, "in")}))
    new = run(after, "r1")
    assert new.duct == replace(before.supply.run_like, diameter=fact(8, "in"), slack="tight")
    assert new.renewed == {"friction": "x", "fittings": "x", "register": "x"}
    (trunk, _) = after.supply.branches
    assert trunk.branches[0].duct.length == fact(25, "ft"), "written down, not looked up"
    assert run(after, "r2") == run(before, "r2")
    assert after.supply.run_like == before.supply.run_like


def test_an_enlarged_run_can_become_metal():
    """A run rebuilt in metal hangs in no way."""
    to = {"diameter": fact(8, "in"), "material": "metal"}
    assert run(apply(house(), Change("x", "enlarge-run", ("r1",), to)), "r1").duct.slack is None


def test_an_enlarged_trunk_keeps_its_runs_and_takes_nothing_from_run_like():
    """``run_like`` describes runs, not trunks."""
    after = apply(house(), Change("x", "enlarge-run", ("t1",), {"diameter": fact(14, "in")}))
    trunk = after.supply.branches[0]
    assert trunk.duct == Duct("metal", fact(14, "in"), fact(10, "ft"))
    assert trunk.renewed == {"friction": "x", "fittings": "x"}
    assert [branch.id for branch in trunk.branches] == ["r1", "r2"]


def test_a_tightened_run_keeps_its_fittings():
    """Pulling a run tight renews its friction and nothing else."""
    after = apply(house(), Change("x", "tighten-run", ("r1", "r3")))
    for id_ in ("r1", "r3"):
        assert run(after, id_).duct.slack == "tight"
        assert run(after, id_).renewed == {"friction": "x"}
    assert run(after, "r3").duct.diameter == fact(8, "in")


def supply_like(**like: object) -> Survey:
    """The house with another description of all its runs, which have none of their own."""
    runs = (Branch("r1"), Branch("r2", zone="up"))
    return replace(house(), supply=Supply(run_like=Duct(**like), branches=runs))


def test_a_tightened_run_hangs_through_no_more():
    """What was measured of its sag is past; the hangers stay where they are."""
    survey = supply_like(material="flex", sag=fact(6, "in"), spacing=fact(5, "ft"))
    new = run(apply(survey, Change("x", "tighten-run", ("r2",))), "r2")
    assert (new.duct.slack, new.duct.sag, new.duct.spacing) == ("tight", None, fact(5, "ft"))
    assert new.zone == "up"


def test_an_enlarged_stack_is_a_round_duct():
    """A diameter in place of two sides; a run made of another material hangs no more."""
    stacks = supply_like(shape="oval", width=fact(10, "in"), height=fact(4, "in"))
    change = Change("x", "enlarge-run", ("r1",), {"diameter": fact(8, "in"), "material": "lined"})
    new = run(apply(stacks, change), "r1").duct
    assert (new.shape, new.diameter, new.width, new.height) == ("round", fact(8, "in"), None, None)
    assert (new.material, new.slack) == ("lined", None)
    hung = supply_like(material="flex", slack="draped", spacing=fact(5, "ft"))
    new = run(apply(hung, change), "r1").duct
    assert (new.material, new.slack, new.spacing) == ("lined", None, None)


@pytest.mark.parametrize("material", ["metal", "pvc", "ductboard", "lined"])
def test_only_flex_can_be_tightened(material):
    """Whatever else it is made of, the text names the run and the material."""
    with pytest.raises(InputError) as caught:
        apply(supply_like(material=material), Change("x", "tighten-run", ("r1",)))
    assert str(caught.value) == (
        f"changes.x.targets: r1, a run of {material}, came; only flex can be pulled tight. "
        "Leave this run out, or correct its material in the survey."
    )


def test_a_common_return_has_no_grille_to_change():
    """It has fittings, and the grilles are those of the returns that lead into it."""
    returns = (Return("g1", into="drop"), Return("drop", "common"))
    survey = replace(house(), filters=(), returns=returns)
    assert targets_of(survey, "grille") == ("g1",)
    assert targets_of(survey, "fitting")[-2:] == ("g1", "drop")


def test_metal_cannot_be_tightened():
    """Only flex can be pulled tight."""
    survey = apply(
        house(),
        Change("m", "enlarge-run", ("r1",), {"diameter": fact(8, "in"), "material": "metal"}),
    )
    with pytest.raises(InputError) as caught:
        apply(survey, Change("x", "tighten-run", ("r1",)))
    assert str(caught.value) == (
        "changes.x.targets: r1, a run of metal, came; only flex can be pulled tight. "
        "Leave this run out, or correct its material in the survey."
    )


def test_an_added_run_leaves_from_the_plenum_or_a_trunk():
    """Without a target it leaves from the plenum; what was not said comes from ``run_like``."""
    to = {"id": "r9", "room": "loft", "diameter": fact(7, "in")}
    for targets, ids in (((), ["t1", "r3", "r9"]), (("t1",), ["t1", "r3"])):
        after = apply(house(), Change("x", "add-run", targets, to))
        assert [branch.id for branch in after.supply.branches] == ids
        new = run(after, "r9")
        assert (new.room, new.duct.diameter, new.duct.length) == (
            "loft",
            fact(7, "in"),
            fact(25, "ft"),
        )
        assert new.duct.slack == "tight"
        assert new.renewed == {"friction": "x", "fittings": "x", "register": "x"}


def test_an_added_run_can_have_its_register():
    """Size and kind of the register are those that were said."""
    to = {"id": "r9", "width": fact(12, "in"), "height": fact(6, "in")}
    after = apply(house(), Change("x", "add-run", ("plenum",), to))
    assert run(after, "r9").duct.register == Grille(fact(12, "in"), fact(6, "in"), None)


def test_a_run_does_not_leave_from_a_run():
    """A run that ends in a room is no trunk."""
    with pytest.raises(UnknownNameError) as caught:
        apply(house(), Change("x", "add-run", ("r3",), {"id": "r9"}))
    assert str(caught.value) == ("changes.x.targets: 'r3' came; add-run can be done to plenum, t1.")


def test_a_run_leaves_from_one_place():
    """Two targets are two added runs."""
    with pytest.raises(InputError) as caught:
        apply(house(), Change("x", "add-run", ("plenum", "t1"), {"id": "r9"}))
    assert str(caught.value) == (
        "changes.x.targets: plenum, t1 came; a run leaves from one place. "
        "Make one change for each added run."
    )


def test_one_fitting_is_exchanged_on_a_run_and_on_a_return():
    """The first fitting of that kind is exchanged; the others stay where they are."""
    on_run = Change("x", "fitting", ("r1",), {"from": "boot-angle", "into": "boot-straight"})
    new = run(apply(house(), on_run), "r1")
    assert new.duct.fittings == ("flex-bend-90", "boot-straight")
    assert new.renewed == {"fitting:boot-straight": "x"}
    on_return = Change(
        "x", "fitting", ("g1",), {"from": "elbow-90-gored", "into": "elbow-90-vaned"}
    )
    (back,) = apply(house(), on_return).returns
    assert back.duct.fittings == ("elbow-90-vaned", "elbow-90-gored")
    assert back.renewed == {"fitting:elbow-90-vaned": "x"}


def test_a_fitting_is_added_or_taken_out():
    """Without ``from`` one is added, without ``into`` one is taken out."""
    added = apply(house(), Change("x", "fitting", ("r1",), {"into": "damper-open"}))
    assert run(added, "r1").duct.fittings == ("flex-bend-90", "boot-angle", "damper-open")
    gone = apply(house(), Change("x", "fitting", ("r1",), {"from": "boot-angle"}))
    assert run(gone, "r1").duct.fittings == ("flex-bend-90",)


def test_a_fitting_that_is_not_there_cannot_be_exchanged():
    """The text lists the fittings of that run."""
    with pytest.raises(UnknownNameError) as caught:
        apply(house(), Change("x", "fitting", ("r1",), {"from": "wye", "into": "boot-angle"}))
    assert str(caught.value) == ("changes.x.to.from: 'wye' came; r1 has flex-bend-90, boot-angle.")


def test_fittings_have_to_be_known_before_one_is_exchanged():
    """The text says which fact to add first."""
    survey = house()
    survey = replace(survey, supply=replace(survey.supply, run_like=Duct()))
    with pytest.raises(InputError) as caught:
        apply(survey, Change("x", "fitting", ("r1",), {"from": "wye"}))
    assert str(caught.value) == (
        "changes.x.targets: r1, whose fittings are not known, came; a fitting can be exchanged "
        "where the fittings are known. Add the fittings of r1 first."
    )


def test_a_register_keeps_what_was_not_said():
    """Another kind of register on the same boot has the old size."""
    after = apply(house(), Change("x", "register", ("r1",), {"kind": "register-curved"}))
    new = run(after, "r1")
    old = run(house(), "r1").duct.register
    assert new.duct.register == Grille(fact(10, "in"), fact(4, "in"), "register-curved", old)
    assert new.renewed == {"register": "x"}


def test_a_boot_belongs_to_the_register_found_until_the_run_is_new():
    """Two registers after one another sit on the first one's boot; a new run has its own."""
    wider = Change("x", "register", ("r1",), {"width": fact(12, "in")})
    taller = Change("y", "register", ("r1",), {"height": fact(8, "in")})
    after = apply(apply(house(), wider), taller)
    assert run(after, "r1").duct.register.before == run(house(), "r1").duct.register
    new = apply(after, Change("z", "enlarge-run", ("r1",), {"diameter": fact(8, "in")}))
    assert run(new, "r1").duct.register.before is None


def test_a_tap_is_that_of_cooling_unless_a_call_is_named():
    """The unit's tap is the cooling call's; another call keeps its own."""
    after = apply(house(), Change("x", "tap", (), {"tap": "3"}))
    assert (after.unit.tap, dict(after.unit.calls)) == ("3", {"cooling": "3", "heating": "3"})
    after = apply(house(), Change("x", "tap", ("heating",), {"tap": "2"}))
    assert (after.unit.tap, dict(after.unit.calls)) == ("2", {"cooling": "2", "heating": "2"})


def test_a_tap_has_to_be_in_the_table():
    """The text lists the taps of the table."""
    with pytest.raises(UnknownNameError) as caught:
        apply(house(), Change("x", "tap", (), {"tap": "9"}))
    assert str(caught.value) == "changes.x.to.tap: '9' came; the table has taps 2, 3."


def test_a_tap_needs_a_table():
    """Without a table a tap's name means nothing, and the text says what to add."""
    survey = house()
    survey = replace(survey, unit=replace(survey.unit, table=None, tap=None))
    with pytest.raises(InputError) as caught:
        apply(survey, Change("x", "tap", (), {"tap": "3"}))
    assert str(caught.value) == (
        "changes.x.to.tap: '3' came; without a blower table the taps of this unit are not known. "
        "Add two cells of the table for this tap first, around the reading."
    )


@pytest.mark.parametrize(
    ("change", "text"),
    [
        (
            Change("x", "grille", ("g1",), {"width": fact(20, "in")}),
            "survey.returns: a survey without returns came; a change of kind grille needs to "
            "know them. Add the returns first, one line each.",
        ),
        (
            Change("x", "tighten-run", ("r1",)),
            "survey.supply: a survey without runs came; a change of kind tighten-run needs the "
            "runs that exist. Add the runs first; one line such as 'seven 6-inch, about 25 ft' is "
            "enough.",
        ),
    ],
)
def test_what_is_unknown_cannot_be_changed(change, text):
    """A change to an unknown part says which fact to add first."""
    with pytest.raises(InputError) as caught:
        apply(Survey(unit=house().unit), change)
    assert str(caught.value) == text


def test_a_filter_nobody_has_described_can_be_exchanged():
    """Three numbers are enough to ask about another filter."""
    bare = Survey(unit=house().unit)
    size = {"width": fact(20, "in"), "height": fact(25, "in")}
    (new,) = apply(bare, Change("x", "filter", ("filter",), size)).filters
    assert (new.id, new.width, new.condition) == ("filter", fact(20, "in"), "clean")
    assert new.renewed == {"filter": "x"}


def test_a_return_is_added_to_those_that_nobody_has_described():
    """What stands there stays, under the name that the network gives it."""
    bare = Survey(unit=house().unit)
    to = {"id": "g2", "width": fact(20, "in"), "height": fact(20, "in"), "grade": "pleat-1in-merv8"}
    after = apply(bare, Change("x", "add-return", (), to))
    assert [one.id for one in after.returns] == ["return", "g2"]
    assert [one.id for one in after.filters] == ["filter", "g2-filter"]


def test_a_plenum_without_runs_is_as_good_as_unknown():
    """A run cannot be added to a supply whose other runs nobody has entered."""
    survey = replace(house(), supply=Supply())
    with pytest.raises(InputError) as caught:
        apply(survey, Change("x", "add-run", (), {"id": "r9"}))
    assert str(caught.value) == (
        "survey.supply.branches: a survey without runs came; a change of kind add-run needs the "
        "runs that exist. "
        "Add the runs first; one line such as 'seven 6-inch, about 25 ft' is enough."
    )


@pytest.mark.parametrize(
    ("change", "text"),
    [
        (
            Change("x", "sealing"),
            f"changes.x.kind: 'sealing' came; kinds of change are {', '.join(KEYS)}.",
        ),
        (
            Change("x", "tighten-run", ("t1",)),
            "changes.x.targets: 't1' came; tighten-run can be done to r1, r2, r3.",
        ),
        (
            Change("x", "filter", ("g1",)),
            "changes.x.targets: 'g1' came; filter can be done to f1.",
        ),
        (
            Change("x", "filter"),
            "changes.x.targets: no part came; filter can be done to f1.",
        ),
        (
            Change("x", "enlarge-run", ("r1",)),
            "changes.x.to.diameter: nothing came; enlarge-run needs diameter, or width and height.",
        ),
        (
            Change("x", "register", ("r1",)),
            "changes.x.to: nothing came; register needs at least one of width, height, kind.",
        ),
        (
            Change("x", "tighten-run", ("r1",), {"slack": "tight"}),
            "changes.x.to: 'slack' came; tighten-run takes nothing.",
        ),
        (
            Change("x", "enlarge-run", ("r1",), {"diameter": 8}),
            "changes.x.to.diameter: 8 came; a fact with value, unit and how is wanted.",
        ),
        (
            Change("x", "enlarge-run", ("r1",), {"diameter": fact(0, "in")}),
            "changes.x.to.diameter: 0 in came; it is above zero.",
        ),
        (
            Change("x", "enlarge-run", ("r1",), {"diameter": fact(8, "in"), "slack": "loose"}),
            "changes.x.to.slack: 'loose' came; slack is one of tight, slack, draped, kinked.",
        ),
        (
            Change("x", "filter", ("f1",), {"count": 0}),
            "changes.x.to.count: 0 came; a count is 1 or more.",
        ),
        (
            Change("x", "add-run", (), {"id": "r1"}),
            "changes.x.to.id: 'r1' came; a new part needs an id that no other part has.",
        ),
        (
            Change("x", "tap", (), {"tap": ""}),
            "changes.x.to.tap: '' came; a word is wanted.",
        ),
        (
            Change("x", "add-run", (), {"id": "r9", "fittings": "boot-angle"}),
            "changes.x.to.fittings: 'boot-angle' came; a list of fittings is wanted.",
        ),
    ],
)
def test_a_change_that_cannot_be_made_says_what_would_be_right(change, text):
    """Unknown kinds, targets, keys, words and values are each named with the choices."""
    with pytest.raises((InputError, UnknownNameError)) as caught:
        apply(house(), change)
    assert str(caught.value) == text


def test_the_survey_that_was_given_stays_as_it_was():
    """A change makes a new survey; nothing is changed in place."""
    before = house()
    apply(before, Change("x", "grille", ("g1",), {"width": fact(20, "in")}))
    apply(before, Change("x", "tap", (), {"tap": "3"}))
    assert before == house()


def test_changes_in_force_are_made_in_their_order():
    """A later change stands on an earlier one, and each feature knows the last that renewed it."""
    added = Change("a", "add-run", (), {"id": "r9", "diameter": fact(6, "in")})
    larger = Change("b", "enlarge-run", ("r9",), {"diameter": fact(8, "in")})
    one = job(changes=(added, larger))
    after = one.survey_after(("a", "b"))
    assert run(after, "r9").duct.diameter == fact(8, "in")
    assert run(after, "r9").renewed == {"friction": "b", "fittings": "b", "register": "b"}
    assert one.survey_after(()) == house()


def test_a_change_that_the_job_does_not_have_is_named():
    """The text lists the changes of the job."""
    with pytest.raises(UnknownNameError) as caught:
        job().survey_after(("z",))
    assert str(caught.value) == "after: 'z' came; no change is made yet."


def test_targets_are_listed_for_every_kind():
    """Page and prompt can offer what each kind can be done to."""
    targets = {kind: targets_of(house(), kind) for kind in KEYS}
    assert targets == {
        "filter": ("f1",),
        "grille": ("g1",),
        "add-return": (),
        "enlarge-run": ("t1", "r1", "r2", "r3"),
        "tighten-run": ("r1", "r2", "r3"),
        "add-run": ("plenum", "t1"),
        "fitting": ("t1", "r1", "r2", "r3", "g1"),
        "register": ("r1", "r2", "r3"),
        "tap": ("unit", "cooling", "cooling-low", "heating", "heating-low", "fan"),
        "cabinet": ("f1",),
        "enlarge-return": ("g1",),
        "shorten-run": ("r1", "r2", "r3"),
        "move-run": ("r1", "r2", "r3"),
        "boot": ("r1", "r2", "r3"),
        "plenum": ("plenum",),
        "damper": ("t1", "r1", "r2", "r3", "g1"),
        "insulate": ("t1", "r1", "r2", "r3", "g1"),
        "seal": ("supply", "return"),
        "remove-bypass": (),
        "transfer": (),
        "clean-wheel": ("unit",),
        "clean-coil": ("c1",),
        "motor": ("unit",),
        "nothing": (),
    }
    unknown = Survey(unit=house().unit)
    assert targets_of(unknown, "filter") == targets_of(unknown, "cabinet") == ("filter",)
    assert targets_of(unknown, "clean-coil") == ("coil",)
    at_unit = {"tap", "filter", "cabinet", "seal", "clean-wheel", "clean-coil", "motor"}
    assert {targets_of(unknown, kind) for kind in KEYS if kind not in at_unit} == {()}


# --- what the box of a new filter says ------------------------------------------------------------

BOX = {"rated_drop": fact(0.12, "inwc"), "rated_airflow": fact(800, "cfm")}


def test_the_box_of_a_new_filter_goes_with_its_grille():
    """A wider filter grille or an added one may name the drop that is printed on its filter."""
    wider = Change("x", "grille", ("g1",), {"width": fact(20, "in"), **BOX})
    added = Change(
        "x",
        "add-return",
        (),
        {"id": "g2", "width": fact(20, "in"), "height": fact(20, "in"), "grade": "pleat-1in-merv8"}
        | BOX,
    )
    for change in (wider, added):
        new = apply(house(), change).filters[-1]
        assert {"rated_drop": new.rated_drop, "rated_airflow": new.rated_airflow} == BOX


@pytest.mark.parametrize(
    ("kind", "targets", "to"),
    [
        ("filter", ("f1",), {"grade": "pleat-1in-merv11"}),
        ("grille", ("g1",), {"width": fact(20, "in")}),
    ],
)
def test_half_of_a_rating_is_refused(kind, targets, to):
    """A drop says nothing without the airflow it was measured at."""
    with pytest.raises(InputError) as caught:
        apply(house(), Change("x", kind, targets, {**to, "rated_drop": BOX["rated_drop"]}))
    assert str(caught.value) == (
        "changes.x.to.rated_airflow: nothing came; a rating is a drop at an airflow, both printed "
        "together. Add the other number of the rating, or leave both out."
    )


def test_a_rating_needs_a_filter():
    """An added return without one, or another face on the same opening, has nothing to rate."""
    bare = {"id": "g2", "width": fact(20, "in"), "height": fact(20, "in")}
    for change in (
        Change("x", "add-return", (), bare | BOX),
        Change("x", "grille", ("g1",), {"kind": "grille-mesh"} | BOX),
    ):
        with pytest.raises(InputError) as caught:
            apply(house(), change)
        assert str(caught.value) == (
            "changes.x.to.rated_drop: a rating without a filter came; a printed drop is a "
            "filter's, and this change brings none. Say which class of filter it holds, or leave "
            "the rating out."
        )
