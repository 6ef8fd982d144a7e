"""All that a house may have beside plain runs: doors, zones, bypasses, tees, common returns."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from inchwater.errors import PartError, UnknownNameError
from inchwater.network import compile_network, solve
from inchwater.parts import cavities, transfers
from inchwater.parts.sections import Section
from inchwater.survey import (
    Branch,
    Bypass,
    Change,
    Duct,
    Grille,
    Leakage,
    Return,
    Room,
    Transfer,
    apply,
)
from inchwater.units import from_si, to_si
from tests.network.surveys import attic, house, run, seen

DRY = {"call": "fan"}


def middle(survey, state=DRY):
    return solve(compile_network(survey, state), {}, 1)


def cfm(flow):
    return from_si(float(flow[0]), "cfm")


# --- doors --------------------------------------------------------------------------------------


def test_a_shut_door_holds_back_its_own_run():
    """The room rises above the house, its run falls, the others rise a little."""
    open_, shut = middle(house()), middle(house(), {**DRY, "door:bed": "shut"})
    assert shut.room["bed"][0] > 0.0
    assert open_.room == {}
    assert shut.flow["r2"][0] < open_.flow["r2"][0]
    assert shut.flow["r1"][0] > open_.flow["r1"][0]
    assert shut.airflow[0] < open_.airflow[0]


def test_what_comes_in_leaves_below_the_door():
    """At the room's pressure cracks and undercut pass what its run brings, each by its law."""
    shut = middle(house(), {**DRY, "door:bed": "shut"})
    pressure = shut.room["bed"][0]
    crack, gap = (
        transfers.cracks_law()[0],
        transfers.undercut_law(to_si(30.0, "in"), to_si(0.5, "in"))[0],
    )
    ratio = shut.network.air.density / 1.2013847
    passed = sum(float(law.times(ratio).flow(pressure)) for law in (crack, gap))
    assert passed == pytest.approx(float(shut.flow["r2"][0]), rel=1e-3)


def test_a_jumper_lets_more_out_than_the_gap_alone():
    """With a jumper duct beside the undercut the room's pressure falls."""
    ways = (Transfer("undercut"), Transfer("jumper"))
    without = middle(house(), {**DRY, "door:bed": "shut"})
    with_it = middle(house(rooms=(Room("bed", "Bedroom", ways),)), {**DRY, "door:bed": "shut"})
    assert with_it.room["bed"][0] < 0.6 * without.room["bed"][0]
    assert "room:bed:jumper-2" in with_it.drop


def test_two_runs_into_one_shut_room_share_its_way_out():
    """Both runs see one pressure, and both flows leave by the room's own ways."""
    survey = house()
    branches = tuple(
        replace(b, room="bed") if b.id in ("r1", "r2") else b for b in survey.supply.branches
    )
    survey = replace(survey, supply=replace(survey.supply, branches=branches))
    shut = middle(survey, {**DRY, "door:bed": "shut"})
    out = sum(v[0] for k, v in shut.part_flow.items() if k.startswith("room:bed:"))
    assert out == pytest.approx(float(shut.flow["r1"][0] + shut.flow["r2"][0]), rel=1e-9)


def test_a_shut_room_with_its_own_return_breathes_through_it():
    """A return in the same room takes what its run brings, so the pressure stays small or below."""
    survey = house()
    own = Return("g9", "ducted", Grille(seen(14, "in"), seen(10, "in")), room="bed")
    survey = replace(survey, returns=(*survey.returns, own))
    alone = middle(house(), {**DRY, "door:bed": "shut"}).room["bed"][0]
    paired = middle(survey, {**DRY, "door:bed": "shut"})
    assert paired.room["bed"][0] < 0.5 * alone
    inward = paired.flow["r2"][0] - paired.part_flow["return:g9:grille"][0]
    out = sum(v[0] for k, v in paired.part_flow.items() if k.startswith("room:bed:"))
    assert out == pytest.approx(float(inward), abs=1e-9)


def test_a_room_without_a_run_changes_nothing():
    """Shutting a door that no run lies behind leaves every flow as it is."""
    survey = house(rooms=(Room("bed", "Bedroom"), Room("bath", "Bath")))
    assert middle(survey, {**DRY, "door:bath": "shut"}).airflow == middle(survey).airflow


def test_a_door_that_nobody_named_is_refused():
    """The text lists the rooms that there are."""
    with pytest.raises(UnknownNameError) as caught:
        compile_network(house(), {"door:den": "shut"})
    assert str(caught.value) == (
        "condition.door:den: 'den' came; this survey has bed. Add the part to the survey first."
    )


# --- zones and dampers --------------------------------------------------------------------------


