"""What holds in every network that the solver takes: trees of any depth, near-closed runs, filters
in parallel, leaks of any exponent, tees that gain, a bypass, shut doors."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inchwater.network import newton, solve
from inchwater.network.resistances import coefficients
from tests.properties.networks import Wishes, drawn, networks

SOME = settings(max_examples=40, deadline=None)
FEW = settings(max_examples=15, deadline=None)
SEEDS = st.integers(0, 10**6)
# Without tees by flow ratio the network is a passive one, for which monotony is a theorem; a
# tee's loss in one leg depends on the air in another.
PASSIVE = Wishes(tees=False)


def balances(network, s):
    """Assert that no air is made or lost, at the unit and in every shut room."""
    design = network.design_flow
    at = {leaf.id: s.edge_flow[:, leaf.path[-1]] for leaf in network.leaves}
    passed = s.edge_flow[:, list(network.bypass)].sum(axis=1)
    out = sum(at[leaf.id] for leaf in network.supply)
    back = sum(at[leaf.id] for leaf in network.returns)
    assert np.abs(out + passed - s.airflow).max() < 1e-9 * design
    assert np.abs(back + passed - s.airflow).max() < 1e-9 * design
    for i in network.unit:
        assert np.abs(s.edge_flow[:, i] - s.airflow).max() < 1e-9 * design
    for name, ways in network.rooms.items():
        brought = sum(at[leaf.id] for leaf in network.supply if leaf.behind == name)
        assert np.abs(brought - s.edge_flow[:, list(ways)].sum(axis=1)).max() < 1e-9 * design
    for i, edge in enumerate(network.edges):
        below = {leaf.path[-1]: leaf for leaf in network.leaves if i in leaf.path[:-1]}
        if below:
            carried = s.edge_flow[:, sorted(below)].sum(axis=1)
            assert np.abs(s.edge_flow[:, i] - carried).max() < 1e-9 * design, edge.key
    told = network.fan.curves[0].airflow(s.entry) * s.given.level
    # The blower's curve is part of every path, which closes to 1e-6 of its pressure.
    assert np.abs(told - s.airflow).max() < 2e-6 * design


def closes(network, s):
    """Assert that the drops along every way add up to the pressure that drives it."""
    head = 1e-6 * (s.supply - s.back)
    for leaf in network.leaves:
        along = sum(s.edge_drop[:, i] for i in leaf.path)
        room = s.room[leaf.behind] if leaf.behind else 0.0
        outer = s.supply - room if leaf in network.supply else room - s.back
        assert np.all(np.abs(along - outer) <= head), leaf.id
    for i in network.bypass:
        assert np.all(np.abs(s.edge_drop[:, i] - (s.supply - s.back)) <= head)
    for name, ways in network.rooms.items():
        for i in ways:
            assert np.all(np.abs(s.edge_drop[:, i] - s.room[name]) <= head)


@SOME
@given(networks(), SEEDS)
def test_air_balances_and_paths_close(network, seed):
    """In any network: mass to 1e-9 of the airflow, every path to 1e-6 of the blower's pressure."""
    s = solve(network, drawn(network, 5, seed))
    balances(network, s)
    closes(network, s)


@FEW
@given(networks(Wishes(runs=1)), SEEDS)
def test_one_run(network, seed):
    """A system of one run comes to rest as any other."""
    s = solve(network, drawn(network, 5, seed))
    balances(network, s)
    closes(network, s)


@settings(max_examples=4, deadline=None)
@given(networks(Wishes(runs=300)), SEEDS)
def test_three_hundred_runs(network, seed):
    """So does one of three hundred."""
    s = solve(network, drawn(network, 3, seed))
    balances(network, s)
    closes(network, s)


@SOME
@given(networks(PASSIVE), SEEDS, st.floats(1.01, 1e4), st.data())
def test_added_resistance_is_never_more_air(network, seed, factor, data):
    """Whatever part resists more, leaks and bypass too, the blower moves no more air."""
    at = data.draw(st.integers(0, len(network.edges) - 1))
    before = coefficients(network, drawn(network, 3, seed), 3)
    scale = before.scale.copy()
    scale[:, at] *= factor
    one = solve(network, {}, 3, given=before)
    two = solve(network, {}, 3, given=before._replace(scale=scale))
    assert np.all(two.airflow <= one.airflow + 2e-6 * network.design_flow), network.edges[at].key


@SOME
@given(networks(), SEEDS, st.floats(0.05, 0.99), st.data())
def test_a_freer_filter_is_never_less_air(network, seed, factor, data):
    """With less resistance in any filter, at the unit or in a grille, airflow does not fall.

    Tees or none: what stands at a filter resists by its own flow alone.
    """
    places = [i for i, e in enumerate(network.edges) if e.key[:6] in ("filter", "grille")]
    at = data.draw(st.sampled_from(places))
    before = coefficients(network, drawn(network, 3, seed), 3)
    scale = before.scale.copy()
    scale[:, at] *= factor
    one = solve(network, {}, 3, given=before)
    two = solve(network, {}, 3, given=before._replace(scale=scale))
    assert np.all(two.airflow >= one.airflow - 2e-6 * network.design_flow)


def same_bits(one, two):
    """Whether two solutions are equal to the last bit."""
    return all(
        np.array_equal(getattr(one.found, name), getattr(two.found, name))
        for name in ("flow", "drop", "ends", "entry", "fan", "rounds")
    )


@FEW
@given(networks(), SEEDS)
def test_a_variant_does_not_feel_its_neighbours(network, seed):
    """Solved one by one or together, every variant is the same to the last bit."""
    values = drawn(network, 9, seed)
    together = solve(network, values)
    for i in range(9):
        alone = solve(network, {name: v[i : i + 1] for name, v in values.items()})
        assert np.array_equal(alone.edge_flow[0], together.edge_flow[i])
        assert np.array_equal(alone.edge_drop[0], together.edge_drop[i])
        assert np.array_equal(alone.found.ends[0], together.found.ends[i])


@FEW
@given(networks(), SEEDS, st.integers(1, 40))
def test_chunks_and_threads_change_nothing(network, seed, chunk):
    """The size of a chunk and the number of threads leave every bit as it is."""
    values = drawn(network, 40, seed)
    whole = solve(network, values)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(newton, "CHUNK", chunk)
        assert same_bits(solve(network, values), whole)
        assert same_bits(solve(network, values, threads=3), whole)
