"""Every kind of reading: what it should show, how far it may be off, and what it teaches."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inchwater.air import sensible_heat
from inchwater.calibration import Posterior, calibrate
from inchwater.calibration.expected import (
    errors,
    every_reading_parameter,
    expected,
    not_used,
    reading_parameters,
    spread,
    usable,
)
from inchwater.calibration.priors import Prior
from inchwater.errors import InputError
from inchwater.forecast import predict
from inchwater.network import compile_network, solve
from inchwater.survey import READ_AT, BlowerTable, HeatKit, Instrument, Reading, parts_read_at
from inchwater.units import from_si, to_si
from tests.network.surveys import PSC, attic, basement, blower, job, seen, trial

COOLING, HEATING = {"call": "cooling"}, {"call": "heating"}
STATICS = {"return": 0.42, "supply": 0.30}


def would_be(quantity, at, value=0.0, instrument=None):
    """A reading of which only place and quantity count."""
    return Reading("x", at, quantity, "", "", value, instrument)


def with_speeds(cells=PSC):
    """A table that prints speeds too: they rise with pressure, as a PSC's do."""
    table = blower(cells)
    rows = tuple(replace(r, speed=to_si(900 + 0.6 * r.tesp, "rpm")) for r in table.rows)
    return BlowerTable(table.id, rows, table.includes)


def furnace():
    """The basement house with a furnace's output on its plate and speeds in its table."""
    survey = basement()
    unit = replace(survey.unit, heat_output=seen(60000, "btuh"), table=with_speeds())
    return replace(survey, unit=unit)


def small_grille():
    """The attic house with a grille that takes a good part of the return's pressure."""
    survey = attic()
    grille = replace(survey.returns[0].grille, width=seen(14, "in"), height=seen(14, "in"))
    return replace(survey, returns=(replace(survey.returns[0], grille=grille),))


def at_rest(survey, condition, size=1, seed=0):
    """A survey at rest with all unknowns that its readings could bring."""
    network = compile_network(survey, condition)
    prior = Prior.of((*network.parameters, *every_reading_parameter(network)))
    rng = np.random.default_rng(seed)
    draws = {name: rng.standard_normal(size) * (size > 1) for name in prior.latents}
    return solve(network, prior.values(draws), size)


def own_number(s, quantity, at):
    """The network's own figure for what is read there."""
    kind, _, id_ = at.partition(":")
    match quantity, kind:
        case "static", _:
            return s.output(f"static:{at}")
        case "drop", _:
            return s.output(f"drop:{at}")
        case "airflow", "register":
            # Cold air comes out as less volume than went into the unit.
            return s.output(f"flow:{id_}") * s.network.thinner
        case "airflow", "grille":
            return s.output(f"drawn:{id_}")
        case "temperature-rise", _:
            heat = s.network.heat * s.values["unit:heat"] + s.power
            return heat / sensible_heat(s.airflow, 1.0, s.network.air)
    return s.output({"airflow": "airflow"}.get(quantity, quantity))


PLACES = [
    (quantity, at)
    for quantity, kinds in READ_AT.items()
    if quantity != "voltage"
    for kind in kinds
    for at in ([kind + i for i in parts_read_at(furnace(), kind)] if kind[-1] == ":" else [kind])
]


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(PLACES), st.integers(0, 99), st.sampled_from([COOLING, HEATING]))
def test_a_reading_is_expected_to_show_the_network_s_own_number(place, seed, condition):
    """Whatever is read, wherever, in whatever house: nothing stands between but what is named."""
    quantity, at = place
    if quantity == "temperature-rise":
        condition = HEATING
    s = at_rest(furnace(), condition, 3, seed)
    shown = expected(would_be(quantity, at), s)
    assert shown.shape == (3,)
    assert np.all(np.isfinite(shown))
    assert shown == pytest.approx(own_number(s, quantity, at))


def test_hoods_at_all_registers_show_what_is_delivered():
    """As the volume of cold air that comes out; and the returns what the ducts draw in."""
    s = at_rest(attic(), COOLING, 4)
    runs = [expected(would_be("airflow", f"register:r{n}"), s) for n in range(1, 7)]
    assert sum(runs) == pytest.approx(s.delivered * s.network.thinner)
    assert sum(runs) / s.network.thinner + s.leak_supply == pytest.approx(s.airflow, rel=1e-6)
    drawn = expected(would_be("airflow", "grille:g1"), s)
    assert drawn + s.leak_return == pytest.approx(s.airflow, rel=1e-6)


# --- heat ------------------------------------------------------------------------------------


