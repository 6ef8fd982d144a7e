"""Gates: which are asked of which step, by which limits, and what closes them."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from inchwater import planning, survey, units
from inchwater.planning.gates import gates_of
from inchwater.rehearsal import virtual_house
from inchwater.survey import Change, Fact, How, Place, RiseRange, Trial, WorkRecord

HOUSE = virtual_house(3)
FOUND = replace(HOUSE.with_trials(("first",)), changes=HOUSE.job.changes)
BY_KIND = {change.kind: change for change in FOUND.changes}
RETURN, SPEED, HUNG = BY_KIND["add-return"], BY_KIND["tap"], BY_KIND["tighten-run"]


def job(*work: WorkRecord, fuel=("natural-draft",), heat="gas", low_stage=False) -> survey.Job:
    """House 3, which burns gas, with a water heater beside it and the plate's range of rise."""
    plate = RiseRange(Fact(30.0, "degf_rise"), Fact(60.0, "degf_rise"))
    rise = {"heating": plate} | ({"heating-low": plate} if low_stage else {})
    unit = replace(FOUND.survey.unit, rise=rise, heat=heat)
    place = replace(FOUND.survey.place, fuel_appliances=fuel)
    return replace(FOUND, survey=replace(FOUND.survey, unit=unit, place=place), work=work)


def result(key: str, when: str, change: Change, number=None, *, id_="g", **more) -> WorkRecord:
    """A result at a gate; a number is in the gate's own unit."""
    value, kind = None, more.pop("result", "ok")
    if number is not None:
        unit = "degf_rise" if key.startswith("rise") else "s" if key == "spillage" else "ppm"
        value, kind = Fact(number, unit, How.MEASURED), "measured"
    return WorkRecord(
        id_, "gate", gate=key, when=when, changes=(change.id,), result=kind, value=value, **more
    )


def done(change: Change, id_="d") -> WorkRecord:
    """A step reported done."""
    return WorkRecord(id_, "done", changes=(change.id,))


def asked(of: survey.Job, *changes: Change) -> list[tuple[str, str]]:
    """Key and when of every gate of a step."""
    return [(one.key, one.when) for one in gates_of(of, [(1, changes)])]


def one(of: survey.Job, key: str, when: str, *changes: Change) -> planning.Gate:
    """One gate of steps of one change each."""
    steps = [(number, (change,)) for number, change in enumerate(changes, 1)]
    return next(g for g in gates_of(of, steps) if (g.key, g.when) == (key, when))


def test_a_deep_filter_at_the_unit_is_a_cabinet_that_is_cut_in():
    """Its step asks what every cut into the return asks; a filter of its own kind asks nothing."""
    shallow = replace(FOUND.survey.filters[0], at="unit", grade="pleat-1in-merv8")
    of = job()
    of = replace(of, survey=replace(of.survey, filters=(shallow,)))
    deep = Change("c1", "filter", (shallow.id,), {"grade": "media-4in-merv8"})
    same = Change("c2", "filter", (shallow.id,), {"grade": "pleat-1in-merv8"})
    assert {("spillage", "before"), ("spillage", "after")} <= set(asked(of, deep))
    assert "spillage" not in {key for key, _ in asked(of, same)}


COMBUSTION = ("spillage", "co-flue", "co-room")


def test_return_sealing_speed_and_door_steps_ask_before_and_after():
    """With a fuel-burning appliance in the building; a run hung anew is none of them."""
    seal, door = Change("s", "seal", ("return",)), Change("t", "transfer", ("den",))
    for change in (RETURN, SPEED, seal, door, BY_KIND["grille"]):
        found = asked(job(), change)
        assert {(key, when) for key in COMBUSTION for when in ("before", "after")} <= {*found}
    assert not {key for key, _ in asked(job(), HUNG)} & {*COMBUSTION}


def test_without_fuel_nothing_is_asked_and_unknown_is_looked_for():
    """All electric; and a building of which nobody has said what burns."""
    electric = job(fuel=(), heat="electric")
    assert [key for key, when in asked(electric, RETURN) if when != "leaving"] == []
    unknown = replace(
        electric,
        survey=replace(
            electric.survey, place=Place(), unit=replace(electric.survey.unit, kind="air-handler")
        ),
    )
    assert asked(unknown, RETURN)[0] == ("fuel-look", "before")


def test_gas_heat_asks_the_rise_in_every_stage():
    """After every step that moves air, each stage by its own gate."""
    assert ("rise:heating", "after") in asked(job(), HUNG)
    both = [key for key, _ in asked(job(low_stage=True), HUNG) if key.startswith("rise")]
    assert both == ["rise:heating", "rise:heating-low"]
    assert not [k for k, _ in asked(job(heat="electric", fuel=()), HUNG) if k.startswith("rise")]


@pytest.mark.parametrize(
    ("key", "number", "state"),
    [
        # The limits of the sources: 1 min (safety test sheet), 100 ppm air-free, 9 ppm in a room.
        ("spillage", 60.0, "passed"),
        ("spillage", 61.0, "failed"),
        ("co-flue", 100.0, "passed"),
        ("co-flue", 101.0, "failed"),
        ("co-room", 8.0, "passed"),
        ("co-room", 9.0, "failed"),
    ],
)
def test_a_measured_result_is_held_against_its_limit(key, number, state):
    """Each side of each limit."""
    found = one(job(result(key, "before", RETURN, number)), key, "before", RETURN)
    assert (found.state, found.closed) == (state, state == "passed")
    assert found.source
    assert found.status


