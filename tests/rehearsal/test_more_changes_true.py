"""What changes of returns, runs, plenum and unit truly do in virtual houses."""

import dataclasses

import numpy as np
import pytest

from inchwater.rehearsal import virtual_house
from inchwater.rehearsal.blower_true import printed
from inchwater.rehearsal.changes_more_true import KINDS
from inchwater.rehearsal.state import state
from inchwater.rehearsal.world import world_from_dict, world_to_dict
from inchwater.survey import BlowerTable, Change, Fact, TableRow, apply
from inchwater.units import to_si

COOLING = {"call": "cooling", "coil": "wet"}


@pytest.fixture(scope="module")
def many():
    """Forty houses with their worlds."""
    houses = [virtual_house(seed) for seed in range(40)]
    return [(house, world_from_dict(house.world)) for house in houses]


def fact(value, unit):
    return Fact(value, unit)


def flex(world):
    """The longest run of flex, or None."""
    runs = [run for run in world.runs if run.pipe.material == "flex"]
    return max(runs, key=lambda run: run.pipe.length, default=None)


def change(kind, house, world):
    """One change of a kind that is possible in this house; None if there is none."""
    run = flex(world)
    ducted = [back for back in world.backs if back.kind in ("ducted", "panned", "stud", "platform")]
    on_trunk = [limb for limb, above in world.walk() if above is not None and not limb.limbs]
    size = {"width": fact(24, "in"), "height": fact(24, "in")}
    big = fact(20, "in")
    found = {
        "cabinet": ((), {"id": "cab", "grade": "media-4in-merv11", "count": 1, **size}),
        "enlarge-return": ([ducted[0].id] if ducted else None, {"diameter": big}),
        "shorten-run": (
            run and [run.id],
            {"length": Fact(run.pipe.length / 2.0, "m") if run else None},
        ),
        "move-run": (
            [on_trunk[0].id] if len(on_trunk) > 2 else None,
            {"at": "plenum", "length": fact(10, "ft")},
        ),
        "boot": (run and [run.id], {"into": "boot-straight"}),
        "plenum": ((), {"into": "take-off-rounded"}),
        "damper": ([world.runs[0].id], {"angle": fact(50, "deg")}),
        "insulate": ([world.runs[0].id], {"insulation": fact(8, "rvalue")}),
        "seal": (["supply", "return"], {}),
        "remove-bypass": ([world.ways[0].id] if world.ways else None, {}),
        "transfer": ([world.chambers[0].id] if world.chambers else None, {"kind": "jumper"}),
        "clean-wheel": ((), {}),
        "clean-coil": ([world.coil.id] if world.coil else None, {}),
        "motor": ((), {"motor": "constant-torque"}),
        "nothing": ((), {}),
    }
    targets, to = found[kind]
    return None if targets is None else Change("n1", kind, tuple(targets), to)


def possible(kind, many):
    """House, world and change wherever the kind is possible."""
    for house, world in many:
        made = change(kind, house, world)
        if made is not None:
            yield house, world, made


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_can_be_made_and_kept(many, kind):
    """Somewhere it is possible; the same change is the same work, and a file holds the house."""
    count = 0
    for house, _, made in possible(kind, many):
        world = house.after((made,))
        assert world == house.after((made,))
        assert world_from_dict(world_to_dict(world)) == world
        assert state(world, COOLING).airflow > 0.0
        count += 1
    assert count >= 2


@pytest.mark.parametrize("kind", KINDS)
def test_house_and_survey_know_the_same_parts(many, kind):
    """What can be done to the house can be done to its survey, where that says enough."""
    done = 0
    for house, _, made in possible(kind, many):
        survey = house.job.survey
        lacks = {
            "remove-bypass": survey.bypasses is None,
            "transfer": survey.rooms is None,
            "enlarge-return": True,
        }
        if not lacks.get(kind, False):
            after = apply(survey, made)
            assert (after == survey) is (kind == "nothing")
            done += 1
    assert done or kind in ("remove-bypass", "transfer", "enlarge-return")


def gains(kind, many, what="airflow"):
    """How many times a quantity is after the change what it was, house by house."""
    return np.array(
        [
            getattr(house.truth((made,), COOLING), what) / getattr(state(world, COOLING), what)
            for house, world, made in possible(kind, many)
            if world.machine.wheel.motor != "constant-airflow"
        ]
    )


@pytest.mark.parametrize(
    "kind", ["enlarge-return", "shorten-run", "clean-wheel", "clean-coil", "plenum"]
)
def test_what_opens_the_way_moves_more_air(many, kind):
    """In the middle of the houses, and hardly less in any of them."""
    found = gains(kind, many)
    assert np.median(found) >= 1.0
    assert found.min() > 0.97