def test_a_shut_zone_passes_next_to_nothing():
    """The zone's run keeps a leak, the others take the rest."""
    open_, shut = middle(house()), middle(house(), {**DRY, "zone:east": "shut"})
    assert 0.0 < shut.flow["r3"][0] < 0.1 * open_.flow["r3"][0]
    assert shut.flow["r1"][0] > open_.flow["r1"][0]


def test_a_damper_half_shut_takes_air_from_its_run():
    """The further the blade is turned, the less air."""
    flows = []
    for angle in (0, 30, 60):
        survey = house()
        branches = tuple(
            replace(b, duct=replace(b.duct, damper=seen(angle, "deg"))) if b.id == "r1" else b
            for b in survey.supply.branches
        )
        survey = replace(survey, supply=replace(survey.supply, branches=branches))
        flows.append(cfm(middle(survey).flow["r1"]))
    assert flows[0] > flows[1] > flows[2] > 0.0


# --- bypass -------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["open", "damper", "humidifier"])
def test_a_bypass_takes_air_round_the_house(kind):
    """The blower moves more, the rooms get less, the difference goes through the bypass."""
    plain, with_it = middle(house()), middle(house(bypasses=(Bypass("b1", kind),)))
    round_ = with_it.part_flow["bypass:b1"][0]
    assert with_it.airflow[0] > plain.airflow[0]
    assert with_it.delivered[0] < plain.delivered[0]
    assert with_it.airflow[0] == pytest.approx(
        float(with_it.delivered[0] + with_it.leak_supply[0] + round_), rel=1e-9
    )
    assert with_it.drop["bypass:b1"][0] == pytest.approx(
        float(with_it.supply[0] - with_it.back[0]), rel=1e-6
    )


def test_a_shut_bypass_is_almost_none():
    """Shut for a trial it passes a few per cent of what it passes open."""
    survey = house(bypasses=(Bypass("b1", "open"),))
    open_, shut = middle(survey), middle(survey, {**DRY, "bypass:b1": "shut"})
    assert shut.part_flow["bypass:b1"][0] < 0.1 * open_.part_flow["bypass:b1"][0]


# --- trunks, tees, sections ---------------------------------------------------------------------


def trunked(first="trunk-take-off-90"):
    """A rectangular trunk with two runs and a smaller trunk that goes on to two more."""
    survey = attic()
    key = (first, "flex-bend-90", "flex-bend-90", "boot-angle")

    def leg(id_):
        one = run(id_)
        return replace(one, duct=replace(one.duct, fittings=key))

    def metal(width, length):
        sides = {"width": seen(width, "in"), "height": seen(8, "in")}
        return Duct("metal", length=seen(length, "ft"), **sides)

    on = Branch("t2", metal(10, 12), branches=(leg("r3"), leg("r4")))
    trunk = Branch("t1", metal(16, 15), branches=(leg("r1"), leg("r2"), on))
    return replace(survey, supply=replace(survey.supply, branches=(trunk,)))


def test_a_rectangular_trunk_has_its_own_area_and_equivalent_diameter():
    """Local losses go by the true area, friction by Huebscher's diameter."""
    network = compile_network(trunked(), DRY)
    edge = network.edges[network.index("trunk:t1")]
    section = Section("rectangular", to_si(16, "in"), to_si(8, "in"))
    assert edge.local[0].area == pytest.approx(section.area)
    assert edge.friction[0].diameter == pytest.approx(section.equivalent_diameter)


def test_take_offs_lose_by_the_share_of_the_air():
    """Each branch of a trunk has a tee on the trunk's section; a trunk that goes on has one too."""
    network = compile_network(trunked(), DRY)
    tees = {e.key: e.tee for e in network.edges if e.tee is not None}
    assert set(tees) == {"run:r1", "run:r2", "run:r3", "run:r4", "trunk:t2"}
    assert tees["run:r1"].area == pytest.approx(to_si(16, "in") * to_si(8, "in"))
    assert tees["run:r3"].area == pytest.approx(to_si(10, "in") * to_si(8, "in"))
    # A branch without air sees the trunk's static pressure; the second one less air than the first.
    assert tees["run:r1"].curve[0] == tees["run:r1"].anchor == pytest.approx(1.0)
    assert tees["run:r2"].curve[0] < tees["run:r1"].curve[0]


def test_a_slanted_take_off_brings_more_air():
    """At 45° a run gets more than square off the trunk."""
    square, slanted = middle(trunked()), middle(trunked("trunk-take-off-45"))
    assert slanted.flow["r1"][0] > 1.02 * square.flow["r1"][0]


