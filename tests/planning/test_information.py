"""The value of a reading before it is taken, against closed forms and against its own bounds.

Two actions with linear loss and a normal unknown have a closed form: Raiffa and Schlaifer 1961,
Applied Statistical Decision Theory, the unit normal loss integral (memory).
"""

from __future__ import annotations

from math import erf, exp, hypot, pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inchwater.planning.information import Decision, value_of_look, value_of_readings

NORMAL = 1e6  # degrees of freedom of a Student t that is a normal one


def loss_integral(u):
    """Raiffa and Schlaifer's unit normal linear loss integral: phi(u) - u (1 - Phi(u))."""
    return exp(-0.5 * u * u) / sqrt(2.0 * pi) - u * 0.5 * (1.0 - erf(u / sqrt(2.0)))


def two_actions(theta, known, slope=1.0):
    """One action brings what is known, the other theta; the loss is linear far below the goal."""
    brings = np.stack([np.full_like(theta, known), theta], axis=1)[:, :, None]
    return Decision(
        brings=brings,
        low=np.array([100.0]),
        high=np.array([np.inf]),
        far=np.array([1.0 / slope]),
        prices=np.zeros(2),
        visit=0.0,
        unmet=1.0,
    )


@pytest.mark.parametrize("middle", [0.0, 0.5, -1.2])
@pytest.mark.parametrize("noise", [0.3, 1.0, 3.0])
def test_a_reading_of_a_normal_unknown_is_worth_the_loss_integral(middle, noise):
    """Slope times the preposterior sigma times the integral, within 5 % of the most it can be."""
    sigma, slope = 1.0, 40.0
    worth = []
    for seed in range(8):
        rng = np.random.default_rng(seed)
        theta = rng.standard_normal(1000)
        theta = middle + sigma * (theta - theta.mean()) / theta.std()
        made = value_of_readings(
            two_actions(theta, 0.0, slope), theta[:, None], np.array([noise]), NORMAL, rng
        )
        worth.append(made.value)
    narrowed = sigma**2 / hypot(sigma, noise)
    exact = slope * narrowed * loss_integral(abs(middle) / narrowed)
    most = slope * sigma * loss_integral(0.0)
    assert np.mean(worth) == pytest.approx(exact, abs=0.05 * most)


def test_a_reading_without_error_is_worth_the_whole_regret():
    """What settles the unknown itself saves all that perfect knowledge could save."""
    rng = np.random.default_rng(3)
    theta = 0.2 + rng.standard_normal(1000)
    decision = two_actions(theta, 0.0)
    made = value_of_readings(decision, theta[:, None], np.array([1e-6]), NORMAL, rng)
    assert made.value == pytest.approx(decision.regret(), rel=0.06)
    assert made.now == 1
    assert made.chosen[0] == pytest.approx(0.42, abs=0.05)


def test_a_look_that_tells_which_is_worth_the_whole_regret():
    """Two kinds of system, another action for each: the look saves exactly the regret."""
    which = np.tile([0.0, 1.0, 1.0], 50)
    brings = np.stack([which, 1.0 - which], axis=1)[:, :, None]
    bounds = {"low": np.array([0.5]), "high": np.array([2.0]), "far": np.array([1.0])}
    decision = Decision(brings=brings, **bounds, prices=np.zeros(2), visit=100.0, unmet=0.0)
    odds = np.stack([which, 1.0 - which], axis=1)
    made = value_of_look(decision, odds)
    assert decision.regret() == pytest.approx(100.0 / 3.0)
    assert made.value == pytest.approx(decision.regret())
    assert made.now == 0
    assert made.chosen == pytest.approx([2.0 / 3.0, 1.0 / 3.0])


def test_a_look_that_tells_nothing_is_worth_nothing():
    """The same odds in every sample change no choice."""
    theta = np.random.default_rng(1).standard_normal(400)
    decision = two_actions(theta, 0.0)
    assert value_of_look(decision, np.full((400, 3), 1.0 / 3.0)).value == pytest.approx(0.0)


