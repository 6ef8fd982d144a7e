"""What holds in every network: air is not lost, resistance costs flow, neighbours do not matter."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inchwater.calibration.priors import Prior
from inchwater.network import compile_network, solve
from inchwater.network.resistances import coefficients
from inchwater.survey import Branch, Duct, Place
from tests.network.surveys import AIRFLOW, PSC, attic, basement, run, seen, supply_of

FEW = settings(max_examples=25, deadline=None)


@st.composite
def houses(draw):
    """Surveys with 3 to 9 runs of any usual size, some on a trunk, with any of three blowers."""
    base = draw(
        st.sampled_from(
            [
                attic(),
                attic(PSC, "high", "psc"),
                attic(AIRFLOW, "1200", "constant-airflow"),
                basement(),
            ]
        )
    )
    count = draw(st.integers(3, 9))
    runs = [
        run(
            f"r{i}",
            draw(st.integers(5, 10)),
            draw(st.integers(6, 60)),
            draw(st.sampled_from(["tight", "slack", "draped", "kinked", None])),
        )
        for i in range(count)
    ]
    below = draw(st.integers(0, count - 1))
    trunk = Branch(
        "t1", Duct("metal", seen(14, "in"), seen(16, "ft")), branches=tuple(runs[:below])
    )
    return supply_of(base, ([trunk] if below else []) + runs[below:])


def drawn(network, seed, size=3, spread=1.0):
    """Parameter values of a network drawn from its prior, of a blower whose air falls."""
    prior = Prior.of(network.parameters)
    rng = np.random.default_rng(seed)
    values = prior.values({n: spread * rng.standard_normal(size) for n in prior.latents})
    if network.fan.tilt_by is not None:
        # A motor that holds its airflow may hold more of it the higher the pressure is.
        values[network.fan.tilt_by] = -np.abs(values[network.fan.tilt_by])
    return values


SEEDS = st.integers(0, 10**6)
COOLING = {"call": "cooling"}


@FEW
@given(houses(), SEEDS)
def test_air_is_neither_made_nor_lost(survey, seed):
    """At blower, plenum, trunk and return as much arrives as leaves, to a millionth."""
    network = compile_network(survey, COOLING)
    s = solve(network, drawn(network, seed))
    assert s.delivered + s.leak_supply == pytest.approx(s.airflow, rel=1e-9)
    assert sum(s.flow.values()) == pytest.approx(s.delivered, rel=1e-9)
    assert s.part_flow["return:g1:duct"] + s.leak_return == pytest.approx(s.airflow, rel=1e-6)
    for branch, _ in survey.supply.walk():
        if branch.is_trunk:
            below = sum(s.flow[one.id] for one in branch.branches)
            assert s.part_flow[f"trunk:{branch.id}"] == pytest.approx(below, rel=1e-9)
    # Past the end of its table a blower has an unknown slope of its own.
    curve, inside = (
        network.fan.curves[0],
        s.entry * s.given.lean[:, 2] <= network.fan.curves[0].range[1],
    )
    rated = curve.airflow(network.fan.rated)
    slant, tilt, reach = s.given.lean.T
    printed = rated + slant * (curve.airflow(s.entry * reach) - rated)
    printed = (printed + tilt * rated * (s.entry / network.fan.rated - 1.0)) * s.given.level
    assert s.airflow[inside] == pytest.approx(printed[inside], abs=2e-6 * network.design_flow)


@FEW
@given(houses(), SEEDS)
def test_every_way_through_costs_the_same(survey, seed):
    """Along each run the drops add up to the plenum's pressure, along each return to its own."""
    network = compile_network(survey, COOLING)
    s = solve(network, drawn(network, seed))
    head = s.supply - s.back
    for leaf in network.supply:
        path = sum(s.edge_drop[:, i] for i in leaf.path)
        assert np.abs(path - s.supply).max() < 2e-6 * head.max()
    for leaf in network.returns:
        path = sum(s.edge_drop[:, i] for i in leaf.path)
        assert np.abs(path + s.back).max() < 2e-6 * head.max()


@FEW
@given(houses(), SEEDS, st.floats(1.01, 30.0), st.data())
def test_more_resistance_is_never_more_flow(survey, seed, factor, data):
    """Whatever part resists more, blower and rooms get no more air, and that part less."""
    network = compile_network(survey, COOLING)
    tight = [i for i, e in enumerate(network.edges) if not e.key.endswith(":leak")]
    at = data.draw(st.sampled_from(tight))
    before = coefficients(network, drawn(network, seed), 3)
    scale = before.scale.copy()
    scale[:, at] *= factor
    one = solve(network, {}, 3, given=before)
    two = solve(network, {}, 3, given=before._replace(scale=scale))
    assert np.all(two.airflow <= one.airflow * (1 + 1e-6))
    assert np.all(two.delivered <= one.delivered * (1 + 1e-6))
    assert np.all(two.edge_flow[:, at] <= one.edge_flow[:, at] * (1 + 1e-6))


@FEW
@given(houses(), SEEDS, st.floats(0.05, 0.99))
def test_a_freer_filter_starves_no_run(survey, seed, factor):
    """With less resistance in the filter every run gets at least what it had."""
    network = compile_network(survey, COOLING)
    before = coefficients(network, drawn(network, seed), 3)
    scale = before.scale.copy()
    scale[:, network.index("filter:f1")] *= factor
    one = solve(network, {}, 3, given=before)
    two = solve(network, {}, 3, given=before._replace(scale=scale))
    for name in one.flow:
        assert np.all(two.flow[name] >= one.flow[name] * (1 - 1e-6))