def test_a_part_outside_its_range_says_so():
    """A sentence for the part, kept with the network."""
    survey = attic()
    wide = Duct("metal", width=seen(40, "in"), height=seen(4, "in"), length=seen(10, "ft"))
    trunk = Branch("t1", wide, branches=survey.supply.branches)
    network = compile_network(replace(survey, supply=replace(survey.supply, branches=(trunk,))))
    assert network.beyond["trunk:t1"][0] == (
        "A duct 10.0 times as wide as high is flatter than the tables of equivalent diameters go "
        "(8 to 1); its friction is a guess."
    )


# --- returns ------------------------------------------------------------------------------------


def test_two_returns_join_in_a_common_drop():
    """The drop carries both; each has its own duct."""
    survey = attic()
    one = survey.returns[0]
    drop = Return("drop", "common", duct=Duct("metal", seen(18, "in"), seen(6, "ft")))
    other = Return("g2", "ducted", Grille(seen(20, "in"), seen(10, "in")),
                   duct=Duct("flex", seen(12, "in"), seen(15, "ft")), into="drop")  # fmt: skip
    s = middle(replace(survey, returns=(replace(one, into="drop"), other, drop)))
    joined = s.part_flow["return:drop:duct"][0]
    assert joined == pytest.approx(
        float(s.part_flow["return:g1:duct"][0] + s.part_flow["return:g2:duct"][0]), rel=1e-9
    )
    assert joined == pytest.approx(float(s.airflow[0] - s.leak_return[0]), rel=1e-9)


def test_a_return_that_leads_into_itself_is_named():
    """A ring of common returns never reaches the unit."""
    ring = (
        Return("a", "common", into="b"),
        Return("b", "common", into="a"),
        Return("g1", "ducted", into="a"),
    )
    with pytest.raises(PartError) as caught:
        compile_network(replace(attic(), filters=None, returns=ring))
    assert str(caught.value) == (
        "returns.a.into: a → b → a came; a return that leads back into itself never reaches the "
        "unit."
    )


@pytest.mark.parametrize("kind", ["panned", "stud", "platform"])
def test_a_cavity_of_known_size_resists_by_its_section(kind):
    """Its edge has the cavity's roughness and its turns on the cavity's own section."""
    survey = replace(
        attic(), filters=None, returns=(Return("g1", kind, duct=Duct(length=seen(9, "ft"))),)
    )
    network = compile_network(survey)
    edge = network.edges[network.index("return:g1:duct")]
    usual = cavities.cavity(kind)
    assert edge.local[0].coefficient == usual.loss_coefficient
    assert edge.local[0].area == pytest.approx(usual.section.area)
    assert edge.friction[0].roughness == usual.roughness
    leak = next(p for p in network.parameters if p.name == "return:leak")
    assert leak.median == pytest.approx(usual.leak_ratio)


# --- leakage ------------------------------------------------------------------------------------


def test_a_tested_leak_is_what_the_test_found():
    """At half the plenum's pressure, as leaks of unknown place are taken to see."""
    tested = Leakage("supply", seen(80, "cfm"), seen(25, "pa"))
    s = middle(replace(attic(), leakage=(tested,)))
    expected = 80.0 * (0.5 * float(s.supply[0]) / 25.0) ** 0.6
    assert cfm(s.leak_supply) == pytest.approx(expected, rel=2e-2)


def test_sealed_ducts_lose_less_than_open_joints():
    """By the word for how they were sealed."""
    lost = [
        cfm(middle(replace(attic(), leakage=(Leakage("supply", sealing=word),))).leak_supply)
        for word in ("sealed", "taped", "unsealed")
    ]
    assert lost[0] < lost[1] < lost[2]


def test_a_test_that_found_nothing_leaves_what_it_cannot_see():
    """A leak of zero is not a number that a solver divides by."""
    none = Leakage("return", seen(0, "cfm"), seen(25, "pa"))
    s = middle(replace(attic(), leakage=(none,)))
    assert 0.0 < cfm(s.leak_return) < 10.0


def test_everything_at_once_comes_to_rest():
    """Doors shut, a zone shut, a bypass, a common drop and tees, from the prior, all at once."""
    from inchwater.calibration.priors import Prior

    survey = replace(
        trunked(),
        bypasses=(Bypass("b1", "damper"),),
        rooms=(Room("bed", "Bedroom"), Room("den")),
        leakage=(Leakage("supply", sealing="taped"),),
    )
    (trunk,) = survey.supply.branches
    r1, r2, on = trunk.branches
    trunk = replace(trunk, branches=(replace(r1, room="bed"), replace(r2, room="den"), on))
    survey = replace(survey, supply=replace(survey.supply, branches=(trunk,)))
    network = compile_network(survey, {**DRY, "door:bed": "shut", "door:den": "shut"})
    prior = Prior.of(network.parameters)
    rng = np.random.default_rng(5)
    s = solve(network, prior.values({n: rng.standard_normal(500) for n in prior.latents}))
    assert np.isfinite(s.edge_flow).all()
    assert s.found.rounds.max() < 30
    assert np.all(s.room["bed"] > 0.0)


