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
from collections.abc import Sequence
from functools import partial
from pathlib import Path

import numpy as np

from benchmarks import frame
from benchmarks._coverage import PROMISED, result_of
from benchmarks._coverage_tables import tables_of
from benchmarks._forecasts import Columns, ablations, columns, forecasts
from benchmarks._houses import each, houses
from benchmarks._promises import judged, missed
from benchmarks._tables import write, write_option
from inchwater.calibration.fit import SAMPLES

FULL, QUICK = 1200, 15
_ABLATED = 150
_PARTS = "ablation:"
_FEWER = 1000  # samples of a short run: it judges nothing


def main(arguments: Sequence[str] | None = None) -> int:
    """Run it, print the tables and the result, give the exit code."""
    options = frame.options(__doc__ or "", arguments, _own)
    if options.own.again is not None:
        rows, parts = kept(options.own.again)
        took = "kept from an earlier run"
    else:
        rows, parts, took = _made(options)
    result = result_of(rows)
    tables = [judged(result, PROMISED), *tables_of(rows, parts)]
    for table in tables:
        table.show()
    said = f"{len(np.unique(rows['house']))} houses, {len(rows['house'])} forecasts, {took}."
    print(said)
    if options.own.write:
        write("coverage", tables, said)
    frame.last_line(result)
    return 0 if options.quick else int(bool(missed(result, PROMISED)))


def _made(options: frame.Options) -> tuple[Columns, Columns | None, str]:
    """All forecasts, those of the ablation, and what making them took."""
    count = options.count or (QUICK if options.quick else FULL)
    start = time.perf_counter()
    one = partial(forecasts, size=_FEWER if options.quick else SAMPLES)
    rows = columns(
        [row for of in each(one, houses(options, count), options.jobs, options.keep) for row in of]
    )
    took = f"{time.perf_counter() - start:.0f} s by {options.jobs} processes"
    if options.own.save is not None:
        # What took the longest is kept before anything else can go wrong.
        save(options.own.save, rows, None)
    parts: Columns | None = None
    if not options.quick and options.own.parts:
        some = houses(options, min(count, options.own.parts))
        parts = columns(
            [row for of in each(ablations, some, options.jobs, options.keep) for row in of]
        )
    if options.own.save is not None and parts is not None:
        save(options.own.save, rows, parts)
    return rows, parts, took


def _own(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--save", type=Path, metavar="FILE", help="all forecasts, as .npz")
    parser.add_argument("--again", type=Path, metavar="FILE", help="only the tables, of one saved")
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
    more = {} if parts is None else {f"{_PARTS}{name}": of for name, of in parts.items()}
    np.savez_compressed(path, **rows, **more)  # type: ignore[arg-type]


def kept(path: Path) -> tuple[Columns, Columns | None]:
    """What :func:`save` kept; the ablation is None where it was not saved."""
    with np.load(path) as file:
        of = {name: file[name] for name in file.files}
    parts = {name.removeprefix(_PARTS): of.pop(name) for name in list(of) if _PARTS in name}
    return of, parts or None


if __name__ == "__main__":
    sys.exit(main())
