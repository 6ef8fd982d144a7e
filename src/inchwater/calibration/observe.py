"""What the readings say: a trial's network, its prediction of each reading, and the spread.

A static's spread is the instrument's gain and zero and the repeatability of one technician at one
test point; the test point's own error is a parameter of the network, because it is the same before
and after.  Errors are heavy-tailed (Student t), so that one wild reading does not rule.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from inchwater.calibration.priors import noise
from inchwater.errors import InputError
from inchwater.network import Network, Solution, compile_network, solve
from inchwater.network.elements import Array, Values
from inchwater.survey import Instrument, Job, Reading, Trial


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


def expected(reading: Reading, solution: Solution) -> Array:
    """What a reading should show in a solved network (sample,). [SI]

    Raises
    ------
    InputError
        If the system has no such test point, or no table to compare watts with.
    """
    if reading.quantity == "static":
        if reading.at not in solution.reads:
            raise InputError(
                where=f"readings[{reading.id}].at",
                came=repr(reading.at),
                right=f"this system has the test points {', '.join(solution.reads)}",
                do="Say where the reading was taken, or add the coil that stands there.",
            )
        return solution.reads[reading.at]
    if reading.quantity == "airflow":
        return solution.airflow
    power = solution.power
    if reading.quantity == "power" and power is not None:
        return power
    raise InputError(
        where=f"readings[{reading.id}].quantity",
        came=repr(reading.quantity),
        right="this reading cannot be compared with the model",
        do="Watts need a blower table with watts.",
    )


def usable(reading: Reading, network: Network) -> bool:
    """Whether calibration can use a reading: volts set the blower, watts need a table of watts."""
    if reading.quantity == "voltage":
        return False
    if reading.quantity == "power":
        return all(curve.power(np.zeros(1)) is not None for curve in network.fan.curves)
    return True


def spread(reading: Reading, instruments: Mapping[str, Instrument]) -> float:
    """One sigma of a reading: instrument and repeatability. [SI]"""
    own = instruments.get(reading.instrument or "")
    kind = {"static": "manometer", "power": "power", "airflow": "airflow"}[reading.quantity]
    gain = noise(f"{kind}-gain") if own is None or own.gain is None else own.gain
    zero = noise(f"{kind}-zero") if own is None or own.zero is None else own.zero
    repeat = noise("static-repeat") if kind == "manometer" else 0.0
    return float(np.sqrt((gain * reading.value) ** 2 + zero**2 + repeat**2))


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
