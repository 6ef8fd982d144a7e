"""Side effects of changes: every number with its range, every lack in words, the trade's signs."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from inchwater.air import sensible_heat
from inchwater.calibration import calibrate
from inchwater.effects import GROUPS, Plate, Surroundings, Use, of_changes, side_effects
from inchwater.effects.pair import Pair
from inchwater.errors import InputError, PartError, UnknownNameError
from inchwater.forecast import predict
from inchwater.survey import (
    Branch,
    Change,
    Duct,
    Fact,
    HeatKit,
    Reading,
    TableRow,
    minimal_job,
)
from inchwater.units import from_si, to_si
from tests.network.surveys import TORQUE, attic, basement, blower, job, seen, trial

STATICS = {"before_filter": 0.12, "return": 0.30, "supply": 0.30}
HOT_ATTIC = Surroundings(to_si(130.0, "degf"), to_si(76.0, "degf"), to_si(6.0, "rvalue"))
USE = Use.of({"cooling": 1000.0}, 0.15, {"cooling": 2500.0})


@cache
def house(**unit):
    """The attic house calibrated, with what is given of its unit."""
    survey = attic()
    return calibrate(
        job(replace(survey, unit=replace(survey.unit, **dict(unit))), trial(**STATICS)), 5, size=300
    )


@cache
def furnace(**unit):
    """The furnace in a basement calibrated, which heats on its low tap."""
    survey = basement()
    given = {"heat_output": seen(64_000, "btuh"), **unit}
    survey = replace(survey, unit=replace(survey.unit, **given))
    # Mappings cannot be cached by.
    calls = {"cooling": "high", "heating": "low"}
    survey = replace(survey, unit=replace(survey.unit, calls=calls))
    return calibrate(job(survey, trial(**STATICS)), 5, size=300)


def change(kind, /, *targets, **to):
    """A change with an id of its own kind."""
    return Change(f"c-{kind}", kind, targets, to)


def told(posterior, *changes, **more):
    """The side effects of changes in the standing call."""
    return side_effects(predict(posterior), predict(posterior, changes), posterior.job, **more)


# --- what there is


def test_every_effect_is_a_number_or_a_reason():
    """Ranges hold their medians, keys come once, groups come in order, both unit systems speak."""
    effects = told(house(), change("tap", tap="5"), use=USE, around=HOT_ATTIC)
    keys = [effect.key for effect in effects]
    assert len(keys) == len(set(keys))
    places = [GROUPS.index(effect.group) for effect in effects]
    assert places == sorted(places)
    for effect in effects:
        numbers = (effect.now, effect.then, effect.change)
        if effect.unknown is not None:
            assert numbers == (None, None, None)
            assert effect.unknown.text().endswith(".")
            continue
        assert any(numbers), effect.key
        assert effect.source, effect.key
        for number in filter(None, numbers):
            assert number.low <= number.value <= number.high, effect.key
            assert np.isfinite([number.low, number.high]).all()
        if effect.odds is not None:
            assert all(p is None or 0.0 <= p <= 1.0 for p in (effect.odds.now, effect.odds.then))
    assert len(effects.known) + len(effects.unknown) == len(effects)
    for system in ("ip", "si"):
        document = json.loads(json.dumps(effects.to_dict(system)))
        assert len(document["effects"]) == len(effects)
        assert document["assumed"]


def test_one_effect_by_its_key():
    """By subscript, with the choices where there is none."""
    effects = told(house(), only=("cooling",))
    assert effects["capacity"].group == "cooling"
    assert "capacity" in effects
    assert "noise" not in effects
    with pytest.raises(UnknownNameError) as caught:
        effects["loudness"]
    assert str(caught.value) == (
        "effect: 'loudness' came; effects are rated-air, capacity, sensible, circuit-power, "
        "efficiency."
    )


def test_no_change_changes_nothing():
    """The system against itself: each change is nothing, without any range."""
    effects = told(house(), use=USE, around=HOT_ATTIC)
    for effect in effects.known:
        if effect.change is not None:
            assert (effect.change.low, effect.change.high) == pytest.approx((0.0, 0.0), abs=1e-9)
        if effect.odds is not None and effect.odds.now is not None:
            assert effect.odds.now == effect.odds.then


def test_fewer_groups_move_no_number():
    """Each law's scatter has a stream of its own."""
    after = change("tap", tap="5")
    all_ = told(house(), after, use=USE, around=HOT_ATTIC)
    for group in ("noise", "cooling", "coil", "fan", "ducts"):
        few = told(house(), after, use=USE, around=HOT_ATTIC, only=(group,))
        assert few.all == all_.group(group)
        assert few.all