@FEW
@given(houses(), SEEDS)
def test_a_batch_is_its_members(survey, seed):
    """A variant's answer does not depend on who is solved beside it, to the last bit."""
    network = compile_network(survey, COOLING)
    values = drawn(network, seed, size=12, spread=1.5)
    together = solve(network, values)
    for i in range(12):
        alone = solve(network, {name: v[i : i + 1] for name, v in values.items()})
        assert np.array_equal(alone.edge_flow[0], together.edge_flow[i])
        assert np.array_equal(alone.found.ends[0], together.found.ends[i])


@FEW
@given(houses(), SEEDS, st.randoms(use_true_random=False))
def test_the_order_of_runs_does_not_matter(survey, seed, random):
    """Runs listed in another order carry the same air."""

    def shuffled(branches):
        mixed = [replace(b, branches=shuffled(b.branches)) for b in branches]
        random.shuffle(mixed)
        return tuple(mixed)

    network = compile_network(survey, COOLING)
    other = compile_network(supply_of(survey, shuffled(survey.supply.branches)), COOLING)
    values = drawn(network, seed)
    one, two = solve(network, values), solve(other, values)
    assert two.airflow == pytest.approx(one.airflow, rel=1e-9)
    for name in one.flow:
        assert two.flow[name] == pytest.approx(one.flow[name], rel=1e-8)
    for point in one.reads:
        assert two.reads[point] == pytest.approx(one.reads[point], rel=1e-6, abs=1e-6)


@FEW
@given(houses(), SEEDS, st.integers(2000, 9000))
def test_altitude_scales_pressures_and_leaves_the_flow(survey, seed, feet):
    """Thin air: as many cfm, every pressure lower; by density where the blower follows it.

    Fan laws at fixed speed, as three engineering texts print them (volume as it is, pressure with
    density).  Filters and coils are partly viscous and thin less than density, which costs some
    flow; a constant-airflow motor keeps its own map.
    """
    low = compile_network(survey, COOLING)
    high = compile_network(replace(survey, place=Place(altitude=seen(feet, "ft"))), COOLING)
    values = drawn(low, seed)
    one, two = solve(low, values), solve(high, values)
    ratio = high.air.density / low.air.density
    inside = (one.beyond == 0.0) & (two.beyond == 0.0)
    flow = (two.airflow / one.airflow)[inside]
    head = (two.tesp / one.tesp)[inside]
    if survey.unit.motor == "constant-airflow":
        # Where its power ends, less pressure leaves it more air; before that it holds what it has.
        assert np.all((flow > 0.985) & (flow < 1.2))
    else:
        entry = (two.entry * two.network.fan.entry / one.entry / one.network.fan.entry)[inside]
        assert np.all((flow > ratio**0.35) & (flow < 1.001))
        assert np.all((entry > 0.999 * ratio) & (entry < ratio**0.55))
    assert np.all(two.supply < one.supply)
    assert np.all(head < 1.0)


def picked(survey, data):
    return data.draw(st.sampled_from([one.id for one in survey.supply.runs]))


@FEW
@given(houses(), SEEDS, st.data())
def test_a_pulled_run_spills_what_the_rooms_had(survey, seed, data):
    """A run off its collar: the blower moves no less, the rooms get less, the collar more."""
    id_ = picked(survey, data)
    found = compile_network(survey, COOLING)
    pulled = compile_network(survey, {**COOLING, f"run:{id_}": "pulled-open"})
    # One crew's runs share a family, so the same seed has to give the same values.
    values = drawn(found, seed)
    one, two = solve(found, values), solve(pulled, values)
    assert np.all(two.airflow >= one.airflow * (1 - 1e-6))
    assert np.all(two.delivered < one.delivered)
    assert np.all(two.flow[id_] > one.flow[id_])


@FEW
@given(houses(), SEEDS, st.data())
def test_a_capped_run_feeds_the_others(survey, seed, data):
    """A capped collar: no more airflow, no less for any other run, nothing for its own room."""
    id_ = picked(survey, data)
    found = compile_network(survey, COOLING)
    capped = compile_network(survey, {**COOLING, f"run:{id_}": "pulled-capped"})
    values = drawn(found, seed)
    one, two = solve(found, values), solve(capped, values)
    assert id_ not in two.flow
    assert np.all(two.airflow <= one.airflow * (1 + 1e-6))
    assert np.all(two.static["supply"] >= one.static["supply"] - 1e-4)
    for other in two.flow:
        assert np.all(two.flow[other] >= one.flow[other] * (1 - 1e-6))


@FEW
@given(houses(), SEEDS, st.data())
def test_a_closed_register_lies_between_open_and_capped(survey, seed, data):
    """A shut register leaks some air; the blower moves more than with the collar capped."""
    id_ = picked(survey, data)
    values = drawn(compile_network(survey, COOLING), seed)
    one, two, three = (
        solve(compile_network(survey, {**COOLING, **state}), values)
        for state in ({}, {f"register:{id_}": "closed"}, {f"run:{id_}": "pulled-capped"})
    )
    assert np.all(two.flow[id_] < 0.9 * one.flow[id_])
    assert np.all(two.flow[id_] > 0.0)
    assert np.all(two.airflow <= one.airflow * (1 + 1e-6))
    assert np.all(two.airflow >= three.airflow * (1 - 1e-6))


@pytest.mark.parametrize("survey", [attic(), attic(PSC, "high", "psc"), basement()])
def test_the_solver_comes_to_rest_far_out(survey):
    """A thousand variants at three times the prior's spread all come to rest."""
    network = compile_network(survey)
    s = solve(network, drawn(network, 7, size=1000, spread=3.0))
    assert np.isfinite(s.edge_flow).all()
    # Among them are runs that resist a million times what they should.
    assert np.quantile(s.found.rounds, 0.99) < 10
