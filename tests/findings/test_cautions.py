"""Cautions: which act on which system calls up which, and what their texts say."""

from __future__ import annotations

import csv
from dataclasses import replace
from importlib import resources

import pytest

from inchwater.errors import UnknownNameError
from inchwater.findings import ACTS, cautions_for, cautions_of
from inchwater.findings.cautions import ACT_OF_CHANGE, ACT_OF_CONDITION, TRIGGERS
from inchwater.rehearsal import demos
from inchwater.survey import KEYS, Place
from tests.solved import three_numbers


def rows():
    text = resources.files("inchwater.findings.data").joinpath("cautions.csv").read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))


def ids(survey, act, **more):
    return [caution.id for caution in cautions_for(survey, act, **more)]


def unknown():
    return three_numbers().survey


def of(survey, **place):
    return replace(survey, place=Place(**place))


@pytest.mark.parametrize("act", ["filter", "return", "duct", "tap", "register", "pulled-run"])
def test_with_a_fuel_appliance_every_change_of_airflow_opens_with_the_combustion_gate(act):
    """The gate comes first, before all that is merely unpleasant."""
    survey = demos()["b"].survey
    assert ids(survey, act)[0] == "combustion-gate"
    appliance = of(unknown(), fuel_appliances=("natural-draft",))
    assert ids(appliance, act)[0] == "combustion-gate"


def test_a_gas_furnace_is_a_fuel_appliance_itself():
    """No other appliance in the building: the furnace alone calls the gate and the rise check."""
    survey = of(demos()["b"].survey, fuel_appliances=())
    assert {"combustion-gate", "furnace-rise"} <= set(ids(survey, "return"))


def test_an_unknown_building_is_looked_at_not_cleared():
    """Nobody has said whether anything burns fuel, or how old the house is: both are asked."""
    found = ids(unknown(), "return")
    assert found[0] == "combustion-ask"
    assert "asbestos-ask" in found
    assert "combustion-gate" not in found


def test_a_building_known_to_burn_nothing_has_no_gate():
    """An all-electric house is not troubled with it."""
    found = ids(demos()["a"].survey, "return")
    assert "combustion-gate" not in found
    assert "combustion-ask" not in found


@pytest.mark.parametrize(
    ("built", "expected"),
    [(1965, {"asbestos", "lead"}), (1979, {"asbestos"}), (1980, set()), (2010, set())],
)
def test_the_age_of_the_house_calls_asbestos_and_lead(built, expected):
    """Before 1980 asbestos, before 1978 lead paint as well."""
    found = set(ids(of(unknown(), built=built), "duct"))
    assert found & {"asbestos", "lead", "asbestos-ask"} == expected


@pytest.mark.parametrize(
    ("motor", "expected"),
    [
        ("psc", {"capacitor", "spare-leads"}),
        ("constant-torque", {"torque-line-voltage", "spare-leads"}),
        ("constant-airflow", {"airflow-setting"}),
        (None, {"motor-type-unknown", "spare-leads"}),
    ],
)
def test_a_tap_change_is_locked_out_and_warned_by_motor(motor, expected):
    """Lockout always; the rest is what this motor can do to somebody."""
    survey = unknown()
    survey = replace(survey, unit=replace(survey.unit, motor=motor))
    found = set(ids(survey, "tap"))
    assert "lockout" in found
    motors = {
        "capacitor",
        "spare-leads",
        "torque-line-voltage",
        "airflow-setting",
        "motor-type-unknown",
    }
    assert found & motors == expected


def test_a_test_point_has_its_do_not_drill_list():
    """The list of places never to drill stands with the act of drilling."""
    (drill,) = (c for c in cautions_for(unknown(), "test-point") if c.id == "drill")
    assert drill.text == (
        "Never into the coil's cabinet near pan, tubes or headers, never into heat exchanger, "
        "burner or control compartments, vents, wiring, gas or refrigerant lines, or a fire "
        "damper's sleeve. Sleeve the bit so that only half an inch shows, look behind first, and "
        "plug the hole afterwards. No safe place: leave the reading out."
    )


def test_an_attic_is_warned_of_where_one_has_to_go_up():
    """Heat and footing for a reading in the attic, not for one in a basement."""
    assert "attic" in ids(of(unknown(), space="attic"), "reading")
    assert "attic" not in ids(of(unknown(), space="basement"), "reading")


def test_watts_have_their_own_caution():
    """Only an act that reads watts is told of live equipment."""
    assert "watts" in ids(unknown(), "reading", watts=True)
    assert "watts" not in ids(unknown(), "reading")


def test_a_filter_out_is_brief_and_never_in_heat():
    """The act on the filter says so."""
    assert "filter-out" in ids(unknown(), "filter")


def test_several_acts_name_each_caution_once():
    """Together they are the union, in the order of gravity."""
    survey = demos()["b"].survey
    together = [c.id for c in cautions_of(survey, ("tap", "return"))]
    assert len(together) == len(set(together))
    assert set(together) == set(ids(survey, "tap")) | set(ids(survey, "return"))
    assert together[0] == "combustion-gate"


def test_every_change_and_condition_is_an_act():
    """No kind of change can be forecast without its cautions."""
    assert set(ACT_OF_CHANGE) == set(KEYS) - {"nothing"}
    assert set(ACT_OF_CHANGE.values()) | set(ACT_OF_CONDITION.values()) <= set(ACTS)
    for act in ACTS:
        assert cautions_for(unknown(), act)


def test_work_on_the_system_defers_to_code_and_licence():
    """Every act that changes something ends with local code and licence."""
    for act in set(ACT_OF_CHANGE.values()) | {"pulled-run"}:
        assert ids(demos()["a"].survey, act)[-1] == "local-code"


def test_the_file_is_sound():
    """Known triggers and acts, no id twice, texts with a source that a person can follow."""
    found = rows()
    assert len({row["id"] for row in found}) == len(found)
    for row in found:
        assert row["trigger"] in {*TRIGGERS, "watts"}
        assert set(row["acts"].split()) <= set(ACTS)
        assert row["text"].endswith(".")
        assert "code requires" not in row["text"].lower()
        assert row["source"]


def test_an_unknown_act_is_refused_with_the_choices():
    """The text lists the acts that there are."""
    with pytest.raises(UnknownNameError) as caught:
        cautions_for(unknown(), "welding")
    assert str(caught.value) == (
        "act: 'welding' came; acts are reading, test-point, cabinet, filter, return, duct, tap, "
        "register, pulled-run, door, cleaning, insulation."
    )