def test_the_same_question_has_the_same_answer():
    """No hidden randomness."""
    after = change("tap", tap="5")
    assert told(house(), after) == told(house(), after)


# --- the trade's signs


def test_a_faster_tap():
    """Louder, more capacity and water-poorer air, warmer coil, more watts, less warming."""
    effects = told(house(), change("tap", tap="5"), use=USE, around=HOT_ATTIC)
    rises = ("register-noise:r1", "grille-noise:g1", "duct-noise:t1", "blower-noise", "rated-air",
             "capacity", "efficiency", "leaving-air", "sensible-share", "coil",
             "coil-mild", "fan-power:cooling", "fan-energy", "fan-cost")  # fmt: skip
    falls = ("split", "water", "circuit-energy:cooling", "circuit-cost:cooling", "duct-gain:r3")
    for key in rises:
        assert effects[key].change.low > 0.0, key
    for key in falls:
        assert effects[key].change.high < 0.0, key
    # The larger blower's own heat takes most of what sensible cooling gains.
    assert 0.0 < effects["sensible"].change.value < effects["capacity"].change.value + 0.02
    ice = effects["coil-mild"].odds
    assert ice.then <= ice.now


def test_a_tenth_more_air_is_some_decibels():
    """60 lg 1.1 is 2.5 dB; the law's own range is 10 % and more of it."""
    effects = told(house(), change("tap", tap="5"))
    pair = Pair.of(predict(house()), predict(house(), [change("tap", tap="5")]), 1)
    ratio = np.median(pair.airflow[1] / pair.airflow[0])
    number = effects["grille-noise:g1"].change
    assert number.value == pytest.approx(60.0 * np.log10(ratio), rel=0.1)
    assert number.high - number.low > 0.2 * number.value


def test_a_larger_register_is_softer():
    """And louder rooms are told as odds against their guidance."""
    larger = change("register", "r1", width=seen(14, "in"), height=seen(8, "in"))
    effects = told(house(), larger)
    assert effects["register-noise:r1"].change.value < -5.0
    level = effects["register-criterion:r1"]
    assert level.then.value < level.now.value
    assert level.odds.then < level.odds.now
    assert level.odds.of.text() == "louder than NC 35"
    # What was replaced may be another piece of its kind: that range does not cancel.
    other = effects["register-noise:r2"].change
    mine = effects["register-noise:r1"].change
    assert mine.high - mine.low > 5.0 * (other.high - other.low)


def test_a_bedroom_is_held_lower_and_the_complaint_comes_first():
    """By the room's name; the room of the complaint leads the registers."""
    survey = attic()
    branches = tuple(
        replace(b, room="Bedroom") if b.id == "r4" else b for b in survey.supply.branches
    )
    named = replace(survey, supply=replace(survey.supply, branches=branches))
    found = calibrate(job(named, trial(**STATICS)), 5, size=200)
    ours = replace(found.job, complaint_room="Bedroom")
    effects = side_effects(predict(found), predict(found), ours, only=("noise",))
    assert effects["register-criterion:r4"].bounds.high == 30.0
    registers = [e.at for e in effects if e.key.startswith("register")]
    assert registers[:2] == ["run:r4", "run:r4"]


def test_the_range_holds_the_law_too():
    """With one sample of the house, capacity still has the range of units of its kind."""
    found = house()
    one = replace(
        found,
        samples={name: np.full_like(v, np.median(v)) for name, v in found.samples.items()},
    )
    effects = told(one, only=("cooling", "noise"))
    air = effects["rated-air"].now
    assert air.high == pytest.approx(air.low)
    moved = effects["efficiency"].now
    assert moved.high - moved.low > 0.5 * abs(1.0 - moved.value)
    level = effects["register-criterion:r1"].then
    # Three publications of one register lie 42 apart.
    assert 40.0 < level.high - level.low < 60.0


