"""What is wanted: presets, what makers print, wishes, their rank, and what excludes what."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from inchwater import units
from inchwater.criteria import calls_wanted, noisy_room, targets
from inchwater.criteria.measure import QUANTITIES
from inchwater.errors import InputError, UnknownNameError
from inchwater.survey import CALLS, Fact, HeatKit, RiseRange, Room, Targets, Wish
from inchwater.units import from_si
from tests.network.surveys import attic, basement, house, job, seen
from tests.properties.jobs import jobs


def by_name(survey, wanted=None, call=""):
    """The targets by their names."""
    found = targets(survey, wanted or Targets(), call)
    assert len({one.name for one in found}) == len(found)
    return {one.name: one for one in found}


def wishing(*wishes, **more):
    return Targets(wishes=wishes, **more)


def unit_with(survey, **more):
    return replace(survey, unit=replace(survey.unit, **more))


def furnace(**more):
    """A furnace of 64,000 Btu/h whose plate allows 35 to 65 °F."""
    rise = {"heating": RiseRange(seen(35, "degf_rise"), seen(65, "degf_rise"))}
    return unit_with(basement(), **{"heat_output": seen(64_000, "btuh"), "rise": rise, **more})


# --- what there is


def test_a_described_house_has_a_target_for_every_part():
    """A heat pump in an attic: airflow, rooms, plate, filter, each run and trunk, noise, watts."""
    found = by_name(attic())
    assert list(found)[:5] == ["airflow", "delivered", "tesp", "filter-face:f1", "filter-drop:f1"]
    for run in ("r1", "r2", "r3", "r4", "r5", "r6"):
        for key in ("run-velocity", "register-velocity", "noise"):
            assert found[f"{key}:{run}"].needed
    for name in ("trunk-velocity:t1", "return-velocity:g1", "grille-velocity:g1", "noise:g1"):
        assert found[name].needed
    assert not found["power"].needed
    assert not found["filter-drop:f1"].needed
    assert "rise" not in found
    assert "quieter:r1" not in found


def test_bounds_and_their_words():
    """3 ton: 1,050 to 1,350 cfm in the usual window; the typed plate; 700 fpm in a run."""
    found = by_name(unit_with(attic(), tesp_rating=seen(0.8, "inwc")))
    assert found["airflow"].bounds() == "1,050–1,350 cfm"
    assert found["airflow"].bounds("si") == "496–637 L/s"
    assert found["delivered"].bounds() == "at least 960 cfm"
    assert found["tesp"].bounds() == "up to 0.80 in. w.c."
    assert found["tesp"].source == "the rating plate"
    assert found["tesp"].others == ()
    assert found["run-velocity:r1"].bounds() == (
        "up to 700 fpm, or no more than 25 % faster than now"
    )


def test_without_a_plate_the_typical_figure_is_said_as_such():
    """It comes with its source, and with what the rating test used before 2023."""
    plate = by_name(unit_with(attic(), tesp_rating=None))["tesp"]
    assert plate.source.startswith("typical plate; 10 CFR 430")
    assert [other.text() for other in plate.others] == [
        "up to 0.20 in. w.c.: AHRI 210/240-2017: least static of the rating test before 2023, as "
        "coded in a public rating program"
    ]


def test_a_call_has_what_is_for_it():
    """No window for burners and the fan alone; a rise for burners; the pump's own in heating."""
    assert "airflow" not in by_name(furnace(), call="heating")
    assert "delivered" not in by_name(furnace(), call="fan")
    assert by_name(furnace(), call="heating")["rise"].bounds() == "35–65 °F"
    assert "rise" not in by_name(furnace(), call="cooling")
    assert "airflow" in by_name(attic(), call="heating")
    assert "rise" not in by_name(attic(), call="heating")
    assert all(one.call == "heating" for one in by_name(furnace(), call="heating").values())


def test_which_calls_have_to_be_looked_at():
    """Cooling; heating for its plate or a kit; what a wish names; as far as taps are known."""
    taps = {"cooling": "high", "heating": "low"}
    assert calls_wanted(attic(), Targets()) == ("cooling",)
    assert calls_wanted(furnace(), Targets()) == ("cooling",)
    assert calls_wanted(furnace(calls=taps), Targets()) == ("cooling", "heating")
    kit = HeatKit(least_airflow=seen(600, "cfm"))
    assert calls_wanted(unit_with(attic(), heat_kit=kit, calls=taps), Targets()) == (
        "cooling",
        "heating",
    )
    asked = wishing(Wish("tesp", high=seen(0.5, "inwc"), call="fan"))
    assert calls_wanted(unit_with(attic(), calls={**taps, "fan": "low"}), asked) == (
        "cooling",
        "fan",
    )


