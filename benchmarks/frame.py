"""What every benchmark shares: its options, its table, and its last line."""

from __future__ import annotations

import argparse
import json
import math
import os
import statistics
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Options:
    """What a benchmark on houses was asked for.

    quick : a fixed small set that judges nothing; houses : a file of houses, None for virtual ones;
    count : how many houses at most, None for the benchmark's own number; jobs : processes; keep :
    a folder for what was found of each house, None for none;
    own : what the benchmark itself added.
    """

    quick: bool
    houses: Path | None
    count: int | None
    jobs: int
    own: argparse.Namespace
    keep: Path | None = None


def options(
    description: str,
    arguments: Sequence[str] | None = None,
    add: Callable[[argparse.ArgumentParser], object] | None = None,
) -> Options:
    """The options of a benchmark on houses; ``add`` adds the benchmark's own."""
    parser = argparse.ArgumentParser(
        description=description, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--quick", action="store_true", help="a fixed small set, judges nothing")
    parser.add_argument("--houses", type=Path, metavar="FILE", help="houses that others made")
    parser.add_argument("--count", type=_above_zero, metavar="N", help="how many houses at most")
    parser.add_argument(
        "--jobs", type=_above_zero, metavar="N", default=os.cpu_count() or 1, help="processes"
    )
    parser.add_argument(
        "--keep", type=Path, metavar="FOLDER", help="keep what is found, and go on from there"
    )
    if add is not None:
        add(parser)
    own = parser.parse_args(arguments)
    return Options(own.quick, own.houses, own.count, own.jobs, own, own.keep)


def _above_zero(typed: str) -> int:
    number = int(typed)
    if number < 1:
        raise argparse.ArgumentTypeError(f"{typed!r}: 1 or more is wanted")
    return number


def quick(description: str, arguments: Sequence[str] | None = None) -> bool:
    """Whether the short way was asked for, which stays under 45 s."""
    parser = argparse.ArgumentParser(description=description)
    parser.add_argument("--quick", action="store_true", help="fewer rounds, under 45 s")
    return bool(parser.parse_args(arguments).quick)


def timed(action: Callable[[], object]) -> float:
    """How long one call takes. [ms]"""
    start = time.perf_counter()
    action()
    return (time.perf_counter() - start) * 1000.0


def middle_and_worst(times: Sequence[float]) -> tuple[float, float]:
    """Median and largest of some times. [ms]"""
    return statistics.median(times), max(times)


def table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """Print rows under their head, columns aligned."""
    lines = [[str(cell) for cell in row] for row in (head, *rows)]
    widths = [max(len(line[i]) for line in lines) for i in range(len(head))]
    for number, line in enumerate(lines):
        cells = [line[0].ljust(widths[0])]
        cells += [cell.rjust(width) for cell, width in zip(line[1:], widths[1:], strict=True)]
        print("  ".join(cells).rstrip())
        if number == 0:
            print("  ".join("-" * width for width in widths))


def last_line(result: Mapping[str, float | int | str]) -> None:
    """Print the result as the one JSON object that a program reads; null is no number or no end."""
    print(json.dumps({key: _number(value) for key, value in result.items()}), flush=True)


def _number(value: float | int | str) -> float | int | str | None:
    return None if isinstance(value, float) and not math.isfinite(value) else value
