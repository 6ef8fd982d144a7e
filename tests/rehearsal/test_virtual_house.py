"""Virtual houses: the same for ever, possible as surveys, changed only where a change is made."""

import dataclasses
import subprocess
import sys

import pytest

from inchwater import units
from inchwater.errors import FormatError, NotPossibleError, UnknownNameError
from inchwater.rehearsal import virtual_house
from inchwater.rehearsal.boxes import with_boxes
from inchwater.rehearsal.changes_true import changed
from inchwater.rehearsal.parts_true import clean_drop
from inchwater.rehearsal.usual_changes import usual_changes
from inchwater.rehearsal.world import world_from_dict
from inchwater.survey import KEYS, Change, Fact, problems, standing_trial

COOLING = {"call": "cooling", "coil": "wet"}
ROLES = {
    "first",
    "filter-drop",
    "other-call",
    "filter-out",
    "flow",
    "hoods",
    "temperature-rise",
    "watts",
    "pre-filter",
    "filter-left-in",
    "wrong-tap",
}


@pytest.fixture(scope="module")
def many():
    """Thirty houses."""
    return [virtual_house(seed) for seed in range(30)]


def world_of(house):
    return world_from_dict(house.world)


def test_a_seed_gives_one_house(many):
    """The same seed makes the same house, another seed another one."""
    assert virtual_house(3) == many[3]
    assert many[3].job.survey != many[4].job.survey
    assert many[3].truths != many[4].truths


def test_no_house_moves_another_generator(many):
    """Houses take nothing from the process's own random numbers, whatever was drawn there."""
    import random

    import numpy as np

    random.seed(1)
    np.random.seed(1)
    before = random.random(), np.random.random()
    random.seed(1)
    np.random.seed(1)
    assert virtual_house(5) == many[5]
    assert (random.random(), np.random.random()) == before


def test_no_survey_is_refused(many):
    """Surveys, changes and readings of all houses pass the survey's own checks."""
    assert {house.id: problems(house.job) for house in many if problems(house.job)} == {}


def test_every_house_has_its_trials_and_ten_changes(many):
    """Each has the common roles, one trial each, ten changes, and a truth for all of them."""
    for house in many:
        assert set(house.roles.values()) >= ROLES
        assert len(set(house.roles.values())) == len(house.roles)
        assert [change.id for change in house.job.changes] == [f"ch{k}" for k in range(1, 11)]
        assert set(house.truths.changes) == {change.id for change in house.job.changes}
        assert set(house.truths.trials) == {trial.id for trial in house.job.trials}
        assert standing_trial(house.job) == house.job.trials[0]


