"""The solver: where it starts does not matter, and what it cannot solve it refuses by name."""

from dataclasses import replace

import numpy as np
import pytest

from inchwater.calibration.priors import Prior
from inchwater.errors import ConvergenceError
from inchwater.network import compile_network, solve
from inchwater.network.equations import Equations
from inchwater.network.newton import start
from inchwater.network.resistances import coefficients
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
    """From the first guess or from one twice as large, the same flows and pressures."""
    given = coefficients(network, drawn(network, 20), 20)
    guess = start(Equations(network, given), 20)
    one, two = (solve(network, {}, 20, given=given, guess=k * guess).state for k in (1.0, 2.0))
    assert two.flow == pytest.approx(one.flow, rel=1e-5)
    assert two.supply == pytest.approx(one.supply, rel=1e-5)


def test_the_jacobian_is_the_slope_of_the_residuals(network):
    """Central differences of every equation over every unknown give the Jacobian."""
    given = coefficients(network, drawn(network, 2), 2)
    equations = Equations(network, given)
    x = start(equations, 2)
    _, slope, d_tesp, dq = equations.residual(x)
    jacobian = equations.jacobian(slope, d_tesp, dq)
    for unknown in range(x.shape[1]):
        step = np.zeros_like(x)
        step[:, unknown] = 1e-6 * np.abs(x[:, unknown])
        up, down = equations.residual(x + step)[0], equations.residual(x - step)[0]
        numeric = (up - down) / (2.0 * step[:, unknown][:, None])
        scale = np.abs(jacobian[:, :, unknown]).max(axis=1, keepdims=True)
        assert np.all(np.abs(numeric - jacobian[:, :, unknown]) < 1e-4 * scale + 1e-9)


def test_a_part_that_is_no_number_is_named(network):
    """One variant with a resistance that is no number: the part is named, no numbers are left."""
    given = coefficients(network, drawn(network, 3), 3)
    for key in ("run:r3", "filter:f1", "coil:coil", "trunk:t1", "return:g1:duct"):
        scale = given.scale.copy()
        scale[1, network.index(key)] = np.nan
        with pytest.raises(ConvergenceError) as caught:
            solve(network, {}, 3, given=replace(given, scale=scale))
        assert str(caught.value) == (
            f"{key}: 1 of 3 variants that did not come to rest came; the resistance of a part is a "
            f"finite number. Look at the sizes and losses typed for {key}."
        )


class Gap(LinearCurve):
    """A blower that moves air above 20 Pa and none below: no airflow meets its duct."""

    def airflow_and_slope(self, tesp):
        return np.where(tesp > 20.0, 0.0, 0.5), np.zeros_like(tesp)


def test_a_blower_that_meets_no_system_is_named():
    """Where blower and duct have no common point the blower is named."""
    by_hand = ByHand(Gap([0.0, 100.0], [0.5, 0.4]))
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
    s = solve(network, {}, 2, given=replace(given, scale=scale))
    assert np.all(s.airflow >= 0.0)
    if factor > 1.0:
        assert np.all(s.edge_flow[:, at] < 0.01)
