"""The unit's side of a network: heat kit, boundary, calls and taps, voltage, altitude, watts."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from inchwater.air import air_at
from inchwater.answer import answer
from inchwater.calibration import calibrate
from inchwater.calibration.priors import Prior
from inchwater.errors import NotPossibleError, UnknownNameError
from inchwater.findings.watts import tap_in_use
from inchwater.forecast import predict
from inchwater.network import compile_network, solve
from inchwater.network.compile_fan import running, tap_how, tap_in_force, tap_note
from inchwater.network.compile_unit import POSSIBLE, possible_boundaries, wetness
from inchwater.parts import blowers
from inchwater.parts.blower_tables import check_table
from inchwater.parts.heaters import heater_law
from inchwater.parts.laws import PowerLaw
from inchwater.survey import (
    Change,
    Coil,
    Filter,
    HeatKit,
    How,
    Place,
    TableRow,
    apply,
    check,
    doubts,
)
from inchwater.units import from_si, to_si
from tests.network.surveys import (
    AIRFLOW,
    PSC,
    TORQUE,
    attic,
    basement,
    blower,
    job,
    seen,
    trial,
)

COOLING = {"call": "cooling"}
DIRT = ("clean", "dusty", "caked")
KIT = HeatKit(power=seen(10_000, "w"))


def with_unit(survey, **changes):
    return replace(survey, unit=replace(survey.unit, **changes))


def holding(survey, *words):
    """The survey with what its table's zero holds."""
    return with_unit(survey, table=replace(survey.unit.table, includes=frozenset(words)))


def middle(network):
    """The network with every unknown at the middle of its prior."""
    prior = Prior.of(network.parameters)
    return solve(network, prior.values({name: np.zeros(1) for name in prior.latents}))


def airflow(survey, state=COOLING, includes=None):
    return float(middle(compile_network(survey, state, includes)).airflow[0])


def drawn(survey, state=COOLING, size=2000):
    """Airflows of houses drawn from the prior. [m3/s]"""
    network = compile_network(survey, state)
    prior = Prior.of(network.parameters)
    rng = np.random.default_rng(5)
    values = prior.values({name: rng.standard_normal(size) for name in prior.latents})
    return solve(network, values, size).airflow


def spread(survey, state=COOLING):
    """Sigma of ln of the airflow over houses. [-]"""
    return float(np.std(np.log(drawn(survey, state))))


# --- electric heat -----------------------------------------------------------------------------


def test_a_heat_kit_stands_in_the_way():
    """With a kit the air passes one more part, and less of it comes."""
    bare, kit = attic(), with_unit(attic(), heat_kit=KIT)
    network = compile_network(kit, COOLING)
    assert network.heater == (network.index("heater"),)
    assert network.edges[network.index("heater")].side == "unit"
    assert compile_network(bare, COOLING).heater == ()
    s = middle(network)
    law, _ = heater_law(10_000.0, to_si(3.0, "ton"))
    here = law.in_air(network.air)
    assert s.drop["heater"][0] == pytest.approx(float(here.drop(s.airflow[0])), rel=1e-9)
    assert airflow(kit) < airflow(bare)


def test_a_kit_inside_the_table_s_zero_costs_nothing_more():
    """A table that was made with the heater in it moves the same air with it as one without."""
    kit = holding(with_unit(attic(), heat_kit=KIT), "coil-dry", "heater")
    assert airflow(kit) == pytest.approx(airflow(attic()), rel=1e-9)
    assert airflow(kit) > airflow(with_unit(attic(), heat_kit=KIT))


