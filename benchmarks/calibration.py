"""How fast calibration is and whether it is right: ``python -m benchmarks.calibration [--quick]``.

Time: houses of ten runs, four trials, 2,000 samples, on one core, whatever way the samples are
drawn.  Right: means and spreads of all parameters, and of forecasts as found and after three
changes, against a long Markov chain on 30 houses with 1, 3 and 4 trials.  An error of a mean is
told in standard deviations of the reference, one of a spread relative to it.  Chains that are kept
in ``chains.jsonl`` and belong to this code are not run again; ``--anew`` runs them all, and
``--write`` keeps what was run.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np

from benchmarks import frame
from benchmarks._chains import Array, Chains, Place, effective_size, nested_r_hat
from benchmarks._houses import each, houses, usual_trials, virtual_houses
from benchmarks._promises import Promise, judged, missed
from benchmarks._references import PLACES, Reference, keep_chains, read_chains
from benchmarks._tables import Table, write, write_option
from inchwater.calibration import Posterior, calibrate
from inchwater.calibration.hills import most_likely
from inchwater.calibration.likelihood import Readings
from inchwater.calibration.observe import observe
from inchwater.errors import InchwaterError
from inchwater.forecast import predict
from inchwater.rehearsal import VirtualHouse
from inchwater.survey import Change, Job

_WANTED = 4000.0  # effective size of the reference, of its slowest number [-]
PROMISED = {
    "seconds": Promise(high=0.5),
    "mean_error_sd_max": Promise(high=0.2),
    "sd_error_max": Promise(high=0.15),
    "effective_size_min": Promise(low=1000.0),
    "reference_size_min": Promise(low=_WANTED),
}
TRIALS = (1, 3, 4)
_RUNS, _TIMED, _ROUNDS = 10, 20, 3
_COMPARED = 30
# Steps before anything is kept, in one round, and between two that are kept.  What readings leave
# free spreads slowly from the best fit: after a fifth of these steps sds were up to a fifth too
# small.
_WARM, _ROUND, _EVERY = 1600, 1600, 20
_MOST_ROUNDS = 30
_WANTED_QUICK = 500.0
_QUANTITIES = ("airflow", "delivered", "tesp")
_KINDS = ("filter", "enlarge-run", "tap")
_SEED = 31


@dataclass(frozen=True)
class Timed:
    """One house's calibration: the best of some rounds [s], method, effective size."""

    house: str
    seconds: float
    method: str
    effective: float


@dataclass(frozen=True)
class Compared:
    """One house with some trials: errors by name of parameter or forecast, and both sizes."""

    house: str
    trials: int
    method: str
    effective: float
    reference: float
    r_hat: float
    mean_error: dict[str, float]
    sd_error: dict[str, float]


def timed(house: VirtualHouse) -> Timed | None:
    """Time a house with four trials; None where it has not that many."""
    roles = usual_trials(house, 4)
    if roles is None:
        return None
    job = house.with_trials(roles)
    taken = []
    for seed in range(_ROUNDS):
        # The processor's own time, which other work on the machine does not lengthen.
        start = time.process_time()
        posterior = calibrate(job, seed)
        taken.append(time.process_time() - start)
    return Timed(house.id, min(taken), posterior.method, posterior.effective_size)


class Against:
    """Compares a house's calibrations with the reference; an object, to be sent to a process."""

    def __init__(self, wanted: float, known: Mapping[tuple[str, int], Reference]) -> None:
        self.wanted = wanted
        self.known = known

    def __call__(self, house: VirtualHouse) -> list[tuple[Compared, Reference]]:
        found = []
        for count in TRIALS:
            roles = usual_trials(house, count)
            if roles is not None:
                known = self.known.get((house.id, count))
                found.append(compared(house, roles, self.wanted, known))
        return found


