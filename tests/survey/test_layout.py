"""How parts hang together, what sits on them and whether their sizes fit: every answer in full."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inchwater.parts.fittings import FITTINGS
from inchwater.parts.sections import section_of
from inchwater.parts.tees import tee
from inchwater.survey import (
    Branch,
    Bypass,
    Change,
    Duct,
    Fact,
    Filter,
    Grille,
    HeatKit,
    How,
    Leakage,
    Return,
    Room,
    Supply,
    Survey,
    Transfer,
    Trial,
    doubts,
    problems,
)
from inchwater.survey.check_areas import duct_area
from inchwater.survey.check_fittings import where_fittings_sit
from tests.survey.houses import fact, house, job


def texts(survey: Survey, **more: object) -> list[str]:
    """The problems of a job with this survey as texts."""
    return [str(problem) for problem in problems(job(survey, **more))]


def asked(survey: Survey) -> list[str]:
    """The doubts of a job with this survey as texts."""
    return [str(doubt) for doubt in doubts(job(survey))]


def supply(*branches: Branch, **like: object) -> Survey:
    """The house with another supply."""
    return replace(house(), supply=Supply(run_like=Duct(**like), branches=branches))


def returns(*parts: Return) -> Survey:
    """The house with other returns, and no filter in their grilles."""
    return replace(house(), filters=(), returns=parts)


def sized(width: float, height: float, **more: object) -> Duct:
    """A duct with sides in inches."""
    return Duct("metal", width=fact(width, "in"), height=fact(height, "in"), **more)


# --- returns -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("survey", "text"),
    [
        (
            returns(Return("g1", into="drop")),
            "survey.returns[0].into: 'drop' came; no common return is known yet. "
            "Add the common return, or leave this key out.",
        ),
        (
            returns(Return("g1", into="g2"), Return("g2", "panned")),
            "survey.returns[0].into: g2, a panned return, came; returns lead into a common one; "
            "these are none. Say that g2 is common, and give its grille to a return of its own.",
        ),
        (
            returns(Return("g1", into="g2"), Return("g2")),
            "survey.returns[0].into: g2, of unknown kind, came; returns lead into a common one; "
            "these are none. Say that g2 is common, and give its grille to a return of its own.",
        ),
        (
            returns(Return("g1"), Return("drop", "common")),
            "survey.returns[1]: drop, a common return into which nothing leads, came; air comes "
            "into a common return by others. "
            "Say which returns lead into drop, or say that it is ducted.",
        ),
        (
            returns(Return("g1", into="drop"), Return("drop", "common", Grille(fact(20, "in")))),
            "survey.returns[1].grille: a grille on drop, a common return, came; a common return "
            "takes its air from the returns that lead into it. "
            "Make the grille a return of its own that leads into this one.",
        ),
        (
            replace(
                returns(Return("g1", into="b1"), Return("drop", "common"), Return("g2")),
                bypasses=(Bypass("b1"),),
                returns=(Return("g1", into="b1"),),
            ),
            "survey.returns[0].into: b1, a bypass, came; a bypass takes its air from the supply "
            "plenum and leads to the return. "
            "Name the common return that this one leads into, or leave this key out.",
        ),
    ],
)
def test_what_a_return_leads_into_is_a_common_one(survey, text):
    """Unknown, of another kind, a bypass, without feeders, with a grille of its own."""
    assert texts(survey) == [text]


def test_returns_that_lead_into_each_other_are_refused_with_the_way_round():
    """Air that goes round never reaches the unit; each of the two is named."""
    survey = returns(Return("a", "common", into="b"), Return("b", "common", into="a"))
    assert texts(survey) == [
        "survey.returns[0].into: a into itself (a → b → a) came; a return leads to the unit, and "
        "no air goes round in it. Say what b truly leads into, or leave its key out.",
        "survey.returns[1].into: b into itself (b → a → b) came; a return leads to the unit, and "
        "no air goes round in it. Say what a truly leads into, or leave its key out.",
    ]


def test_common_returns_may_lead_into_each_other():
    """A drop that takes in a trunk that takes in two grilles is right."""
    survey = returns(
        Return("g1", "panned", into="trunk"),
        Return("g2", "stud", into="trunk"),
        Return("trunk", "common", into="drop"),
        Return("g3", into="drop"),
        Return("drop", "common"),
    )
    assert texts(survey) == []
    assert asked(survey) == []


# --- trunks, dampers, zones ----------------------------------------------------------------------


def test_a_trunk_with_a_register_is_refused():
    """It is neither a trunk nor a run; the register becomes a run of its own."""
    trunk = Branch("t1", Duct(register=Grille()), branches=(Branch("r1"),))
    assert texts(supply(trunk)) == [
        "survey.supply.branches[0].duct.register: a register on t1, a trunk, came; the air of a "
        "trunk leaves by its runs. "
        "Make the register the end of a run of its own, off this trunk."
    ]


def test_dampers_that_shut_every_run_are_named():
    """A damper of a trunk shuts all its runs; one run with its blade half open is a way out."""
    shut, half = Duct(damper=fact(90, "deg")), Duct(damper=fact(45, "deg"))
    trunk = Branch("t1", shut, branches=(Branch("r1"), Branch("r2", half)))
    assert texts(supply(trunk, Branch("r3", shut))) == [
        "survey.supply.branches: the damper of t1, the damper of r3 shut, and with that every "
        "run, came; a blower needs a way out for its air. "
        "Leave at least one run open, and read again."
    ]
    assert texts(supply(trunk, Branch("r3", half))) == []
    assert texts(supply(Branch("r1"), Branch("r2"), damper=fact(1.55, "rad"))) == [
        "survey.supply.branches: the damper of r1, the damper of r2 shut, and with that every "
        "run, came; a blower needs a way out for its air. "
        "Leave at least one run open, and read again."
    ]


def zoned(**condition: str) -> list[str]:
    """The problems of a trial in a house of two zones, with a run pulled and capped."""
    survey = supply(
        Branch("t1", zone="up", branches=(Branch("r1"), Branch("r2"))), Branch("r3", zone="down")
    )
    state = {key.replace("_", ":"): value for key, value in condition.items()}
    return texts(survey, trials=(Trial("tr1", condition=state),))


def test_zones_that_shut_every_run_are_named():
    """One zone may be shut; both, or one and what is left of the other, leave no way out."""
    assert zoned(zone_up="shut", zone_down="open") == []
    assert zoned(zone_up="shut", zone_down="shut") == [
        "trials[0].condition: zone:up, zone:down shut, and with that every run, came; a blower "
        "needs a way out for its air. Leave at least one run open, and read again."
    ]
    assert zoned(zone_up="shut", register_r3="closed") == [
        "trials[0].condition: zone:up, register:r3 shut, and with that every run, came; a blower "
        "needs a way out for its air. Leave at least one run open, and read again."
    ]
    assert zoned(zone_attic="shut") == [
        "trials[0].condition: 'zone:attic' came; what zone: can name is up, down. "
        "Add the zone at its trunk or run first."
    ]


# --- rooms and bypasses --------------------------------------------------------------------------


def test_a_door_of_a_room_that_no_run_reaches_is_refused():
    """By its id or its name a run or a return ends in a room; a door of another has no effect."""
    rooms = (Room("den", "Back room"), Room("attic"))
    runs = supply(Branch("r1", room="Back room"))
    survey = replace(runs, rooms=rooms)

    def trial(**doors: str) -> Trial:
        return Trial("tr1", condition={f"door:{room}": state for room, state in doors.items()})

    assert texts(survey, trials=(trial(den="shut"),)) == []
    assert texts(survey, trials=(trial(attic="open"),)) == []
    assert texts(survey, trials=(trial(attic="shut"),)) == [
        "trials[0].condition.door:attic: the door of attic, in which no run or return ends, came; "
        "a shut door counts where air goes in or comes out. "
        "Say at its run which room it ends in, or leave the door out."
    ]
    assert texts(survey, trials=(trial(bath="shut"),)) == [
        "trials[0].condition: 'door:bath' came; what door: can name is den, attic. "
        "Add the room first."
    ]
    assert texts(survey, trials=(trial(den="ajar"),)) == [
        "trials[0].condition.door:den: 'ajar' came; door is open or shut."
    ]
    assert asked(survey) == [
        "survey.rooms[1]: attic, in which no run or return ends, came. A door counts where air "
        "goes in or comes out. Say at its run which room it ends in, or leave the room out."
    ]
    only_back = replace(survey, returns=(Return("g1", room="attic"),), filters=())
    assert asked(only_back) == []


def test_a_bypass_is_shut_by_its_id():
    """A bypass that the survey does not know cannot be shut."""
    survey = replace(house(), bypasses=(Bypass("b1", "damper"),))
    assert texts(survey, trials=(Trial("tr1", condition={"bypass:b1": "shut"}),)) == []
    assert texts(survey, trials=(Trial("tr1", condition={"bypass:b2": "shut"}),)) == [
        "trials[0].condition: 'bypass:b2' came; what bypass: can name is b1. Add the bypass first."
    ]
    assert texts(house(), trials=(Trial("tr1", condition={"bypass:b1": "shut"}),)) == [
        "trials[0].condition: 'bypass:b1' came; no bypass is known yet. Add the bypass first."
    ]


def test_every_part_has_an_id_of_its_own_bypasses_and_rooms_too():
    """A bypass that is called as a run is one id twice."""
    assert texts(replace(house(), bypasses=(Bypass("r1"),))) == [
        "survey: the id 'r1' twice came; every part, change, trial, reading and record has an id "
        "of its own. Give one of the two another id."
    ]


# --- unit ----------------------------------------------------------------------------------------


def test_calls_and_how_they_are_known_go_together():
    """A call that no thermostat has, and a call whose tap is not known."""
    unit = house().unit
    assert texts(replace(house(), unit=replace(unit, calls={"defrost": "2"}))) == [
        "survey.unit.calls: 'defrost' came; the calls are cooling, cooling-low, heating, "
        "heating-low, fan."
    ]
    assert texts(replace(house(), unit=replace(unit, calls_how={"fan": How.SEEN}))) == [
        "survey.unit.calls_how.fan: seen for a call without a tap came; how it is known goes with "
        "the tap that the call runs on. Add the tap of this call, or leave this key out."
    ]
    assert texts(replace(house(), unit=replace(unit, calls={"cooling-low": "9"}))) == [
        "survey.unit.calls.cooling-low: '9' came; the table has taps 2, 3. "
        "Choose one of them, or add the cells of this tap."
    ]


def test_a_heat_kit_has_a_power_of_heat_kits_and_a_whole_rating():
    """Watts typed as kilowatts are asked about; a drop without its airflow says nothing."""
    kit = HeatKit(fact(10000, "kw"), rated_drop=fact(0.05, "inwc"))
    assert texts(replace(house(), unit=replace(house().unit, heat_kit=kit))) == [
        "survey.unit.heat_kit.power: 10000 kW came; heat kits run from 0.5 to 60 kW. "
        "Did you mean 10000 W?",
        "survey.unit.heat_kit.rated_airflow: nothing came; a rating is a drop at an airflow, both "
        "printed together. Add the other number of the rating, or leave both out.",
    ]


def test_a_heat_kit_beside_gas_is_asked_about():
    """It can be, and is seldom so."""
    unit = replace(house().unit, heat="gas", heat_kit=HeatKit())
    assert asked(replace(house(), unit=unit)) == [
        "survey.unit.heat_kit: an electric heat kit with gas heat came. A heat kit stands in "
        "units that heat by electricity or by a heat pump. Look again, and keep it if it is so."
    ]


# --- ducts ---------------------------------------------------------------------------------------

BOTH = (
    "round duct has a diameter, rectangular and oval duct a width and a height. "
    "Keep the one that was measured."
)


@pytest.mark.parametrize(
    ("duct", "text"),
    [
        (
            replace(sized(8, 12), diameter=fact(10, "in")),
            f"diameter: a diameter on a duct with sides came; {BOTH}",
        ),
        (
            Duct(shape="oval", diameter=fact(6, "in")),
            f"diameter: a diameter on oval duct came; {BOTH}",
        ),
        (
            sized(8, 12, shape="round"),
            "width: a side on round duct came; round duct has a diameter, rectangular and oval "
            "duct a width and a height. Give its diameter, or correct its shape.",
        ),
        (
            sized(6, 10, shape="oval"),
            "width: an oval less wide than high, 6 × 10 in oval, came; the width of a flat oval is "
            "the longer of the two, however it lies. Exchange the two.",
        ),
        (
            replace(sized(8, 12), material="flex"),
            "material: a side on flex came; flex is round. "
            "Give its diameter, or correct its material.",
        ),
        (
            Duct("flex", shape="oval"),
            "material: oval flex came; flex is round. Give its diameter, or correct its material.",
        ),
        (
            Duct(width=fact(8, "ft"), height=fact(8, "in")),
            "width: 8 ft came; the sides of ducts run from 0.17 to 5 ft. Did you mean 8 in?",
        ),
        (
            Duct("flex", sag=fact(6, "ft")),
            "sag: 6 ft came; sags run from 0 to 4 ft. Did you mean 6 in?",
        ),
        (
            Duct("flex", sag=fact(40, "in"), spacing=fact(5, "ft")),
            "sag: a sag of 40 in between hangers 5 ft apart came; flex hangs through by at most "
            "half the distance of its hangers. "
            "Check both; a deeper loop is a bend, such as flex-bend-180.",
        ),
        (
            Duct("flex", spacing=fact(5, "in")),
            "spacing: 5 in came; hangers run from 12 to 240 in. Did you mean 5 ft?",
        ),
        (
            Duct("pvc", sag=fact(6, "in")),
            "sag: a sag on pvc came; only flex sags between its hangers. "
            "Leave the sag out, or correct the material.",
        ),
        (
            Duct("lined", slack="tight"),
            "slack: tight on lined came; only flex hangs tight, slack, draped or kinked. "
            "Leave the slack out, or correct the material.",
        ),
        (
            Duct(damper=fact(120, "deg")),
            "damper: 120 ° came; damper blades run from 0 to 90 °.",
        ),
        (
            Duct(damper=Fact(45.0, "rad")),
            "damper: 45.0 rad came; damper blades run from 0 to 1.6 rad. Did you mean 45 °?",
        ),
    ],
)
def test_sizes_of_a_duct_that_do_not_go_together(duct, text):
    """Shape and sizes, sag and material, angles."""
    expected = f"survey.supply.branches[0].duct.{text}"
    assert texts(supply(Branch("r1", duct), Branch("r2"))) == [expected]
    bypass = replace(house(), bypasses=(Bypass("b1", duct=duct),))
    assert texts(bypass) == [f"survey.bypasses[0].duct.{text}"]


def test_a_sag_without_its_hangers_is_asked_about():
    """It changes nothing alone, and the answer says so."""
    hung = Duct("flex", sag=fact(4, "in"), spacing=fact(5, "ft"))
    alone = replace(hung, spacing=None)
    assert asked(supply(Branch("r1", hung), Branch("r2"))) == []
    assert asked(supply(Branch("r1", alone), Branch("r2", alone), Branch("r3"))) == [
        "survey.supply.branches: a sag on r1, r2 without the distance of the hangers came. A sag "
        "counts by how far the hangers are apart. "
        "Add it, such as hangers every 5 ft; until then 4 ft is taken."
    ]


def test_a_sag_is_held_against_the_hangers_of_all_runs():
    """The run says how deep, the description of all runs how far the hangers are apart."""
    survey = supply(
        Branch("r1", Duct(sag=fact(40, "in"))), Branch("r2"), material="flex", spacing=fact(5, "ft")
    )
    assert texts(survey) == [
        "survey.supply.branches[0].duct.sag: a sag of 40 in between hangers 5 ft apart came; flex "
        "hangs through by at most half the distance of its hangers. "
        "Check both; a deeper loop is a bend, such as flex-bend-180."
    ]


def test_ways_out_of_a_room_have_possible_sizes():
    """An undercut of inches typed as feet, a duct in a grille, a jumper of no size that exists."""
    transfers = (
        Transfer("undercut", fact(30, "ft"), fact(0.75, "in")),
        Transfer("grille", fact(14, "in"), fact(8, "in"), Duct("flex")),
        Transfer("jumper", duct=Duct(diameter=fact(8, "m"))),
    )
    survey = replace(house(), rooms=(Room("den", transfers=transfers),))
    assert texts(survey) == [
        "survey.rooms[0].transfers[0].width: 30 ft came; doors run from 1 to 6.7 ft. "
        "Did you mean 30 in?",
        "survey.rooms[0].transfers[1].duct: a duct in a grille came; of the ways out of a room "
        "only a jumper has a duct. Say that it is a jumper, or leave the duct out.",
        "survey.rooms[0].transfers[2].duct.diameter: 8 m came; ducts run from 0.08 to 1.1 m. "
        "Did you mean 8 in?",
    ]


def test_leakage_is_said_once_for_each_side():
    """Two lines of one side, half a test, and a pressure that no test has."""
    survey = replace(
        house(),
        leakage=(
            Leakage("supply", fact(100, "cfm")),
            Leakage("supply", sealing="taped"),
            Leakage("return", fact(100, "cfm"), fact(25, "inwc")),
        ),
    )
    assert texts(survey) == [
        "survey.leakage[2].pressure: 25 in. w.c. came; leakage tests run from 0.02 to 0.6 "
        "in. w.c. Did you mean 25 Pa?",
        "survey.leakage[0].pressure: nothing came; a leakage test is a flow at a pressure, "
        "usually 25 Pa. Add the other number of the test, or leave both out.",
        "survey.leakage[1].side: the supply side twice came; each side has one line: its test, or "
        "how it was sealed. Keep the newer one.",
    ]


# --- fittings ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("survey", "text"),
    [
        (
            supply(Branch("t1", Duct(fittings=("boot-angle",)), branches=(Branch("r1"),))),
            "survey.supply.branches[0].duct.fittings: boot-angle on t1, a trunk, came; a boot or "
            "an open end stands where a run reaches its room. Move it to the runs that end there.",
        ),
        (
            supply(Branch("r1"), fittings=("return-box", "elbow-90-gored")),
            "survey.supply.run_like.fittings: return-box on r1, in the supply, came; this fitting "
            "takes air in, as a return does. "
            "Choose the supply's fitting, or move this one to its return.",
        ),
        (
            supply(Branch("r1", Duct(fittings=("tee-join-90",)))),
            "survey.supply.branches[0].duct.fittings: tee-join-90 on r1, in the supply, came; this "
            "fitting takes air in, as a return does. "
            "Choose the supply's fitting, or move this one to its return.",
        ),
        (
            returns(Return("g1", duct=Duct(fittings=("trunk-take-off-90",)))),
            "survey.returns[0].duct.fittings: trunk-take-off-90 on g1, a return, came; air comes "
            "together in a return and leaves by no take-off. "
            "Choose tee-join-90 where two returns meet, or move this one to its run.",
        ),
    ],
)
def test_a_fitting_on_the_wrong_section_is_refused(survey, text):
    """A boot on a trunk, a return's fitting in the supply, a take-off in a return."""
    assert texts(survey) == [text]