# --- what is described counts, and counts once ----------------------------------------------------


def with_duct(id_, **known):
    """The attic house with more known of one run's duct."""
    survey = attic()
    branches = tuple(
        replace(b, duct=replace(b.duct, **known)) if b.id == id_ else b
        for b in survey.supply.branches
    )
    return replace(survey, supply=replace(survey.supply, branches=branches))


def test_a_trunk_whose_runs_are_all_capped_is_on_no_way():
    """It has neither flow nor drop, and the rest of the house takes the air."""
    capped = {**DRY, "run:r5": "pulled-capped", "run:r6": "pulled-capped"}
    s = middle(attic(), capped)
    assert "trunk:t1" not in s.drop
    assert np.abs(s.edge_flow).max() < 10.0
    assert s.flow["r1"][0] > middle(attic()).flow["r1"][0]


def test_a_new_filter_counts_where_the_table_holds_one():
    """The maker tested one filter; another in the slot, or a second one, resists beyond it."""
    survey = attic(includes=frozenset({"coil-dry", "filter"}))
    tighter = Change("c1", "filter", ("f1",), {"grade": "pleat-1in-merv13"})
    assert cfm(middle(apply(survey, tighter)).airflow) < 0.99 * cfm(middle(survey).airflow)
    two = replace(survey, filters=(*survey.filters, replace(survey.filters[0], id="f2")))
    assert cfm(middle(two).airflow) < 0.99 * cfm(middle(survey).airflow)


def test_what_is_seen_of_a_return_without_a_size_counts():
    """Length, turns and a damper resist at the usual diameter; nothing seen is a lump."""
    survey = attic()
    back = survey.returns[0]

    def flow(**known):
        one = replace(back, duct=Duct(**known))
        return cfm(middle(replace(survey, returns=(one,))).airflow)

    long = flow(length=seen(80, "ft"), fittings=("elbow-90-mitred",) * 4)
    shut = flow(length=seen(80, "ft"), fittings=("elbow-90-mitred",) * 4, damper=seen(70, "deg"))
    assert shut < long < flow(length=seen(5, "ft"), fittings=())


def test_an_open_return_takes_the_size_it_has():
    """A larger opening has the smaller entry loss."""
    survey = replace(attic(), filters=None)

    def area(duct):
        network = compile_network(replace(survey, returns=(Return("g1", "open", duct=duct),)))
        return network.edges[network.index("return:g1:duct")].local[0].area

    sides = Duct(width=seen(20, "in"), height=seen(20, "in"))
    assert area(sides) == pytest.approx(to_si(400.0, "in2"))


def test_a_damper_in_any_bypass_counts():
    """Half shut it passes less than open, whatever the bypass is said to be."""
    half = Duct(damper=seen(50, "deg"))
    for kind in ("open", "humidifier"):
        open_ = middle(house(bypasses=(Bypass("b1", kind),))).part_flow["bypass:b1"][0]
        less = middle(house(bypasses=(Bypass("b1", kind, half),))).part_flow["bypass:b1"][0]
        assert less < 0.8 * open_


def test_a_run_that_ends_open_has_no_register():
    """Its last fitting is the free exit; a register is there only where one is described."""
    key = ("take-off-straight", "flex-bend-90", "duct-exit")
    network = compile_network(with_duct("r1", fittings=key, register=None), DRY)
    assert network.edges[network.index("register:r1")].local == ()


def test_a_blade_of_known_angle_is_the_damper_among_the_fittings():
    """Said twice it counts once."""
    key = ("take-off-straight", "flex-bend-90", "boot-angle")
    once = middle(with_duct("r1", damper=seen(40, "deg"), fittings=key))
    twice = middle(with_duct("r1", damper=seen(40, "deg"), fittings=(*key, "damper-open")))
    assert twice.flow["r1"][0] == pytest.approx(float(once.flow["r1"][0]), rel=1e-9)


def test_a_gap_that_nobody_measured_is_more_in_doubt():
    """The usual size of an undercut widens what it passes beyond what the law itself is worth."""

    def sigma(*transfers_):
        survey = house(rooms=(Room("bed", "Bedroom", transfers_),))
        network = compile_network(survey, {**DRY, "door:bed": "shut"})
        return next(p.sigma for p in network.parameters if p.name == "room:bed:undercut-1")

    known = sigma(Transfer("undercut", seen(30, "in"), seen(0.5, "in")))
    assert sigma(Transfer("undercut", seen(30, "in"))) > 2.0 * known
