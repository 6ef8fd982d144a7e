"""From a survey in a condition to a network: what stands where, and what cannot be."""

from dataclasses import replace

import numpy as np
import pytest

from inchwater.calibration.priors import Prior
from inchwater.errors import InputError, NotPossibleError, PartError, UnknownNameError
from inchwater.network import compile_network, solve
from inchwater.network.compile_branch import pieces_of
from inchwater.parts import ducts, flex
from inchwater.survey import Change, Coil, Filter, Grille, Return, Survey, Unit, apply
from inchwater.units import from_si, to_si
from tests.network.surveys import PSC, attic, basement, blower, house, run, seen, supply_of

COOLING = {"call": "cooling"}


def keys(network):
    return {edge.key for edge in network.edges}


def middle(network):
    """The network with every unknown at the middle of its prior."""
    prior = Prior.of(network.parameters)
    return solve(network, prior.values({name: np.zeros(1) for name in prior.latents}))


def test_every_part_of_the_survey_is_an_edge():
    """Return, filter, coil, trunk, runs, registers and a leak on each side."""
    assert keys(compile_network(attic(), COOLING)) == {
        "return:g1:duct",
        "return:g1:grille",
        "filter:f1",
        "coil:coil",
        "trunk:t1",
        *(f"run:r{i}" for i in range(1, 7)),
        *(f"register:r{i}" for i in range(1, 7)),
        "supply:leak",
        "return:leak",
    }


def test_three_numbers_are_a_network():
    """A unit and nothing else: each side is one part, nothing stops."""
    network = compile_network(Survey(Unit("air-handler", seen(3, "ton"))))
    assert keys(network) == {
        "return:return:duct",
        "filter:filter",
        "coil:coil",
        "supply",
        "supply:leak",
        "return:leak",
    }
    s = middle(network)
    # The middle of the prior is a usual house: 325 ± 65 cfm/ton, TESP 0.46 to 1.23 in. w.c. (field
    # surveys, proposed).
    assert 260 < from_si(s.airflow[0], "cfm") / 3.0 < 390
    assert 0.46 < from_si(s.tesp[0], "inwc") < 1.23


def test_friction_of_a_run_is_its_duct_s():
    """A described run costs what parts.ducts says of its size, times its compression."""
    network = compile_network(attic(), COOLING)
    given = solve(network, {"run:r3:compression:friction": np.array([0.2])})
    edge = network.edges[network.index("run:r3")]
    flow = given.part_flow["run:r3"][0]
    drop, _ = ducts.friction_drop(
        flow, to_si(7, "in"), to_si(34, "ft"), ducts.roughness("flex"), network.air
    )
    area = ducts.circle_area(to_si(7, "in"))
    local = sum(p.coefficient for p in edge.local) * ducts.velocity_pressure(
        flow, area, network.air
    )
    # Supply air is cold and dense: as much mass, less volume and less pressure.
    expected = (drop * flex.compression_factor(0.2, to_si(7, "in")) + local) * network.thinner
    assert given.drop["run:r3"][0] == pytest.approx(expected, rel=1e-9)


def test_statics_read_as_the_trade_reads_them():
    """Return side negative, supply positive; TESP is their distance on the table's boundary."""
    s = middle(compile_network(attic(), COOLING))
    assert s.reads["return"][0] < s.reads["before-filter"][0] < 0.0 < s.reads["supply"][0]
    assert s.tesp[0] == pytest.approx(s.reads["supply"][0] - s.reads["return"][0])
    filter_drop = s.drop["filter:f1"][0]
    assert s.static["before-filter"][0] - s.static["return"][0] == pytest.approx(filter_drop)


def test_a_cased_coil_lies_between_its_test_points():
    """Before less after the coil is the coil's drop; a furnace's TESP is read before it."""
    s = middle(compile_network(basement(), COOLING))
    # Behind the coil the air is denser and slower, where one section is as wide as the other.
    port = s.network.ports["supply"]
    slower = (1.0 - s.network.thinner) * 0.5 * s.network.air.density
    coil = s.drop["coil:coil"][0] - slower * (s.airflow[0] / port.area) ** 2
    assert s.static["before-coil"][0] - s.static["supply"][0] == pytest.approx(coil)
    assert s.tesp[0] == pytest.approx(s.reads["before-coil"][0] - s.reads["return"][0])


