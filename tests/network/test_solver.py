"""The solver: where it starts does not matter, and what it cannot solve it refuses by name."""

import numpy as np
import pytest

from inchwater.calibration.priors import Prior
from inchwater.errors import ConvergenceError, UnknownNameError
from inchwater.network import compile_network, solve
from inchwater.network.newton import looked_at, prepared
from inchwater.network.program import program
from inchwater.network.resistances import coefficients
from inchwater.parts import ducts
from tests.network.builders import ByHand, LinearCurve
from tests.network.surveys import attic


@pytest.fixture(scope="module")
def network():
    return compile_network(attic(), {"call": "cooling"})


def drawn(network, size, seed=1):
    prior = Prior.of(network.parameters)
    rng = np.random.default_rng(seed)
    return prior.values({name: rng.standard_normal(size) for name in prior.latents})


def test_the_start_does_not_matter(network):
    """From the handbook's flows or from equal shares of the design flow, the same solution."""
    given = coefficients(network, drawn(network, 20), 20)
    near = solve(network, {}, 20, given=given)
    far = compile_network(attic(), {"call": "cooling"})
    far.__dict__["_program"] = program(far)
    other = solve(far, {}, 20, given=given)
    assert other.edge_flow == pytest.approx(near.edge_flow, rel=1e-5)
    assert other.supply == pytest.approx(near.supply, rel=1e-5)


def test_from_a_solution_close_by_it_comes_to_the_same_as_from_its_own_start(network):
    """A hair's step is followed, not taken for none, and a long one found as well."""
    values = drawn(network, 20)
    begun = solve(network, values, 20)
    for step in (1e-6, 1e-3, 0.5):
        moved = {name: value * (1.0 + step) for name, value in values.items()}
        near = solve(network, moved, 20, near=begun)
        afresh = solve(network, moved, 20)
        assert near.edge_flow == pytest.approx(afresh.edge_flow, rel=1e-5, abs=1e-7)
        assert np.all(near.edge_flow != begun.edge_flow)
        assert near.supply == pytest.approx(afresh.supply, rel=1e-5)
    slope = (solve(network, moved, 20, near=near).supply - near.supply) / near.supply
    assert np.abs(slope).max() < 1e-7


def test_sensitivities_are_the_slopes_of_what_is_solved_again(network):
    """Every result answers to every parameter as two solutions beside it say, within 0.1 %."""
    values = drawn(network, 2)
    solved = solve(network, values, wrt=("run:r1:friction",))
    outputs = ("airflow", "delivered", "tesp", "static:supply", "flow:r1", "drop:run:r2", "entry")
    for parameter in network.parameters:
        step = 1e-3 * np.maximum(np.abs(values[parameter.name]), 1e-3)
        low, high = (
            solve(network, {**values, parameter.name: values[parameter.name] + sign * step})
            for sign in (-1.0, 1.0)
        )
        for output in outputs:
            slope = (high.output(output) - low.output(output)) / (2.0 * step)
            found = solved.sensitivity(output, parameter.name)
            size = np.abs(solved.output(output)) / np.maximum(np.abs(values[parameter.name]), 1e-3)
            assert np.all(np.abs(found - slope) < 1e-3 * np.abs(slope) + 1e-6 * size), (
                parameter.name,
                output,
            )


def test_a_sensitivity_to_no_parameter_is_refused(network):
    """A misspelt name is not answered with a slope of nought."""
    with pytest.raises(UnknownNameError, match=r"frictoin.*run:r1:friction"):
        solve(network, {}).sensitivity("airflow", "run:r1:frictoin")


def test_sensitivities_keep_what_was_set_for_a_whole_part(network):
    """With a part at a quarter of its resistance its multiplier counts a quarter as well."""
    values = drawn(network, 2)
    given = coefficients(network, values, 2)
    scale = given.scale.copy()
    scale[:, network.index("run:r1")] = 0.25

    def flow(factor):
        moved = {**values, "run:r1:friction": values["run:r1:friction"] * factor}
        set_to = coefficients(network, moved, 2)._replace(scale=scale)
        return solve(network, moved, 2, given=set_to).flow["r1"]

    found = solve(network, values, 2, given=given._replace(scale=scale))
    step = 1e-3 * values["run:r1:friction"]
    slope = (flow(1.001) - flow(0.999)) / (2.0 * step)
    assert found.sensitivity("flow:r1", "run:r1:friction") == pytest.approx(slope, rel=1e-3)


