"""How every result of a solved network answers to a small change of any parameter.

The network's equations are straight lines at the solution, so one sweep of the kernel's gives the
changes of all flows and pressures for one parameter; no variant is solved again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from inchwater.errors import UnknownNameError
from inchwater.network.arrays import Coefficients, Found
from inchwater.network.elements import Array, Network, Values
from inchwater.network.newton import answers, looked_at
from inchwater.network.resistances import coefficients

# Step of the central differences, relative to the parameter's value. [-]
_STEP = 1e-4


@dataclass(frozen=True, slots=True)
class Nudge:
    """One parameter moved a little: its values on both sides and the tangent of the solution.

    step : array (sample,), by which the value was moved; low, high : values of all parameters;
    flow, drop, ends, entry : changes per unit of the parameter, as in :class:`arrays.Found`.
    """

    step: Array
    low: Values
    high: Values
    flow: Array
    drop: Array
    ends: Array
    entry: Array

    def moved(self, found: Found, sign: float) -> Found:
        """The solved network moved along the tangent by the step, up (1) or down (-1)."""
        by = sign * self.step
        return found._replace(
            flow=found.flow + by[:, None] * self.flow,
            drop=found.drop + by[:, None] * self.drop,
            ends=found.ends + by[:, None] * self.ends,
            entry=found.entry + by * self.entry,
        )


class _Held(NamedTuple):
    """One parameter on both sides, and what it changes while all flows are held."""

    step: Array
    low: Values
    high: Values
    drop: Array
    fan: Array
    entry: Array


def nudges(
    network: Network, values: Values, given: Coefficients, found: Found, names: Sequence[str]
) -> dict[str, Nudge]:
    """Move parameters a little, each by itself, and follow all flows and pressures.

    Raises
    ------
    UnknownNameError
        If the network has no such parameter.
    """
    known = [parameter.name for parameter in network.parameters]
    for name in names:
        if name not in known:
            raise UnknownNameError(
                where="parameter", came=repr(name), right=f"parameters are {', '.join(known)}"
            )
    held = [_held(network, values, given, found, name) for name in names]
    tangent = answers(
        network,
        given,
        found,
        np.stack([one.drop for one in held]),
        np.stack([one.fan for one in held]),
    )
    return {
        name: Nudge(one.step, one.low, one.high, flow, drop, ends, entry + one.entry)
        for name, one, flow, drop, ends, entry in zip(names, held, *tangent, strict=True)
    }


def _held(network: Network, values: Values, given: Coefficients, found: Found, name: str) -> _Held:
    size = given.scale.shape[0]
    base = np.asarray(values.get(name, np.full(size, _handbook(network, name))))
    step = _STEP * np.where(base == 0.0, 1.0, np.abs(base))
    low, high = {**values, name: base - step}, {**values, name: base + step}
    below, above = (
        looked_at(
            network,
            # What was set for an edge as a whole stays so.
            coefficients(network, one, size)._replace(scale=given.scale),
            found.flow,
            found.ends,
        )
        for one in (low, high)
    )
    span = 2.0 * step
    return _Held(
        step,
        low,
        high,
        (above.drop - below.drop) / span[:, None],
        (above.fan - below.fan) / span,
        (above.entry - below.entry) / span,
    )


def _handbook(network: Network, name: str) -> float:
    """Where a parameter stands that has no value: multipliers at one."""
    for edge in network.edges:
        for piece in edge.friction:
            if piece.compression == name:
                return piece.typical_compression
    if name == network.fan.tap_by:
        return 0.5
    places = [port.offset_by for port in network.ports.values()]
    places += [hole.offset_by for hole in network.holes.values()]
    if name in places or name == network.fan.tilt_by:
        return 0.0
    return 1.0
