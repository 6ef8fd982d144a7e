"""What the readings say: a trial's network, its prediction of each reading, and the spread.

What an instrument does to all its readings alike, its gain, and to all of one trial, its zero, are
unknowns of their own: they cancel in a difference and not in a sum.  What is left to each reading
is heavy-tailed (Student t), so that one wild reading does not rule.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inchwater.calibration.expected import (
    Errors,
    by_hood,
    errors,
    expected,
    reading_parameters,
    spread,
    usable,
)
from inchwater.calibration.priors import noise
from inchwater.calibration.repeats import widened
from inchwater.errors import InputError
from inchwater.network import Network, Solution, compile_network, solve
from inchwater.network.elements import Array, Parameter, Values
from inchwater.survey import Job, Reading, Trial, volts_of

__all__ = ["Observed", "expected", "observe", "spread", "usable"]


@dataclass(frozen=True, slots=True)
class Observed:
    """One trial compiled, with the readings that calibration uses and their spreads [SI].

    ``gains`` and ``zeros`` name each reading's share of its instrument's errors, "" for none.
    """

    trial: Trial
    network: Network
    readings: tuple[Reading, ...]
    spreads: Array
    gains: tuple[str, ...] = ()
    zeros: tuple[str, ...] = ()
    errors: tuple[Parameter, ...] = ()

    @property
    def parameters(self) -> tuple[Parameter, ...]:
        """The unknowns of the network, of the instruments, and of what single readings see."""
        return (*self.network.parameters, *self.errors)

    @property
    def dof(self) -> Array:
        """Degrees of freedom of each reading's errors: how seldom it is far off (reading,). [-]"""
        # What a hood shows far from the others tells of a run, seldom of the hood.
        return np.array(
            [noise("hood-dof" if by_hood(one) else "student-dof") for one in self.readings]
        )

    @property
    def by_ratio(self) -> NDArray[np.bool_]:
        """Whether each reading errs by a share of what it reads (reading,)."""
        return np.array([by_hood(one) and one.value > 0.0 for one in self.readings], dtype=np.bool_)

    @property
    def measured(self) -> Array:
        """The readings' values (reading,). [SI]"""
        return np.array([reading.value for reading in self.readings])

    def predict(self, values: Values, size: int) -> tuple[Array, Solution]:
        """What each reading should show for given parameter values.

        Returns
        -------
        array (sample, reading) [SI]
        Solution
        """
        solution = solve(self.network, values, size)
        return self.shown(values, solution), solution

    def shown(self, values: Values, solution: Solution) -> Array:
        """What each reading should show once its network is solved (sample, reading). [SI]"""
        shown = np.stack([expected(r, solution) for r in self.readings], axis=1)
        for k, (gain, zero) in enumerate(zip(self.gains, self.zeros, strict=True)):
            if gain:
                shown[:, k] *= 1.0 + values[gain]
            if zero:
                shown[:, k] += values[zero]
        return shown


def observe(job: Job, includes: frozenset[str] | None = None) -> tuple[Observed, ...]:
    """Every trial of a job that has a reading, compiled with its changes and condition.

    Parameters
    ----------
    includes : frozenset of str, optional
        What the blower table's zero already holds, where the survey does not say.
    """
    instruments = job.instruments_by_id
    compiled = []
    # Trials in one state share its network, and so whatever is solved of it.
    networks: dict[object, Network] = {}
    for trial in job.trials:
        condition = dict(trial.condition)
        volts = volts_of(job, trial)
        if volts is not None:
            condition["volts"] = f"{volts:g}"
        state = (trial.after, frozenset(condition.items()))
        if state not in networks:
            survey = job.survey_after(trial.after)
            networks[state] = compile_network(survey, condition, includes)
        network = networks[state]
        readings = tuple(r for r in trial.in_force if usable(r, network))
        if readings:
            compiled.append((trial, network, readings))
    found = {(t.id, r.id): errors(r, instruments) for t, _, readings in compiled for r in readings}
    count = Counter(one.instrument for one in found.values())
    by_trial = Counter((trial, one.instrument) for (trial, _), one in found.items())
    result = [
        _with_errors(trial, network, readings, found, count, by_trial)
        for trial, network, readings in compiled
    ]
    if not result:
        raise InputError(
            where="trials",
            came="no reading that can be compared"
            if any(trial.in_force for trial in job.trials)
            else "no reading",
            right="calibration needs at least one trial with a static pressure",
            do="Read the static on each side of the unit.",
        )
    return tuple(result)


def _with_errors(
    trial: Trial,
    network: Network,
    readings: tuple[Reading, ...],
    found: Mapping[tuple[str, str], Errors],
    count: Mapping[str, int],
    by_trial: Mapping[tuple[str, str], int],
) -> Observed:
    """One trial with its instruments' errors: shared where an instrument read more than once."""
    spreads, gains, zeros, shared = [], [], [], []
    repeats = widened(readings, [found[trial.id, reading.id].repeat for reading in readings])
    for reading, repeat in zip(readings, repeats, strict=True):
        one = found[trial.id, reading.id]._replace(repeat=float(repeat))
        name = f"instrument:{one.instrument}"
        gains.append(f"{name}:gain" if count[one.instrument] > 1 else "")
        if gains[-1]:
            shared.append(Parameter(gains[-1], "instrument-gain", sigma=one.gain))
        set_to_zero = by_trial[trial.id, one.instrument] > 1 and one.zero > 0.0
        zeros.append(f"{name}:zero:{trial.id}" if set_to_zero else "")
        if zeros[-1]:
            shared.append(Parameter(zeros[-1], "instrument-zero", sigma=one.zero))
        spreads.append(one.own(reading.value, gain=not gains[-1], zero=not zeros[-1]))
    shared.extend(reading_parameters(readings, network))
    return Observed(
        trial, network, readings, np.array(spreads), tuple(gains), tuple(zeros), tuple(shared)
    )