def test_the_folk_rule_is_not_there():
    """A tenth less air costs less than 3 % of the efficiency in cooling, in 19 of 20 units."""
    effects = told(house(), change("tap", tap="4"), only=("cooling",))
    air, efficiency = effects["rated-air"].then, effects["efficiency"].then
    assert (1.0 - efficiency.low) < 0.35 * (1.0 - air.low) + 0.02


# --- heating


def test_a_furnace_against_its_plate():
    """In its own call, with the odds to be inside; the low stage has none of its own."""
    plate = Plate(rise={"heating": (to_si(35.0, "degf_rise"), to_si(65.0, "degf_rise"))})
    found = furnace()
    effects = of_changes(found, [change("filter", "f1", grade="media-4in-merv8")], plate=plate)
    rise = effects["rise:heating"]
    assert 40.0 < from_si(rise.now.value, "degf_rise") < 110.0
    assert rise.then.value < rise.now.value
    assert rise.odds.of.text() == "the rise is within the plate"
    assert rise.odds.then >= rise.odds.now
    assert rise.bounds.source == "rating plate"
    assert "fan-power:heating" in effects
    # The call of the trial stays the one that is listed first.
    assert next(e.key for e in effects.group("fan")) == "fan-power:cooling"


def test_a_rise_that_was_read_moves_the_rise():
    """What the unit gives then comes from the reading and not from its plate alone."""
    survey = basement()
    calls = {"cooling": "high", "heating": "low"}
    unit = replace(survey.unit, heat_output=seen(64_000, "btuh"), calls=calls)
    heats = trial("t2", condition={"call": "heating"}, before_filter=0.08)
    rise = to_si(70.0, "degf_rise")
    read = Reading("rise", "unit", "temperature-rise", "70", "degf_rise", rise)
    heats = replace(heats, readings=(*heats.readings, read))
    ours = job(replace(survey, unit=unit), trial(**STATICS), heats)
    found = calibrate(ours, 5, size=300)
    with_it = of_changes(found, [], only=("heating",))["rise:heating"].now
    without = of_changes(furnace(), [], only=("heating",))["rise:heating"].now
    assert without.value + 0.5 < with_it.value < rise
    # The heat that was learnt is the one that is told of.
    state = predict(found, (), {"call": "heating"}).solution
    told_rise = state.network.heat * state.values["unit:heat"] + state.power
    per_kelvin = sensible_heat(state.airflow, 1.0, state.network.air)
    assert with_it.value == pytest.approx(np.median(told_rise / per_kelvin), rel=0.02)


def test_a_rise_outside_the_plate_is_warned_of():
    """Where the odds to be inside are less than 9 in 10, and only there."""
    low, high = to_si(20.0, "degf_rise"), to_si(45.0, "degf_rise")
    caution = (
        "Outside the plate's range an exchanger overheats, or its flue gas condenses: measure the "
        "rise with every panel on, and do not leave it so."
    )
    for top, notes in ((high, [caution]), (to_si(180.0, "degf_rise"), [])):
        rise = of_changes(furnace(), [], plate=Plate(rise={"heating": (low, top)}))["rise:heating"]
        assert [note.text() for note in rise.notes] == notes


def test_without_the_plate_the_rise_has_no_odds():
    """And that the plate decides is said."""
    rise = of_changes(furnace(), [])["rise:heating"]
    assert rise.odds is None
    assert [note.text() for note in rise.notes] == [
        "The plate's range of rise is not known: read it, for it decides."
    ]


def test_a_lower_tap_rises_more():
    """Quieter in heating, and nearer the limit: the two are told together."""
    found = furnace()
    before = predict(found, (), {"call": "heating", "tap": "high"})
    after = predict(found, (), {"call": "heating", "tap": "low"})
    effects = side_effects(before, after, found.job, only=("heating", "noise"))
    assert effects["rise:heating"].change.low > 0.0
    assert effects["grille-noise:g1"].change.high < 0.0


def test_the_tap_of_cooling_leaves_heating_alone():
    """And a call whose tap is set for the first time has nothing to compare with."""
    slower = of_changes(furnace(), [change("tap", tap="low")])
    assert slower["rated-air"].change.high < 0.0
    still = slower["rise:heating"].change
    assert (still.low, still.high) == (0.0, 0.0)
    first = of_changes(house(), [change("tap", "heating", tap="3")], only=("heating",))
    assert first.assumed[-1].text() == (
        "Heating call: the tap that runs in it now is not in the survey, so nothing is told of it."
    )
    assert not first["heating-rise"].known


