"""Whether nine in ten is nine in ten: houses drawn from the prior, read, calibrated, compared.

Simulation-based calibration (Talts et al. 2018, arXiv 1804.06788; memory): the truth's rank in its
posterior has to be uniform.  Bounds are binomial, at one in a thousand, not tuned.
"""

import numpy as np
import pytest
from scipy.stats import binom, kstest

from inchwater.calibration import calibrate
from inchwater.forecast import predict
from inchwater.survey import minimal_job
from inchwater.units import to_si
from tests.calibration.simulated import houses, rank
from tests.network.surveys import attic, basement, job, trial

QUANTITIES = ("airflow", "delivered", "tesp", "leak_supply")
FILTER_OUT = {"call": "cooling", "filter:f1": "out"}
# The readings' values are drawn; what is given here only says what is read.
JOBS = {
    "three numbers": (
        minimal_job(capacity=to_si(3.0, "ton"), return_static=75.0, supply_static=100.0),
        60,
    ),
    "described attic": (job(attic(), trial(before_filter=0.1, **{"return": 0.3}, supply=0.3)), 40),
    "furnace, two trials": (
        job(
            basement(),
            trial(**{"return": 0.4}, before_coil=0.3, supply=0.1),
            trial("t2", condition=FILTER_OUT, **{"return": 0.1}, before_coil=0.3, supply=0.1),
        ),
        25,
    ),
}


@pytest.mark.slow
@pytest.mark.parametrize("name", JOBS)
def test_nine_in_ten_hold_the_truth(name):
    """The 90 % range of each quantity holds the truth as often as it says, ranks are uniform."""
    start, count = JOBS[name]
    ranks = {quantity: [] for quantity in QUANTITIES}
    sizes = []
    for read, true in houses(start, np.random.default_rng(2024), count):
        posterior = calibrate(read, 11, size=300)
        found = predict(posterior)
        sizes.append(posterior.effective_size / posterior.size)
        for quantity in QUANTITIES:
            samples, _ = found.samples(quantity)
            ranks[quantity].append(rank(samples, posterior.weights, getattr(true, quantity)[0]))
    least, most = binom.interval(0.999, count, 0.9)
    held = {q: int(np.sum((np.array(r) > 0.05) & (np.array(r) < 0.95))) for q, r in ranks.items()}
    print(f"{name}: of {count} held {held}; effective size median {np.median(sizes):.2f}")
    for quantity in QUANTITIES:
        assert least <= held[quantity] <= most, quantity
        assert kstest(ranks[quantity], "uniform").pvalue > 1e-3, quantity
    # A house in which one reading in some hundred is far off costs samples, a usual one does not.
    assert np.median(sizes) > 1 / 3