@pytest.mark.parametrize(
    ("survey", "text"),
    [
        (
            supply(Branch("r1"), Branch("r2"), fittings=("trunk-take-off-90", "boot-angle")),
            "survey.supply.run_like.fittings: trunk-take-off-90 on r1, r2, straight off the "
            "plenum, came. This fitting stands where a trunk's air divides. "
            "Use take-off-straight, or say which trunk it leaves.",
        ),
        (
            supply(
                Branch("t1", branches=(Branch("r1"), Branch("r2"))),
                Branch("r3"),
                fittings=("take-off-straight", "boot-angle"),
            ),
            "survey.supply.run_like.fittings: take-off-straight on r1, r2, off a trunk, came. This "
            "fitting is a collar in the wall of the plenum. "
            "Use trunk-take-off-90 or another one off a trunk, or keep it.",
        ),
        (
            supply(Branch("r1", Duct(fittings=("return-elbow", "boot-box")))),
            "survey.supply.branches[0].duct.fittings: return-elbow on r1, in the supply, came. "
            "This is the turn of a return. Use an elbow such as elbow-90-mitred, or keep it.",
        ),
        (
            returns(Return("g1", duct=Duct(fittings=("boot-angle", "flex-bend-90")))),
            "survey.returns[0].duct.fittings: boot-angle on g1, a return, came. Air leaves a boot "
            "at a register and enters a return by its box. Use return-box, or keep it.",
        ),
        (
            returns(Return("g1", duct=Duct(fittings=("return-box", "tee-join-90")))),
            "survey.returns[0].duct.fittings: tee-join-90 on g1, which joins no other return, "
            "came. This fitting stands where two returns become one. "
            "Say which common return it leads into, or leave the fitting out.",
        ),
    ],
)
def test_a_fitting_that_most_likely_sits_elsewhere_is_asked_about(survey, text):
    """The question names every part that has it, and another fitting."""
    assert texts(survey) == []
    assert asked(survey) == [text]


