"""Changes of returns, runs, plenum and unit: what each makes anew, and why it is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inchwater.errors import InchwaterError
from inchwater.survey import (
    Branch,
    Bypass,
    Change,
    Coil,
    Duct,
    Grille,
    Leakage,
    Return,
    Room,
    Supply,
    Survey,
    Transfer,
    apply,
)
from tests.survey.houses import fact, house, table

INCH, FEET = "in", "ft"


def made(kind: str, /, *targets: str, survey: Survey | None = None, **to: object) -> Survey:
    """The house after one change."""
    return apply(survey or full(), Change("x", kind, targets, to))


def full() -> Survey:
    """The house with a bypass, a room with a door and a described return duct."""
    survey = house()
    (back,) = survey.returns
    back = replace(back, duct=replace(back.duct, diameter=fact(14, INCH), length=fact(12, FEET)))
    return replace(
        survey,
        returns=(back, Return("g2", "panned", Grille(fact(24, INCH), fact(12, INCH)))),
        bypasses=(Bypass("b1", "damper"),),
        rooms=(Room("bed", "Bedroom"), Room("den", transfers=(Transfer("undercut"),))),
        unit=replace(survey.unit, wheel="caked"),
    )


def run(survey: Survey, id_: str) -> Branch:
    """The run of this id as the network sees it."""
    return {branch.id: branch for branch in survey.supply.runs}[id_]


def test_doing_nothing_changes_nothing():
    """It is the survey itself, and is done to no part."""
    assert made("nothing") == full()


def test_a_cabinet_takes_the_place_of_the_filters_that_are_named():
    """The grille stays without its filter, and the new one is clean and new."""
    size = {"width": fact(20, INCH), "height": fact(25, INCH)}
    after = made("cabinet", id="f9", grade="media-4in-merv11", **size)
    (new,) = after.filters
    assert (new.id, new.at, new.condition, new.renewed) == ("f9", "unit", "clean", {"filter": "x"})
    assert [back.filter for back in after.returns] == [None, None]
    assert new.before is None, "nothing stood at the unit when its table was made"


def test_an_enlarged_return_is_a_new_duct_behind_the_same_grille():
    """Friction and fittings are new; grille, filter and length stay."""
    after = made("enlarge-return", "g1", diameter=fact(18, INCH))
    back = after.returns[0]
    assert (back.duct.diameter, back.duct.length) == (fact(18, INCH), fact(12, FEET))
    assert back.renewed == {"friction": "x", "fittings": "x"}
    assert (back.grille, back.filter) == (full().returns[0].grille, "f1")


def test_a_cavity_becomes_a_duct():
    """A panned bay is replaced by what is put in its place, of any shape."""
    size = {"width": fact(14, INCH), "height": fact(8, INCH)}
    back = made("enlarge-return", "g2", material="metal", **size).returns[1]
    assert (back.kind, back.duct.material, back.duct.slack) == ("ducted", "metal", None)
    assert (back.duct.width, back.duct.height, back.duct.diameter) == (*size.values(), None)


def test_a_shortened_flex_run_hangs_tight_and_a_rigid_one_keeps_what_it_has():
    """Only what is hung again is new."""
    flex = run(made("shorten-run", "r3", length=fact(12, FEET)), "r3")
    assert (flex.duct.length, flex.duct.slack) == (fact(12, FEET), "tight")
    assert flex.renewed == {"friction": "x"}
    metal = made("enlarge-run", "r3", diameter=fact(8, INCH), material="metal")
    after = run(
        apply(
            metal,
            Change("y", "shorten-run", ("r3",), {"length": fact(9, FEET), "fittings": ("wye",)}),
        ),
        "r3",
    )
    assert after.renewed == {"friction": "x", "fittings": "x", "register": "x", "fitting:wye": "y"}


def test_a_moved_run_has_a_new_take_off_and_keeps_boot_and_register():
    """From its trunk to the plenum, and back to the trunk."""
    after = made("move-run", "r1", at="plenum", length=fact(15, FEET))
    assert [one.id for one in after.supply.branches] == ["t1", "r3", "r1"]
    assert [one.id for one in after.supply.branches[0].branches] == ["r2"]
    new = run(after, "r1")
    assert new.duct.fittings == ("take-off-straight", "flex-bend-90", "boot-angle")
    assert new.renewed == {"friction": "x", "fitting:take-off-straight": "x"}
    assert (new.room, new.duct.register) == ("den", run(full(), "r1").duct.register)
    back = apply(after, Change("y", "move-run", ("r1",), {"at": "t1", "length": fact(9, FEET)}))
    assert run(back, "r1").duct.fittings[0] == "trunk-take-off-90"
    assert [one.id for one in back.supply.branches[0].branches] == ["r2", "r1"]


def test_a_boot_is_made_for_the_register_that_is_there():
    """Where nobody has said which fittings a run has, the usual ones stay beside it."""
    new = run(made("boot", "r3", into="boot-straight"), "r3")
    assert new.duct.fittings == ("flex-bend-90", "boot-straight")
    assert new.renewed == {"fitting:boot-straight": "x"}
    survey = replace(house(), supply=Supply(branches=(Branch("r1"),)))
    usual = run(made("boot", "r1", into="boot-straight", survey=survey), "r1").duct.fittings
    assert usual == ("take-off-straight", "flex-bend-90", "flex-bend-90", "boot-straight")


def test_a_plenum_renews_the_take_offs_that_leave_it():
    """Those of trunks leave it too; what leaves a trunk is left alone."""
    size = {"width": fact(20, INCH), "height": fact(20, INCH)}
    after = made("plenum", into="take-off-tapered", **size)
    trunk, direct = after.supply.branches
    assert trunk.duct.fittings == ("take-off-tapered",)
    assert direct.duct.fittings == ("take-off-tapered", "flex-bend-90", "boot-angle")
    assert trunk.renewed == direct.renewed == {"fitting:take-off-tapered": "x"}
    assert run(after, "r1") == run(full(), "r1")
    assert (after.supply.section.width, after.supply.renewed) == (fact(20, INCH), {"plenum": "x"})


def test_a_damper_is_set_where_the_air_goes():
    """On a run, a trunk, a return or a bypass; an open blade stands at zero."""
    after = made("damper", "r3", "g1", "b1", angle=fact(0, "deg"))
    assert run(after, "r3").duct.damper == fact(0, "deg")
    assert after.returns[0].duct.damper == after.bypasses[0].duct.damper == fact(0, "deg")
    assert run(after, "r3").renewed == {}


def test_insulation_leaves_the_air_alone():
    """Nothing that resists is new."""
    after = made("insulate", "r3", "g1", insulation=fact(8, "rvalue"), jacket="foil")
    duct = run(after, "r3").duct
    assert (duct.insulation, duct.jacket) == (fact(8, "rvalue"), "foil")
    assert run(after, "r3").renewed == after.returns[0].renewed == {}


def test_sealing_keeps_what_was_known_of_the_leak():
    """A share of it is left; a test afterwards says what."""
    survey = replace(full(), leakage=(Leakage("return", sealing="taped"),))
    supply, back = made("seal", "return", "supply", survey=survey).leakage
    assert (supply.side, supply.sealing, supply.before) == ("supply", "sealed", Leakage("supply"))
    assert (back.before, back.renewed) == (survey.leakage[0], {"leak": "x"})
    tested = made("seal", "supply", airflow=fact(40, "cfm"), pressure=fact(25, "pa")).leakage[0]
    assert (tested.airflow, tested.pressure) == (fact(40, "cfm"), fact(25, "pa"))


def test_a_bypass_that_is_taken_out_is_known_to_be_none():
    """An empty list, and not an unknown one."""
    assert made("remove-bypass", "b1").bypasses == ()


def test_a_way_out_of_a_room_stands_beside_the_gap_below_its_door():
    """Where nobody has looked, a usual undercut is there; another undercut takes its place."""
    size = {"width": fact(12, INCH), "height": fact(6, INCH)}
    after = made("transfer", "bed", kind="grille", **size)
    assert [one.kind for one in after.rooms[0].transfers] == ["undercut", "grille"]
    cut = made("transfer", "den", kind="undercut", height=fact(1.5, INCH)).rooms[1].transfers
    assert [(one.kind, one.height, one.renewed) for one in cut] == [
        ("undercut", fact(1.5, INCH), {"way": "x"})
    ]


def test_cleaning_is_new_work_on_wheel_and_coil():
    """Their condition is theirs alone: taps, table and the coil's rating stay."""
    unit = made("clean-wheel").unit
    assert (unit.wheel, unit.renewed, unit.table) == ("clean", {"wheel": "x"}, full().unit.table)
    (coil,) = made("clean-coil", "c1").coils
    assert (coil.condition, coil.renewed) == ("clean", {"condition": "x"})