def test_a_heater_in_the_table_and_not_in_the_unit_is_air_gained():
    """Measured with a kit, installed on gas without one: the blower is spared the kit's drop."""
    gas = with_unit(attic(), heat="gas")
    held = holding(gas, "coil-dry", "heater")
    network = compile_network(held, COOLING)
    assert network.heater == ()
    s, plain = middle(network), middle(compile_network(gas, COOLING))
    law, _ = heater_law(None, to_si(3.0, "ton"))
    assert s.airflow[0] > plain.airflow[0]
    total = s.supply[0] - s.back[0] + s.drop["filter:f1"][0] + s.drop["coil:coil"][0]
    port = {name: one.area for name, one in network.ports.items()}
    half = 0.5 * s.airflow[0] ** 2
    between = half * network.density("supply") * port["supply"] ** -2.0
    between -= half * network.air.density * port["return"] ** -2.0
    coil = PowerLaw(network.fan.references[0].coefficient, network.fan.references[0].exponent)
    held_drop = sum(float(one.in_air(network.air).drop(s.airflow[0])) for one in (coil, law))
    expected = total - between - held_drop
    assert s.entry[0] * network.fan.entry == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("heat", "words", "stands"),
    [
        ("electric", (), True),
        ("heat-pump", (), False),
        ("heat-pump", ("heater",), True),
        (None, ("heater",), True),
        ("gas", ("heater",), False),
        ("none", ("heater",), False),
    ],
)
def test_where_nobody_described_a_kit(heat, words, stands):
    """Electric heat has one; a table with a heater speaks of one unless the unit burns gas."""
    network = compile_network(holding(with_unit(attic(), heat=heat), *words), COOLING)
    assert bool(network.heater) is stands


def test_a_printed_drop_counts_for_a_kit():
    """A kit with a printed drop has that drop at its airflow, and is more certain."""
    rated = HeatKit(rated_drop=seen(0.08, "inwc"), rated_airflow=seen(1200, "cfm"))
    network = compile_network(with_unit(attic(), heat_kit=rated), COOLING)
    law = network.edges[network.index("heater")].power[0]
    drop = law.coefficient * to_si(1200.0, "cfm") ** law.exponent
    assert from_si(drop, "inwc") == pytest.approx(0.08)
    sigma = {p.name: p.sigma for p in network.parameters}
    other = compile_network(with_unit(attic(), heat_kit=HeatKit()), COOLING)
    assert sigma["heater"] < {p.name: p.sigma for p in other.parameters}["heater"]


# --- the table's boundary ----------------------------------------------------------------------


def test_boundaries_are_as_before_without_electric_heat():
    """Three for an air handler, two for a furnace: nobody is asked about a heater."""
    assert possible_boundaries(attic(includes=None)) == POSSIBLE["air-handler"]
    assert possible_boundaries(basement()) == POSSIBLE["furnace"]


def test_electric_heat_doubles_what_a_table_may_hold():
    """The kit may have been in the unit; an electric furnace likeliest was tested with it."""
    handler = possible_boundaries(with_unit(attic(), heat_kit=KIT))
    assert handler[: len(POSSIBLE["air-handler"])] == POSSIBLE["air-handler"]
    assert handler[len(POSSIBLE["air-handler"]) :] == (
        frozenset({"coil-dry", "heater"}),
        frozenset({"coil-dry", "filter", "heater"}),
    )
    furnace = possible_boundaries(with_unit(basement(), heat="electric"))
    assert furnace[0] == frozenset({"heater"})
    assert len(set(handler)) == len(handler)
    assert len(set(furnace)) == len(furnace)


def test_each_possibility_has_an_airflow_of_its_own():
    """With the kit inside the zero the same readings mean more air."""
    survey = with_unit(attic(includes=None), heat_kit=KIT)
    flows = [airflow(survey, COOLING, held) for held in possible_boundaries(survey)]
    assert len({round(flow, 6) for flow in flows}) == len(flows)
    with_kit = airflow(survey, COOLING, frozenset({"coil-dry", "heater"}))
    assert with_kit > airflow(survey, COOLING, frozenset({"coil-dry"}))


def test_a_table_with_a_filter_over_an_empty_slot():
    """Filters in the grilles, a table made with one in the slot: the blower is spared it."""
    size = (seen(25, "in"), seen(20, "in"))
    back = replace(attic().returns[0], filter="f1")
    grille = replace(
        attic(), filters=(Filter("f1", "grille", "pleat-1in-merv8", *size),), returns=(back,)
    )
    assert airflow(holding(grille, "coil-dry", "filter")) > airflow(holding(grille, "coil-dry"))


def test_a_table_with_a_coil_on_a_furnace_without_one():
    """The same for a coil that the furnace does not have."""
    bare = replace(basement(), coils=())
    assert airflow(holding(bare, "coil-dry")) > airflow(holding(bare))


# --- calls and taps ----------------------------------------------------------------------------

CALLED = {"cooling": "5", "heating": "4", "fan": "3"}