def test_the_job_holds_no_truth(many):
    """Readings differ from what truly is, by no more than a gust in twenty."""
    far = []
    for house in many:
        for trial in house.job.trials:
            state = house.truths.trials[trial.id]
            for reading in trial.readings:
                if reading.quantity == "static":
                    far.append(reading.value - state.static[reading.at])
    inches = sorted(abs(units.from_si(one, "inwc")) for one in far)
    assert 0.002 < inches[len(inches) // 2] < 0.006
    assert inches[int(0.98 * len(inches))] < 0.03
    assert sum(one == 0.0 for one in far) == 0


def test_the_job_of_some_trials(many):
    """``with_trials`` keeps the order asked for, makes no change, and knows what there is."""
    job = many[0].with_trials(["flow", "first"])
    assert [many[0].roles[trial.id] for trial in job.trials] == ["flow", "first"]
    assert job.changes == ()
    with pytest.raises(UnknownNameError) as caught:
        many[0].with_trials(["tracer"])
    named = ", ".join(many[0].roles.values())
    assert str(caught.value) == f"house house-0: 'tracer' came; its trials are {named}."


def test_the_physics_gives_the_stored_truths_again(many):
    """``truth`` without and with a change is what the house holds."""
    for house in many[:8]:
        assert house.truth((), COOLING) == house.truths.trials["tr1"]
        for change in house.job.changes:
            assert house.truth((change,), COOLING) == house.truths.changes[change.id]


def test_slips_are_other_states_than_their_trials_say(many):
    """The filter that stayed in is the state with it in; the wrong tap is another tap's state."""
    for house in many[:8]:
        by_role = {role: trial for trial, role in house.roles.items()}
        truths = house.truths.trials
        assert truths[by_role["filter-left-in"]] == truths["tr1"]
        if house.tags["motor"] != "constant-airflow":
            assert truths[by_role["filter-out"]].airflow > truths["tr1"].airflow
        assert truths[by_role["wrong-tap"]].airflow != truths["tr1"].airflow


def test_a_change_leaves_the_rest_as_it_is(many):
    """An enlarged run draws its own work anew and no other part's; pulled runs keep fittings."""
    for house in many:
        before = world_of(house)
        enlarge, pull = house.job.changes[4], house.job.changes[5]
        after = changed(before, enlarge)
        old = {limb.id: limb for limb, _ in before.walk()}
        new = {limb.id: limb for limb, _ in after.walk()}
        for id_ in old:
            same = dataclasses.replace(old[id_], limbs=()) == dataclasses.replace(
                new[id_], limbs=()
            )
            assert same == (id_ not in enlarge.targets)
        kept = ("machine", "coil", "filters", "backs", "leaks", "holes")
        assert all(getattr(before, name) == getattr(after, name) for name in kept)
        if pull.kind == "tighten-run":
            pulled = {limb.id: limb for limb, _ in changed(before, pull).walk()}
            for id_ in pull.targets:
                assert pulled[id_].pipe.fittings == old[id_].pipe.fittings
                assert pulled[id_].register == old[id_].register
                assert pulled[id_].pipe.compression <= old[id_].pipe.compression


def test_new_work_is_keyed_by_house_and_change(many):
    """The same change is the same work; under another id, or elsewhere, it scatters anew."""
    house = many[0]
    one = house.job.changes[4]
    other = dataclasses.replace(one, id="other")
    assert house.truth((one,), COOLING) == house.truth((one,), COOLING)
    assert house.truth((one,), COOLING).airflow != house.truth((other,), COOLING).airflow


def test_changes_add_up(many):
    """Two changes that open the supply together move more air than each of them."""
    house = next(h for h in many if h.tags["motor"] == "psc")
    added, pulled = house.job.changes[6], house.job.changes[4]
    both = house.truth((added, pulled), COOLING).airflow
    assert both > house.truths.changes[added.id].airflow
    assert both > house.truths.changes[pulled.id].airflow


def test_a_house_without_physics_says_so(many):
    """Without its world a house refuses what nobody stored, and says why."""
    bare = dataclasses.replace(many[0], world=None)
    with pytest.raises(NotPossibleError) as caught:
        bare.truth((), COOLING)
    assert str(caught.value) == (
        "house house-0: a house without its physics came; only the truths that its file holds are "
        "known. Ask for one of its trials or changes."
    )


def test_another_physics_is_refused_when_it_is_needed(many):
    """A world of another version is kept, and refused when a state is asked of it."""
    old = dataclasses.replace(many[0], world={**many[0].world, "version": 99})
    assert old.truths == many[0].truths
    with pytest.raises(FormatError) as caught:
        old.truth((), COOLING)
    assert str(caught.value) == (
        "world.version: 99 came; this version computes worlds of version 1. "
        "Use the truths that the file holds, or make the house again."
    )


@pytest.mark.parametrize(
    ("change", "text"),
    [
        (
            Change("x", "paint", ("r1",)),
            f"changes.x.kind: 'paint' came; kinds of change are {', '.join(KEYS)}.",
        ),
        (
            Change("x", "tap", ("unit",), {"tap": "turbo"}),
            "changes.x.to.tap: 'turbo' came; this unit has {taps}.",
        ),
        (
            Change("x", "filter", ("f9",), {"grade": "pleat-1in-merv8"}),
            "changes.x.targets: 'f9' came; this house has {filters}.",
        ),
    ],
)
def test_changes_that_a_house_does_not_know(many, change, text):
    """An unknown kind, tap or part is named with what there is."""
    world = world_of(many[0])
    with pytest.raises(UnknownNameError) as caught:
        many[0].truth((change,), COOLING)
    assert str(caught.value) == text.format(
        taps=", ".join(world.machine.wheel.settings),
        filters=", ".join(one.id for one in world.filters),
    )


def test_an_unknown_tap_in_a_condition(many):
    """A condition with a tap that the unit lacks is refused."""
    taps = ", ".join(world_of(many[0]).machine.wheel.settings)
    with pytest.raises(UnknownNameError) as caught:
        many[0].truth((), {"tap": "turbo"})
    assert str(caught.value) == f"condition.tap: 'turbo' came; this unit has {taps}."


def test_conditions_move_the_house_the_right_way(many):
    """Capping a run and shutting registers or doors cost air; a run pulled open gains some."""
    house = next(h for h in many if "doors-shut" in h.roles.values() and h.tags["motor"] == "psc")
    run = house.job.survey.supply.runs[0].id
    now = house.truths.trials["tr1"]
    capped = house.truth((), {**COOLING, f"run:{run}": "pulled-capped"})
    assert capped.airflow < now.airflow
    assert run not in capped.runs
    shut = house.truth((), {**COOLING, f"register:{run}": "closed"})
    assert 0.0 < shut.runs[run] < 0.6 * now.runs[run]
    pulled = house.truth((), {**COOLING, f"run:{run}": "pulled-open"})
    assert pulled.airflow > now.airflow
    assert pulled.delivered < now.delivered
    doors = house.truth(
        (), COOLING | {f"door:{room.id}": "shut" for room in house.job.survey.rooms}
    )
    assert doors.airflow < now.airflow
    behind = {room.name for room in house.job.survey.rooms}
    for one in house.job.survey.supply.runs:
        assert (doors.runs[one.id] < now.runs[one.id]) == (one.room in behind)


def test_a_new_return_and_a_new_run_carry_air(many):
    """What is added gets air, and the house more of it."""
    house = many[1]
    now = house.truths.trials["tr1"]
    assert house.truths.changes["ch4"].grilles["gn"] > 0.02
    assert house.truths.changes["ch7"].runs["rn"] > 0.02
    assert house.truths.changes["ch7"].delivered > now.delivered


def test_changes_come_from_the_survey_alone(many):
    """The ten changes, boxes and all, can be made again from the survey, without the truth."""
    house = many[2]
    tap = house.job.changes[-1].to["tap"]
    survey = house.job.survey
    again = tuple(with_boxes(2, survey, one) for one in usual_changes(survey, tap))
    assert again == house.job.changes


def test_a_survey_has_its_writer_s_errors(many):
    """Lengths scatter by a fifth, some runs have another size, some bends are forgotten."""
    ratios, wrong, forgotten, runs = [], 0, 0, 0
    for house in many:
        true = {limb.id: limb for limb, _ in world_of(house).walk()}
        for run in house.job.survey.supply.runs:
            pipe = true[run.id].pipe
            ratios.append(run.duct.length.si / pipe.length)
            wrong += abs(run.duct.diameter.si - pipe.width) > 0.01
            forgotten += len(run.duct.fittings) < len(pipe.fittings)
            runs += 1
    ratios.sort()
    assert 0.10 < (ratios[int(0.84 * runs)] - ratios[int(0.16 * runs)]) / 2.0 < 0.28
    assert 0.02 < wrong / runs < 0.09
    assert 0.05 < forgotten / runs < 0.25


def test_a_larger_size_of_filter_can_be_asked_for(many):
    """A change that nobody listed is answered too, here a filter of another size."""
    house = next(h for h in many if h.tags["filter"] == "unit" and h.tags["motor"] != "psc")
    large = Change(
        "mine",
        "filter",
        ("f1",),
        {"grade": "media-4in-merv8", "width": Fact(0.9, "m"), "height": Fact(0.9, "m")},
    )
    after = house.truth((large,), COOLING)
    assert after.drop["filter:f1"] < 0.5 * house.truths.trials["tr1"].drop["filter:f1"]


def test_a_printed_drop_is_kept_within_its_scatter(many):
    """A new filter with a printed rating has that drop at that airflow, within a third of it."""
    house = next(h for h in many if h.tags["filter"] == "unit")
    size = {"width": Fact(24, "in"), "height": Fact(24, "in"), "grade": "media-4in-merv11"}
    printed = {"rated_drop": Fact(25.0, "pa"), "rated_airflow": Fact(0.5, "m3s")}
    ratios = []
    for number in range(12):
        change = Change(f"c{number}", "filter", ("f1",), {**size, **printed})
        new = changed(world_of(house), change).filters[0]
        ratios.append(clean_drop(new, 0.5) / 25.0)
    assert all(0.67 < one < 1.33 for one in ratios)
    assert len(set(ratios)) == 12


def test_importing_the_package_loads_nothing_heavy():
    """The package's import waits for neither numbers nor houses."""
    code = (
        "import sys, inchwater.rehearsal; "
        "print(sorted({'numpy', 'scipy'} & set(sys.modules)), "
        "'inchwater.rehearsal.house' in sys.modules)"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "[] False"
