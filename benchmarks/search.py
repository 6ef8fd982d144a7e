"""How fast options are found, and how completely: ``python -m benchmarks.search [--quick]``.

Times are of whole searches on calibrated houses, the best of three rounds on each: 12 runs, 40
candidates, up to four together, 500 samples, to the first answer and to the last; and the same with
60 runs, a house five times over behind one blower.  ``frontier_recall`` is held against solving
every set of up to three of 20 candidates on the same samples: the share of the options on that
frontier, over all houses, to which the search has one that costs no more and works no less often.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np

from benchmarks import frame
from benchmarks._houses import each, houses, virtual_houses
from inchwater.calibration import Posterior, calibrate
from inchwater.errors import InchwaterError
from inchwater.planning import Proposal, options, price_book, proposals
from inchwater.planning.evaluate import Evaluator
from inchwater.planning.search import SAMPLES, Search
from inchwater.planning.tried import Tried, frontier
from inchwater.rehearsal import VirtualHouse
from inchwater.survey import BlowerTable, Branch, Fact, Job, Survey

PROMISED = {"seconds_12_runs": 3.0, "seconds_first_answer": 1.0, "seconds_60_runs": 15.0}
RECALL = 0.98
FULL, QUICK = 30, 2
CANDIDATES, QUICK_CANDIDATES, MOST = 20, 10, 3
TIMED, QUICK_TIMED = 3, 1
ROUNDS = 3
_RUNS, _OFFERED, _TIMES = 12, 40, 5
# Differences in price and odds that are rounding only. [USD, -]
_CENT, _ODDS = 0.01, 1e-9


@dataclass(frozen=True)
class Found:
    """One house: options on the frontier of all sets, how many of them the search has, its work."""

    id: str
    wanted: int
    found: int
    solved: int
    sets: int


def main(arguments: Sequence[str] | None = None) -> int:
    """Run it, print the tables and the result, give the exit code."""
    asked = frame.options(__doc__ or "", arguments, _own)
    result = {} if asked.own.no_times else _times(asked.quick)
    count = asked.count or (QUICK if asked.quick else FULL)
    candidates = QUICK_CANDIDATES if asked.quick else CANDIDATES
    made = each(_One(candidates), houses(asked, count), asked.jobs, asked.keep)
    result |= judged([one for one in made if one is not None])
    frame.last_line(result)
    if asked.quick:
        return 0
    slow = any(result.get(name, 0.0) > most for name, most in PROMISED.items())
    return int(slow or result["frontier_recall"] < RECALL)


def _own(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--no-times", action="store_true", help="the recall alone")


class _One:
    """What one process does with one house; an object, so that it can be sent there."""

    def __init__(self, candidates: int) -> None:
        self.candidates = candidates

    def __call__(self, house: VirtualHouse) -> Found | None:
        try:
            posterior = calibrate(house.job, 1, size=SAMPLES)
            return recalled(house.job.id, posterior, self.candidates)
        except InchwaterError:
            # Readings outside the table: no answer of any kind, and no options.
            return None


def candidates(posterior: Posterior, most: int) -> tuple[Proposal, ...]:
    """So many possible changes of a house as it stands."""
    asked = Evaluator.of(posterior, 1)
    made = proposals(asked.survey, price_book(), state=asked.state, most=most)
    return tuple(one for one in made if one.possible and one.changes)


def recalled(id_: str, posterior: Posterior, most: int) -> Found:
    """The search beside solving every set of up to three, on the same samples."""
    singles = candidates(posterior, most)
    search = Search(Evaluator.of(posterior, SAMPLES), singles, price_book(), MOST)
    ours = frontier(search.run())
    tried = everything(Evaluator.of(posterior, SAMPLES), singles)
    theirs = frontier(tried)
    return Found(id_, len(theirs), matched(theirs, ours), len(search.tried), len(tried))


def everything(evaluator: Evaluator, singles: Sequence[Proposal]) -> list[Tried]:
    """Every set of up to three that can be, solved; priced by the book itself."""
    from itertools import combinations

    found = []
    for size in range(MOST + 1):
        for some in combinations(singles, size):
            if any(a.replaces & b.replaces for a, b in combinations(some, 2)):
                continue
            keys = frozenset(one.key for one in some)
            changes = tuple(change for one in some for change in one.changes)
            outcome = evaluator.evaluate(keys, changes)
            if outcome is not None:
                cost = price_book().price(changes, evaluator.survey).value
                found.append(Tried(keys, some, cost, outcome))
    return found


def matched(theirs: Sequence[Tried], ours: Sequence[Tried]) -> int:
    """How many of theirs have one of ours that costs no more and works no less often."""
    return sum(
        any(a.cost <= b.cost + _CENT and a.odds >= b.odds - _ODDS for a in ours) for b in theirs
    )


def judged(made: Sequence[Found]) -> dict[str, float]:
    """Print what was found in each house, and give the recall."""
    rows = [(one.id, one.wanted, one.found, one.solved, one.sets) for one in made]
    frame.table(("house", "on the frontier", "found", "solved", "of sets"), rows)
    print()
    wanted = sum(one.wanted for one in made)
    # Doing nothing is on every frontier, and is no find.
    plain, found = len(made), sum(one.found for one in made)
    return {
        "frontier_recall": found / max(wanted, 1),
        "frontier_recall_of_work": (sum(one.found for one in made) - plain)
        / max(wanted - plain, 1),
        "houses": len(made),
    }


# --- times ----------------------------------------------------------------------------------------


def _times(quick: bool) -> dict[str, float]:
    wanted = QUICK_TIMED if quick else TIMED
    made = list(islice(filter(_has_runs, virtual_houses()), wanted))
    rows, first, whole = [], [], []
    for house in made:
        posterior = calibrate(house.job, 1, size=SAMPLES)
        began, ended, number = _timed(posterior)
        first.append(began)
        whole.append(ended)
        rows.append((house.job.id, _RUNS, number, f"{began:.2f}", f"{ended:.2f}"))
    result = {
        "seconds_first_answer": statistics.median(first),
        "seconds_12_runs": statistics.median(whole),
    }
    if not quick:
        posterior = calibrate(widened(made[0].job, _TIMES), 1, size=SAMPLES)
        began, ended, number = _timed(posterior)
        rows.append((f"{made[0].job.id} x {_TIMES}", _RUNS * _TIMES, number, *_text(began, ended)))
        result["seconds_60_runs"] = ended
    frame.table(("house", "runs", "candidates", "first [s]", "whole [s]"), rows)
    print()
    return result


def _text(*seconds: float) -> tuple[str, ...]:
    return tuple(f"{one:.2f}" for one in seconds)


def _has_runs(house: VirtualHouse) -> bool:
    supply = house.job.survey.supply
    return supply is not None and len(supply.runs) == _RUNS


def _timed(posterior: Posterior) -> tuple[float, float, int]:
    """Seconds to the first answer and to the last, and how many candidates there were."""
    singles = candidates(posterior, _OFFERED)
    best = np.array([np.inf, np.inf])
    for _ in range(ROUNDS):
        told: list[float] = []
        start = time.perf_counter()
        options(
            posterior,
            singles=singles,
            effects=False,
            progress=lambda _, told=told: told.append(time.perf_counter()),
        )
        best = np.minimum(best, [told[0] - start, time.perf_counter() - start])
    return float(best[0]), float(best[1]), len(singles)


def widened(job: Job, times: int) -> Job:
    """A house so many times over behind one blower: the same pressures, so many times the air."""
    survey = job.survey
    table = survey.unit.table

    def more(fact: Fact | None) -> Fact | None:
        return None if fact is None else replace(fact, value=fact.value * times)

    def again(branch: Branch, k: int) -> Branch:
        return replace(
            branch,
            id=f"{branch.id}-{k}",
            room=None,
            branches=tuple(again(b, k) for b in branch.branches),
        )

    if table is not None:
        rows = tuple(
            replace(
                row,
                airflow=None if row.airflow is None else row.airflow * times,
                power=None if row.power is None else row.power * times,
            )
            for row in table.rows
        )
        table = BlowerTable(table.id, rows, table.includes)
    wide = Survey(
        unit=replace(
            survey.unit,
            capacity=replace(survey.unit.capacity, value=survey.unit.capacity.value * times),
            table=table,
            heat_output=None,
            heat_kit=None,
        ),
        filters=None
        if survey.filters is None
        else tuple(
            replace(f, id=f"{f.id}-{k}" if f.at == "grille" else f.id, count=f.count)
            if f.at == "grille"
            else replace(f, count=f.count * times)
            for f in survey.filters
            for k in range(times if f.at == "grille" else 1)
        ),
        coils=None
        if survey.coils is None
        else tuple(replace(c, rated_airflow=more(c.rated_airflow)) for c in survey.coils),
        returns=None
        if survey.returns is None
        else tuple(
            replace(
                r,
                id=f"{r.id}-{k}",
                room=None,
                into=None if r.into is None else f"{r.into}-{k}",
                filter=f"{r.filter}-{k}" if r.filter in _in_grilles(survey) else r.filter,
            )
            for r in survey.returns
            for k in range(times)
        ),
        supply=None
        if survey.supply is None
        else replace(
            survey.supply,
            branches=tuple(again(b, k) for k in range(times) for b in survey.supply.branches),
        ),
        place=survey.place,
    )
    first = job.trials[0]
    statics = tuple(r for r in first.readings if r.quantity == "static" and ":" not in r.at)
    plain = {key: word for key, word in first.condition.items() if ":" not in key}
    return replace(
        job,
        survey=wide,
        changes=(),
        trials=(replace(first, condition=plain, readings=statics, after=()),),
    )


def _in_grilles(survey: Survey) -> set[str]:
    return {f.id for f in survey.filters or () if f.at == "grille"}


if __name__ == "__main__":
    sys.exit(main())
