"""Calibrated jobs that several tests look at, made once, and stand-ins for a solved system."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import numpy as np

from inchwater.calibration import calibrate
from inchwater.calibration.expected import expected
from inchwater.calibration.priors import Prior
from inchwater.forecast import predict
from inchwater.network import compile_network, solve
from inchwater.quantity import Estimate
from inchwater.rehearsal import demos
from inchwater.survey import BlowerTable, Reading, TableRow, minimal_job
from inchwater.units import to_si

SEED = 20260302


def inwc(value):
    """A pressure in in. w.c. as Pa."""
    return to_si(value, "inwc")


def cfm(value):
    """An airflow in cfm as m3/s."""
    return to_si(value, "cfm")


@cache
def demo(letter):
    """A demo job, its posterior, and its system as found."""
    job = demos()[letter]
    posterior = calibrate(job, SEED)
    return job, posterior, predict(posterior)


@cache
def three_numbers(includes=None, cells=True, **given):
    """The job of three numbers: 2.5 ton, return 0.29, supply 0.42, with two cells of a table."""
    table = None
    if cells:
        rows = (
            TableRow("3", inwc(0.7), cfm(750)),
            TableRow("3", inwc(0.8), cfm(655)),
        )
        table = BlowerTable("t1", rows, includes)
    return minimal_job(
        capacity=to_si(2.5, "ton"),
        return_static=inwc(0.29),
        supply_static=inwc(0.42),
        table=table,
        tap="3" if cells else None,
        **given,
    )


def with_reading(job, at, value, quantity="static", trial=0, unit="inwc", typed=""):
    """A job with one reading of a trial replaced, or added where there was none. [SI]"""
    new = Reading(f"new-{at}-{quantity}", at, quantity, typed or f"{value:g}", unit, value)
    trials = list(job.trials)
    kept = tuple(r for r in trials[trial].readings if not (r.at == at and r.quantity == quantity))
    trials[trial] = replace(trials[trial], readings=(*kept, new))
    return replace(job, trials=tuple(trials))


def read_in(job, truly=None, **sigmas):
    """The job with what its readings would have shown in a system; in pascals, as typed.

    ``truly`` is that system's survey if it is another one; ``sigmas`` are latents that are not at
    their middle there, ``coil__c1`` for ``coil:c1``.
    """

    def taken(trial):
        network = compile_network(truly or job.survey_after(trial.after), trial.condition)
        prior = Prior.of(network.parameters)
        latents = {name: np.zeros(1) for name in prior.latents}
        latents |= {name.replace("__", ":"): np.full(1, z) for name, z in sigmas.items()}
        solution = solve(network, prior.values(latents))
        return replace(trial, readings=tuple(_shown(r, solution) for r in trial.readings))

    return replace(job, trials=tuple(map(taken, job.trials)))


def _shown(reading, solution):
    if reading.quantity == "voltage":
        return reading
    value = float(expected(reading, solution)[0])
    if reading.quantity != "static":
        return replace(reading, value=value)
    return replace(reading, value=value, unit="pa", typed=f"{abs(value):.2f}")


def stand_in(survey, airflow, *, weights=None, state=None, **more):
    """A prediction with the given airflow samples [m3/s] and nothing else but what is named."""
    airflow = np.atleast_1d(np.asarray(airflow, dtype=float))
    zero = np.zeros_like(airflow)
    solution = {
        "airflow": airflow,
        "delivered": airflow,
        "leak_supply": zero,
        "tesp": zero,
        "entry": zero,
        "beyond": zero,
        "power": None,
        "static": {},
        "reads": {},
        "drop": {},
        "part_flow": {},
        "flow": {},
    }
    solution |= more
    return SimpleNamespace(
        estimate=lambda name: Estimate.of(solution[name], np.ones_like(airflow), "airflow"),
        survey=survey,
        network=SimpleNamespace(
            state=state or {},
            fan=SimpleNamespace(has_table=False),
            thinner_on=lambda side: 1.0,
        ),
        solution=SimpleNamespace(**solution),
        draw=None,
        kept={},
        weights=np.ones_like(airflow) if weights is None else np.asarray(weights, dtype=float),
    )