def compared(
    house: VirtualHouse, roles: Sequence[str], wanted: float, known: Reference | None = None
) -> tuple[Compared, Reference]:
    """One calibration beside the long chain of the same readings, and that chain."""
    job = house.with_trials(roles)
    ours = calibrate(job, _SEED)
    changes = list({c.kind: c for c in reversed(house.job.changes) if c.kind in _KINDS}.values())
    places = at_fixed_places(job, ours, changes)
    if known is None or known.size < wanted or not known.fits(places):
        chains = reference(job, ours, changes, wanted)
        known = Reference(
            house.id,
            len(roles),
            min(effective_size(values) for values in chains.values()),
            max(nested_r_hat(values) for values in chains.values()),
            {name: (float(of.mean()), float(of.std())) for name, of in chains.items()},
            places,
        )
    samples = {**ours.samples, **dict(forecasts(ours, changes))}
    means, spreads = {}, {}
    for name in known.values.keys() & samples.keys():
        mean, sd = known.values[name]
        own_mean = float(ours.weights @ samples[name])
        own_sd = float(np.sqrt(ours.weights @ (samples[name] - own_mean) ** 2))
        means[name] = abs(own_mean - mean) / sd
        spreads[name] = abs(own_sd / sd - 1.0)
    found = Compared(
        house.id,
        len(roles),
        ours.method,
        ours.effective_size,
        known.size,
        known.r_hat,
        means,
        spreads,
    )
    return found, known


def at_fixed_places(
    job: Job, ours: Posterior, changes: Sequence[Change]
) -> dict[str, tuple[float, ...]]:
    """What a chain depends on, at a few places of the prior: log likelihood and forecasts. [SI]"""
    readings = Readings.of(observe(job))
    at = 0.5 * np.random.default_rng(_SEED).standard_normal((PLACES, len(readings.names)))
    found = {"log likelihood": readings.log_likelihood(at)}
    found |= dict(forecasts(_of_latents(ours, at), changes))
    return {name: tuple(map(float, of)) for name, of in found.items()}