def test_a_run_without_an_end_is_asked_about():
    """Fittings that stop short of the room; a boot, a register or an open end is one."""
    one = ("take-off-straight", "flex-bend-90")
    assert asked(supply(Branch("r1"), Branch("r2"), fittings=one)) == [
        "survey.supply.run_like.fittings: no boot, no register and no open end on r1, r2 came. "
        "A run ends in a room. Add its boot, or duct-exit where it ends open, or keep it."
    ]
    assert asked(supply(Branch("r1", Duct(fittings=one)))) == [
        "survey.supply.branches[0].duct.fittings: no boot, no register and no open end on r1 came. "
        "A run ends in a room. Add its boot, or duct-exit where it ends open, or keep it."
    ]
    assert asked(supply(Branch("r1", Duct(fittings=(*one, "duct-exit"))))) == []
    assert asked(supply(Branch("r1", Duct(fittings=one, register=Grille())))) == []
    assert asked(supply(Branch("r1"), fittings=())) == []


def test_fittings_at_their_places_are_not_asked_about():
    """Collars off the plenum, take-offs and wyes off trunks, joins into a common return."""
    survey = replace(
        supply(
            Branch(
                "t1",
                Duct(fittings=("take-off-trunk", "elbow-90-radius", "reducer")),
                branches=(
                    Branch("r1", Duct(fittings=("trunk-take-off-45", "damper-open", "boot-box"))),
                    Branch("r2", Duct(fittings=("wye", "elbow-90-gored", "duct-exit"))),
                ),
            ),
            Branch("r3", Duct(fittings=("take-off-tapered", "flex-bend-90", "boot-ceiling"))),
        ),
        filters=(),
        returns=(
            Return("g1", into="drop", duct=Duct(fittings=("return-box", "tee-join-45"))),
            Return("drop", "common", duct=Duct(fittings=("elbow-90-square", "duct-exit"))),
        ),
    )
    assert texts(survey) == []
    assert asked(survey) == []