# --- rank


def test_a_usual_rise_decides_nothing_and_a_printed_one_does():
    """Without a plate 30 to 70 °F stand there from memory, and do not count."""
    usual = by_name(furnace(rise={}), call="heating")["rise"]
    assert (usual.bounds(), usual.needed, usual.status) == ("30–70 °F", False, "memory")
    assert by_name(furnace(), call="heating")["rise"].needed


def test_a_wish_outranks_a_preset_and_the_preset_is_still_said():
    """Of one run alone; the others keep the usual bound."""
    wanted = wishing(
        Wish("run-velocity", high=seen(550, "fpm"), part="r2"),
        Wish("run-velocity", high=seen(650, "fpm")),
    )
    found = by_name(attic(), wanted)
    assert found["run-velocity:r2"].bounds() == "up to 550 fpm"
    assert found["run-velocity:r3"].bounds() == "up to 650 fpm"
    assert found["run-velocity:r2"].stated
    assert found["run-velocity:r2"].source == "stated for this job"
    assert found["run-velocity:r2"].others[0].text() == (
        "up to 700 fpm: HVAC School, quick tips on air velocity, residential branches, 500 to 700 "
        "fpm"
    )


def test_the_wish_for_a_call_outranks_that_for_all():
    """Watts in the fan's call are another wish than in all calls; both count."""
    wanted = wishing(
        Wish("power", high=seen(0.5, "w_cfm")), Wish("power", high=seen(0.3, "w_cfm"), call="fan")
    )
    for call, high in (("", 0.5), ("cooling", 0.5), ("fan", 0.3)):
        one = by_name(attic(), wanted, call)["power"]
        assert from_si(one.high, "w_cfm") == pytest.approx(high)
        assert one.needed


def test_one_wished_bound_leaves_the_other_as_it_was():
    """At least 1,200 cfm, and the window's 1,350 at most."""
    one = by_name(attic(), wishing(Wish("airflow", low=seen(1200, "cfm"))))["airflow"]
    assert one.bounds() == "1,200–1,350 cfm"


def test_a_wished_airflow_and_a_stated_window_both_hold():
    """1,000 to 1,300 cfm beside 380 to 450 cfm/ton of 3 ton: 1,140 to 1,300."""
    wanted = wishing(
        Wish("airflow", seen(1000, "cfm"), seen(1300, "cfm")),
        airflow_per_capacity_low=seen(380, "cfm_ton"),
    )
    assert by_name(attic(), wanted)["airflow"].bounds() == "1,140–1,300 cfm"
    stated = Targets(airflow_per_capacity_low=seen(380, "cfm_ton"))
    assert by_name(attic(), stated)["airflow"].stated


def test_a_wish_may_be_stricter_than_the_plate():
    """0.4 on a plate of 0.5, and 45 to 60 °F on one of 35 to 65."""
    assert by_name(attic(), wishing(Wish("tesp", high=seen(0.4, "inwc"))))["tesp"].stated
    wanted = wishing(Wish("rise", seen(45, "degf_rise"), seen(60, "degf_rise")))
    assert by_name(furnace(), wanted, "heating")["rise"].bounds() == "45–60 °F"


