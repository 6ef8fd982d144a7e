"""What every benchmark shares: its options, its table, and its last line."""

from __future__ import annotations

import argparse
import json
import statistics
import time
from collections.abc import Callable, Iterable, Mapping, Sequence


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
    """Print the result as the one JSON object that a program reads."""
    print(json.dumps(dict(result)), flush=True)
