"""What the most useful next reading saves: ``python -m benchmarks.next_reading [--quick]``.

On virtual houses whose truth is known.  Each starts from its first trial.  The policy takes what is
recommended, calibrates again, and stops when it is told that it is enough; a fixed routine takes
filter drop, other call, pre-filter and temperature rise in every house.  Of single readings, pairs
of the cheap ones and the routine's beginnings the best for all houses is found afterwards.  What
counts is regret: what the chosen change truly costs more than the best one would.  ``gain_ratio``
is the regret lowered per minute against the routine's, ``gain_over_best_fixed`` against the best
order's.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from benchmarks import frame
from benchmarks._houses import each, houses
from benchmarks._promises import Promise, judged, missed
from benchmarks._tables import Table, write, write_option
from benchmarks._visit import ROLES, ROUTINE, Outcome, outcomes
from inchwater import criteria
from inchwater.planning import usual_prices
from inchwater.rehearsal import VirtualHouse

Array = NDArray[np.float64]
PROMISED = {"gain_ratio": Promise(low=1.5), "gain_over_best_fixed": Promise(low=1.0)}
FULL, QUICK = 1000, 8
_ROUTINES = tuple(frozenset(ROUTINE[:n]) for n in range(1, len(ROUTINE) + 1))
SINGLES = tuple(frozenset([role]) for role in ROLES)
# Of the dearer readings each by itself; a second one of them can only lower the saving per minute.
_PAIRS = tuple(
    frozenset(pair) for pair in combinations(("filter-drop", "pre-filter", "other-call", "flow"), 2)
)
SETS = tuple(dict.fromkeys((*SINGLES, *_PAIRS, *_ROUTINES)))
_DRAWS = 1000
_FEWEST = 1e-9


def main(arguments: Sequence[str] | None = None) -> int:
    """Run it, print the tables and the result, give the exit code."""
    options = frame.options(__doc__ or "", arguments, write_option)
    wanted = SETS if not options.quick else (*SINGLES, *_ROUTINES)
    count = options.count or (QUICK if options.quick else FULL)
    made = each(_One(wanted), houses(options, count), options.jobs, options.keep)
    found = [one for visits in made for one in visits]
    left_out = sum(not visits for visits in made)
    said = (
        f"{len(made) - left_out} houses, each wanted in {len(criteria.presets())} windows; "
        f"{left_out} left out whose readings cannot be calibrated."
    )
    result, tables = compared(found, wanted)
    tables.insert(0, judged(result, PROMISED))
    print(f"{said}\n")
    for table in tables:
        table.show()
    if options.own.write:
        write("next-reading", tables, said)
    result["houses"] = len(made) - left_out
    frame.last_line(result)
    return 0 if options.quick else int(bool(missed(result, PROMISED)))


class _One:
    """What one process does with one house; an object, so that it can be sent there."""

    def __init__(self, wanted: Sequence[frozenset[str]]) -> None:
        self.wanted = wanted

    def __call__(self, house: VirtualHouse) -> list[Outcome]:
        return outcomes(house, self.wanted)


def compared(
    found: Sequence[Outcome], wanted: Sequence[frozenset[str]]
) -> tuple[dict[str, float], list[Table]]:
    """The ratios that count, and the tables of what every policy saved."""
    start = np.array([one.start for one in found])
    saved = np.array([sum(step.saved for step in one.steps) for one in found])
    minutes = np.array([sum(step.minutes for step in one.steps) for one in found])
    fixed = {one: _fixed(found, one) for one in wanted}
    routine = fixed[frozenset(ROUTINE)]
    best = max(fixed, key=lambda one: _rate(*fixed[one]))
    note = (
        f"Regret after the first trial ${start.mean():.0f} on average, "
        f"${np.mean([one.expected_start for one in found]):.0f} expected by the program; "
        f"the choice was right in {100.0 * np.mean(start < 0.01):.0f} %."
    )
    lines = [("what is recommended", (saved, minutes)), ("the fixed routine", routine)]
    lines += [(f"{len(one)} of the routine", fixed[one]) for one in _ROUTINES[:-1]]
    ordered = sorted(fixed, key=lambda one: -_rate(*fixed[one]))
    lines += [(_named(one), fixed[one]) for one in ordered if one not in _ROUTINES][:8]
    figures = {
        "gain_ratio": _over(_rate(saved, minutes), _rate(*routine)),
        "gain_over_best_fixed": _over(_rate(saved, minutes), _rate(*fixed[best])),
        **_spread(saved, minutes, routine, fixed[best]),
        "net_saved_usd": float(np.mean(_net(saved, minutes))),
        "net_saved_routine_usd": float(np.mean(_net(*routine))),
        "net_saved_best_fixed_usd": max(float(np.mean(_net(*one))) for one in fixed.values()),
    }
    return figures, [_policies(lines, start, note), _by_reading(found), _by_motor(found)]


def _fixed(found: Sequence[Outcome], roles: frozenset[str]) -> tuple[Array, Array]:
    """What a fixed set of readings saved in each house [USD], and its minutes [min]."""
    saved = np.array([one.start - one.regrets[roles] for one in found])
    minutes = np.array([sum(one.minutes.get(role, 0.0) for role in roles) for one in found])
    return saved, minutes


def _rate(saved: Array, minutes: Array) -> float:
    """Regret lowered per minute over all houses. [USD/min]"""
    return float(saved.sum() / max(minutes.sum(), _FEWEST))


def _net(saved: Array, minutes: Array) -> Array:
    """What is saved less what the minutes cost. [USD]"""
    return np.asarray(saved - minutes * usual_prices().per_minute)


def _over(ours: float, theirs: float) -> float:
    """Ours over theirs; what saves nothing is beaten by any saving, told as a ratio of 99."""
    if theirs <= 0.0:
        return 99.0 if ours > 0.0 else 0.0
    return min(ours / theirs, 99.0)


def _spread(
    saved: Array, minutes: Array, routine: tuple[Array, Array], best: tuple[Array, Array]
) -> dict[str, float]:
    """The 5 % quantiles of both ratios over houses drawn again (a bootstrap)."""
    rng = np.random.default_rng(1)
    drawn = []
    # The visits to one house stand one after the other, and share its luck.
    visits = len(criteria.presets())
    first = np.arange(0, len(saved), visits)
    for _ in range(_DRAWS):
        k = (rng.choice(first, len(first))[:, None] + np.arange(visits)).ravel()
        ours = _rate(saved[k], minutes[k])
        drawn.append([_over(ours, _rate(one[0][k], one[1][k])) for one in (routine, best)])
    low = np.quantile(np.array(drawn), 0.05, axis=0)
    return {"gain_ratio_p05": float(low[0]), "gain_over_best_fixed_p05": float(low[1])}


def _policies(lines: Sequence[tuple[str, tuple[Array, Array]]], start: Array, note: str) -> Table:
    return Table(
        "What readings save a visit, in money that a wrong choice costs",
        ("policy", "min", "saved", "a min", "left", "net"),
        [
            (
                name,
                f"{minutes.mean():.1f}",
                f"${saved.mean():.1f} ± {_error(saved):.1f}",
                f"${_rate(saved, minutes):.2f}",
                f"${(start - saved).mean():.0f}",
                f"${_net(saved, minutes).mean():.1f}",
            )
            for name, (saved, minutes) in lines
        ],
        note,
    )


def _error(saved: Array) -> float:
    """Standard error of the mean over houses. [USD]"""
    by_house = saved.reshape(-1, len(criteria.presets())).mean(axis=1)
    return float(by_house.std() / len(by_house) ** 0.5)


def _named(roles: frozenset[str]) -> str:
    return " + ".join(role for role in ROLES if role in roles)


def _by_reading(found: Sequence[Outcome]) -> Table:
    """Whether readings save what they were expected to: by kind of reading that was taken."""
    steps = [step for one in found for step in one.steps]
    rows = []
    for role in ROLES:
        taken = [step for step in steps if step.role == role]
        if taken:
            saved = np.array([step.saved for step in taken])
            rows.append(
                (
                    role,
                    str(len(taken)),
                    f"${np.mean([step.expected for step in taken]):.0f}",
                    f"${saved.mean():.0f} ± {saved.std() / len(saved) ** 0.5:.0f}",
                )
            )
    title = "Whether a recommended reading saves what was expected of it"
    return Table(title, ("reading taken", "times", "expected", "saved"), rows)


def _by_motor(found: Sequence[Outcome]) -> Table:
    rows = []
    for motor in dict.fromkeys(one.tags["motor"] for one in found):
        of = [one for one in found if one.tags["motor"] == motor]
        saved = sum(step.saved for one in of for step in one.steps)
        minutes = sum(step.minutes for one in of for step in one.steps)
        left = np.mean([one.start for one in of]) - saved / len(of)
        rows.append((motor, str(len(of)), f"{minutes / len(of):.1f}", f"${left:.0f}"))
    return Table("By motor", ("motor", "visits", "min", "regret left"), rows)


if __name__ == "__main__":
    sys.exit(main())