@pytest.mark.parametrize(
    ("survey", "wish", "call", "text"),
    [
        (
            attic(),
            Wish("tesp", high=seen(0.8, "inwc")),
            "",
            "targets.wishes[0]: tesp up to 0.80 in. w.c. came; the rating plate allows up to 0.50 "
            "in. w.c., and a wish may be stricter than that, not looser. Wish for what it allows; "
            "or correct it in the survey, if it was read wrong.",
        ),
        (
            furnace(),
            Wish("rise", seen(25, "degf_rise"), seen(60, "degf_rise")),
            "heating",
            "targets.wishes[0]: rise 25–60 °F came; the rating plate allows 35–65 °F, and a wish "
            "may be stricter than that, not looser. Wish for what it allows; or correct it in the "
            "survey, if it was read wrong.",
        ),
        (
            attic(),
            Wish("airflow", low=seen(1400, "cfm")),
            "",
            "targets.wishes[0]: at least 1,400 cfm came; at most 1,350 cfm is wanted as well, "
            "which leaves nothing. Give both bounds, the lower one first.",
        ),
        (
            attic(),
            Wish("rise", low=seen(30, "degf_rise"), call="cooling"),
            "",
            "targets.wishes[0]: a temperature rise in the cooling call, came; it is wished for in "
            "one of heating, heating-low. Name one of these, or none for all of them.",
        ),
        (
            unit_with(attic(), heat="none"),
            Wish("rise", low=seen(30, "degf_rise")),
            "",
            "targets.wishes[0]: a temperature rise of a unit that does not heat, came; what heats "
            "is in the survey. Leave the wish out, or say how the unit heats.",
        ),
    ],
)
def test_a_wish_that_cannot_hold_is_refused(survey, wish, call, text):
    """Looser than what a maker prints, beyond the other bound, or of what is not there."""
    with pytest.raises(InputError) as caught:
        targets(survey, wishing(wish), call)
    assert str(caught.value) == text


# --- what excludes what


def test_more_delivered_than_the_unit_may_move_is_refused():
    """1.3 of 1,200 cfm are more than the 1,350 that the window allows."""
    with pytest.raises(InputError) as caught:
        targets(attic(), wishing(Wish("delivered", low=Fact(1.3, "1"))))
    assert str(caught.value) == (
        "targets: air that reaches the rooms of at least 1,560 cfm (stated for this job), beside "
        "airflow through the unit of 1,050–1,350 cfm (Parker, Sherwin, Raustad, Shirey: "
        "FSEC-PF-321-97, ASHRAE Transactions 1997, abstract), came; no airflow meets both. Change "
        "one of the two."
    )


def test_a_kit_that_needs_more_air_than_is_wanted_is_refused():
    """Its table asks for 1,300 cfm, and at most 1,100 are wanted in heating."""
    kit = HeatKit(seen(20, "kw"), least_airflow=seen(1300, "cfm"))
    survey = unit_with(attic(), heat_kit=kit)
    wanted = wishing(Wish("airflow", seen(900, "cfm"), seen(1100, "cfm"), call="heating"))
    with pytest.raises(InputError) as caught:
        targets(survey, wanted, "heating")
    assert str(caught.value) == (
        "targets: air through the electric heat kit of at least 1,300 cfm (the heat kit's own "
        "table), beside airflow through the unit of 900–1,100 cfm (stated for this job), came; no "
        "airflow meets both. Change one of the two."
    )
    assert by_name(survey, wanted, "cooling")["airflow"].high > 0.5


def test_a_rise_and_an_airflow_that_leave_nothing_are_refused():
    """64,000 Btu/h at 35 to 65 °F take 911 to 1,692 cfm (1.08 Btu/h per cfm and °F), not 600."""
    wanted = wishing(Wish("airflow", seen(500, "cfm"), seen(600, "cfm"), call="heating"))
    with pytest.raises(InputError) as caught:
        targets(furnace(), wanted, "heating")
    text = str(caught.value)
    assert "air for a temperature rise of 35–65 °F of 91" in text
    assert "beside airflow through the unit of 500–600 cfm (stated for this job)" in text
    enough = wishing(Wish("airflow", seen(900, "cfm"), seen(1100, "cfm"), call="heating"))
    assert targets(furnace(), enough, "heating")


def test_rooms_that_together_need_more_than_the_unit_may_move_are_refused():
    """Two rooms of 900 cfm each take 1,440 at least, and 1,350 are the most."""
    rooms = tuple(Room(f"room-{n}", airflow=seen(900, "cfm")) for n in (1, 2))
    with pytest.raises(InputError) as caught:
        targets(replace(attic(), rooms=rooms), Targets())
    assert "air in 2 rooms together of at least 1,440 cfm" in str(caught.value)


def test_an_unknown_call_is_refused():
    """With the choices."""
    with pytest.raises(UnknownNameError) as caught:
        targets(attic(), Targets(), "defrost")
    assert str(caught.value) == (
        "call: 'defrost' came; the calls are cooling, cooling-low, heating, heating-low, fan."
    )


# --- rooms


