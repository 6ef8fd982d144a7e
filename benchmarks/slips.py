"""Whether slips made on virtual houses are found and named, and honest visits left in peace.

Each house is visited honestly four times and once with each of five slips.  A slip counts where it
moves the readings by four predictive standard deviations or more; of the others it is counted how
often the answer says that they cannot be seen.
"""

from __future__ import annotations

import math
import sys
import time
import zlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from benchmarks import frame
from benchmarks._houses import each, houses
from benchmarks._promises import Promise, judged, missed
from benchmarks._tables import Table, write, write_option
from inchwater import units
from inchwater.calibration.evidence import linear
from inchwater.calibration.hills import most_likely
from inchwater.calibration.likelihood import Readings
from inchwater.calibration.observe import observe
from inchwater.errors import InchwaterError
from inchwater.findings.consistency import plain_doubts
from inchwater.findings.slip import Slip, figure
from inchwater.findings.slips import Check, check
from inchwater.findings.slips_said import slip_doubts
from inchwater.findings.steady import steady_doubts
from inchwater.rehearsal import VirtualHouse
from inchwater.survey import Job, Reading, Trial

VISIT = ("first", "filter-drop", "other-call")
HONEST = (VISIT, (*VISIT, "filter-out"), (*VISIT, "flow"), (*VISIT, "watts"))
PROMISED = {
    "found_rate": Promise(low=0.90),
    "named_rate": Promise(low=0.80),
    "false_alarm_rate": Promise(high=0.05),
}
FULL, QUICK = 500, 12
_SIZES = (0.0, 2.0, 4.0, 8.0, 16.0, math.inf)
_PAIRS = (("return", "supply"), ("before-filter", "return"), ("before-coil", "supply"))
# The least and the largest error of a reading that is off. [in. w.c.]
_OFF = (0.04, 0.5)
_INCH = units.to_si(1.0, "inwc")


@dataclass(frozen=True)
class Made:
    """A slip that was made: the visit with it, the same without it, and how to know its name.

    ``names`` says whether a slip that is told is this one; ``plain`` which doubts of a trial by
    itself tell it too.
    """

    kind: str
    slipped: Job
    honest: Job
    names: Callable[[Slip], bool]
    plain: tuple[str, ...] = ()


@dataclass(frozen=True)
class Row:
    """What came of one visit; ``kind`` is "honest" or a slip's, ``size`` in predictive sd.

    named : by what was told first; among : by that or by what was told to be nearly as likely;
    hidden : that it cannot be seen was said; took [s].
    """

    house: str
    kind: str
    size: float
    found: bool
    named: bool
    among: bool
    hidden: bool
    took: float


def examined(house: VirtualHouse) -> list[Row]:
    """All visits to one house."""
    rows = []
    for roles in HONEST:
        job = _visit(house, roles)
        if job is not None:
            found, alarm, took = _checked(job)
            rows.append(Row(house.id, "honest", 0.0, alarm, False, False, False, took))
    for made in _all_made(house):
        found, alarm, took = _checked(made.slipped)
        plain = {d.id.partition(":")[0] for t in made.slipped.trials for d in plain_doubts(t)}
        right = [made.names(one.slip) for one in found.named] if found is not None else []
        named = bool(plain & set(made.plain)) or right[:1] == [True]
        among = named or any(right)
        shift = _values(made.slipped) - _values(made.honest)
        size = _size(made.honest, shift)
        hidden = found is not None and _hidden(found, made, shift)
        rows.append(Row(house.id, made.kind, size, alarm, named, among, hidden, took))
    return rows


def _visit(house: VirtualHouse, roles: Sequence[str]) -> Job | None:
    """A visit of these roles; None where the house lacks one."""
    if not set(roles) <= set(house.roles.values()):
        return None
    return house.with_trials(roles)


def _checked(job: Job) -> tuple[Check | None, bool, float]:
    """What is found, whether anything is told of the readings, and how long it took. [s]"""
    start = time.perf_counter()
    found = check(job)
    took = time.perf_counter() - start
    plain = bool(steady_doubts(job)) or any(plain_doubts(trial) for trial in job.trials)
    said = found is not None and any(slip_doubts(job, found))
    return found, plain or said, took