def test_a_coil_that_nobody_has_described_can_be_cleaned():
    """It stands there under the name that the network gives it."""
    bare = Survey(unit=house().unit)
    (coil,) = made("clean-coil", "coil", survey=bare).coils
    assert (coil.id, coil.condition) == ("coil", "clean")


def test_a_motor_brings_its_own_table_or_none():
    """Taps and calls of the old one are past."""
    unit = made("motor", motor="constant-torque").unit
    assert (unit.motor, unit.table, unit.tap, unit.calls) == ("constant-torque", None, None, {})
    unit = made("motor", motor="constant-torque", table=table(), tap="3").unit
    assert (unit.table, unit.tap, unit.renewed) == (table(), "3", {"motor": "x"})


@pytest.mark.parametrize(
    ("change", "text"),
    [
        (
            ("nothing", ("r1",), {}),
            "changes.x.targets: r1 came; doing nothing is done to no part. Leave the targets out.",
        ),
        (
            ("enlarge-return", ("g1",), {"width": fact(14, INCH)}),
            "changes.x.to.height: nothing came; enlarge-return needs diameter, or width and "
            "height.",
        ),
        (
            ("enlarge-run", ("r1",), {"diameter": fact(8, INCH), "width": fact(14, INCH)}),
            "changes.x.to.width: a diameter and a side came; a duct is round, or it has width and "
            "height. Leave one of them out.",
        ),
        (
            ("enlarge-run", ("r1",), {"width": fact(8, INCH), "height": fact(14, INCH)}),
            "changes.x.to.material: flex came; flex is round, and this duct has sides. Say what "
            "it is made of: metal, ductboard, lined or pvc.",
        ),
        (
            ("move-run", ("r3",), {"at": "plenum", "length": fact(9, FEET)}),
            "changes.x.to.at: 'plenum' came; r3 leaves from plenum, and can move to t1.",
        ),
        (
            ("move-run", ("r1", "r2"), {"at": "plenum", "length": fact(9, FEET)}),
            "changes.x.targets: r1, r2 came; each run has a length and a take-off of its own. "
            "Make one change for each run that moves.",
        ),
        (
            ("boot", ("r1",), {"into": "wye"}),
            "changes.x.to.into: 'wye' came; it is no boot. Choose one of the boots, or exchange a "
            "fitting.",
        ),
        (
            ("plenum", (), {"into": "boot-angle"}),
            "changes.x.to.into: 'boot-angle' came; it is no take-off. Choose one of the take-offs.",
        ),
        (
            ("damper", ("g2",), {"angle": fact(30, "deg")}),
            "changes.x.targets: g2, whose duct has no size yet, came; what a damper takes goes by "
            "the duct that it stands in. Add the size of the duct of g2 first.",
        ),
        (
            ("damper", ("r1",), {"angle": fact(95, "deg")}),
            "changes.x.to.angle: 95 ° came; damper blades run from 0 to 90 °.",
        ),
        (
            ("seal", ("attic",), {}),
            "changes.x.targets: 'attic' came; seal can be done to supply, return.",
        ),
        (
            ("seal", ("supply",), {"airflow": fact(40, "cfm")}),
            "changes.x.to.pressure: nothing came; a leakage test is a flow at a pressure, usually "
            "25 Pa. Add the other number of the test, or leave both out.",
        ),
        (
            ("transfer", ("bed",), {"kind": "hole"}),
            "changes.x.to.kind: 'hole' came; kind is one of undercut, grille, jumper.",
        ),
        (
            ("transfer", ("bed",), {"kind": "grille", "diameter": fact(8, INCH)}),
            "changes.x.to.diameter: a duct in a grille came; of the ways out of a room only a "
            "jumper has a duct. Say that it is a jumper, or leave the duct out.",
        ),
        (
            ("motor", (), {"motor": "psc", "tap": "3"}),
            "changes.x.to.tap: '3' came; the taps of the new motor are those of its own table. "
            "Add its table, or leave the tap out.",
        ),
        (
            ("motor", (), {"motor": "psc", "table": table()}),
            "changes.x.to.tap: nothing came; its table has the taps 2, 3. Say which of them it "
            "will run on.",
        ),
        (
            ("motor", (), {"motor": "steam"}),
            "changes.x.to.motor: 'steam' came; motor is one of psc, constant-torque, "
            "constant-airflow.",
        ),
    ],
)
def test_a_change_that_is_not_possible_says_why(change, text):
    """The whole sentence: where, what came, what would be right, what to do."""
    kind, targets, to = change
    with pytest.raises(InchwaterError) as caught:
        apply(full(), Change("x", kind, targets, to))
    assert str(caught.value) == text