def reference(
    job: Job, ours: Posterior, changes: Sequence[Change], wanted: float
) -> dict[str, Array]:
    """Unknowns and forecasts of the long chain by name (step, chain), until all are worth enough.

    Of ``ours`` names and networks are taken, and no sample.
    """
    readings = Readings.of(observe(job))
    rng = np.random.default_rng(_SEED)
    chains = Chains(readings.log_likelihood, Place.of(*most_likely(readings)), rng)
    # A place learned from the first half's end, up to twice as good to move about.
    chains.run(_WARM // 4)
    chains.about(Place.seen(chains.run(_WARM // 4, _EVERY), len(readings.measured)))
    chains.run(_WARM // 2)
    rounds: list[dict[str, Array]] = []
    for _ in range(_MOST_ROUNDS):
        rounds.append(_values(ours, chains.run(_ROUND, _EVERY), changes))
        found = {
            name: np.concatenate([one[name] for one in rounds])
            for name in rounds[0]
            if all(name in one for one in rounds)
        }
        if min(effective_size(values) for values in found.values()) >= wanted:
            break
    return found


def _values(ours: Posterior, kept: Array, changes: Sequence[Change]) -> dict[str, Array]:
    """Unknowns and forecasts by name (step, chain) of latents (step, chain, latent)."""
    theirs = _of_latents(ours, kept.reshape(-1, kept.shape[2]))
    every = {**theirs.samples, **dict(forecasts(theirs, changes))}
    return {name: values.reshape(kept.shape[:2]) for name, values in every.items()}


def _of_latents(ours: Posterior, at: Array) -> Posterior:
    """The same system with other samples, latents (sample, latent) that count alike."""
    samples = {name: at[:, i] for i, name in enumerate(ours.names)}
    weights = np.full(len(at), 1.0 / len(at))
    return replace(ours, samples=samples, weights=weights, seed=_SEED + 1)


def forecasts(posterior: Posterior, changes: Sequence[Change]) -> Iterator[tuple[str, Array]]:
    """Forecasts by name (sample,): as found and after each change that can be forecast. [SI]"""
    for change in (None, *changes):
        try:
            found = predict(posterior, [] if change is None else [change])
        except InchwaterError:
            # Outside its table: no forecast is given, so there is none to compare.
            continue
        for quantity in _QUANTITIES:
            after = "as found" if change is None else change.kind
            yield f"{quantity} {after}", found.samples(quantity)[0]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run it, print the tables and the result, give the exit code."""
    options = frame.options(__doc__ or "", arguments, _own_options)
    wanted = 4 if options.quick else _TIMED
    of_ten = islice((one for one in virtual_houses() if _runs(one) == _RUNS), wanted)
    times = [one for one in each(timed, of_ten, 1) if one is not None]
    tables = [_time_table(times)]
    tables[0].show()
    count = options.count or (2 if options.quick else _COMPARED)
    known = {} if options.own.anew else read_chains()
    against = Against(_WANTED_QUICK if options.quick else _WANTED, known)
    found = [
        pair
        for pairs in each(against, houses(options, count), options.jobs, options.keep)
        for pair in pairs
    ]
    rows = [row for row, _ in found]
    tables += [_error_table(rows), _size_table(rows)]
    for table in tables[1:]:
        table.show()
    result = figures(times, rows)
    tables.insert(0, judged(result, PROMISED))
    tables[0].show()
    if options.own.write:
        keep_chains(chain for _, chain in found)
        write("calibration", tables, f"{count} houses.")
    frame.last_line(result)
    return 0 if options.quick else int(bool(missed(result, PROMISED)))


def _own_options(parser: argparse.ArgumentParser) -> None:
    write_option(parser)
    parser.add_argument("--anew", action="store_true", help="run also the chains that are kept")


def _runs(house: VirtualHouse) -> int:
    supply = house.job.survey.supply
    return 0 if supply is None else len(supply.runs)


def figures(times: Sequence[Timed], rows: Sequence[Compared]) -> dict[str, float]:
    """The figures that count."""
    means = np.array([error for row in rows for error in row.mean_error.values()])
    spreads = np.array([error for row in rows for error in row.sd_error.values()])
    methods = [one.method for one in times] + [row.method for row in rows]
    sizes = [one.effective for one in times] + [row.effective for row in rows]
    return {
        "seconds": statistics.median(one.seconds for one in times),
        "fallback_rate": sum(method == "tempered" for method in methods) / len(methods),
        "mean_error_sd_max": float(means.max()),
        "mean_error_sd_p95": float(np.quantile(means, 0.95)),
        "sd_error_max": float(spreads.max()),
        "sd_error_p95": float(np.quantile(spreads, 0.95)),
        "effective_size_min": min(sizes),
        "effective_size_median": statistics.median(sizes),
        "reference_size_min": min(row.reference for row in rows),
        "reference_r_hat_max": max(row.r_hat for row in rows),
    }


def _time_table(times: Sequence[Timed]) -> Table:
    taken = np.array([one.seconds for one in times])
    return Table(
        f"Time of a calibration: {_RUNS} runs, four trials, 2,000 samples, one core [s]",
        ("houses", "median", "9 in 10 within", "longest"),
        [
            (
                str(len(times)),
                f"{np.median(taken):.3f}",
                f"{np.quantile(taken, 0.9):.3f}",
                f"{taken.max():.3f}",
            )
        ],
    )


def _error_table(rows: Sequence[Compared]) -> Table:
    lines = []
    for count in dict.fromkeys(row.trials for row in rows):
        for what, forecast in (("parameters", False), ("forecasts", True)):
            means, spreads = (
                {
                    (row.house, name): error
                    for row in rows
                    if row.trials == count
                    for name, error in getattr(row, which).items()
                    if (name.split()[0] in _QUANTITIES) == forecast
                }
                for which in ("mean_error", "sd_error")
            )
            worst = max(spreads, key=lambda key: spreads[key])
            lines.append(
                (
                    f"{count}, {what}",
                    f"{np.quantile(list(means.values()), 0.95):.3f}",
                    f"{max(means.values()):.3f}",
                    f"{np.quantile(list(spreads.values()), 0.95):.1%}",
                    f"{max(spreads.values()):.1%}",
                    " ".join(worst),
                )
            )
    return Table(
        "Beside a long Markov chain",
        ("trials", "means off, p95 [sd]", "largest", "sds off, p95", "largest", "which"),
        lines,
    )


def _size_table(rows: Sequence[Compared]) -> Table:
    return Table(
        "Effective sizes, and how the samples were drawn",
        ("trials", "houses", "median", "least", "the chain's least", "its R-hat", "fallback"),
        [
            (
                str(count),
                str(len(of)),
                f"{statistics.median(row.effective for row in of):.0f}",
                f"{min(row.effective for row in of):.0f}",
                f"{min(row.reference for row in of):.0f}",
                f"{max(row.r_hat for row in of):.4f}",
                f"{np.mean([row.method == 'tempered' for row in of]):.1%}",
            )
            for count in dict.fromkeys(row.trials for row in rows)
            for of in [[row for row in rows if row.trials == count]]
        ],
    )


if __name__ == "__main__":
    sys.exit(main())