def test_noise_alone_is_worth_next_to_nothing():
    """A reading that has nothing to do with the choice: under 2 % of the regret on average.

    A plain fit would find a value in what chance alone explains; the shrunk one must not.
    """
    worth, regret = [], []
    for seed in range(20):
        rng = np.random.default_rng(seed)
        theta = rng.standard_normal(600)
        decision = two_actions(theta, 0.0)
        other = rng.standard_normal((600, 3))
        worth.append(value_of_readings(decision, other, np.full(3, 0.2), 4.0, rng).value)
        regret.append(decision.regret())
    assert np.mean(worth) < 0.02 * np.mean(regret)


@settings(max_examples=40, deadline=None)
@given(
    st.integers(0, 10**6),
    st.integers(1, 5),
    st.integers(1, 6),
    st.floats(0.01, 20.0),
    st.floats(0.0, 500.0),
    st.floats(0.0, 2000.0),
)
def test_it_is_never_negative_nor_more_than_perfect_knowledge(
    seed, actions, readings, noise, visit, unmet
):
    """Whatever the actions, readings and losses: from nothing up to the regret, plus the error."""
    rng = np.random.default_rng(seed)
    hidden = rng.standard_normal((500, 3))
    brings = hidden @ rng.standard_normal((3, (actions + 1) * 2)) + rng.standard_normal(
        (actions + 1) * 2
    )
    decision = Decision(
        brings=brings.reshape(500, actions + 1, 2),
        low=np.array([-0.5, -np.inf]),
        high=np.array([0.5, 0.3]),
        far=np.array([0.5, 1.0]),
        prices=rng.uniform(0.0, 300.0, actions + 1),
        visit=visit,
        unmet=unmet,
    )
    shown = hidden @ rng.standard_normal((3, readings))
    made = value_of_readings(decision, shown, np.full(readings, noise), 4.0, rng)
    assert made.value >= 0.0
    # Chance in the outcomes, and what a quadratic surface with equal residuals leaves out.
    scale = decision.costs().std()
    assert made.value <= decision.regret() + 4.0 * made.error + 0.05 * scale
    assert made.chosen.sum() == pytest.approx(1.0)


def test_a_worse_instrument_is_worth_less():
    """The same reading with more error of its own never gains."""
    theta = np.random.default_rng(5).standard_normal(1000)
    decision = two_actions(theta, 0.1)
    worth = [
        value_of_readings(
            decision, theta[:, None], np.array([noise]), 4.0, np.random.default_rng(6)
        ).value
        for noise in (0.1, 0.5, 2.0, 8.0)
    ]
    assert worth == sorted(worth, reverse=True)


def test_importance_weights_give_the_same_value():
    """Another route: every simulated outcome weighs all samples by its likelihood.

    Nested Monte Carlo with many samples, on a loss with bounds and two quantities; the regression
    agrees within a tenth of the regret.
    """
    rng = np.random.default_rng(8)
    hidden = rng.standard_normal((6000, 3))
    mix = np.array([[0.8, 0.1, 0.9, 0.2], [0.3, 0.9, -0.2, 0.8], [0.1, 0.2, 0.3, 0.1]])
    brings = (hidden @ mix + np.array([-0.3, 0.2, 0.2, -0.1])).reshape(-1, 2, 2)
    decision = Decision(
        brings=brings,
        low=np.array([0.0, -np.inf]),
        high=np.array([2.0, 0.5]),
        far=np.array([0.5, 0.5]),
        prices=np.array([0.0, 20.0]),
        visit=150.0,
        unmet=300.0,
    )
    shown, spreads = hidden[:, :1], np.array([0.4])
    made = value_of_readings(decision, shown, spreads, 4.0, np.random.default_rng(1))
    costs = decision.costs()
    outcomes = shown[:1500] + spreads * rng.standard_t(4.0, (1500, 1))
    z = (outcomes - shown[:, 0]) / spreads
    weights = (1.0 + z**2 / 4.0) ** -2.5
    weights /= weights.sum(axis=1, keepdims=True)
    after = weights @ costs
    nested = (after.mean(axis=0).min()) - after.min(axis=1).mean()
    assert nested > 0.1 * decision.regret()
    assert made.value == pytest.approx(nested, abs=0.1 * decision.regret())
