"""Whether a forecast equals the reading after it: ``python -m benchmarks.coverage [--quick]``.

On 1,200 virtual houses (or ``--houses FILE``), ten usual changes each, calibrated on 1, 3 and 4
usual trials, and on 3 with an airflow read at the unit or hoods at the registers.  Every forecast
is compared with the noise-free truth at the same test points.  The errors that count are those of
three trials; covers are those of 1, 3 and 4 together.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path

import numpy as np

from benchmarks import frame
from benchmarks._coverage import AT_LEAST, AT_MOST, BETWEEN, result_of
from benchmarks._coverage_tables import tables_of
from benchmarks._forecasts import Columns, ablations, columns, forecasts
from benchmarks._houses import each, houses
from benchmarks._tables import Table, write, write_option
from inchwater.calibration.fit import SAMPLES

FULL, QUICK = 1200, 15
_ABLATED = 150
_FEWER = 1000  # samples of a short run: it judges nothing


def main(arguments: Sequence[str] | None = None) -> int:
    """Run it, print the tables and the result, give the exit code."""
    options = frame.options(__doc__ or "", arguments, _own)
    count = options.count or (QUICK if options.quick else FULL)
    start = time.perf_counter()
    one = partial(forecasts, size=_FEWER if options.quick else SAMPLES)
    rows = columns([row for of in each(one, houses(options, count), options.jobs) for row in of])
    took = time.perf_counter() - start
    if options.own.save is not None:
        # What took the longest is kept before anything else can go wrong.
        save(options.own.save, rows, None)
    parts: Columns | None = None
    if not options.quick and options.own.parts:
        some = houses(options, min(count, options.own.parts))
        parts = columns([row for of in each(ablations, some, options.jobs) for row in of])
    if options.own.save is not None and parts is not None:
        save(options.own.save, rows, parts)
    result = result_of(rows)
    tables = [judged(result), *tables_of(rows, parts)]
    for table in tables:
        table.show()
    said = (
        f"{len(np.unique(rows['house']))} houses, {len(rows['house'])} forecasts in {took:.0f} s "
        f"by {options.jobs} processes."
    )
    print(said)
    if options.own.write:
        write("coverage", tables, said)
    frame.last_line(result)
    return 0 if options.quick else int(bool(missed(result)))


def _own(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--save", type=Path, metavar="FILE", help="all forecasts, as .npz")
    parser.add_argument(
        "--parts",
        type=int,
        default=_ABLATED,
        metavar="N",
        help="on how many houses to tell what an error is made of; 0 is none",
    )
    write_option(parser)


def save(path: Path, rows: Columns, parts: Columns | None) -> None:
    """Keep every forecast: arrays by column, those of the ablation as ``ablation:<column>``."""
    more = {} if parts is None else {f"ablation:{name}": of for name, of in parts.items()}
    np.savez_compressed(path, **rows, **more)  # type: ignore[arg-type]


def missed(result: Mapping[str, float]) -> list[str]:
    """Keys of the result that are not what was promised; one that is no number is missed."""
    found = [key for key, most in AT_MOST.items() if not result[key] <= most]
    found += [key for key, least in AT_LEAST.items() if not result[key] >= least]
    return found + [k for k, (low, high) in BETWEEN.items() if not low <= result[k] <= high]


def judged(result: Mapping[str, float]) -> Table:
    """What was promised beside what was measured."""
    promised = {key: f"≤ {most:g}" for key, most in AT_MOST.items()}
    promised |= {key: f"≥ {least:g}" for key, least in AT_LEAST.items()}
    promised |= {key: f"{low:g} to {high:g}" for key, (low, high) in BETWEEN.items()}
    bad = missed(result)
    return Table(
        "What was promised",
        ("figure", "measured", "promised", ""),
        [
            (key, f"{result[key]:.4g}", promised[key], "missed" if key in bad else "met")
            for key in result
            if key in promised
        ],
    )


if __name__ == "__main__":
    sys.exit(main())