def test_a_part_that_is_no_number_is_named(network):
    """One variant with a resistance that is no number: the part is named, no numbers are left."""
    given = coefficients(network, drawn(network, 3), 3)
    for key in ("run:r3", "filter:f1", "coil:coil", "trunk:t1", "return:g1:duct"):
        scale = given.scale.copy()
        scale[1, network.index(key)] = np.nan
        with pytest.raises(ConvergenceError) as caught:
            solve(network, {}, 3, given=given._replace(scale=scale))
        assert str(caught.value) == (
            f"{key}: 1 of 3 variants that did not come to rest came; the resistance of a part is a "
            f"finite number. Look at the sizes and losses typed for {key}."
        )


@pytest.mark.parametrize("loss", np.geomspace(30.0, 1500.0, 12))
def test_friction_has_no_step_where_turbulence_begins(loss):
    """A run of little air: its drop is the law's on both sides of a Reynolds number of 4,000."""
    by_hand = ByHand(LinearCurve.of([(1000, 0.0), (0, 1.0)]))
    by_hand.run("r1", by_hand.law("run:r1", 100.0, 0.4, 2.0, "supply"))
    by_hand.run("r2", by_hand.pipe("run:r2", 0.127, 5.0, 1e-3, loss))
    by_hand.opening("g1", by_hand.edge("return:g1", "return"))
    network = by_hand.network()
    reynolds = np.geomspace(1500.0, 12000.0, 3000)
    size = len(reynolds)
    flow = np.full((size, 3), 0.01)
    flow[:, 1] = reynolds / prepared(network).piece_reynolds[0]
    given = coefficients(network, {}, size)
    seen = looked_at(network, given, flow, np.zeros((size, 2))).drop[:, 1]
    friction, _ = ducts.friction_drop(flow[:, 1], 0.127, 5.0, 1e-3, network.air)
    law = friction + given.quadratic[:, 1] * flow[:, 1] ** 2
    assert seen == pytest.approx(law, rel=1e-6)


class Gap(LinearCurve):
    """A blower that moves air below 20 Pa and none above: no airflow meets its duct."""

    def __init__(self):
        super().__init__([0.0, 20.0, 100.0], [0.5, 0.5, 0.0])
        self.curve.power[:] = 0.0
        self.curve.power[0, :2] = 0.5


def test_a_blower_that_meets_no_system_is_named():
    """Where blower and duct have no common point the blower is named."""
    by_hand = ByHand(Gap())
    by_hand.run("r1", by_hand.law("run:r1", 100.0, 0.5, 2.0, "supply"))
    by_hand.opening("g1", by_hand.edge("return:g1", "return"))
    with pytest.raises(ConvergenceError) as caught:
        solve(by_hand.network(), {})
    assert str(caught.value) == (
        "blower: 1 of 1 variants that did not come to rest came; the blower should move one "
        "airflow at the pressure that the ducts ask for. Look at the cells of the blower table."
    )


@pytest.mark.parametrize("factor", [0.0, 1e6, 1e12])
@pytest.mark.parametrize("key", ["run:r3", "filter:f1", "trunk:t1", "return:g1:duct"])
def test_extremes_come_to_rest(network, key, factor):
    """A part without resistance or as good as shut leaves the rest in order."""
    given = coefficients(network, drawn(network, 2), 2)
    scale = given.scale.copy()
    at = network.index(key)
    scale[:, at] *= factor
    s = solve(network, {}, 2, given=given._replace(scale=scale))
    assert np.all(s.airflow >= 0.0)
    if factor > 1.0:
        assert np.all(s.edge_flow[:, at] < 0.01)
