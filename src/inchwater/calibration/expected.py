"""What a reading should show in a solved network, whether it can be compared, and its spread.

A static's spread is the instrument's gain and zero and the repeatability of one technician at one
test point; the test point's own error is a parameter of the network, because it is the same before
and after.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from inchwater.calibration.priors import noise
from inchwater.errors import InputError
from inchwater.network import Network, Solution
from inchwater.network.elements import Array
from inchwater.survey import Instrument, Reading


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


class Errors(NamedTuple):
    """What may stand between a quantity and its reading, each as one sigma.

    instrument : which one it was taken with, its kind if nobody said; gain : of the reading, the
    same whatever it reads [-]; zero : the same for all its readings of one trial [SI];
    repeat : of each reading by itself [SI].
    """

    instrument: str
    gain: float
    zero: float
    repeat: float


def errors(reading: Reading, instruments: Mapping[str, Instrument]) -> Errors:
    """The errors of a reading, of its instrument's own where they are known."""
    own = instruments.get(reading.instrument or "")
    kind = {"static": "manometer", "power": "power", "airflow": "airflow"}[reading.quantity]
    gain = noise(f"{kind}-gain") if own is None or own.gain is None else own.gain
    zero = noise(f"{kind}-zero") if own is None or own.zero is None else own.zero
    name = kind if own is None else own.id
    if kind == "manometer":
        return Errors(name, gain, zero, noise("static-repeat"))
    # Only a manometer is set to zero before each trial; what others cannot resolve is always new.
    return Errors(name, gain, 0.0, zero)


def spread(reading: Reading, instruments: Mapping[str, Instrument]) -> float:
    """One sigma of a reading: instrument and repeatability. [SI]"""
    found = errors(reading, instruments)
    return float(np.hypot(np.hypot(found.gain * reading.value, found.zero), found.repeat))