def test_sealing_brings_the_air_to_the_rooms(many):
    """Delivered rises though the blower moves a little less; 40 to 80 % of a leak is gone."""
    assert np.median(gains("seal", many, "delivered")) > 1.01
    assert np.median(gains("seal", many)) < 1.0
    for house, world, made in possible("seal", many):
        after = house.after((made,))
        left = [after.leaks[name].flow / leak.flow for name, leak in world.leaks.items()]
        assert 0.05 < np.mean(left) < 0.95


def test_a_seal_that_was_tested_leaks_what_the_test_says(many):
    """The sum of the openings of the side at the test's pressure."""
    house, _ = many[0]
    to = {"airflow": fact(30, "cfm"), "pressure": fact(25, "pa")}
    after = house.after((Change("n1", "seal", ("supply",), to),))
    openings = [after.leaks[name].flow for name in ("outlet", "plenum")]
    openings += [limb.leak.flow for limb, _ in after.walk()]
    assert sum(openings) == pytest.approx(to_si(30.0, "cfm"), rel=0.35)


def test_a_damper_takes_from_its_run_and_gives_to_the_others(many):
    """At fifty degrees most of the run's air is gone."""
    for house, world, made in possible("damper", many):
        before, after = state(world, COOLING), house.truth((made,), COOLING)
        (id_,) = made.targets
        assert after.runs[id_] < 0.8 * before.runs[id_]
        assert sum(after.runs.values()) - after.runs[id_] > (
            sum(before.runs.values()) - before.runs[id_]
        )


def test_a_bypass_that_is_gone_sends_its_air_to_the_rooms(many):
    """More reaches them, less goes round."""
    found = gains("remove-bypass", many, "delivered")
    assert np.all(found > 1.0)


def test_a_moved_run_is_still_one_run(many):
    """No run is lost and none is there twice."""
    for house, world, made in possible("move-run", many):
        after = house.after((made,))
        assert sorted(run.id for run in after.runs) == sorted(run.id for run in world.runs)
        assert made.targets[0] in {limb.id for limb in after.limbs}


def test_a_shut_room_gets_its_air_back(many):
    """With a jumper the run of a bedroom whose door is shut carries more."""
    for house, world, made in possible("transfer", many):
        (id_,) = made.targets
        shut = {**COOLING, f"door:{id_}": "shut"}
        before, after = state(world, shut), house.truth((made,), shut)
        room = next(one for one in world.chambers if one.id == id_)
        runs = [run.id for run in world.runs if run.room in (room.id, room.name)]
        assert sum(after.runs[one] for one in runs) >= sum(before.runs[one] for one in runs)


def test_a_motor_does_what_its_table_says(many):
    """At 0.5 in. w.c. the new curve is the table's, before what differs in this house."""
    rows = tuple(
        TableRow(tap, to_si(at, "inwc"), to_si(flow, "cfm"))
        for tap, flows in {"low": (1000, 900), "high": (1300, 1200)}.items()
        for at, flow in zip((0.3, 0.7), flows, strict=True)
    )
    table = BlowerTable("new", rows, frozenset())
    for kind in ("psc", "constant-torque", "constant-airflow"):
        house = many[1][0]
        to = {"motor": kind, "table": table, "tap": "high"}
        after = house.after((Change("n1", "motor", (), to),))
        assert after.machine.tap == "high"
        flow, _ = printed(after.machine.wheel, "high").at(to_si(0.5, "inwc"))
        assert flow == pytest.approx(to_si(1250.0, "cfm"), rel=0.02)


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_not_replaced_is_left_as_it_is(many, kind):
    """Other runs, other returns and the rest of the unit are the same, to the last bit."""
    left_alone = {
        "machine": ("clean-wheel", "motor"),
        "coil": ("clean-coil",),
        "filters": ("cabinet",),
        "ways": ("remove-bypass", "damper"),
        "chambers": ("transfer",),
        "leaks": ("seal",),
        "backs": ("cabinet", "enlarge-return", "seal", "damper"),
        "limbs": ("shorten-run", "move-run", "boot", "plenum", "damper", "seal"),
    }
    for house, world, made in possible(kind, many):
        after = house.after((made,))
        for name, kinds in left_alone.items():
            if kind not in kinds:
                assert getattr(after, name) == getattr(world, name), name
        if kind in ("shorten-run", "boot", "damper"):
            others = [one for one in world.runs if one.id not in made.targets]
            assert [one for one in after.runs if one.id not in made.targets] == others
        assert dataclasses.replace(after, changes=()).seed == world.seed