def test_a_call_beyond_the_table_is_said():
    """The other calls are told all the same."""
    survey = basement()
    rows = tuple(r for r in survey.unit.table.rows if r.tap == "high" or r.tesp < 60.0)
    table = replace(survey.unit.table, rows=rows)
    calls = {"cooling": "high", "heating": "low"}
    unit = replace(survey.unit, table=table, calls=calls, heat_output=seen(64_000, "btuh"))
    statics = {"before_filter": 0.10, "return": 0.50, "supply": 0.45}
    found = calibrate(job(replace(survey, unit=unit), trial(**statics)), 5, size=200)
    effects = of_changes(found, [])
    assert effects["capacity"].known
    assert not effects["rise:heating"].known
    assert effects.assumed[-1].text().startswith("Heating call: table: ")


def test_the_low_stage_needs_its_own_heat():
    """Unknown without it, told with it."""
    found = furnace()
    low = predict(found, (), {"call": "heating-low", "tap": "low"})
    both = {"heating-low": (low, low)}
    effects = told(found, calls=both, only=("heating",))
    assert effects["rise:heating-low"].unknown.text() == (
        "The heat of the low stage is not known: read it on the plate."
    )
    plate = Plate(heat_output_low=to_si(40_000.0, "btuh"))
    known = told(found, calls=both, only=("heating",), plate=plate)["rise:heating-low"]
    # 40,000 Btu/h in some 600 to 900 cfm.
    assert 35.0 < from_si(known.now.value, "degf_rise") < 70.0


def test_a_furnace_of_unknown_heat():
    """Its output, not its input, has to be read."""
    effects = of_changes(furnace(heat_output=None), [])
    assert effects["rise:heating"].unknown.text() == (
        "The heat that the unit gives is not in the survey: read its output (not its input) on "
        "the plate."
    )


def test_a_heat_pump_gains_more_from_air_than_in_cooling():
    """Heating efficiency moves more than cooling efficiency for the same air."""
    found = house()
    heating, cooling = (
        tuple(predict(found, (), {"call": call, "tap": tap}) for tap in ("3", "5"))
        for call in ("heating", "cooling")
    )
    effects = side_effects(*cooling, found.job, calls={"heating": heating})
    gained = effects["heating-efficiency"].change
    assert gained.low > 0.0
    assert gained.value > 2.0 * effects["efficiency"].change.value
    assert effects["heating-rise"].change.high < 0.0
    assert effects["heating-power"].change.value < 0.0


def test_a_heat_kit_against_its_table():
    """Odds only with the kit's own least air; else what such tables ask for, as a remark."""
    survey = attic()
    kit = replace(survey.unit, heat="electric", heat_kit=HeatKit(power=seen(10, "kw")))
    found = calibrate(job(replace(survey, unit=kit), trial(**STATICS)), 5, size=200)
    heating = predict(found, (), {"call": "heating", "tap": "3"})
    calls = {"heating": (heating, heating)}
    air = told(found, calls=calls, only=("heating",))["kit-air"]
    assert air.odds is None
    assert air.notes[0].text() == (
        "Tables of such kits ask for 500 cfm to 900 cfm at least (memory); its own table decides: "
        "read it."
    )
    for least, odds in ((to_si(300.0, "cfm"), 1.0), (to_si(2000.0, "cfm"), 0.0)):
        plate = Plate(kit_airflow=least)
        judged = told(found, calls=calls, only=("heating",), plate=plate)["kit-air"]
        assert judged.odds.then == odds
        assert bool(judged.notes) is (odds == 0.0)
    rise = told(found, calls=calls, only=("heating",))["rise:heating"]
    assert 15.0 < from_si(rise.now.value, "degf_rise") < 45.0


