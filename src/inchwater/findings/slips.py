"""Whether a visit's readings can be right, and the single slip that would explain them best.

The readings' probability under the survey as it stands is held against that under each slip that
could have been made, each with its odds from ``data/slips.csv``.  Slips are looked for only where
the readings lie further from what was expected than one honest visit in twenty does, so that the
check costs next to nothing on the others.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from inchwater.calibration.evidence import Evidence, Linear, evidence, linear, odds_against
from inchwater.calibration.hills import most_likely
from inchwater.calibration.likelihood import Readings
from inchwater.calibration.observe import Observed, observe
from inchwater.calibration.priors import Prior
from inchwater.errors import InchwaterError
from inchwater.findings.slip import Slip, figure
from inchwater.findings.slips_system import ALWAYS, system_slips
from inchwater.findings.slips_typed import typed_slips
from inchwater.network.elements import Array
from inchwater.survey.job import Job

# Slips that are weighed with a climb of their own; the others by straight lines.
_LOOKED_AT = 8


@dataclass(frozen=True, slots=True)
class Suspect:
    """One slip with the probability that it was it, and what the readings would have shown. [SI]"""

    slip: Slip
    probability: float
    shown: Mapping[tuple[str, str], float]


@dataclass(frozen=True, slots=True)
class System:
    """Trials as they truly were, and the most likely latents of their system by name. [-]"""

    trials: tuple[Observed, ...]
    latents: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Check:
    """What a visit's readings say of the survey and of themselves.

    odds : of readings as far from what was expected, of an honest visit [-]; slip : probability
    that some slip was made [-]; suspects : the likeliest first; explained : odds of the readings
    under the likeliest of them [-]; hidden : slips that these readings could not show; limits : the
    error of each reading (trial, at, quantity) from which it would be seen [SI]; trials : as said;
    best : the system that goes with the likeliest slip, or as said.
    """

    odds: float
    slip: float
    suspects: tuple[Suspect, ...]
    explained: float
    hidden: tuple[Slip, ...]
    limits: Mapping[tuple[str, str, str], float]
    trials: tuple[Observed, ...]
    best: System

    @property
    def found(self) -> bool:
        """Whether a slip was made, by all that the readings say."""
        mends = self.explained >= figure("mends")
        return self.slip >= figure("alarm") and bool(self.suspects) and mends

    @property
    def unexplained(self) -> bool:
        """Whether the survey cannot be right and no single slip would mend all of that."""
        least = figure("unexplained")
        return self.odds < least and self.explained < least

    @property
    def alarm(self) -> bool:
        """Whether anything is said of these readings."""
        return self.found or self.unexplained

    @property
    def named(self) -> tuple[Suspect, ...]:
        """The likeliest slip, and a second one that is nearly as likely."""
        if not self.found:
            return ()
        first, *others = self.suspects
        return (
            first,
            *(o for o in others[:1] if o.probability >= figure("rival") * first.probability),
        )


def check(
    job: Job,
    includes: frozenset[str] | None = None,
    start: Mapping[str, float] | None = None,
) -> Check | None:
    """Hold a job's readings against its survey, and against every slip where they do not fit.

    Parameters
    ----------
    job : Job
        Survey and trials.
    includes : frozenset of str, optional
        What the table's zero is taken to hold.
    start : mapping of str to float, optional
        Latents near the most likely ones by name, as of a posterior; they are looked for if None.

    Returns
    -------
    Check or None
        None where the readings cannot be compared with any system.
    """
    trials = observe(job, includes)
    readings = Readings.of(trials)
    try:
        line, as_said = _as_said(readings, start)
    except InchwaterError:
        return None
    odds = odds_against(as_said.distance, len(readings.measured))
    far = _far(line, readings)
    suspicious = odds < figure("suspicious") or float(np.abs(far).max()) > figure("apart")
    possible, shifts = _possible(job, trials, includes, far, line, suspicious)
    weighed: list[tuple[Slip, float, Evidence | None]] = []
    if suspicious:
        weighed = _weighed(readings, possible, shifts, line)
    suspects, probability = _suspects(weighed, as_said, trials)
    best = _best(weighed)
    return Check(
        odds=odds,
        slip=probability,
        suspects=suspects,
        explained=odds if best is None else odds_against(best[1].distance, len(line.shown)),
        hidden=_hidden(possible, shifts, line, readings),
        limits=_limits(line, readings),
        trials=trials,
        best=_system(trials, as_said)
        if best is None
        else _system(best[0].observed or trials, best[1]),
    )


def _system(trials: Sequence[Observed], known: Evidence) -> System:
    names = Readings.of(trials).names
    return System(tuple(trials), dict(zip(names, map(float, known.latents), strict=True)))


def _as_said(readings: Readings, start: Mapping[str, float] | None) -> tuple[Linear, Evidence]:
    """The readings' straight lines, and their evidence, with everything as it was said."""

    def about(at: Array) -> tuple[Linear, Evidence]:
        line = linear(readings, at)
        return line, evidence(readings.predict, readings.measured, readings.spreads, at, line.basis)

    if start is not None:
        return about(np.array([start.get(name, 0.0) for name in readings.names]))
    _, found = about(np.zeros(len(readings.names)))
    if odds_against(found.distance, len(readings.measured)) >= figure("suspicious"):
        return about(found.latents)
    # A wild reading has pulled everything along: start from where it is let go.
    return about(most_likely(readings)[0])