def _size(job: Job, shift: NDArray[np.float64]) -> float:
    """A shift of the readings against what was known of them before, in predictive sd. [-]"""
    trials = observe(job)
    readings = Readings.of(trials)
    kept = {r.id for one in trials for r in one.readings}
    moved = shift[[r.id in kept for trial in job.trials for r in trial.in_force]]
    try:
        return linear(readings, most_likely(readings)[0]).size(moved, readings.spreads)
    except InchwaterError:
        return math.nan


def _values(job: Job) -> NDArray[np.float64]:
    return np.array([r.value for trial in job.trials for r in trial.in_force])


def _hidden(found: Check, made: Made, shift: NDArray[np.float64]) -> bool:
    """Whether the answer says that this slip could not have been seen."""
    if any(made.names(slip) for slip in found.hidden):
        return True
    if made.kind not in ("reading-off", "Pa as inches"):
        return False
    rows = [(t.id, r.at, r.quantity) for t in made.slipped.trials for r in t.in_force]
    limits = [found.limits.get(row, 0.0) for row in rows]
    return all(abs(d) < limit for d, limit in zip(shift, limits, strict=True) if d != 0.0)


# --- the slips ---------------------------------------------------------------------------------


def _all_made(house: VirtualHouse) -> Iterable[Made]:
    rng = np.random.default_rng([zlib.crc32(house.id.encode()), 5])
    visit = _visit(house, VISIT)
    if visit is not None:
        for make in (_off, _swapped, _other_unit):
            made = make(visit, rng)
            if made is not None:
                yield made
    yield from _state(house, "filter-left-in", "filter-out", ("filter-left-in",))
    yield from _state(house, "wrong-tap", "first", ("tap-in-trial", "tap-of-call"))


def _pressures(job: Job) -> list[tuple[Trial, Reading]]:
    return [
        (trial, reading)
        for trial in job.trials
        for reading in trial.in_force
        if reading.quantity in ("static", "drop")
    ]


def _with(job: Job, values: Mapping[str, float]) -> Job:
    """The job with readings of other values, by their ids. [SI]"""
    trials = [
        replace(
            trial,
            readings=tuple(
                replace(r, value=values[r.id], typed=f"{values[r.id]:.6g}", unit="pa")
                if r.id in values
                else r
                for r in trial.readings
            ),
        )
        for trial in job.trials
    ]
    return replace(job, trials=tuple(trials))


def _off(job: Job, rng: np.random.Generator) -> Made | None:
    """One pressure off by 0.04 to 0.5 in. w.c., small errors as often as large ones."""
    rows = _pressures(job)
    _, reading = rows[int(rng.integers(len(rows)))]
    off = float(np.exp(rng.uniform(*np.log(_OFF)))) * _INCH * (1 if rng.random() < 0.5 else -1)
    value = reading.value + off
    if value * reading.value <= 0.0:
        value = reading.value - off

    def names(slip: Slip) -> bool:
        return slip.kind == "reading-off" and slip.to == reading.id

    return Made("reading-off", _with(job, {reading.id: value}), job, names)


def _swapped(job: Job, rng: np.random.Generator) -> Made | None:
    """Two tubes swapped in one trial; half of the time the signs were set right afterwards."""
    pairs = []
    for trial in job.trials:
        at = {r.at: r for r in trial.in_force if r.quantity == "static"}
        pairs += [(trial, at[a], at[b]) for a, b in _PAIRS if a in at and b in at]
    if not pairs:
        return None
    trial, one, other = pairs[int(rng.integers(len(pairs)))]
    values = {one.id: other.value, other.id: one.value}
    if rng.random() < 0.5 or one.value * other.value > 0.0:
        values = {r.id: math.copysign(values[r.id], r.value) for r in (one, other)}

    def names(slip: Slip) -> bool:
        return (
            slip.kind == "tubes-swapped"
            and slip.trials == (trial.id,)
            and set(slip.places)
            == {
                one.at,
                other.at,
            }
        )

    return Made("tubes-swapped", _with(job, values), job, names, ("tubes-swapped",))