def test_the_kit_of_a_heat_pump_adds_its_own_rise():
    """By the square of the voltage; unknown without the kit's power."""
    survey = attic()
    kits = {}
    for name, kit in (("known", HeatKit(power=seen(10, "kw"))), ("not", HeatKit())):
        with_kit = replace(survey, unit=replace(survey.unit, heat_kit=kit))
        found = calibrate(job(with_kit, trial(**STATICS)), 5, size=200)
        full, low = (
            predict(found, (), {"call": "heating", "tap": "3", "volts": volts})
            for volts in ("240", "208")
        )
        kits[name] = told(found, calls={"heating": (full, low)}, only=("heating",))
    rise = kits["known"]["kit-rise"]
    assert rise.then.value / rise.now.value == pytest.approx((208 / 240) ** 2, rel=0.02)
    assert kits["not"]["kit-rise"].unknown.text() == (
        "The kit's power is not in the survey: read it on the kit's plate."
    )
    assert kits["not"]["kit-air"].unknown.text() == (
        "Neither the kit's power nor the least air of its table is in the survey."
    )


# --- the year


def test_hours_and_tariff():
    """Watts times hours times price; what carries more runs less; without them it is unknown."""
    effects = told(house(), use=USE, only=("fan",))
    watts = effects["fan-power:cooling"].now.value
    assert effects["fan-energy"].now.value == pytest.approx(watts * 3.6e6, rel=1e-6)
    cost = effects["fan-cost"].now.value
    assert cost == pytest.approx(watts * 0.15, rel=1e-6)
    less = told(house(), use=Use.of({"cooling": 1000.0}), only=("fan",))["fan-cost"]
    assert less.unknown.text() == "The price of a kilowatt-hour is not known."
    none = told(house(), only=("fan",))["fan-energy"]
    assert none.unknown.text() == "The hours that it runs in a year are not known."
    other = told(house(), use=Use.of({"heating": 800.0}), only=("fan",))["fan-energy"]
    assert other.unknown.text() == (
        "There is no forecast of the heating call; it needs the tap that runs then."
    )


def test_a_table_without_watts():
    """No watts are guessed."""
    rows = tuple(replace(row, power=None) for row in blower(TORQUE).rows)
    survey = attic()
    table = replace(survey.unit.table, rows=rows)
    found = calibrate(
        job(replace(survey, unit=replace(survey.unit, table=table)), trial(**STATICS)), 5, size=200
    )
    effects = told(found, use=USE)
    for key in ("fan-power:cooling", "fan-share:cooling", "fan-energy", "fan-cost"):
        assert effects[key].unknown.text() == (
            "The blower table has no watts: type its column of watts, or read the blower's power."
        )
    assert "Without the blower's heat: no watts." in [n.text() for n in effects["split"].notes]


def test_shaft_speeds_tell_the_blowers_noise():
    """Where the table has them: 50 lg of their ratio."""
    rows = tuple(
        TableRow(r.tap, r.tesp, r.airflow, r.power, 80.0 + 8.0 * float(r.tap) + 0.1 * r.tesp)
        for r in blower(TORQUE).rows
    )
    survey = attic()
    table = replace(survey.unit.table, rows=rows)
    found = calibrate(
        job(replace(survey, unit=replace(survey.unit, table=table)), trial(**STATICS)), 5, size=200
    )
    before, after = predict(found), predict(found, [change("tap", tap="5")])
    effect = side_effects(before, after, found.job, only=("noise",))["blower-noise"]
    speeds = before.solution.speed, after.solution.speed
    assert effect.change.value == pytest.approx(
        50.0 * np.log10(np.median(speeds[1] / speeds[0])), rel=0.05
    )
    assert effect.notes == ()


# --- what is lacking


def test_three_numbers_alone():
    """Noise as a whole, capacity wide; of heat, watts and ducts it is said what they lack."""
    found = calibrate(
        minimal_job(
            capacity=to_si(2.5, "ton"),
            return_static=to_si(0.29, "inwc"),
            supply_static=to_si(0.42, "inwc"),
        ),
        7,
        size=300,
    )
    effects = told(found, around=HOT_ATTIC, use=USE)
    for key in ("register-noise", "grille-noise"):
        assert effects[key].known
    assert effects["register-noise"].notes[0].text() == (
        "Of all registers together: the runs are not in the survey."
    )
    assert effects["rise:heating"].unknown.text() == "How the unit heats is not in the survey."
    assert effects["duct-gain"].unknown.text() == "The runs are not in the survey."
    assert not effects["fan-power:cooling"].known
    assert "Taken for an air conditioner: nobody said whether it is a heat pump." in [
        note.text() for note in effects["rated-air"].notes
    ]
    assert effects["rated-air"].now.high - effects["rated-air"].now.low > 0.2


