"""What the readings say: a trial's network, its prediction of each reading, and the spread.

Errors are heavy-tailed (Student t), so that one wild reading does not rule.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inchwater.calibration.expected import expected, spread, usable
from inchwater.errors import InputError
from inchwater.network import Network, Solution, compile_network, solve
from inchwater.network.elements import Array, Values
from inchwater.survey import Job, Reading, Trial

__all__ = ["Observed", "expected", "observe", "spread", "usable"]


@dataclass(frozen=True, slots=True)
class Observed:
    """One trial compiled, with the readings that calibration uses and their spreads [SI]."""

    trial: Trial
    network: Network
    readings: tuple[Reading, ...]
    spreads: Array

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
        return np.stack([expected(r, solution) for r in self.readings], axis=1), solution


def observe(job: Job, includes: frozenset[str] | None = None) -> tuple[Observed, ...]:
    """Every trial of a job that has a reading, compiled with its changes and condition.

    Parameters
    ----------
    includes : frozenset of str, optional
        What the blower table's zero already holds, where the survey does not say.
    """
    instruments = {i.id: i for i in job.instruments}
    result = []
    for trial in job.trials:
        condition = dict(trial.condition)
        for reading in trial.in_force:
            if reading.quantity == "voltage":
                condition["volts"] = f"{reading.value:g}"
        network = compile_network(job.survey_after(trial.after), condition, includes)
        readings = tuple(r for r in trial.in_force if usable(r, network))
        if readings:
            spreads = np.array([spread(r, instruments) for r in readings])
            result.append(Observed(trial, network, readings, spreads))
    if not result:
        raise InputError(
            where="trials",
            came="no reading",
            right="calibration needs at least one trial with a static pressure",
            do="Read the static on each side of the unit.",
        )
    return tuple(result)