def test_a_bedroom_is_quieter_and_a_wish_for_it_is_its_own():
    """NC 30 by its name; 27 by a wish for the room, and 33 for all others."""
    now = ", or no more than 5 dB louder than now"
    assert by_name(house())["noise:r2"].bounds() == f"up to 30 NC{now}"
    assert by_name(house())["noise:r1"].bounds() == f"up to 35 NC{now}"
    wanted = wishing(Wish("noise", high=seen(27, "nc"), part="bed"))
    found = by_name(house(), wanted)
    assert found["noise:r2"].bounds() == "up to 27 NC"
    assert found["noise:r1"].bounds() == f"up to 35 NC{now}"


def test_the_guidance_counts_where_noise_is_complained_of():
    """In the room that is named; everywhere where no room is, or one that has no opening."""

    def strict(complaint, room=None):
        found = replace(job(house()), complaint=complaint, complaint_room=room)
        noisy = noisy_room(found)
        wanted = targets(found.survey, found.targets, noisy=noisy)
        return {t.subject for t in wanted if t.key == "noise" and t.louder < 0.0}

    every = {t.subject for t in targets(house(), Targets()) if t.key == "noise"}
    assert strict(None) == strict("does not get cool") == strict("a cloud of dust") == set()
    assert strict("the registers hiss", "Bedroom") == strict("too LOUD", "bed") == {"r2"}
    assert strict("it whistles") == strict("noisy", "somewhere") == every


def test_a_limit_of_filter_grilles_counts_for_filters_in_grilles():
    """Of a filter at the unit it is told; it counts where somebody wishes it."""
    survey = house()
    (one,) = survey.filters
    at_unit = replace(survey, filters=(replace(one, at="unit"),))
    assert not by_name(at_unit)["filter-face:f1"].needed
    wish = wishing(Wish("filter-face", high=seen(300, "fpm")))
    assert by_name(at_unit, wish)["filter-face:f1"].needed


def test_quieter_than_now_is_wanted_where_somebody_wishes_it():
    """Of one room: its registers alone; of all: the grille as well."""
    in_room = by_name(house(), wishing(Wish("quieter", low=seen(3, "db"), part="bed")))
    assert [name for name in in_room if name.startswith("quieter")] == ["quieter:r2"]
    of_all = by_name(house(), wishing(Wish("quieter", low=seen(3, "db"))))
    assert len([name for name in of_all if name.startswith("quieter")]) == 7
    assert of_all["quieter:g1"].needed


def test_shares_against_loads_count_only_where_loads_are_given():
    """A third of the load is a third of the air; half of the loads unknown leaves those out."""
    survey = house()
    assert "room-share:bed" not in by_name(survey)
    rooms = (
        Room("bed", "Bedroom", cooling_load=seen(9000, "btuh")),
        Room("den", cooling_load=seen(18_000, "btuh"), heating_load=seen(4, "kw")),
        Room("hall"),
    )
    found = by_name(replace(survey, rooms=rooms))
    assert found["room-share:bed"].bounds() == "80–120 %"
    assert "room-share:hall" not in found
    heating = by_name(replace(survey, rooms=rooms), call="heating")
    assert "room-share:bed" not in heating
    assert "room-share:den" in heating
    wanted = wishing(Wish("room-share", high=seen(10, "pct"), part="den"))
    assert by_name(replace(survey, rooms=rooms), wanted)["room-share:den"].bounds() == "90–110 %"


@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(jobs(), st.sampled_from(["", *CALLS]))
def test_any_jobs_targets_are_bounded_sourced_and_told_apart(one, call):
    """Whatever house and wishes: bounds in order, a source, a quantity that can be measured."""
    wanted = replace(one.targets, preset="standard")
    refused, found = None, ()
    try:
        found = targets(one.survey, wanted, call)
    except InputError as error:
        refused = str(error)
    assert refused is None or refused.startswith("targets")
    assume(refused is None)
    assert len({target.name for target in found}) == len(found)
    for target in found:
        assert target.low is not None or target.high is not None
        if target.low is not None and target.high is not None:
            assert target.low <= target.high
        assert target.source
        assert target.quantity in QUANTITIES
        assert target.unit_kind in units.SHOWN
        assert target.call == call
        assert target.needed or not target.stated
        document = target.to_dict("si")
        assert document["unit"] == units.SHOWN[target.unit_kind]["si"][0]