@pytest.mark.parametrize(
    ("around", "key", "text"),
    [
        (None, "duct-gain", "The temperature around the ducts is not known."),
        (
            Surroundings(to_si(130.0, "degf")),
            "duct-gain",
            "The insulation of the ducts is not known: read its R-value.",
        ),
        (
            replace(HOT_ATTIC, insulation={"r1": 1.0}),
            "duct-gain:r2",
            "The insulation of run r2 is not known: read its R-value.",
        ),
        (
            replace(HOT_ATTIC, dew_point=None),
            "sweating:r1",
            "The dew point of the air around the ducts is not known.",
        ),
    ],
)
def test_what_is_around_the_ducts_has_to_be_said(around, key, text):
    """Each lack has its own sentence."""
    effects = told(house(), around=around, only=("ducts",))
    assert effects[key].unknown.text() == text


def test_ducts_sweat_in_damp_air_and_not_in_dry():
    """A bare jacket in a crawl space of 75 °F sweats below a dew point of 74 °F, not of 50 °F."""
    damp = Surroundings(to_si(75.0, "degf"), to_si(74.0, "degf"), to_si(2.0, "rvalue"), False)
    effects = told(house(), around=damp, only=("ducts",))
    assert effects["sweating:r1"].odds.now > 0.95
    dry = replace(damp, dew_point=to_si(50.0, "degf"))
    assert told(house(), around=dry, only=("ducts",))["sweating:r1"].odds.now == 0.0
    # Through the trunk the air is warmer at its run's cold end.
    assert effects["sweating:r5"].now.value > effects["sweating:r1"].now.value


def test_a_longer_way_gains_more():
    """Warming goes with the length and with less air; foil and R-8 keep cool."""
    effects = told(house(), around=HOT_ATTIC, only=("ducts",))
    assert effects["duct-gain:r3"].now.value > effects["duct-gain:r1"].now.value
    better = replace(HOT_ATTIC, insulation=to_si(8.0, "rvalue"), reflective=True)
    less = told(house(), around=better, only=("ducts",))
    assert less["duct-gain:r3"].now.value < effects["duct-gain:r3"].now.value


def test_a_new_run_has_nothing_to_compare_with():
    """What it comes to in the room is told all the same, where its register is known."""
    new = change("add-run", "plenum", id="r9", room="Den", diameter=seen(7, "in"),
                 length=seen(20, "ft"), material="flex", slack="tight")  # fmt: skip
    effects = told(house(), new, around=HOT_ATTIC)
    assert effects["register-noise:r9"].unknown.text() == (
        "It is new, or no air comes through it now: there is nothing to compare with."
    )
    assert effects["duct-noise:r9"].unknown.text() == (
        "It is new: there is nothing to compare with."
    )
    gain = effects["duct-gain:r9"]
    assert (gain.now, gain.change) == (None, None)
    assert gain.then.value > 0.0
    assert [note.text() for note in gain.notes] == [
        "In air of 130 °F around it.",
        "Now: it is new.",
    ]
    assert effects["sweating:r9"].odds.now is None
    # The others have less air now.
    assert effects["register-noise:r1"].change.high < 0.0


def test_a_register_of_unknown_size():
    """Its change is known as long as it stays; its level and its replacement are not."""
    survey = attic()
    bare = Branch("r1", Duct("flex", seen(8, "in"), seen(20, "ft"), "slack"))
    branches = (bare, *survey.supply.branches[1:])
    found = calibrate(
        job(replace(survey, supply=replace(survey.supply, branches=branches)), trial(**STATICS)),
        5,
        size=200,
    )
    effects = told(found, change("tap", tap="5"), only=("noise",))
    assert effects["register-noise:r1"].known
    assert effects["register-criterion:r1"].unknown.text() == (
        "The face of the register is not in the survey."
    )
    new = change("register", "r1", width=seen(12, "in"), height=seen(6, "in"))
    replaced = told(found, new, only=("noise",))
    assert replaced["register-noise:r1"].unknown.text() == (
        "It is replaced, and the face of the register that is there now is not in the survey: "
        "measure it."
    )
    level = replaced["register-criterion:r1"]
    assert level.now is None
    assert level.then is not None
    assert level.odds.now is None


