"""Trials that contradict themselves or each other, and conditions that cannot be."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations

import numpy as np

from inchwater.calibration.expected import errors
from inchwater.calibration.repeats import groups
from inchwater.findings.places import place_said, trial_said
from inchwater.findings.slip import figure
from inchwater.findings.types import Doubt, told
from inchwater.survey.job import Job
from inchwater.survey.trials import KINDS, Instrument, Reading, Trial


def steady_doubts(job: Job) -> tuple[Doubt, ...]:
    """What a job's trials show by themselves: not steady, not the same, not possible."""
    instruments = job.instruments_by_id
    found: list[Doubt] = []
    for trial in job.trials:
        found += _unsteady(job, trial, instruments)
        found += _impossible(job, trial)
    for one, other in combinations(job.trials, 2):
        found += _contradictions(job, one, other, instruments)
    return tuple(found)


def _compared(trial: Trial) -> tuple[Reading, ...]:
    return tuple(r for r in trial.in_force if r.quantity != "voltage")


def _unsteady(job: Job, trial: Trial, instruments: Mapping[str, Instrument]) -> Iterator[Doubt]:
    """Several readings of one place that scatter more than one place does."""
    readings = _compared(trial)
    for group in groups(readings, [errors(r, instruments).repeat for r in readings]):
        if group.steady:
            continue
        own = [readings[row] for row in group.rows]
        sizes = [abs(r.value) for r in own]
        kind = KINDS[own[0].quantity]
        yield Doubt(
            told(
                "The {n} readings {place} in {trial} lie between {a} and {b}: that was not steady. "
                "Together they count as one.",
                n=str(len(own)),
                place=place_said(own[0].at),
                trial=trial_said(job, trial.id),
                a=(min(sizes), kind),
                b=(max(sizes), kind),
            ),
            "Let the blower run until the reading rests, keep doors and windows as they are, look "
            "for a loose or wet tube, and read again.",
            f"not-steady:{trial.id}:{own[0].at}",
            own[0].at,
        )


def _impossible(job: Job, trial: Trial) -> Iterator[Doubt]:
    call = trial.condition.get("call", "")
    if trial.condition.get("coil") == "wet" and call.startswith("heating"):
        yield Doubt(
            told(
                "{trial} has a wet coil in a heating call; only cooling wets a coil.",
                trial=_capital(trial_said(job, trial.id)),
            ),
            "Say which call ran, or that the coil was dry.",
            f"impossible:{trial.id}",
            "",
        )


def _contradictions(
    job: Job, one: Trial, other: Trial, instruments: Mapping[str, Instrument]
) -> Iterator[Doubt]:
    """Two trials that are said to be the same and were not."""
    if one.after != other.after or dict(one.condition) != dict(other.condition):
        return
    first, second = (_by_place(trial) for trial in (one, other))
    for place in first.keys() & second.keys():
        here, there = first[place], second[place]
        a, b = (float(np.mean([r.value for r in own])) for own in (here, there))
        # The gain is the same on both days; zero and scatter are not.
        own = [errors(r, instruments) for r in (here[0], there[0])]
        usual = float(np.sqrt(sum(e.zero**2 + e.repeat**2 for e in own)))
        if abs(a - b) <= figure("contradiction") * usual:
            continue
        kind = KINDS[here[0].quantity]
        yield Doubt(
            told(
                "{one} and {other} are said to be the same, yet {a} and {b} were read {place}: "
                "something was different.",
                one=_capital(trial_said(job, one.id)),
                other=trial_said(job, other.id),
                a=(abs(a), kind),
                b=(abs(b), kind),
                place=place_said(here[0].at),
            ),
            "Think what was changed between them, a door, the filter, a register, the call, and "
            "say it; or read one of them again.",
            f"contradiction:{one.id}:{other.id}:{here[0].at}",
            here[0].at,
        )


def _by_place(trial: Trial) -> dict[tuple[str, str], list[Reading]]:
    found: dict[tuple[str, str], list[Reading]] = {}
    for reading in _compared(trial):
        found.setdefault((reading.quantity, reading.at), []).append(reading)
    return found


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]