def called(**how):
    return with_unit(attic(tap=None), calls=CALLED, calls_how={k: How(v) for k, v in how.items()})


def test_a_seen_call_is_one_tap():
    """Seen or measured, the call's tap is certain; a call without a "how" is taken as seen."""
    for survey in (called(), called(cooling="seen"), called(cooling="measured")):
        fan = compile_network(survey, COOLING).fan
        assert (fan.taps, fan.tap_by) == (("5",), None)


def test_a_told_call_widens_the_answer_and_a_usual_one_more():
    """Seen, stated, typical: each leaves the airflow less certain than the one before."""
    widths = [
        spread(called(heating=how), {"call": "heating"}) for how in ("seen", "stated", "typical")
    ]
    assert widths == sorted(widths)
    assert widths[2] > 1.05 * widths[0]


def test_a_told_tap_lies_between_its_neighbours():
    """The curves run from half-way above to half-way below; the middle is the tap that was told."""
    survey = called(heating="stated")
    fan = compile_network(survey, {"call": "heating"}).fan
    assert fan.taps == ("5", "4", "3")
    at = to_si(0.5, "inwc")
    found = [from_si(float(curve.airflow(at)), "cfm") for curve in fan.curves]
    assert found == pytest.approx([(1440 + 1340) / 2, 1340, (1340 + 1215) / 2])
    seen_tap = airflow(called(), {"call": "heating"})
    assert airflow(survey, {"call": "heating"}) == pytest.approx(seen_tap, rel=1e-9)


def test_the_fastest_tap_has_one_neighbour():
    """Told to run on the fastest tap, it may only be slower."""
    fan = compile_network(called(cooling="typical"), COOLING).fan
    assert fan.taps == ("5", "4")
    assert airflow(called(cooling="typical")) < airflow(called())


def test_a_told_tap_of_a_table_with_one_row_is_wider():
    """Two cells of one tap, only told: no neighbour is known, so its airflow widens."""
    one = blower({"4": [(1340, 455), (1275, 455)]})
    told = with_unit(called(heating="typical"), table=one, calls={"heating": "4"})
    sure = with_unit(told, calls_how={})
    state = {"call": "heating"}
    assert compile_network(told, state).fan.tap_by is None
    assert spread(told, state) > 1.01 * spread(sure, state)


def test_a_trial_s_own_tap_outranks_what_was_told_of_its_call():
    """Somebody looked which tap ran: nothing is widened."""
    state = {"call": "heating", "tap": "4"}
    assert tap_how(called(heating="typical").unit, state) == How.SEEN
    assert compile_network(called(heating="typical"), state).fan.tap_by is None


def test_a_low_stage_runs_the_upper_stage_s_tap_or_a_slower_one():
    """Nobody said what the first stage runs on: not faster than the second, or anything."""
    unit = with_unit(attic(tap=None), calls={"cooling": "4"}).unit
    low = {"call": "cooling-low"}
    assert tap_in_force(unit, low) is None
    assert running(unit, unit.table, low).taps == ("4", "3")
    nobody = attic(tap=None).unit
    assert running(nobody, nobody.table, low).taps == ("5", "4", "3")
    said = replace(unit, calls={"cooling": "4", "cooling-low": "3"})
    assert running(said, said.table, low).taps == ("3",)


def test_watts_of_a_low_stage_are_not_held_against_the_upper_one():
    """Nobody said what the first stage runs on: its watts are no doubt about the second's tap."""
    survey = with_unit(attic(tap="5"), calls={"cooling": "5"})
    assert tap_in_use(survey, trial(condition={"call": "cooling-low"}, power=360)) is None
    assert tap_in_use(survey, trial(condition=COOLING, power=360)) == "5"


def test_both_stages_of_cooling_wet_the_coil():
    """Cooling, low or high, wets the coil; heat and fan alone leave it dry; unsaid is unknown."""
    words = {call: wetness({"call": call}) for call in ("cooling", "cooling-low", "heating", "fan")}
    assert words == {"cooling": "wet", "cooling-low": "wet", "heating": "dry", "fan": "dry"}
    assert wetness({}) is None