@pytest.mark.parametrize(
    ("number", "state"), [(29.0, "failed"), (30.0, "passed"), (60.0, "passed"), (61.0, "failed")]
)
def test_a_rise_is_held_against_the_plate(number, state):
    """Both ends of the range that the plate prints."""
    of = job(done(HUNG), result("rise:heating", "after", HUNG, number))
    found = one(of, "rise:heating", "after", HUNG)
    assert found.state == state
    assert found.low == pytest.approx(units.to_si(30.0, "degf_rise"))


def test_a_rise_without_its_plate_stays_open():
    """It says what to add."""
    of = job(done(HUNG), result("rise:heating", "after", HUNG, 45.0))
    bare = replace(of.survey.unit, rise={})
    found = one(replace(of, survey=replace(of.survey, unit=bare)), "rise:heating", "after", HUNG)
    assert found.state == "open"
    assert found.said.text() == "45 °F was read; add the plate's range to the survey."


def test_a_rise_that_was_read_with_the_step_in_force_counts():
    """As a reading of a heating trial; one from before the step does not."""
    from inchwater.survey import Reading

    def heating(after: tuple[str, ...]) -> Trial:
        read = Reading("x", "unit", "temperature-rise", "45", "degf_rise", 25.0)
        return Trial("trh", after, {"call": "heating", "coil": "dry"}, (read,))

    of = job(done(HUNG))
    old = replace(of, trials=(*of.trials, heating(())))
    new = replace(of, trials=(*of.trials, heating((HUNG.id,))))
    assert one(old, "rise:heating", "after", HUNG).state == "open"
    assert one(new, "rise:heating", "after", HUNG).state == "passed"


def test_referring_closes_a_gate_and_not_in_order_does_not():
    """By whom is kept; a failure is followed by another result."""
    referred = result("spillage", "before", RETURN, result="referred", by="licensed technician")
    found = one(job(referred), "spillage", "before", RETURN)
    assert (found.state, found.closed) == ("referred", True)
    assert found.said.text() == "Referred to licensed technician."
    failed = result("spillage", "before", RETURN, result="not-ok")
    assert one(job(failed), "spillage", "before", RETURN).state == "failed"
    again = job(failed, replace(result("spillage", "before", RETURN, 20.0), id="g2"))
    assert one(again, "spillage", "before", RETURN).state == "passed"


def test_what_was_found_after_one_step_holds_before_the_next():
    """As long as nothing is done between; before a step never counts after it."""
    before = result("spillage", "before", RETURN, 20.0)
    after = result("spillage", "after", RETURN, 20.0, id_="g2")
    of = job(before, done(RETURN), after)
    assert one(job(before, done(RETURN)), "spillage", "after", RETURN).state == "open"
    assert one(of, "spillage", "after", RETURN).state == "passed"
    steps = [(1, (RETURN,)), (2, (SPEED,))]
    second = [g for g in gates_of(of, steps) if (g.key, g.step) == ("spillage", 2)]
    assert [(g.when, g.state) for g in second] == [("before", "passed"), ("after", "open")]
    between = job(before, done(RETURN), after, done(HUNG, "d2"))
    second = [g for g in gates_of(between, steps) if (g.key, g.step) == ("spillage", 2)]
    assert [(g.when, g.state) for g in second] == [("before", "open"), ("after", "open")]


def test_ticks_before_leaving():
    """Leads where a speed was set, the filter where one was handled, the limit where it was out."""
    leaving = [key for key, when in asked(job(), SPEED) if when == "leaving"]
    assert "leads-parked" in leaving
    assert "closed-up" in leaving
    assert "leads-parked" not in [key for key, _ in asked(job(), HUNG)]
    handled = asked(job(), next(c for c in FOUND.changes if c.kind == "filter"))
    assert ("filter-back", "leaving") in handled
    from inchwater.survey import Reading

    coil = Reading("x", "before-coil", "static", "0.4", "inwc", 99.6)
    of = job()
    unit = replace(of.survey.unit, kind="furnace")
    of = replace(of, survey=replace(of.survey, unit=unit))
    through = replace(of, trials=(replace(of.trials[0], readings=(coil,)),))
    assert ("limit-refitted", "leaving") in asked(through, HUNG)
    no_coil = replace(of, trials=(replace(of.trials[0], readings=(replace(coil, at="supply"),)),))
    assert ("limit-refitted", "leaving") not in asked(no_coil, HUNG)
    tick = WorkRecord("w", "gate", gate="closed-up", when="leaving", result="ok")
    assert one(job(tick), "closed-up", "leaving", HUNG).state == "passed"


def test_a_wrong_kind_of_result_leaves_a_gate_open():
    """Seconds do not measure carbon monoxide, and a tick is no number."""
    seconds = WorkRecord(
        *("w", "gate"),
        gate="co-flue",
        when="before",
        changes=(RETURN.id,),
        result="measured",
        value=Fact(20.0, "s"),
    )
    found = one(job(seconds), "co-flue", "before", RETURN)
    assert (found.state, found.said.text()) == ("open", "s does not measure this.")
    assert one(job(), "co-flue", "before", RETURN).said.text() == "Nothing is reported yet."


def test_a_gate_is_plain_data_in_both_systems():
    """Bounds in the unit that is shown."""
    found = one(job(), "rise:heating", "after", HUNG)
    assert json.loads(json.dumps(found.to_dict()))["low"] == pytest.approx(30.0)
    assert found.to_dict("si")["high"] == pytest.approx(60.0 / 1.8)
    assert set(planning.gate_keys()) >= {found.key, *COMBUSTION, "leads-parked", "filter-back"}
