"""What a reading should show in a solved network, whether it can be compared, and its spread.

A static's spread is the instrument's gain and zero and the repeatability of one technician at one
test point; the test point's own error is a parameter of the network, because it is the same before
and after.  A hole in one duct and the heat of a call become parameters where somebody reads them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import NamedTuple

import numpy as np

from inchwater.air import sensible_heat
from inchwater.calibration.priors import noise
from inchwater.errors import InputError
from inchwater.network import Network, Solution
from inchwater.network.build import assumed
from inchwater.network.elements import Array, Parameter
from inchwater.network.holes import parameters_of
from inchwater.network.results import SPEED
from inchwater.survey import Instrument, Reading, place_of

# The parameter by which a unit gives more or less heat than its plate says.
_HEAT = "unit:heat"
_TABLE = "the blower table has no {what}"


def expected(reading: Reading, solution: Solution) -> Array:
    """What a reading should show in a solved network (sample,). [SI]

    Raises
    ------
    InputError
        If this system has no such place, or what the reading would be compared with is not known.
    """
    found = _shown(reading, solution)
    if found is None:
        # Looked for only now: this is asked of every reading in every round of a fit.
        why = not_used(reading, solution.network) or "volts set the blower and show nothing"
        raise _refused(reading, why, solution)
    return found


def _shown(reading: Reading, solution: Solution) -> Array | None:
    """What a reading should show (sample,); None where that is not known. [SI]"""
    kind, id_ = place_of(reading.at)
    match reading.quantity:
        case "static":
            return solution.read_at(reading.at)
        case "drop":
            return solution.drop.get(reading.at)
        case "airflow" if kind == "register:":
            flow = solution.flow.get(id_)
            # A hood shows the volume of the air that comes out, cold or hot.
            return None if flow is None else flow * solution.network.thinner
        case "airflow" if kind == "grille:":
            return solution.drawn.get(id_)
        case "airflow":
            return solution.airflow
        case "temperature-rise":
            return _rise(solution)
        case "power":
            return solution.power
        case "speed":
            return solution.speed
        case "voltage":
            return None


def _rise(solution: Solution) -> Array | None:
    """Temperature of the supply air less that of the return air (sample,). [K]

    All heat between the two thermometers warms the air: that of the call and the blower's own.
    None outside a full heating call, and where the heat is not known.
    """
    network = solution.network
    if network.heat is None or network.state.get("call") != "heating":
        return None
    heat = network.heat * solution.values.get(_HEAT, np.ones(solution.size))
    watts = solution.power
    if watts is None:
        watts = assumed("blower-heat") * solution.airflow
    per_kelvin = sensible_heat(solution.airflow, 1.0, network.air)
    return np.asarray((heat + watts) / per_kelvin)


def _refused(reading: Reading, why: str, solution: Solution) -> InputError:
    if reading.quantity == "static":
        return InputError(
            where=f"readings[{reading.id}].at",
            came=repr(reading.at),
            right=f"this system has the test points {', '.join(solution.reads)}",
            do="Say where the reading was taken, or add the coil that stands there.",
        )
    return InputError(
        where=f"readings[{reading.id}].quantity",
        came=repr(reading.quantity),
        right=f"this reading cannot be compared with the model: {why}",
        do="Add what is missing; until then the reading is kept and not used.",
    )


def not_used(reading: Reading, network: Network) -> str:
    """Why the model cannot be compared with a reading, in words; "" if it can."""
    kind, id_ = place_of(reading.at)
    match reading.quantity:
        case "static" if kind in ("trunk:", "run:", "return:"):
            if reading.at not in network.holes:
                return (
                    f"width and height of the grille of {id_} are not known"
                    if kind == "return:"
                    else f"no air passes {id_} here"
                )
        case "static":
            if kind not in network.ports:
                return f"this system has no test point {reading.at}"
        case "drop":
            if all(edge.key != reading.at for edge in network.edges):
                return f"no air passes {id_} here"
        case "airflow" if kind in ("register:", "grille:"):
            leaves = network.supply if kind == "register:" else network.returns
            if all(leaf.id != id_ or leaf.kind == "leak" for leaf in leaves):
                return f"no air passes {id_} here"
        case "temperature-rise":
            if network.state.get("call") != "heating":
                return "the heat is known in a full heating call only"
            if network.heat is None:
                return "it is not known what heat the unit gives"
        case "power":
            if any(curve.power(np.zeros(1)) is None for curve in network.fan.curves):
                return _TABLE.format(what="watts")
        case "speed":
            if any(curve.speed(np.zeros(1)) is None for curve in network.fan.curves):
                return _TABLE.format(what="speeds")
    return ""


def usable(reading: Reading, network: Network) -> bool:
    """Whether calibration can use a reading: volts set the blower, watts need a table of watts.

    A static at a test point that this system lacks counts as usable: it is refused where it is
    compared, because its place was said wrongly.
    """
    if reading.quantity == "voltage":
        return False
    at_point = reading.quantity == "static" and place_of(reading.at)[1] == ""
    return at_point or not not_used(reading, network)


def reading_parameters(readings: Iterable[Reading], network: Network) -> tuple[Parameter, ...]:
    """The unknowns that readings bring with them: holes in single ducts, heat, a wheel's speed.

    Their names are the same in every trial, so that one hole has one error.
    """
    found: dict[str, Parameter] = {}
    for reading in readings:
        if reading.quantity == "static" and reading.at in network.holes:
            found.update((one.name, one) for one in parameters_of(network.holes[reading.at]))
        elif reading.quantity == "temperature-rise":
            found[_HEAT] = Parameter(_HEAT, "heat")
        elif reading.quantity == "speed":
            found[SPEED] = Parameter(SPEED, "speed")
    return tuple(found.values())


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

    def own(self, value: float, gain: bool = True, zero: bool = True) -> float:
        """One sigma of a reading of ``value``, without a gain or zero that others share. [SI]"""
        return math.hypot(self.repeat, gain * self.gain * value, zero * self.zero)


def every_reading_parameter(network: Network) -> tuple[Parameter, ...]:
    """The unknowns of all that could be read in a network beside what it has by itself."""
    holes = [one for hole in network.holes.values() for one in parameters_of(hole)]
    return (*holes, Parameter(_HEAT, "heat"), Parameter(SPEED, "speed"))


# What a quantity is read with where nobody said: the rows of ``noise.csv``.
_READ_WITH = {
    "static": "manometer",
    "drop": "manometer",
    "airflow": "airflow",
    "temperature-rise": "thermometer",
    "power": "power",
    "speed": "tachometer",
}


def by_hood(reading: Reading) -> bool:
    """Whether an airflow was read at a register or grille."""
    return reading.quantity == "airflow" and reading.at != "unit"


def errors(reading: Reading, instruments: Mapping[str, Instrument]) -> Errors:
    """The errors of a reading, of its instrument's own where they are known."""
    own = instruments.get(reading.instrument or "")
    kind = _READ_WITH[reading.quantity]
    if by_hood(reading):
        kind = "hood"
    gain = noise(f"{kind}-gain") if own is None or own.gain is None else own.gain
    zero = noise(f"{kind}-zero") if own is None or own.zero is None else own.zero
    name = kind if own is None else own.id
    if kind == "manometer":
        return Errors(name, gain, zero, noise(f"{reading.quantity}-repeat"))
    # Only a manometer is set to zero before each trial; what others cannot resolve is always new.
    if kind == "hood":
        # How the air leaves a register differs from one to the next.
        return Errors(name, gain, 0.0, float(np.hypot(zero, noise("hood-repeat") * reading.value)))
    return Errors(name, gain, 0.0, zero)


def spread(reading: Reading, instruments: Mapping[str, Instrument]) -> float:
    """One sigma of a reading: instrument and repeatability. [SI]"""
    return errors(reading, instruments).own(reading.value)