def test_every_fitting_of_the_parts_sits_somewhere():
    """The survey knows the place of each, and of no other; tees and ends sit as the parts say.

    The survey itself imports no part, so that a virtual house shares no physics with the model.
    """
    sits = where_fittings_sit()
    assert list(sits) == list(FITTINGS)
    for key, place in sits.items():
        one = FITTINGS[key]
        if one.tee is not None:
            assert place == {"diverging": "trunk", "converging": "join"}[tee(one.tee).way], key
        elif one.group == "take-off":
            assert place in ("plenum", "take-off"), key
        elif one.group in ("boot", "exit", "entry", "box"):
            assert place == one.group, key
        else:
            assert place == ("return" if key.startswith("return-") else "any"), key


@pytest.mark.parametrize(
    "duct",
    [
        Duct(diameter=fact(7, "in")),
        sized(14, 8),
        sized(14, 8, shape="oval"),
    ],
)
def test_areas_are_those_of_the_parts(duct):
    """Round, rectangular and flat oval, to the last digit but rounding."""
    shape, width, height = duct.shape, duct.width, duct.height
    section = section_of(
        shape,
        None if duct.diameter is None else duct.diameter.si,
        None if width is None else width.si,
        None if height is None else height.si,
    )
    assert duct_area(duct) == pytest.approx(section.area, rel=1e-12)