def test_a_tap_of_one_cell_may_be_the_unknown_one():
    """Nobody knows which tap runs, and of one there is a cell: it may be that one too."""
    rows = blower({tap: TORQUE[tap] for tap in ("5", "3")}).rows
    cell = TableRow("4", to_si(0.5, "inwc"), to_si(1340, "cfm"))
    table = replace(attic().unit.table, rows=(*rows, cell))
    fan = compile_network(with_unit(attic(tap=None), table=table), COOLING).fan
    assert fan.taps == ("5", "4", "3")
    found = from_si(float(fan.curves[1].airflow(to_si(0.5, "inwc"))), "cfm")
    assert found == pytest.approx(1340, rel=1e-6)


def test_two_calls_whose_taps_nobody_knows_may_run_on_two_taps():
    """Cooling and heating have a parameter each; cooling's is that of a call that was not said."""
    names = {
        call: compile_network(attic(tap=None), {"call": call} if call else {}).fan.tap_by
        for call in ("", "cooling", "heating", "fan")
    }
    assert names[""] == names["cooling"] == "unit:tap"
    assert names["heating"] == "unit:tap-of:heating"
    assert len(set(names.values())) == 3


def test_a_tap_that_is_set_is_no_longer_only_told():
    """Whoever changes the tap of a call sees it: the answer after the change is not widened."""
    told = called(cooling="stated", heating="stated")
    for targets in (("cooling",), ("unit",), ()):
        after = apply(told, Change("c1", "tap", targets, {"tap": "3"}))
        assert compile_network(after, COOLING).fan.tap_by is None
        assert after.unit.calls_how == {"heating": How.STATED}


def test_unknown_taps_are_mixed_from_the_fastest_to_the_slowest():
    """However the table is printed, the mixture runs along the airflow."""
    mixed = blower({tap: TORQUE[tap] for tap in ("4", "3", "5")})
    fan = compile_network(with_unit(attic(tap=None), table=mixed), COOLING).fan
    assert fan.taps == ("5", "4", "3")


# --- taps that the table lacks -----------------------------------------------------------------


def test_a_missing_tap_is_filled_and_said():
    """Run on 4, printed 5 and 3: it lies between them, and that is said."""
    two = blower({tap: TORQUE[tap] for tap in ("5", "3")})
    survey = with_unit(attic(), table=two)
    network = compile_network(survey, COOLING)
    assert network.fan.taps == ("5", "3")
    assert network.fan.tap_by == "unit:tap-place:4"
    low, high = (airflow(with_unit(survey, tap=tap)) for tap in ("3", "5"))
    assert low < airflow(survey) < high
    assert airflow(survey) == pytest.approx(airflow(attic()), rel=0.02)
    assert tap_note(survey, COOLING) == (
        "Tap 4 is not in the table; it lies somewhere between 3 and 5."
    )
    assert tap_note(attic(), COOLING) is None


def test_a_filled_tap_is_less_certain_than_a_printed_one():
    """The tap below the last printed one: near to the true row, and wider."""
    two = blower({tap: TORQUE[tap] for tap in ("5", "4")})
    survey = with_unit(attic(tap="3"), table=two)
    assert airflow(survey) == pytest.approx(airflow(attic(tap="3")), rel=0.10)
    assert spread(survey) > 1.2 * spread(attic(tap="3"))


def test_one_cell_of_the_tap_in_use_makes_its_curve():
    """Of tap 3 only the cell at 0.5 is known: the rest comes from its neighbour by fan laws."""
    rows = blower({tap: TORQUE[tap] for tap in ("5", "4")}).rows
    cell = TableRow("3", to_si(0.5, "inwc"), to_si(1215, "cfm"))
    table = replace(attic().unit.table, rows=(*rows, cell))
    survey = with_unit(attic(tap="3"), table=table)
    assert airflow(survey) == pytest.approx(airflow(attic(tap="3")), rel=0.02)


def test_watts_of_a_filled_tap_are_less_certain_too():
    """By the cube of the speed: near to the printed ones, with a width of their own."""
    rows = blower({tap: TORQUE[tap] for tap in ("5", "4")}).rows
    cell = TableRow("3", to_si(0.5, "inwc"), to_si(1215, "cfm"))
    survey = with_unit(attic(tap="3"), table=replace(attic().unit.table, rows=(*rows, cell)))
    network, whole = (compile_network(each, COOLING) for each in (survey, attic(tap="3")))
    assert middle(network).power[0] == pytest.approx(middle(whole).power[0], rel=0.05)
    assert "unit:tap-missing-watts:3" in dict(network.fan.power_by)
    assert "unit:tap-missing-watts:3" not in dict(whole.fan.power_by)


