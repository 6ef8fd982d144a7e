"""Slips of reading and typing: a reading off, two tubes swapped, another unit on the gauge."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from inchwater.calibration.expected import errors
from inchwater.calibration.observe import Observed
from inchwater.findings.slip import UNITS, Slip, figure
from inchwater.network.elements import Array
from inchwater.survey.job import Job
from inchwater.survey.trials import RETURN_SIDE, Reading

_PRESSURES = ("static", "drop")
# Pairs of test points whose two tubes hang at one gauge.
_PAIRS = (
    ("return", "supply"),
    ("return", "before-coil"),
    ("before-filter", "return"),
    ("before-coil", "supply"),
)


def typed_slips(job: Job, trials: Sequence[Observed], every: bool = True) -> Iterator[Slip]:
    """Every slip by which the readings are others than typed, the system as said.

    Parameters
    ----------
    every : bool
        Whether all kinds are wanted, not swapped tubes alone, which may not show at all.
    """
    yield from _swapped(job, trials)
    if every:
        yield from _off(trials)
        yield from _trial_off(trials)
        yield from _units(job, trials)


def flat(trials: Sequence[Observed]) -> list[tuple[Observed, int, Reading]]:
    """Every reading with its trial and its number there, in the order in which they are fitted."""
    return [(one, k, reading) for one in trials for k, reading in enumerate(one.readings)]


def _plain(trials: Sequence[Observed]) -> tuple[Array, Array]:
    return (
        np.concatenate([one.measured for one in trials]),
        np.concatenate([one.spreads for one in trials]),
    )


def _off(trials: Sequence[Observed]) -> Iterator[Slip]:
    measured, spreads = _plain(trials)
    for index, (one, _, reading) in enumerate(flat(trials)):
        for size in ("small", "large"):
            if reading.quantity in _PRESSURES:
                wide = figure(f"reading-off-{size}")
            else:
                wide = figure(f"reading-off-{size}-share") * abs(reading.value)
            widened = spreads.copy()
            widened[index] = np.hypot(spreads[index], wide)
            yield Slip(
                "reading-off",
                0.5 * figure("reading-off"),
                (one.trial.id,),
                (reading.at,),
                reading.id,
                measured,
                widened,
            )


def _trial_off(trials: Sequence[Observed]) -> Iterator[Slip]:
    """A trial of which something is not said: all its readings are off together."""
    if len(trials) < 2:
        return
    measured, spreads = _plain(trials)
    for one in trials:
        if len(one.readings) < 2:
            continue
        widened = spreads.copy()
        for index, (owner, _, reading) in enumerate(flat(trials)):
            if owner is one:
                wide = figure("trial-off-share") * abs(reading.value)
                if reading.quantity in _PRESSURES:
                    wide = figure("trial-off-spread")
                widened[index] = np.hypot(spreads[index], wide)
        places = tuple(reading.at for reading in one.readings)
        yield Slip("trial-off", figure("trial-off"), (one.trial.id,), places, "", measured, widened)


def _retaken(
    job: Job, trials: Sequence[Observed], values: Mapping[int, float]
) -> tuple[Array, Array]:
    """Readings and spreads with some values, by their place in the row, other than typed."""
    measured, spreads = _plain(trials)
    instruments = job.instruments_by_id
    for index, (one, k, reading) in enumerate(flat(trials)):
        if index not in values:
            continue
        measured[index] = values[index]
        found = errors(replace(reading, value=values[index]), instruments)
        shared = {"gain": not one.gains[k], "zero": not one.zeros[k]}
        spreads[index] = found.own(values[index], **shared)
    return measured, spreads


def _swapped(job: Job, trials: Sequence[Observed]) -> Iterator[Slip]:
    rows = flat(trials)
    for one in trials:
        at = {
            reading.at: index
            for index, (owner, _, reading) in enumerate(rows)
            if owner is one and reading.quantity == "static"
        }
        for first, second in _PAIRS:
            if first not in at or second not in at:
                continue
            values = {
                at[first]: _signed(first, rows[at[second]][2].value),
                at[second]: _signed(second, rows[at[first]][2].value),
            }
            taken, spreads = _retaken(job, trials, values)
            yield Slip(
                "tubes-swapped",
                figure("tubes-swapped"),
                (one.trial.id,),
                (first, second),
                "",
                taken,
                spreads,
            )


def _signed(at: str, value: float) -> float:
    return -abs(value) if at in RETURN_SIDE else abs(value)


def _units(job: Job, trials: Sequence[Observed]) -> Iterator[Slip]:
    rows = flat(trials)
    pressures = [i for i, (_, _, reading) in enumerate(rows) if reading.quantity in _PRESSURES]

    def typed(indices: Sequence[int], odds: float, of: Sequence[str]) -> Iterator[Slip]:
        for name, factor in UNITS.items():
            values = {i: rows[i][2].value / factor for i in indices}
            if max(map(abs, values.values())) < figure("other-unit-least"):
                continue
            taken, spreads = _retaken(job, trials, values)
            yield Slip(
                "other-unit",
                odds * figure(name),
                tuple(of),
                tuple(rows[i][2].at for i in indices),
                name,
                taken,
                spreads,
                -len(indices) * float(np.log(factor)),
            )

    for i in pressures:
        yield from typed([i], figure("other-unit-reading"), (rows[i][0].trial.id,))
    for one in trials:
        own = [i for i in pressures if rows[i][0] is one]
        if len(own) > 1:
            yield from typed(own, figure("other-unit-trial"), (one.trial.id,))
    if len(trials) > 1 and len(pressures) > 1:
        every = tuple(one.trial.id for one in trials)
        yield from typed(pressures, figure("other-unit-trial"), every)