def test_a_rise_gives_back_the_airflow_of_a_worked_example():
    """9.6 kW and 25 °F are 1213 cfm by the trade's 1.08; the blower's own watts counted in.

    ASHRAE Handbook Fundamentals, sensible heat of air: q = 1.08 × cfm × °F (memory).
    """
    survey = attic()
    kit = HeatKit(power=seen(9.6, "kw"))
    survey = replace(survey, unit=replace(survey.unit, heat="electric", heat_kit=kit))
    s = at_rest(survey, HEATING)
    rise = from_si(expected(would_be("temperature-rise", "unit"), s), "degf_rise")
    heat = from_si(9600.0 + s.power, "btuh")
    assert heat / (1.08 * rise) == pytest.approx(from_si(s.airflow, "cfm"), rel=4e-3)
    assert from_si(9600.0, "btuh") / (1.08 * 25.0) == pytest.approx(1213, rel=1e-3)


def test_heat_of_elements_goes_with_the_square_of_the_voltage():
    """A kit rated at 240 V gives three quarters at 208; a furnace's gas does not care."""
    survey = attic()
    kit = HeatKit(power=seen(10, "kw"))
    unit = replace(survey.unit, heat="electric", heat_kit=kit)

    def heat(survey, **more):
        return compile_network(survey, HEATING | more).heat

    assert heat(replace(survey, unit=unit)) == pytest.approx(10_000.0)
    assert heat(replace(survey, unit=unit), volts="208") == pytest.approx(
        10_000.0 * (208.0 / 240.0) ** 2
    )
    rated = replace(unit, nominal_volts=seen(208, "v"))
    assert heat(replace(survey, unit=rated), volts="208") == pytest.approx(10_000.0)
    assert heat(furnace(), volts="110") == pytest.approx(to_si(60000, "btuh"))


def test_the_heat_of_a_compressor_is_not_known():
    """A heat pump's kit does not heat alone; without a plate nothing is known either."""
    survey = attic()
    kit = HeatKit(power=seen(10, "kw"))
    pump = replace(survey, unit=replace(survey.unit, heat_kit=kit))
    assert compile_network(pump, HEATING).heat is None
    assert compile_network(basement(), HEATING).heat is None
    none = replace(basement().unit, heat="none", heat_output=seen(60000, "btuh"))
    assert compile_network(replace(basement(), unit=none), HEATING).heat is None


def test_a_blower_whose_watts_nobody_knows_still_warms_its_air():
    """By the default of the rating standard: 365 W for 1000 cfm are some 1.15 °F."""
    survey = furnace()
    bare = replace(survey.unit, table=None, tap=None)
    s = at_rest(replace(survey, unit=bare), HEATING)
    assert s.power is None
    rise = expected(would_be("temperature-rise", "unit"), s)
    own = rise - s.network.heat / sensible_heat(s.airflow, 1.0, s.network.air)
    assert from_si(own, "degf_rise") == pytest.approx(1.15, rel=0.01)


# --- what cannot be compared -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("survey", "condition", "place", "why"),
    [
        (basement(), HEATING, ("temperature-rise", "unit"), "not known what heat the unit gives"),
        (furnace(), COOLING, ("temperature-rise", "unit"), "in a full heating call only"),
        (basement(), COOLING, ("speed", "unit"), "the blower table has no speeds"),
        (
            replace(attic(), returns=(replace(attic().returns[0], grille=None),)),
            COOLING,
            ("static", "return:g1"),
            "width and height of the grille of g1 are not known",
        ),
        (
            attic(),
            COOLING | {"run:r1": "pulled-capped"},
            ("airflow", "register:r1"),
            "no air passes r1",
        ),
        (attic(), COOLING | {"filter:f1": "out"}, ("drop", "filter:f1"), "no air passes f1"),
    ],
)
def test_what_cannot_be_compared_is_kept_and_not_used(survey, condition, place, why):
    """It says why, and calibration goes on without it."""
    s = at_rest(survey, condition)
    one = would_be(*place)
    assert why in not_used(one, s.network)
    assert not usable(one, s.network)
    with pytest.raises(InputError) as caught:
        expected(one, s)
    if place[0] != "static":
        assert str(caught.value) == (
            f"readings[x].quantity: {place[0]!r} came; this reading cannot be compared with the "
            f"model: {not_used(one, s.network)}. "
            "Add what is missing; until then the reading is kept and not used."
        )


# --- how far a reading may be off --------------------------------------------------------------


@pytest.mark.parametrize(
    ("place", "value", "low", "high"),
    [
        (("airflow", "register:r1"), 0.05, 0.07, 0.12),  # a hood: 7 to 10 % and its resolution
        (("airflow", "unit"), 0.5, 0.07, 0.08),  # a flow plate: 7 %
        (("temperature-rise", "unit"), 25.0, 0.09, 0.12),  # probes
        (("speed", "unit"), 100.0, 0.004, 0.01),
    ],
)
def test_a_spread_is_that_of_the_trade(place, value, low, high):
    """As a share of what is read."""
    assert low < spread(would_be(*place, value), {}) / value < high


def test_a_drop_and_a_static_err_by_about_a_hundredth_of_an_inch():
    """The manometer that reads both is one, and is set to zero once for a trial."""
    drop, static = (
        would_be("drop", "filter:f1", 40.0),
        would_be("static", "run:r1", 40.0),
    )
    for one in (drop, static):
        assert 0.004 < from_si(spread(one, {}), "inwc") < 0.02
    assert errors(drop, {}).instrument == errors(static, {}).instrument == "manometer"
    assert errors(drop, {}).zero == errors(static, {}).zero > 0.0