def test_a_fitting_that_nobody_knows_is_left_to_the_network():
    """Its error lists those that are; here nothing is said of its place."""
    survey = supply(Branch("r1", Duct(fittings=("whirligig",))))
    assert texts(survey) == []
    assert asked(survey) == []


# --- areas ---------------------------------------------------------------------------------------


def off_trunk(trunk: Duct, run: Duct) -> list[str]:
    """What is asked about one run off one trunk."""
    return asked(supply(Branch("t1", trunk, branches=(Branch("r1", run),))))


def test_a_run_larger_than_its_trunk_is_asked_about():
    """10 in off 6 in, and a round one off a rectangular one that is smaller; equals are usual."""
    ten, six = Duct(diameter=fact(10, "in")), Duct(diameter=fact(6, "in"))
    assert off_trunk(six, ten) == [
        "survey.supply.branches[0].branches[0].duct: r1, 10 in, off t1, 6 in, came. A duct is no "
        "larger than the trunk or common return that it is joined to. "
        "Check both sizes, and keep them if they are so."
    ]
    assert off_trunk(sized(9, 6), ten) == [
        "survey.supply.branches[0].branches[0].duct: r1, 10 in, off t1, 9 × 6 in, came. A duct is "
        "no larger than the trunk or common return that it is joined to. "
        "Check both sizes, and keep them if they are so."
    ]
    assert off_trunk(ten, six) == []
    assert off_trunk(ten, ten) == []
    assert off_trunk(Duct(), ten) == []