def test_static_is_not_total():
    """A tip shows less than the total pressure by the velocity pressure at its place."""
    s = middle(compile_network(attic(), COOLING))
    port = s.network.ports["supply"]
    vp = 0.5 * s.network.density("supply") * (s.airflow[0] / port.area) ** 2
    assert vp < 0.5 * s.network.air.density * (s.airflow[0] / port.area) ** 2
    assert s.total["supply"][0] - s.static["supply"][0] == pytest.approx(vp)


@pytest.mark.parametrize(
    ("held", "standing"),
    [(frozenset(), 2), (frozenset({"coil-dry"}), 1), (frozenset({"coil-dry", "filter"}), 0)],
)
def test_what_the_table_holds_is_not_external(held, standing):
    """The blower works against what its table does not hold: the pressure at entry falls."""
    survey = attic(PSC, "high", "psc", includes=None)
    network = compile_network(survey, {"coil": "dry"}, held)
    assert len(network.fan.references) == 2 - standing
    s = middle(network)
    total = s.supply[0] - s.back[0] + s.drop["filter:f1"][0] + s.drop["coil:coil"][0]
    if held:
        assert s.entry[0] * network.fan.entry < total - 10.0
    else:
        assert s.entry[0] * network.fan.entry == pytest.approx(total)


def test_dirt_and_water_still_count():
    """A table holds the clean dry coil; caked or wet the same unit moves less."""

    def volume(word, state):
        coils = (Coil("coil", inside_unit=True, condition=word),)
        network = compile_network(replace(attic(), coils=coils), {"coil": state})
        # Through the wheel: water comes with cold air, of which more mass goes into a volume.
        return middle(network).airflow[0] / network.fan.volume

    clean, wet, caked = (
        volume(word, state)
        for word, state in (("clean", "dry"), ("clean", "wet"), ("caked", "dry"))
    )
    assert clean > wet > caked


def test_filter_grilles_stand_in_their_returns():
    """Two filter grilles share the air; each has its own filter, none stands at the unit."""
    size = (seen(25, "in"), seen(20, "in"))
    survey = replace(
        attic(),
        filters=tuple(Filter(f"f{i}", "grille", "pleat-1in-merv8", *size) for i in (1, 2)),
        returns=tuple(Return(f"g{i}", None, Grille(*size), filter=f"f{i}") for i in (1, 2)),
    )
    network = compile_network(survey, COOLING)
    assert network.unit_filter == ()
    s = middle(network)
    shares = [s.part_flow[f"filter:f{i}"][0] / s.airflow[0] for i in (1, 2)]
    assert shares[0] == pytest.approx(shares[1], rel=1e-6)
    assert sum(shares) == pytest.approx(1.0 - s.leak_return[0] / s.airflow[0], rel=1e-6)


def test_an_unknown_tap_is_a_mixture_of_all():
    """Nobody knows the tap: the flow lies between the lowest and the highest."""
    survey = attic(tap=None)
    low, high = (middle(compile_network(attic(tap=tap), COOLING)).airflow[0] for tap in ("3", "5"))
    assert low < middle(compile_network(survey, COOLING)).airflow[0] < high


@pytest.mark.parametrize(("call", "tap"), [("cooling", "5"), ("heating", "3"), ("fan", "4")])
def test_a_call_runs_its_own_tap(call, tap):
    """The thermostat's call picks the tap; where it names none the unit's own runs."""
    unit = replace(attic().unit, calls={"cooling": "5", "heating": "3"})
    network = compile_network(replace(attic(), unit=unit), {"call": call})
    assert network.fan.taps == (tap,)


def test_a_dash_bounds_the_table():
    """A dash in the last column: the tap's usable range ends before it."""
    network = compile_network(attic(PSC, "low", "psc"), COOLING)
    assert network.fan.curves[0].range[1] == pytest.approx(to_si(0.9, "inwc"))


# --- refusals ----------------------------------------------------------------------------------