def test_a_hood_has_a_gain_of_its_own_and_scatter_at_each_register():
    """What is stated of the hood is what it does to all registers alike."""
    stated = {"h": Instrument("h", "hood", gain=0.02)}
    own = errors(would_be("airflow", "register:r1", 0.05, "h"), stated)
    usual = errors(would_be("airflow", "register:r1", 0.05), {})
    assert own.gain == 0.02
    assert usual.gain == pytest.approx(0.06)
    assert own.repeat == usual.repeat > 0.05 * 0.045


def test_one_hole_is_one_unknown_in_every_trial():
    """Its names do not change with the condition; nothing is added that nobody reads."""
    reads = [would_be("static", "run:r1"), would_be("speed", "unit")]
    found = [
        [p.name for p in reading_parameters(reads, compile_network(attic(), condition))]
        for condition in (COOLING, HEATING | {"filter:f1": "out"})
    ]
    assert found[0] == found[1] == ["port:run:r1:velocity", "port:run:r1:offset", "unit:speed"]
    assert reading_parameters(reads[1:], compile_network(attic(), COOLING))[0].role == "speed"


# --- what it teaches ---------------------------------------------------------------------------


def taught(survey, place, estimate, condition=COOLING, factor=1.0, size=400):
    """Range of an estimate without and with one reading of a middling house times ``factor``."""
    quantity, at = place
    s = at_rest(survey, condition)
    statics = {n: from_si(abs(float(s.reads[n][0])), "inwc") for n in ("return", "supply")}
    base = trial(condition=condition, **statics)
    value = float(expected(would_be(quantity, at), s)[0]) * factor
    more = Reading("more", at, quantity, "", "", value)
    both = replace(base, readings=(*base.readings, more))
    found = [calibrate(job(survey, one), 5, size=size) for one in (base, both)]
    return found[1], *(predict(one, condition=condition).estimate(estimate) for one in found)


@pytest.mark.parametrize(
    ("survey", "place", "estimate", "condition", "most"),
    [
        (attic(), ("drop", "filter:f1"), "drop:filter:f1", COOLING, 0.5),
        (furnace(), ("drop", "coil:coil"), "drop:coil:coil", COOLING, 0.5),
        (attic(), ("airflow", "register:r3"), "flow:r3", COOLING, 0.75),
        (attic(), ("airflow", "grille:g1"), "leak_return", COOLING, 1.0),
        (attic(), ("static", "run:r3"), "static:run:r3", COOLING, 0.7),
        (attic(), ("static", "trunk:t1"), "static:trunk:t1", COOLING, 0.8),
        (small_grille(), ("static", "return:g1"), "drop:return:g1:grille", COOLING, 0.8),
        (furnace(), ("temperature-rise", "unit"), "airflow", HEATING, 0.97),
    ],
)
def test_a_reading_narrows_what_it_sees(survey, place, estimate, condition, most):
    """And the truth that it was read from stays inside."""
    found, without, with_it = taught(survey, place, estimate, condition)
    assert (with_it.high - with_it.low) < most * (without.high - without.low)
    (residual,) = [r for r in found.residuals if r.reading == "more"]
    assert abs(residual.surprise) < 1.0
    assert residual.predicted.low < residual.measured < residual.predicted.high


def test_a_crushed_run_is_seen_by_its_own_reading_only():
    """A hood that shows far less on one run: that run's flow falls, the blower's far less."""
    _, without, with_it = taught(attic(), ("airflow", "register:r4"), "flow:r4", factor=0.6)
    fell = 1.0 - with_it.value / without.value
    assert fell > 0.15
    _, without, with_it = taught(attic(), ("airflow", "register:r4"), "airflow", factor=0.6)
    # One crew hung all runs, so the others are believed to be somewhat worse too.
    assert abs(1.0 - with_it.value / without.value) < 0.4 * fell


def test_residuals_of_every_kind_come_back_from_their_bytes():
    """With the kind of quantity that they are told in."""
    survey = furnace()
    s = at_rest(survey, HEATING)
    readings = tuple(
        Reading(f"x{n}", at, quantity, "", "", float(expected(would_be(quantity, at), s)[0]))
        for n, (quantity, at) in enumerate(PLACES)
    )
    one = job(survey, replace(trial(condition=HEATING), readings=readings))
    found = calibrate(one, 2, size=60)
    again = Posterior.from_bytes(found.to_bytes(), one)
    assert again.residuals == found.residuals
    kinds = {r.quantity: r.predicted.kind for r in found.residuals}
    assert kinds == {
        "static": "pressure",
        "drop": "pressure",
        "airflow": "airflow",
        "temperature-rise": "temperature_rise",
        "power": "power",
        "speed": "speed",
    }