def _other_unit(job: Job, rng: np.random.Generator) -> Made | None:
    """Pa typed as inches or the other way round: one reading, or all of a trial."""
    rows = _pressures(job)
    trial, reading = rows[int(rng.integers(len(rows)))]
    factor = _INCH if rng.random() < 0.5 else 1.0 / _INCH
    whole = rng.random() < 0.5
    slipped = [r for t, r in rows if (t is trial if whole else r is reading)]

    def names(slip: Slip) -> bool:
        return (
            slip.kind == "other-unit"
            and slip.trials == (trial.id,)
            and set(slip.places) == {r.at for r in slipped}
        )

    values = {r.id: r.value * factor for r in slipped}
    return Made("Pa as inches", _with(job, values), job, names, ("too-much",))


def _state(house: VirtualHouse, role: str, said: str, kinds: Sequence[str]) -> Iterable[Made]:
    """A trial whose system was another than the one that was said."""
    job = _visit(house, (*VISIT, role))
    ids = house.by_role
    if job is None or said not in ids:
        return
    was, meant = house.truths.trials[ids[role]], house.truths.trials[ids[said]]
    honest = {
        r.id: r.value - (was.static[r.at] - meant.static[r.at])
        for r in job.trials[-1].in_force
        if r.quantity == "static"
    }

    def names(slip: Slip) -> bool:
        return slip.kind in kinds and slip.trials == (ids[role],)

    yield Made(role, job, _with(job, honest), names)


# --- the tables --------------------------------------------------------------------------------


def _share(values: Sequence[bool]) -> float:
    return float(np.mean(values)) if values else math.nan


def by_size(rows: Sequence[Row]) -> Table:
    """The rates by kind and size of what was done wrong."""
    made = [row for row in rows if row.kind != "honest" and not math.isnan(row.size)]
    kinds = list(dict.fromkeys(row.kind for row in made))
    lines = []
    for kind in (*kinds, "all"):
        own = [row for row in made if kind in (row.kind, "all")]
        for low, high in pairwise(_SIZES):
            at = [row for row in own if low <= row.size < high]
            if at:
                lines.append(
                    (
                        kind,
                        f"{low:g} to {high:g}",
                        str(len(at)),
                        f"{_share([r.found for r in at]):.1%}",
                        f"{_share([r.named for r in at]):.1%}",
                        f"{_share([r.among for r in at]):.1%}",
                        f"{_share([r.hidden for r in at]):.1%}",
                    )
                )
    honest = [row for row in rows if row.kind == "honest"]
    took = [row.took for row in rows]
    return Table(
        "What became of slips, by how far they move the readings",
        ("slip", "size [sd]", "visits", "found", "named", "or second", "cannot be seen"),
        lines,
        f"{len(honest)} honest visits; a check takes {np.median(took):.2f} s at the median and "
        f"{np.quantile(took, 0.95):.2f} s at the 95th percentile.",
    )


def rates(rows: Sequence[Row]) -> dict[str, float]:
    """The figures that count, of all visits."""
    seen = figure("seen")
    made = [row for row in rows if row.kind != "honest" and not math.isnan(row.size)]
    count = [row for row in made if row.size >= seen]
    rest = [row for row in made if row.size < seen]
    honest = [row for row in rows if row.kind == "honest"]
    return {
        "found_rate": round(_share([r.found for r in count]), 4),
        "named_rate": round(_share([r.named for r in count]), 4),
        "false_alarm_rate": round(_share([r.found for r in honest]), 4),
        "cannot_be_seen_rate": round(_share([r.hidden or r.found for r in rest]), 4),
        "slips": len(count),
        "honest_visits": len(honest),
    }


def main(arguments: Sequence[str] | None = None) -> int:
    """Run it, print the tables and the result, give the exit code."""
    options = frame.options(__doc__ or "", arguments, write_option)
    examined_all = each(
        examined, houses(options, QUICK if options.quick else FULL), options.jobs, options.keep
    )
    rows = [row for of in examined_all for row in of]
    result = rates(rows)
    tables = [judged(result, PROMISED), by_size(rows)]
    for table in tables:
        table.show()
    if options.own.write:
        write("slips", tables, f"{len(examined_all)} houses, {len(rows)} visits.")
    result["houses"] = len(examined_all)
    frame.last_line(result)
    return 0 if options.quick else int(bool(missed(result, PROMISED)))


if __name__ == "__main__":
    sys.exit(main())