def test_a_system_without_a_coil():
    """Nothing of cooling is told."""
    survey = replace(attic(), coils=())
    found = calibrate(job(survey, trial(**STATICS)), 5, size=200)
    effects = told(found, only=("cooling", "coil"))
    assert {e.unknown.text() for e in effects} == {"There is no cooling coil."}


def test_far_outside_its_rated_air_nothing_is_said_of_the_circuit():
    """A unit said to be of twice its capacity gets half the air and less: check the plate."""
    survey = attic()
    unit = replace(survey.unit, capacity=Fact(12.0, "ton"))
    found = calibrate(job(replace(survey, unit=unit), trial(**STATICS)), 5, size=200)
    effects = told(found, only=("cooling",))
    assert (
        effects["capacity"]
        .unknown.text()
        .endswith(
            "of what is possible the coil gets less than 30 % or more than 150 % of its rated air, "
            "where nothing is known. Read the airflow, and check the capacity on the plate."
        )
    )


def test_few_samples_outside_are_left_out_and_said():
    """Up to 2 % of the weight; the numbers are those of the rest."""
    found = house()
    pair = Pair.of(predict(found), predict(found), 3)
    flow = np.sort(pair.airflow[0])
    kept, share = pair.within(float(flow[3]), np.inf, pair.airflow[0])
    assert 0.0 < share < 0.05
    assert kept.estimate(pair.airflow[0], "airflow").low >= flow[3]
    assert np.sum(kept.weights == 0.0) == 3


# --- what is refused


def test_forecasts_of_two_posteriors_are_refused():
    """Their samples have nothing to do with each other."""
    with pytest.raises(InputError) as caught:
        side_effects(predict(house()), predict(house().thinned(100)), house().job)
    assert str(caught.value) == (
        "after: a forecast of 100 samples came; it is of the 300 samples that the forecast before "
        "is of. Make both forecasts from the same posterior."
    )


@pytest.mark.parametrize(
    ("make", "text"),
    [
        (
            lambda: Use.of({"cool": 10.0}),
            "use.running: 'cool' came; calls are cooling, cooling-low, heating, heating-low, fan.",
        ),
        (
            lambda: Use.of({"cooling": -1.0}),
            "use.running.cooling: -3600 came; a year has 8,760 h.",
        ),
        (
            lambda: Use.of({"cooling": 5000.0, "heating": 5000.0}),
            "use.running: 10,000 h in all calls together came; a year has 8,760 h.",
        ),
        (
            lambda: Use.of({"cooling": 10.0}, 15.0),
            "use.price: 4.16667e-06 USD/J came; energy costs 0 to 5 USD/kWh. "
            "Give the price of a kilowatt-hour.",
        ),
        (
            lambda: Use.of({}, None, {"cooling": float("nan")}),
            "use.compressor.cooling: nan came; a year's energy is 0 to 100,000 kWh.",
        ),
        (
            lambda: Surroundings(300.0, 305.0),
            "around.dew_point: 305 K came; it is no higher than the air's temperature, 300 K. "
            "Check both.",
        ),
        (
            lambda: Surroundings(130.0),
            "around.temperature: 130 K came; air around ducts has 213 to 363 K.",
        ),
        (
            lambda: Plate(kit_airflow=0.0),
            "plate.kit_airflow: 0 m3/s came; it is a number above zero.",
        ),
    ],
)
def test_what_is_said_and_cannot_be_is_refused(make, text):
    """Hours, tariff and energy, what is around the ducts, and plates have their ranges."""
    with pytest.raises((InputError, PartError)) as caught:
        make()
    assert str(caught.value) == text


def test_a_plate_that_cannot_be_is_refused():
    """The low end lies below the high one."""
    plate = Plate(rise={"heating": (30.0, 20.0)})
    with pytest.raises(InputError) as caught:
        of_changes(furnace(), [], plate=plate)
    assert str(caught.value) == (
        "plate.rise.heating: 30 to 20 K came; the low end is below the high one. "
        "Read the rating plate again."
    )


def test_an_unknown_group_is_refused():
    """With the choices."""
    with pytest.raises(UnknownNameError) as caught:
        told(house(), only=("smell",))
    assert str(caught.value) == (
        "only: 'smell' came; choices are noise, cooling, coil, heating, fan, ducts."
    )
