"""What decisions cost until the house has what is wanted: ``python -m benchmarks.decisions``.

Virtual houses are surveyed with their three usual trials, and the offer that the program prefers is
made in the house's own physics, new work with its own scatter; then it is read again, calibrated
again, and planned again, each further visit at $250.  The house's own code finds the cheapest work
that truly brings all that is wanted (``_referee.py``), and a rule of thumb works beside it with the
same prices, changes and readings (``_rule_of_thumb.py``).  docs/decided.md says how it is played.
"""

from __future__ import annotations

import argparse
import pickle
import sys
import time
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from pathlib import Path

from benchmarks import frame
from benchmarks._decided import PROMISED, Decided, result_of, tables_of
from benchmarks._decided_play import played
from benchmarks._houses import each, houses
from benchmarks._promises import judged, missed
from benchmarks._referee import Cheapest, Referee
from benchmarks._rule_of_thumb import by_rule
from benchmarks._tables import write
from inchwater.rehearsal import VirtualHouse, virtual_house

PAGE = Path(__file__).resolve().parents[1] / "docs" / "decided.md"
# How many of each class are played.
FULL = {"reachable": 250, "unreachable": 150, "met": 100}
QUICK = (15, 22, 181, 21)  # houses of the short run, of each class
# Samples of each calibration, half of what the pages take: offers are searched on 500 of them.
_SAMPLES = 1000
_FEWER = 400  # of a short run: it judges nothing
# Houses that are looked at until each class is full, and those of which only the state as found is:
# few are in order as they are found.
LOOKED, LOOKED_AS_FOUND = 2000, 8000
_AT_A_TIME = 40

Class = tuple[str, str, Cheapest | None]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run it, print the tables and the result, give the exit code."""
    options = frame.options(__doc__ or "", arguments, _own)
    start = time.perf_counter()
    if options.own.again is not None:
        found, looked = pickle.loads(options.own.again.read_bytes())
        took = "kept from an earlier run"
    else:
        found, looked = _made(options)
        took = f"{time.perf_counter() - start:.0f} s by {options.jobs} processes"
    if options.own.save is not None:
        options.own.save.write_bytes(pickle.dumps((found, looked)))
    result = result_of(found, looked)
    tables = [judged(result, PROMISED), *tables_of(found, looked)]
    for table in tables:
        table.show()
    said = (
        f"{len(found)} houses played of {sum(looked.values())} that were looked at: "
        f"{', '.join(f'{looked[kind]} {kind}' for kind in looked)}; {took}."
    )
    print(said)
    if options.own.write:
        write("decisions", tables, said, PAGE)
    frame.last_line(result)
    return 0 if options.quick else int(bool(missed(result, PROMISED)))


def _own(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--save", type=Path, metavar="FILE", help="all that was played")
    parser.add_argument("--again", type=Path, metavar="FILE", help="only the tables, of one saved")
    parser.add_argument("--write", action="store_true", help=f"put the tables into {PAGE.name}")


def _made(options: frame.Options) -> tuple[list[Decided], dict[str, int]]:
    """Houses of each class, played, and how many of each were looked at."""
    if options.quick and options.houses is None:
        some = [virtual_house(seed) for seed in QUICK[: options.count]]
        known = each(classed, some, options.jobs)
        looked = Counter(one[1] for one in known)
        chosen = {one[0]: one for one in known}
    else:
        wanted = _wanted(options.count)
        chosen, some, looked = _chosen(options, wanted)
    play = _Play(chosen, _FEWER if options.quick else _SAMPLES)
    return each(play, some, options.jobs, options.keep), dict(looked)


def _wanted(count: int | None) -> dict[str, int]:
    """How many of each class, at most ``count`` together."""
    whole = sum(FULL.values())
    if count is None or count >= whole:
        return dict(FULL)
    made = {kind: count * number // whole for kind, number in FULL.items()}
    return made | {"reachable": count - made["unreachable"] - made["met"]}


def classed(house: VirtualHouse) -> Class:
    """A house's id, its class, and the cheapest work that truly brings what is wanted."""
    referee = Referee(house)
    if referee.now.met:
        return house.id, "met", referee.cheapest()
    cheapest = referee.cheapest()
    return house.id, "unreachable" if cheapest is None else "reachable", cheapest


def _as_found(house: VirtualHouse) -> bool:
    return Referee(house).now.met


def _chosen(
    options: frame.Options, wanted: Mapping[str, int]
) -> tuple[dict[str, Class], list[VirtualHouse], Counter[str]]:
    """Classes by id of the first houses of each, these houses, and how many of each there were."""
    chosen: dict[str, Class] = {}
    kept: list[VirtualHouse] = []
    looked: Counter[str] = Counter()
    there = _all(options, LOOKED)
    while any(_number(chosen, kind) < wanted[kind] for kind in ("reachable", "unreachable")):
        some = list(islice(there, _AT_A_TIME))
        if not some:
            break
        made = each(classed, some, options.jobs, options.keep)
        for house, one in zip(some, made, strict=True):
            looked[one[1]] += 1
            if _number(chosen, one[1]) < wanted[one[1]]:
                chosen[house.id] = one
                kept.append(house)
    there = _all(options, LOOKED_AS_FOUND)
    for _ in range(looked.total()):
        next(there)
    while _number(chosen, "met") < wanted["met"]:
        some = list(islice(there, 20 * _AT_A_TIME))
        if not some:
            break
        for house, met in zip(some, each(_as_found, some, options.jobs), strict=True):
            if met and _number(chosen, "met") < wanted["met"]:
                chosen[house.id] = (house.id, "met", Cheapest((), 0.0, 0))
                kept.append(house)
    return chosen, kept, looked


def _number(chosen: Mapping[str, Class], kind: str) -> int:
    return sum(one[1] == kind for one in chosen.values())


def _all(options: frame.Options, most: int) -> Iterator[VirtualHouse]:
    """Houses with their physics; ``--count`` is of those that are played, not looked at."""
    asked = frame.Options(options.quick, options.houses, None, options.jobs, options.own)
    return (one for one in houses(asked, most) if one.world is not None)


class _Play:
    """What one process does with one house; an object, so that it can be sent there."""

    def __init__(self, chosen: Mapping[str, Class], size: int) -> None:
        self.chosen = dict(chosen)
        self.size = size

    def __call__(self, house: VirtualHouse) -> Decided:
        _, kind, cheapest = self.chosen[house.id]
        referee = Referee(house)
        return Decided(
            house.id,
            kind,
            dict(house.tags),
            cheapest,
            referee.cheapest(steady=True) if kind == "reachable" else None,
            played(Referee(house), self.size, to_the_end=kind != "unreachable"),
            by_rule(Referee(house)),
        )


if __name__ == "__main__":
    sys.exit(main())