@pytest.mark.parametrize(
    ("survey", "change", "text"),
    [
        (
            replace(house(), coils=(Coil("c1", True, "iced"),)),
            ("clean-coil", ("c1",), {}),
            "changes.x.targets: c1, which is iced, came; ice has to thaw before anybody can tell "
            "whether the coil is dirty. Let it thaw with cooling off and the fan on, find out why "
            "it froze, then look.",
        ),
        (
            replace(house(), returns=(Return("g1", "open"),), filters=()),
            ("enlarge-return", ("g1",), {"diameter": fact(16, INCH)}),
            "changes.x.targets: g1, an open return, came; an open return has no duct that could "
            "be larger. Choose a larger grille for it, or add a return.",
        ),
        (
            replace(house(), returns=(Return("g1", "ducted"),), filters=()),
            ("enlarge-return", ("g1",), {"diameter": fact(16, INCH)}),
            "changes.x.targets: g1, whose grille has no size yet, came; what its duct takes can be "
            "told apart from its grille only by that size. Add the size of the grille of g1 first.",
        ),
        (
            house(),
            ("remove-bypass", ("b1",), {}),
            "survey.bypasses: a survey without bypasses came; a change of kind remove-bypass needs "
            "to know them. Add the bypasses first, one line each.",
        ),
        (
            house(),
            ("transfer", ("bed",), {"kind": "undercut"}),
            "survey.rooms: a survey without rooms came; a change of kind transfer needs to know "
            "them. Add the rooms first, one line each.",
        ),
        (
            replace(
                house(),
                supply=Supply(branches=(Branch("t1", branches=(Branch("r1"),)), Branch("r2"))),
            ),
            ("move-run", ("r1",), {"at": "plenum", "length": fact(9, FEET)}),
            "changes.x.targets: r1, the only run of t1, came; a trunk without runs carries no air. "
            "Enlarge t1 instead, or enlarge the run.",
        ),
    ],
)
def test_what_this_house_has_not_cannot_be_changed(survey, change, text):
    """Not possible here, with the reason and what to do instead."""
    kind, targets, to = change
    with pytest.raises(InchwaterError) as caught:
        apply(survey, Change("x", kind, targets, to))
    assert str(caught.value) == text


def test_an_enlarged_trunk_may_have_sides():
    """Most trunks of sheet metal are rectangular."""
    trunk = made("enlarge-run", "t1", width=fact(20, INCH), height=fact(8, INCH))
    duct = trunk.supply.branches[0].duct
    assert duct == Duct("metal", length=fact(10, FEET), width=fact(20, INCH), height=fact(8, INCH))