def test_a_tap_of_which_nothing_is_known_is_refused():
    """A name that says nothing of its place: the taps of the table are listed."""
    with pytest.raises(UnknownNameError) as caught:
        compile_network(attic(tap="turbo"), COOLING)
    assert str(caught.value) == "tap: 'turbo' came; the table has taps 5, 4, 3."


# --- voltage, altitude, rounding ---------------------------------------------------------------


def test_low_voltage_takes_air_from_a_psc_blower():
    """208 V on a 230 V table: 4 to 8 % less on the top tap, more on a lower one; ECM holds."""
    survey = with_unit(attic(PSC, "high", "psc"), nominal_volts=seen(230, "v"))
    low = {**COOLING, "volts": "208"}
    top = airflow(survey, low) / airflow(survey)
    slow = with_unit(survey, tap="low")
    assert 0.92 < top < 0.98
    assert airflow(slow, low) / airflow(slow) < top
    torque = with_unit(attic(), nominal_volts=seen(230, "v"))
    assert airflow(torque, low) == pytest.approx(airflow(torque), rel=1e-12)


def test_low_voltage_takes_watts_too():
    """208 V tables of PSC air handlers have some 0.84 of the watts (memory)."""
    survey = with_unit(attic(PSC, "high", "psc"), nominal_volts=seen(230, "v"))
    at = {v: middle(compile_network(survey, {**COOLING, "volts": v})) for v in ("230", "208")}
    table = {
        v: float(s.network.fan.curves[0].power(s.entry)[0]) * s.network.fan.entry
        for v, s in at.items()
    }
    ratio = (at["208"].power[0] / table["208"]) / (at["230"].power[0] / table["230"])
    assert ratio == pytest.approx(0.84, abs=1e-9)


def test_altitude_moves_the_entry_by_density():
    """At 5,000 ft a PSC table is entered at the pressure over the density ratio; volume holds."""
    high = replace(attic(PSC, "high", "psc"), place=Place(altitude=seen(5000, "ft")))
    network = compile_network(high, COOLING)
    ratio = air_at(to_si(5000, "ft")).density_ratio
    # The wheel stands behind the coil, in air that is colder still.
    assert network.fan.entry == pytest.approx(ratio * network.fan.volume, rel=1e-12)
    assert 1.0 < network.fan.volume < 1.05
    s, sea = middle(network), middle(compile_network(attic(PSC, "high", "psc"), COOLING))
    # Turbulent parts and the table scale alike, so the same volume flows at less pressure.
    assert s.airflow[0] == pytest.approx(sea.airflow[0], rel=0.02)
    assert s.tesp[0] / sea.tesp[0] == pytest.approx(ratio, rel=0.03)
    assert s.power[0] / sea.power[0] == pytest.approx(ratio, rel=0.02)
    held = replace(attic(AIRFLOW, "1200", "constant-airflow"), place=high.place)
    assert compile_network(held, COOLING).fan.entry == 1.0


def test_the_table_s_rounding_is_a_parameter_of_its_own():
    """A table printed to 25 cfm is less sure than one printed to 5; wide columns more so."""
    sigmas = {}
    for name, cells in {
        "5 cfm": TORQUE["4"],
        "25 cfm": [(25 * round(q / 25), w) for q, w in TORQUE["4"]],
    }.items():
        network = compile_network(with_unit(attic(), table=blower({"4": cells})), COOLING)
        found = {p.name: p for p in network.parameters}["unit:rounding:4"]
        assert found.role == "table-rounding"
        assert ("unit:rounding:4", 1.0) in network.fan.level
        sigmas[name] = found.sigma
    assert sigmas["5 cfm"] < 0.003 < sigmas["25 cfm"] < 0.01


# --- what lies outside what is known ----------------------------------------------------------


