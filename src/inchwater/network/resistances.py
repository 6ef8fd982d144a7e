"""The resistances of a network's edges for given parameter values, in all variants at once."""

from __future__ import annotations

import numpy as np

from inchwater.network.arrays import Coefficients
from inchwater.network.elements import Array, Fan, Local, Network, Power, Side, Values, product
from inchwater.parts import flex
from inchwater.parts.laws import PowerLaw


def _law(law: Power, network: Network) -> float:
    return float(PowerLaw(law.coefficient, law.exponent).in_air(network.air).coefficient)


def quadratic_of(local: Local, network: Network, side: Side) -> float:
    """Drop of a local loss per square of the flow at the unit's inlet. [Pa s2/m6]"""
    return 0.5 * network.density(side) * local.coefficient / local.area**2


def coefficients(network: Network, values: Values, size: int) -> Coefficients:
    """Resistances of a network for given parameter values.

    Parameters
    ----------
    values : mapping of arrays (sample,)
        Values of the parameters by name; a missing one is taken at its handbook value.
    size : int
        Number of variants.
    """
    friction, power, tee = [], [], []
    quadratic = np.zeros((size, len(network.edges)))
    for i, edge in enumerate(network.edges):
        thinner = network.thinner_on(edge.side)
        for piece in edge.friction:
            factor = product(piece.by, values, size)
            if piece.compression is not None:
                compression = values.get(
                    piece.compression, np.full(size, piece.typical_compression)
                )
                factor = factor * flex.compression_factor(compression, piece.diameter)
            friction.append(factor)
        for local in edge.local:
            quadratic[:, i] += quadratic_of(local, network, edge.side) * product(
                local.by, values, size
            )
        for law in edge.power:
            power.append(thinner * _law(law, network) * product(law.by, values, size))
        if edge.tee is not None:
            tee.append(product(edge.tee.by, values, size))
    fan = network.fan
    references = [_law(ref, network) * product(ref.by, values, size) for ref in fan.references]
    return Coefficients(
        friction=np.stack(friction, axis=1) if friction else np.zeros((size, 0)),
        quadratic=quadratic,
        power=np.stack(power, axis=1) if power else np.zeros((size, 0)),
        tee=np.stack(tee, axis=1) if tee else np.zeros((size, 0)),
        scale=np.ones((size, len(network.edges))),
        level=fan_level(fan, values, size),
        share=tap_shares(fan, values, size),
        references=np.stack(references, axis=1) if references else np.zeros((size, 0)),
        steepness=product(((fan.beyond_by, 1.0),) if fan.beyond_by else (), values, size),
        lean=_lean(fan, values, size),
    )


def fan_level(fan: Fan, values: Values, size: int) -> Array:
    """Factor on the blower's flow, counted as the air enters the unit (sample,). [-]"""
    return fan.volume * product(fan.level, values, size)


def _lean(fan: Fan, values: Values, size: int) -> Array:
    """How the curve lies to the printed one, see :class:`arrays.Coefficients`.  [sample, 3]"""
    slant = product(((fan.slant_by, 1.0),) if fan.slant_by else (), values, size)
    tilt = np.zeros(size) if fan.tilt_by is None else values.get(fan.tilt_by, np.zeros(size))
    return np.stack([slant, tilt, product(fan.reach_by, values, size)], axis=1)


def tap_shares(fan: Fan, values: Values, size: int) -> Array:
    """Weights of the taps for a place between the first (0) and the last (1).  [sample, tap]"""
    count = len(fan.curves)
    if fan.tap_by is None or count == 1:
        return np.ones((size, 1))
    along = np.clip(values.get(fan.tap_by, np.full(size, 0.5)), 0.0, 1.0) * (count - 1)
    return np.maximum(0.0, 1.0 - np.abs(along[:, None] - np.arange(count)[None, :]))
