"""What readings are worth: by their share where they err by it, and solved once for each state."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import lognorm, t

from inchwater.calibration import likelihood
from inchwater.calibration.likelihood import Readings
from inchwater.calibration.observe import observe
from inchwater.calibration.priors import noise
from tests.network.surveys import attic, job, reading, trial


def readings(*trials):
    return Readings.of(observe(job(attic(), *trials)))


def hooded(value, id_="t1", at="register:r1"):
    one = reading("h", at, value, "airflow", "cfm")
    return replace(trial(id_, **{"return": 0.3}), readings=(one,))


def zeros(of, size=1):
    return np.zeros((size, len(of.names)))


def test_a_hood_errs_by_a_share_of_what_it_reads():
    """Twice and half of what it should show are as far off, as of a lognormal error (SciPy)."""
    shows = readings(hooded(100)).predict(zeros(readings(hooded(100))))[0, 0]
    usual = 100.0 * shows / readings(hooded(100)).measured[0]
    apart = []
    for factor in (0.5, 2.0):
        of = readings(hooded(usual * factor))
        apart.append(of.surprise(zeros(of))[0, 0] * of.spreads[0] / of.measured[0])
    assert apart[0] == pytest.approx(-apart[1], rel=1e-6)
    assert apart[1] == pytest.approx(np.log(2.0), rel=1e-6)
    # Of one sigma, the lognormal's two tails are the surprise's own.
    tails = [lognorm(s=1.0).cdf(np.exp(z)) for z in apart]
    assert tails[0] == pytest.approx(1.0 - tails[1])


def test_air_that_comes_back_through_a_register_has_a_finite_surprise():
    """No logarithm of nothing: below a tenth of the reading the surprise goes on straight."""
    of = readings(hooded(100))
    measured = of.measured[0]
    of.shown = lambda shares: shares * measured
    ratio = np.array([1.0, 0.1, 0.05, 0.0, -0.5])
    shown = of.surprise_of(ratio[:, None])[:, 0] * of.spreads[0] / measured
    assert shown[:2] == pytest.approx(-np.log(ratio[:2]))
    assert np.diff(shown[1:]) == pytest.approx(-np.diff(ratio[1:]) / 0.1)


def test_hoods_are_nearly_normal_and_statics_are_not():
    """Log odds are Student's, by SciPy, with the degrees of freedom of each kind of reading."""
    of = readings(trial(**{"return": 0.3}, supply=0.3), hooded(60, "t2"))
    assert list(of.dof) == [noise("student-dof")] * 2 + [noise("hood-dof")]
    points = np.vstack([zeros(of), np.full((1, len(of.names)), 0.3)])
    z = of.surprise(points)
    expected = sum(t(dof).logpdf(z[:, k]) - t(dof).logpdf(0.0) for k, dof in enumerate(of.dof))
    assert of.log_likelihood(points) == pytest.approx(expected)


def test_trials_in_one_state_are_solved_once(monkeypatch):
    """Three trials of one call are one network; another call is another."""
    same = [trial(f"t{k}", **{"return": 0.3}, supply=0.3) for k in range(3)]
    other = trial("t9", condition={"call": "fan"}, **{"return": 0.2}, supply=0.2)
    of = readings(*same, other)
    solved = []
    real = likelihood.solve
    monkeypatch.setattr(likelihood, "solve", lambda *a, **k: solved.append(a[0]) or real(*a, **k))
    shown = of.predict(zeros(of, 2))
    assert len(solved) == 2
    apart = [
        one.predict(of.prior.values(dict.fromkeys(of.names, np.zeros(2))), 2)[0]
        for one in of.trials
    ]
    assert shown == pytest.approx(np.concatenate(apart, axis=1))
