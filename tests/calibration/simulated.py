"""Houses drawn from the prior of a survey, and the readings that a technician would take there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from inchwater.calibration.observe import expected, spread
from inchwater.calibration.priors import Prior, noise
from inchwater.network import compile_network, solve
from inchwater.parts.blowers import LIMIT


def houses(job, rng, count):
    """Yield ``count`` pairs of (job with simulated readings, true solution of its first trial).

    Readings get the noise that the calibration takes them to have.  A house whose blower would run
    beyond its table is drawn again, as no calibration is given for it.
    """
    networks = [compile_network(job.survey_after(t.after), t.condition) for t in job.trials]
    prior = Prior.of(p for network in networks for p in network.parameters)
    while count:
        values = prior.values({name: rng.standard_normal(1) for name in prior.latents})
        solutions = [solve(network, values) for network in networks]
        if any(s.network.fan.has_table and s.beyond[0] > 0.5 * LIMIT for s in solutions):
            continue
        count -= 1
        yield replace(job, trials=tuple(map(_read, job.trials, solutions, [rng] * 9))), solutions[0]


def _read(trial, solution, rng):
    return replace(trial, readings=tuple(_taken(r, solution, rng) for r in trial.readings))


def _taken(reading, solution, rng):
    if reading.quantity == "voltage":
        return reading
    true = float(expected(reading, solution)[0])
    sigma = spread(replace(reading, value=true), {})
    value = true + sigma * rng.standard_t(noise("student-dof"))
    return replace(reading, value=value, typed=f"{value:.6g}", unit="pa")


def rank(samples, weights, true):
    """Share of the posterior that lies below the truth."""
    return float(np.sum(weights[samples < true]) / np.sum(weights))
