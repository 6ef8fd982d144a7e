"""Forecasts of one house beside its truth: as found and after each change, by what was read.

One row is one forecast.  Pressures are in Pa, airflow in m3/s, its change relative to as found [-].
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from benchmarks._baselines import HANDBOOK, fitted, scaled
from benchmarks._houses import usual_trials
from benchmarks._scores import interval_score
from inchwater.calibration import calibrate
from inchwater.calibration.fit import SAMPLES
from inchwater.errors import InchwaterError
from inchwater.forecast import Prediction, predict
from inchwater.quantity import Estimate, weighted_quantile
from inchwater.rehearsal import State, VirtualHouse
from inchwater.survey import Change, Instrument, Job, Reading, Trial

Array = NDArray[np.float64]
Columns = Mapping[str, NDArray[np.generic]]
AS_FOUND = "as found"
# What was read, beside the numbers of usual trials.
FLOW, HOODS, ONE_HOOD = "3 + flow", "3 + hoods", "3 + one hood"
COUNTS = {"1": 1, "3": 3, "4": 4}
TAGS = ("motor", "layout", "capacity", "space", "returns", "filter", "coil", "ducts", "unit")
_NAN = float("nan")
_SEED = 7
# Hoods on all registers cost as much time as all the rest: one house in so many has them, which one
# goes by its name.
_HOODED = 3


@dataclass(frozen=True, slots=True)
class Row:
    """One forecast of one house.

    change : its id, "" as found; kind : of the change; read : the trials that were calibrated on;
    refused : why there is no forecast, "" if there is one; the truth, median, low and high end of
    each quantity; what handbook and scaled handbook say (TESP and airflow's change);
    rooms : share of the runs whose share of the air lies in its range, the median error of these
    shares relative to an equal part, the mean interval score likewise.
    """

    house: str
    change: str
    kind: str
    read: str
    method: str = ""
    effective: float = _NAN
    refused: str = ""
    tesp_true: float = _NAN
    tesp: float = _NAN
    tesp_low: float = _NAN
    tesp_high: float = _NAN
    airflow_true: float = _NAN
    airflow: float = _NAN
    airflow_low: float = _NAN
    airflow_high: float = _NAN
    gain_true: float = _NAN
    gain: float = _NAN
    gain_low: float = _NAN
    gain_high: float = _NAN
    tesp_handbook: float = _NAN
    tesp_scaled: float = _NAN
    gain_handbook: float = _NAN
    gain_scaled: float = _NAN
    rooms: float = _NAN
    rooms_error: float = _NAN
    rooms_score: float = _NAN
    motor: str = ""
    layout: str = ""
    capacity: str = ""
    space: str = ""
    returns: str = ""
    filter: str = ""
    coil: str = ""
    ducts: str = ""
    unit: str = ""


def columns(rows: Sequence[Row]) -> Columns:
    """Rows as arrays by name (row,)."""
    return {f.name: np.array([getattr(row, f.name) for row in rows]) for f in fields(Row)}


def forecasts(house: VirtualHouse, size: int = SAMPLES) -> list[Row]:
    """Every forecast of a house: with 1, 3 and 4 usual trials, a flow reading, hoods, one hood."""
    jobs = {}
    for read, count in COUNTS.items():
        roles = usual_trials(house, count)
        if roles is not None:
            jobs[read] = house.with_trials(roles)
    try:
        beside = _baselines(house, jobs)
    except InchwaterError:
        # Readings that cannot be: the calibration says why, and there is nothing to beat.
        beside = {}
    rows = []
    for read, job in jobs.items():
        rows += list(forecast(house, read, job, house.job.changes, size, beside.get(read)))
    roles = usual_trials(house, 3)
    there = set(house.roles.values())
    if roles is not None and "flow" in there:
        rows += list(forecast(house, FLOW, house.with_trials((*roles, "flow")), size=size))
    if roles is not None and "hoods" in there and zlib.crc32(house.id.encode()) % _HOODED == 0:
        job = house.with_trials((*roles, "hoods"))
        rows += list(forecast(house, HOODS, job, size=size))
        rows += list(forecast(house, ONE_HOOD, one_hood(house, job), size=size))
    return rows


def _baselines(
    house: VirtualHouse, jobs: Mapping[str, Job]
) -> dict[str, dict[str, dict[str, float]]]:
    """What handbook and scaled handbook say, by what was read and by the change's id."""
    if not jobs:
        return {}
    condition = next(iter(jobs.values())).trials[0].condition
    factors = np.stack([HANDBOOK, *(fitted(job) for job in jobs.values())])
    survey = house.job.survey
    start = scaled(survey, factors, (), condition)
    found: dict[str, dict[str, dict[str, float]]] = {read: {} for read in jobs}
    for change in (None, *house.job.changes):
        after = start if change is None else scaled(survey, factors, (change,), condition)
        gains = after.airflow / start.airflow - 1.0
        for k, read in enumerate(jobs, 1):
            found[read]["" if change is None else change.id] = {
                "tesp_handbook": float(after.tesp[0]),
                "tesp_scaled": float(after.tesp[k]),
                "gain_handbook": float(gains[0]),
                "gain_scaled": float(gains[k]),
            }
    return found


def one_hood(house: VirtualHouse, job: Job) -> Job:
    """The job with one reading left in its last trial, of a register chosen by the house."""
    *others, last = job.trials
    chosen = last.readings[zlib.crc32(house.id.encode()) % len(last.readings)]
    return replace(job, trials=(*others, replace(last, readings=(chosen,))))


def forecast(
    house: VirtualHouse,
    read: str,
    job: Job,
    changes: Sequence[Change] = (),
    size: int = SAMPLES,
    beside: Mapping[str, Mapping[str, float]] | None = None,
) -> Iterator[Row]:
    """One calibration's forecasts, as found first; a row that says why where there is none.

    ``beside`` is what handbook and scaled handbook say, by the change's id, "" as found.
    """
    condition = job.trials[0].condition
    now = house.truths.trials[house.by_role["first"]]
    tags: dict[str, Any] = {tag: house.tags.get(tag, "") for tag in TAGS}
    try:
        posterior = calibrate(job, _SEED, size=size)
        before = predict(posterior, condition=condition)
    except InchwaterError as problem:
        for change in (None, *changes):
            yield Row(
                house.id,
                "" if change is None else change.id,
                AS_FOUND if change is None else change.kind,
                read,
                refused=_reason(problem),
                **tags,
            )
        return
    own: dict[str, Any] = {
        "method": posterior.method,
        "effective": posterior.effective_size,
        **tags,
    }
    for change in (None, *changes):
        true = now if change is None else house.truths.changes[change.id]
        id_, kind = ("", AS_FOUND) if change is None else (change.id, change.kind)
        found = beside[id_] if beside is not None else {}
        try:
            after_it = before if change is None else predict(posterior, [change], condition)
        except InchwaterError as problem:
            yield Row(house.id, id_, kind, read, refused=_reason(problem), **own, **found)
            continue
        yield Row(house.id, id_, kind, read, **own, **found, **_beside(before, after_it, now, true))


def _reason(problem: InchwaterError) -> str:
    return f"{type(problem).__name__}: {problem.where}"


def _beside(before: Prediction, after: Prediction, now: State, true: State) -> dict[str, Any]:
    """The forecast of each quantity beside its truth."""
    weights = after.weights
    gains = after.solution.airflow / before.solution.airflow - 1.0
    found = {}
    for name, estimate, truth in (
        ("tesp", after.estimate("tesp"), true.tesp),
        ("airflow", after.estimate("airflow"), true.airflow),
        ("gain", Estimate.of(gains, weights, "ratio"), true.airflow / now.airflow - 1.0),
    ):
        found[f"{name}_true"] = truth
        found[name] = estimate.value
        found[f"{name}_low"], found[f"{name}_high"] = estimate.low, estimate.high
    return found | _rooms(after, true)


def _rooms(after: Prediction, true: State) -> dict[str, float]:
    """Every run's share of the air that all runs get."""
    runs = [id_ for id_ in true.runs if id_ in after.solution.flow]
    if not runs:
        return {}
    flows = np.stack([after.solution.flow[id_] for id_ in runs], axis=1)
    shares = flows / flows.sum(axis=1, keepdims=True) * len(runs)
    truth = np.array([true.runs[id_] for id_ in runs])
    truth = truth / truth.sum() * len(runs)
    low, middle, high = (
        np.array([weighted_quantile(one, after.weights, odds) for one in shares.T])
        for odds in (0.05, 0.5, 0.95)
    )
    return {
        "rooms": float(np.mean((low <= truth) & (truth <= high))),
        "rooms_error": float(np.median(np.abs(middle - truth))),
        "rooms_score": float(interval_score(low, high, truth).mean()),
    }


# --- where errors come from ---------------------------------------------------------------------


def ablations(house: VirtualHouse) -> list[Row]:
    """Forecasts of three trials with one source of error taken away, or more readings added."""
    rows = []
    for name, make in ABLATIONS.items():
        job = make(house)
        if job is not None:
            rows += list(forecast(house, name, job, house.job.changes))
    return rows


def _read(*more: str) -> Callable[[VirtualHouse], Job | None]:
    """Three usual trials and some more."""

    def make(house: VirtualHouse) -> Job | None:
        roles = usual_trials(house, 3)
        if roles is None or not set(more) <= set(house.roles.values()):
            return None
        return house.with_trials((*roles, *more))

    return make


def _true_readings(house: VirtualHouse) -> Job | None:
    """Three usual trials whose pressures are the truth at their holes; the program is not told."""
    job = _read()(house)
    if job is None:
        return None
    trials = tuple(
        replace(
            trial,
            readings=tuple(_true(one, house.truths.trials[trial.id]) for one in trial.readings),
        )
        for trial in job.trials
    )
    return replace(job, trials=trials)


def _true(reading: Reading, state: State) -> Reading:
    there = state.static if reading.quantity == "static" else state.drop
    if reading.at not in there:
        return reading
    value = there[reading.at]
    return replace(reading, value=value, typed=f"{value:.6g}", unit="pa")


def _true_airflow(house: VirtualHouse) -> Job | None:
    """Three usual trials and the true airflow at the unit, known to one in a thousand."""
    job = _read()(house)
    if job is None:
        return None
    first = job.trials[0]
    flow = house.truths.trials[first.id].airflow
    plate = Instrument("true", "flow plate", gain=0.001, zero=0.0)
    reading = Reading("true-1", "unit", "airflow", f"{flow:.9g}", "m3s", flow, instrument="true")
    trial = Trial("true", (), dict(first.condition), (reading,))
    return replace(job, trials=(*job.trials, trial), instruments=(*job.instruments, plate))


ABLATIONS: Mapping[str, Callable[[VirtualHouse], Job | None]] = {
    "three trials": _read(),
    "their pressures without error": _true_readings,
    "and the true airflow": _true_airflow,
    "and filter out": _read("filter-out"),
    "and watts, volts, revolutions": _read("watts"),
    "and a flow plate": _read("flow"),
    "and hoods": _read("hoods"),
    "and statics in trunks": _read("trunks"),
    "and statics in runs": _read("run-statics"),
    "and all of these": _read("filter-out", "watts", "flow", "hoods", "run-statics"),
}