REFUSED = {
    "unknown key": (
        {"window": "shut"},
        InputError,
        "condition.window: 'window' came; a condition has call, tap, coil, filter:<id>, run:<id>, "
        "register:<id>, door:<room>, zone:<name>, bypass:<id>.",
    ),
    "unknown call": (
        {"call": "party"},
        InputError,
        "condition.call: 'party' came; call is cooling or cooling-low or heating "
        "or heating-low or fan.",
    ),
    "unknown word": (
        {"run:r1": "gone"},
        InputError,
        "condition.run:r1: 'gone' came; run is in-place or pulled-open or pulled-capped.",
    ),
    "unknown filter": (
        {"filter:f9": "out"},
        UnknownNameError,
        "condition.filter:f9: 'f9' came; this survey has f1. Add the part to the survey first.",
    ),
    "unknown tap": (
        {"tap": "turbo"},
        UnknownNameError,
        "tap: 'turbo' came; the table has taps 5, 4, 3.",
    ),
    "volts in words": (
        {"volts": "low"},
        InputError,
        "volts: 'low' came; a number of volts under load.",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_condition_that_cannot_be_is_refused(name):
    """The text says what came, what there is, what to do."""
    state, kind, text = REFUSED[name]
    with pytest.raises(kind) as caught:
        compile_network(attic(), state)
    assert str(caught.value) == text


def test_twinned_units_are_refused():
    """Two blowers on one duct: said to be impossible, and how it can be read instead."""
    twin = replace(attic(), unit=replace(attic().unit, count=2))
    with pytest.raises(NotPossibleError) as caught:
        compile_network(twin)
    assert str(caught.value) == (
        "survey.unit.count: 2 units on one duct system came; two blowers on one duct cannot be "
        "told apart by these readings. Read each unit with its twin off and its own dampers shut, "
        "as a job of its own."
    )


def test_a_system_without_an_open_run_is_refused():
    """All runs capped: the blower would move nothing, and nothing could be told."""
    survey = supply_of(attic(), [run("r1"), run("r2")])
    with pytest.raises(PartError) as caught:
        compile_network(survey, {"run:r1": "pulled-capped", "run:r2": "pulled-capped"})
    assert str(caught.value) == (
        "supply.branches: every run shut or capped came; at least one run has to carry air. Open a "
        "run: a blower against a closed system tells nothing."
    )


def test_a_run_without_a_size_above_zero_is_refused():
    """A diameter of zero has no friction; the refusal names the quantity."""
    with pytest.raises(PartError) as caught:
        solve(compile_network(supply_of(attic(), [run("r1", diameter=0)])), {})
    assert str(caught.value) == "diameter: 0 came; it is a number above zero."


def test_a_table_of_two_cells_is_enough():
    """Two cells around the reading are a valid table."""
    two = blower({"4": [(1340, 455), (1275, 455)]})
    network = compile_network(replace(attic(), unit=replace(attic().unit, table=two)), COOLING)
    assert middle(network).airflow[0] > 0.0


# --- pieces that are kept -------------------------------------------------------------------------

LARGER = {"diameter": seen(9, "in")}
VARIANTS = {
    "as it is": (attic(), COOLING),
    "a larger run": (apply(attic(), Change("c1", "enlarge-run", ("r5",), LARGER)), COOLING),
    "by another change": (apply(attic(), Change("c2", "enlarge-run", ("r5",), LARGER)), COOLING),
    "a trunk": (apply(attic(), Change("c1", "enlarge-run", ("t1",), LARGER)), COOLING),
    "a register shut": (attic(), {"register:r2": "closed"}),
    "a run pulled open": (attic(), {"run:r5": "pulled-open"}),
    "a run capped": (attic(), {"run:r1": "pulled-capped"}),
    "in thin air": (
        replace(attic(), place=replace(attic().place, altitude=seen(6000, "ft"))),
        COOLING,
    ),
    "zones": (house(), {"zone:east": "shut"}),
    "a zone open": (house(), {"zone:east": "open"}),
    "a door shut": (house(), {"door:bed": "shut"}),
}


@pytest.mark.parametrize("variant", VARIANTS)
def test_no_variant_gets_the_pieces_of_another(variant):
    """A network is the same whether others were made before it or nothing was kept."""
    pieces_of.cache_clear()
    alone = compile_network(*VARIANTS[variant])
    for other in VARIANTS:
        compile_network(*VARIANTS[other])
    again = compile_network(*VARIANTS[variant])
    for name in ("edges", "supply", "returns", "parameters", "holes", "beyond", "rooms"):
        assert getattr(again, name) == getattr(alone, name)