def test_a_return_larger_than_the_common_one_is_asked_about():
    """Oval sizes are said as such."""
    survey = returns(
        Return("g1", into="drop", duct=sized(24, 12)),
        Return("drop", "common", duct=sized(14, 8, shape="oval")),
    )
    assert asked(survey) == [
        "survey.returns[0].duct: g1, 24 × 12 in, into drop, 14 × 8 in oval, came. A duct is no "
        "larger than the trunk or common return that it is joined to. "
        "Check both sizes, and keep them if they are so."
    ]


def test_a_register_far_from_the_size_of_its_run_is_asked_about():
    """Less than half of the run's area, or many times it; a 4 × 10 on 8 in is usual."""

    def on(run: float, width: float, height: float) -> list[str]:
        face = Grille(fact(width, "in"), fact(height, "in"))
        return asked(supply(Branch("r1"), diameter=fact(run, "in"), register=face))

    assert on(8, 10, 4) == []
    assert on(10, 8, 4) == [
        "survey.supply.branches[0].duct.register: a register of 8 × 4 in on r1, 10 in, came. "
        "A register is seldom less than half, or more than 8 times, its duct. "
        "Check both sizes, and keep them if they are so."
    ]
    assert on(4, 24, 12) == [
        "survey.supply.branches[0].duct.register: a register of 24 × 12 in on r1, 4 in, came. "
        "A register is seldom less than half, or more than 8 times, its duct. "
        "Check both sizes, and keep them if they are so."
    ]