@pytest.mark.parametrize(
    ("survey", "state", "key", "start"),
    [
        (with_unit(attic(), heat_kit=HeatKit(power=seen(40_000, "w"))), {}, "heater", "40 kW of"),
        (with_unit(attic(), tap="2"), {}, "blower", "Tap 2 is not in the table; it is taken as"),
        (called(cooling="stated"), COOLING, "blower", "Tap 5 is only stated; a neighbouring one"),
        (attic(PSC, "high", "psc"), {"volts": "180"}, "blower", "180 V under load is far from"),
        (with_unit(attic(), table=None, capacity=seen(12, "ton")), {}, "blower", "A unit of 12 to"),
    ],
)
def test_what_is_guessed_is_noted(survey, state, key, start):
    """A kit, a tap, a voltage or a size outside what is known says so in the network."""
    (said,) = compile_network(survey, state).beyond[key]
    assert said.startswith(start)


def test_nothing_is_noted_of_a_usual_unit():
    """A printed tap, seen, at its voltage: there is nothing to say."""
    network = compile_network(with_unit(attic(), heat_kit=KIT), {**COOLING, "volts": "228"})
    assert not {"blower", "heater"} & set(network.beyond)


# --- dirt --------------------------------------------------------------------------------------


def test_a_dirty_wheel_takes_air_and_static_alike():
    """Clean, dusty, caked: less air each time, and less static, as if the ducts were wide.

    A dirty wheel moves 5 to 15 % less at the same tap and pressure (memory of the trade); on the
    house's own ducts the pressure falls with it, so the loss is smaller.
    """
    at = [middle(compile_network(with_unit(attic(), wheel=w), COOLING)) for w in DIRT]
    flows, statics = [float(s.airflow[0]) for s in at], [float(s.tesp[0]) for s in at]
    assert flows == sorted(flows, reverse=True)
    assert statics == sorted(statics, reverse=True)
    assert 0.85 < flows[2] / flows[0] < 0.95


def test_a_dirty_coil_in_the_cabinet_reads_as_wide_ducts():
    """Inside the table's zero a caked coil takes air and lowers the static outside.

    On a cased coil the furnace's own external static rises instead (trade article, read).
    """
    for survey, rising in ((attic(), False), (basement(), True)):
        inside = survey.coils[0].inside_unit
        at = [
            middle(compile_network(replace(survey, coils=(Coil("coil", inside, word),)), COOLING))
            for word in DIRT
        ]
        flows, statics = [float(s.airflow[0]) for s in at], [float(s.tesp[0]) for s in at]
        assert flows == sorted(flows, reverse=True)
        assert statics == sorted(statics, reverse=not rising)


def test_ice_stops_the_diagnosis():
    """A coil with ice on it has no steady resistance: thaw first."""
    iced = replace(attic(), coils=(Coil("coil", True, "iced"),))
    with pytest.raises(NotPossibleError) as caught:
        compile_network(iced, COOLING)
    assert str(caught.value) == (
        "coil.condition: iced came; a coil with ice on it has no steady resistance. Thaw it with "
        "the blower alone, find out why it froze, and read the statics again."
    )


# --- watts -------------------------------------------------------------------------------------


def four_ton(tap="1200"):
    """A blower that holds its airflow on ducts and a filter that nobody described."""
    survey = with_unit(attic(AIRFLOW, tap, "constant-airflow"), capacity=seen(4, "ton"))
    return replace(survey, filters=None, returns=None, supply=None)


def of_blower(survey, **readings):
    posterior = calibrate(job(survey, trial(**readings)), 3, size=400)
    return predict(posterior).estimate("airflow")


def test_watts_say_what_statics_cannot():
    """On a known setting statics leave the airflow of a held blower open; watts narrow it.

    Statics alone: half as much again, the same airflow within 3 %.  Watts 15 % above the table's:
    more air than the table has, since a motor that holds its airflow works for it.
    """
    s = middle(compile_network(four_ton(), COOLING))
    read = {n: round(abs(from_si(float(s.reads[n][0]), "inwc")), 3) for n in ("return", "supply")}
    watts = float(s.power[0])
    statics = of_blower(four_ton(), **read)
    more = of_blower(four_ton(), **{n: round(1.5 * p, 3) for n, p in read.items()})
    assert more.value == pytest.approx(statics.value, rel=0.03)
    with_watts = of_blower(four_ton(), **read, power=round(watts))
    assert with_watts.high - with_watts.low < 0.9 * (statics.high - statics.low)
    high = of_blower(four_ton(), **read, power=round(1.15 * watts))
    assert high.value > 1.02 * with_watts.value