def _far(line: Linear, readings: Readings) -> Array:
    """How far each reading lies from what all others and the survey make it. [-]"""
    cover = np.linalg.inv(line.cover(readings.spreads))
    apart = cover @ (readings.measured - line.expected)
    return np.asarray(apart / np.sqrt(np.diagonal(cover)))


def _possible(
    job: Job,
    trials: Sequence[Observed],
    includes: frozenset[str] | None,
    far: Array,
    line: Linear,
    every: bool,
) -> tuple[list[Slip], list[Array]]:
    """The slips to weigh, and how much more than as said each reading would have shown. [SI]"""
    found, shifts = [], []
    of_system = system_slips(job, trials, includes, list(far), every)
    for slip in (*typed_slips(job, trials, every), *of_system):
        shift = np.zeros(len(line.shown))
        if slip.observed is not None:
            try:
                shift = _shift(slip.observed, trials, line)
            except InchwaterError:
                continue
        found.append(slip)
        shifts.append(shift)
    return found, shifts


def _shift(truly: Sequence[Observed], said: Sequence[Observed], line: Linear) -> Array:
    names = Readings.of(said).names
    row = dict(zip(names, line.at, strict=True))
    parts, begin = [], 0
    for new, old in zip(truly, said, strict=True):
        end = begin + len(old.readings)
        if new is old:
            parts.append(np.zeros(end - begin))
        else:
            prior = Prior.of(new.parameters)
            values = prior.values({n: np.array([row.get(n, 0.0)]) for n in prior.latents})
            parts.append(new.predict(values, 1)[0][0] - line.shown[begin:end])
        begin = end
    return np.concatenate(parts)


def _taken(slip: Slip, readings: Readings) -> tuple[Array, Array]:
    measured = readings.measured if slip.taken is None else slip.taken
    spreads = readings.spreads if slip.spreads is None else slip.spreads
    return measured, spreads


def _weighed(
    readings: Readings,
    possible: Sequence[Slip],
    shifts: Sequence[Array],
    line: Linear,
) -> list[tuple[Slip, float, Evidence | None]]:
    """Each slip with the logarithm of its odds times its evidence; the likeliest looked at well."""
    rough = []
    for slip, shift in zip(possible, shifts, strict=True):
        measured, spreads = _taken(slip, readings)
        log = line.log_evidence(measured, spreads, shift)
        rough.append((log + slip.log_scale + np.log(slip.odds), slip))
    rough.sort(key=lambda one: one[0], reverse=True)
    weighed: list[tuple[Slip, float, Evidence | None]] = []
    for number, (log, slip) in enumerate(rough):
        known = _climbed(slip, readings, line) if number < _LOOKED_AT else None
        if known is not None:
            log = known.log + slip.log_scale + float(np.log(slip.odds))
        weighed.append((slip, float(log), known))
    return weighed