def test_a_filter_larger_than_its_grille_is_asked_about():
    """Turned by a quarter it may fit; a size rounded up fits."""

    def held(width: float, height: float) -> list[str]:
        one = Filter("f1", "grille", width=fact(width, "in"), height=fact(height, "in"))
        return asked(replace(house(), filters=(one,)))

    assert held(16, 25) == []
    assert held(25, 16) == []
    assert held(16.5, 25) == []
    assert held(20, 25) == [
        "survey.returns[0].filter: f1, 20 × 25 in, in the grille of g1, 16 × 25 in, came. A filter "
        "in a grille is no larger than the grille. "
        "Check both sizes, or say that the filter sits at the unit."
    ]


# --- changes -------------------------------------------------------------------------------------


def test_a_change_that_puts_a_fitting_where_it_cannot_sit_is_refused():
    """It is the change that is named, not the survey."""
    change = Change("ch1", "fitting", ("t1",), {"into": "boot-angle"})
    trunk = replace(house().supply.branches[0], duct=Duct(fittings=()))
    survey = replace(
        house(), supply=replace(house().supply, branches=(trunk, house().supply.branches[1]))
    )
    assert texts(survey, changes=(change,)) == [
        "changes.ch1.to: boot-angle on t1, a trunk, came; a boot or an open end stands where a "
        "run reaches its room. Move it to the runs that end there."
    ]