def test_watts_of_other_motors_say_nothing_of_their_level():
    """A PSC or torque blower's watts follow its pressure; only its own 5 % are in between."""
    for survey in (attic(), attic(PSC, "high", "psc")):
        names = {name for name, _ in compile_network(survey, COOLING).fan.power_by}
        assert "unit:level" not in names
    held = dict(compile_network(four_ton(), COOLING).fan.power_by)
    assert held["unit:level"] == pytest.approx(blowers.watts_exponent(four_ton().unit.table.rows))


# --- the whole way -----------------------------------------------------------------------------


@pytest.mark.parametrize("known", [{"airflow": to_si(1215, "cfm")}, {"speed": to_si(990, "rpm")}])
def test_a_tap_of_one_cell_or_a_speed_goes_the_whole_way(known):
    """Such a table passes every check, is answered, and the tap in use is drawn as it was filled.

    Tap 3 of the invented table is 1215 cfm at 0.5; the speeds are invented beside it.
    """
    rows = tuple(
        replace(row, speed=to_si(1080, "rpm"))
        for row in blower({tap: TORQUE[tap] for tap in ("5", "4")}).rows
    )
    cell = TableRow("3", to_si(0.5, "inwc"), **{"airflow": None, **known})
    survey = with_unit(attic(tap="3"), table=replace(attic().unit.table, rows=(*rows, cell)))
    given = job(survey, trial(**{"return": 0.30, "supply": 0.30}))
    check(given)
    check_table(survey.unit.table.rows)
    found = answer(given, 1)
    lines = {line.tap: line for line in found.curves.taps}
    assert [tap for tap, line in lines.items() if line.in_use] == ["3"]
    assert len(lines["3"].points) > 2
    whole = answer(job(attic(tap="3"), given.trials[0]), 1)
    assert found.airflow.value == pytest.approx(whole.airflow.value, rel=0.08)
    wide, narrow = ((one.high - one.low) / one.value for one in (found.airflow, whole.airflow))
    assert wide > narrow


def test_a_tap_known_by_its_name_goes_the_whole_way():
    """Run on 4, printed 5 and 3: allowed, asked about, answered; a change may set it too."""
    two = blower({tap: TORQUE[tap] for tap in ("5", "3")})
    survey = with_unit(attic(tap="4"), table=two)
    given = job(survey, trial(**{"return": 0.30, "supply": 0.30}))
    check(given)
    assert [str(doubt) for doubt in doubts(given) if doubt.where == "survey.unit.tap"] == [
        "survey.unit.tap: tap 4 came. Tap 4 is not in the table; it lies somewhere between 3 and "
        "5. Add two cells of this tap, or keep it if the table has none."
    ]
    found = answer(given, 1)
    whole = answer(job(attic(tap="4"), given.trials[0]), 1)
    assert found.airflow.value == pytest.approx(whole.airflow.value, rel=0.03)
    assert {line.tap for line in found.curves.taps if line.in_use} == {"5", "3"}
    moved = apply(with_unit(survey, tap="5"), Change("c1", "tap", (), {"tap": "4"}))
    assert moved.unit.tap == "4"
    with pytest.raises(UnknownNameError):
        apply(survey, Change("c1", "tap", (), {"tap": "turbo"}))
    ran = trial(condition={"tap": "4"}, **{"return": 0.30, "supply": 0.30})
    check(job(with_unit(survey, tap="5"), ran))


def test_an_answer_with_a_kit_has_one_for_each_possibility():
    """Electric heat, a table that does not say: five possibilities, and the kit is a part."""
    survey = with_unit(attic(includes=None), heat_kit=KIT)
    found = answer(job(survey, trial(**{"return": 0.30, "supply": 0.30})), 1)
    labels = [one.label for one in found.alternatives]
    assert len(labels) == 5
    assert "The table includes a dry coil and the heater" in labels
    assert ("heater", "Electric heat", "unit") in {(r.key, r.label, r.side) for r in found.budget}
    flows = {one.label: one.airflow.value for one in found.alternatives}
    with_kit = flows["The table includes a dry coil and the heater"]
    assert with_kit > flows["The table includes a dry coil"]