def _climbed(slip: Slip, readings: Readings, line: Linear) -> Evidence | None:
    measured, spreads = _taken(slip, readings)
    if slip.observed is None:
        own, start, basis = readings, line.at, line.basis
    else:
        own = Readings.of(slip.observed)
        where = {name: i for i, name in enumerate(readings.names)}
        start = np.array([line.at[where[n]] if n in where else 0.0 for n in own.names])
        new = [i for i, n in enumerate(own.names) if n not in where]
        columns = [
            line.basis[:, where[n]] if n in where else np.zeros(len(line.basis)) for n in own.names
        ]
        rows = np.vstack([np.stack(columns, axis=1), np.eye(len(own.names))[new]])
        # Latents that this system lacks leave rows that are no longer at right angles.
        basis = np.linalg.qr(rows.T)[0].T
    try:
        return evidence(own.predict, measured, spreads, start, basis)
    except InchwaterError:
        return None


def _suspects(
    weighed: Sequence[tuple[Slip, float, Evidence | None]],
    as_said: Evidence,
    trials: Sequence[Observed],
) -> tuple[tuple[Suspect, ...], float]:
    """The slips by probability, those that are one and the same together."""
    if not weighed:
        return (), 0.0
    logs = np.array([as_said.log, *(log for _, log, _ in weighed)])
    shares = np.exp(logs - logs.max())
    shares /= shares.sum()
    keys = [(one.trial.id, r.at) for one in trials for r in one.readings]
    together: dict[object, Suspect] = {}
    for (slip, _, known), share in zip(weighed, shares[1:], strict=True):
        same = identity(slip)
        before = together.get(same)
        shown = {} if known is None else dict(zip(keys, map(float, known.shown), strict=True))
        if before is not None:
            shown = dict(before.shown) or shown
            slip, share = before.slip, share + before.probability
        together[same] = Suspect(slip, float(share), shown)
    ordered = sorted(together.values(), key=lambda one: one.probability, reverse=True)
    return tuple(ordered), float(1.0 - shares[0])


def identity(slip: Slip) -> tuple[str, tuple[str, ...], tuple[str, ...], str]:
    """What makes two slips one and the same: a tap of a call with one trial is that trial's."""
    kind = "tap" if slip.kind.startswith("tap") else slip.kind
    return kind, slip.trials, slip.places, slip.to


def _best(
    weighed: Sequence[tuple[Slip, float, Evidence | None]],
) -> tuple[Slip, Evidence] | None:
    """The likeliest slip of those that were looked at well."""
    known = [(log, slip, one) for slip, log, one in weighed if one is not None]
    if not known:
        return None
    _, slip, one = max(known, key=lambda each: each[0])
    return slip, one


def _hidden(
    possible: Sequence[Slip], shifts: Sequence[Array], line: Linear, readings: Readings
) -> tuple[Slip, ...]:
    """Slips that would move the readings by less than can be told from chance."""
    found = []
    for slip, shift in zip(possible, shifts, strict=True):
        moved = shift if slip.taken is None else readings.measured - slip.taken
        small = line.size(moved, readings.spreads) < figure("seen")
        if small and slip.kind in (*ALWAYS, "tubes-swapped"):
            found.append(slip)
    return tuple(found)


def _limits(line: Linear, readings: Readings) -> dict[tuple[str, str, str], float]:
    rows = [(t.trial.id, r.at, r.quantity) for t in readings.trials for r in t.readings]
    apart = figure("seen") * line.apart(readings.spreads)
    return dict(zip(rows, map(float, apart), strict=True))
