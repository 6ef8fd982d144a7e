"""The equations of a network at rest: their residuals and slopes at given flows and pressures.

Unknowns of one variant are the flows of all leaves and the total pressures at the two ends of the
duct system: the supply plenum and the return side.  Along each leaf's path the drops add up to the
plenum's pressure, as much air returns as is supplied, and the blower moves what its table says at
the pressure it works against.
"""

from __future__ import annotations

from dataclasses import fields

import numpy as np
from numpy.typing import NDArray

from inchwater.network.elements import Array, Network
from inchwater.network.resistances import Coefficients
from inchwater.parts import ducts
from inchwater.parts.laws import PowerLaw

# Below this share of the design flow a signed power law is replaced by its chord, so that Newton
# always has a slope to stand on; the drop there is below a millionth of the fan's pressure.
_CHORD = 1e-4


class Equations:
    """The residuals of a network and their slopes, prepared once for one set of coefficients."""

    def __init__(self, network: Network, given: Coefficients) -> None:
        self.network = network
        self.given = given
        self.matrix = network.incidence()
        # Which edge lies on which leaf's path to its end of the duct system. [edge, leaf]
        self.paths = self.matrix.copy()
        self.paths[[*network.unit_filter, *network.coil], :] = 0.0
        self.sign = np.array([1.0] * len(network.supply) + [-1.0] * len(network.returns))
        pieces = [(i, p) for i, edge in enumerate(network.edges) for p in edge.friction]
        self.piece_edge = np.array([i for i, _ in pieces], dtype=int)
        self.diameter = np.array([p.diameter for _, p in pieces])
        self.length = np.array([p.length for _, p in pieces])
        self.roughness = np.array([p.roughness for _, p in pieces])
        laws = [(i, law) for i, edge in enumerate(network.edges) for law in edge.power]
        self.law_edge = np.array([i for i, _ in laws], dtype=int)
        self.exponent = np.array([law.exponent for _, law in laws])
        self.chord = _CHORD * network.design_flow
        self.piece_sum = np.zeros((len(pieces), len(network.edges)))
        self.piece_sum[np.arange(len(pieces)), self.piece_edge] = 1.0
        self.law_sum = np.zeros((len(laws), len(network.edges)))
        self.law_sum[np.arange(len(laws)), self.law_edge] = 1.0
        vp_area = {
            name: 0.5 * network.air.density / port.area**2 for name, port in network.ports.items()
        }
        self.vp_back = vp_area["return"]
        self.vp_out = vp_area["supply"]

    def drops(self, flow: Array) -> tuple[Array, Array]:
        """Drop and slope of every edge at the edges' flows [sample, edge]; Pa, Pa s/m3."""
        given = self.given
        drop = given.quadratic * np.abs(flow) * flow
        # A floor under the slope keeps a leaf that has come to rest from having none.
        slope = 2.0 * given.quadratic * np.maximum(np.abs(flow), self.chord)
        if len(self.piece_edge):
            d, s = ducts.friction_drop(
                flow[:, self.piece_edge],
                self.diameter,
                self.length,
                self.roughness,
                self.network.air,
            )
            drop = drop + (d * given.friction) @ self.piece_sum
            slope = slope + (s * given.friction) @ self.piece_sum
        if len(self.law_edge):
            d, s = PowerLaw(given.power, self.exponent).drop_and_slope(flow[:, self.law_edge])
            drop = drop + d @ self.law_sum
            slope = slope + s @ self.law_sum
        return drop * given.scale, slope * given.scale

    def entry(
        self, flow: Array, drop: Array, slope: Array, supply: Array, back: Array
    ) -> tuple[Array, Array]:
        """Pressure at which the blower table is entered, and its slope by the unit's flow.

        Static at the outlet less static at the inlet, with what stands between the test points
        and the table's own boundary put in its place.  Arrays (sample,). [Pa, Pa s/m3]
        """
        network = self.network
        size = flow.shape[0]
        inside, inside_slope = np.zeros(size), np.zeros(size)
        for i in (*network.unit_filter, *network.coil):
            inside = inside + drop[:, i]
            inside_slope = inside_slope + slope[:, i]
        reference, reference_slope = np.zeros(size), np.zeros(size)
        for k, law in enumerate(network.fan.references):
            d, s = PowerLaw(self.given.references[:, k], law.exponent).drop_and_slope(flow)
            reference = reference + d
            reference_slope = reference_slope + s
        vp = self.vp_out - self.vp_back
        tesp = supply - back - vp * flow * np.abs(flow) + inside - reference
        d_flow = inside_slope - reference_slope - 2.0 * vp * np.abs(flow)
        return tesp, d_flow

    def blower(self, tesp: Array) -> tuple[Array, Array]:
        """Flow of the blower and its slope at a pressure on the table's boundary (sample,)."""
        fan, given = self.network.fan, self.given
        flow = np.zeros_like(tesp)
        slope = np.zeros_like(tesp)
        for k, curve in enumerate(fan.curves):
            q, dq = curve.airflow_and_slope(tesp / fan.entry)
            if fan.beyond_by is not None:
                # Beyond the table only the direction is known: the further, the wider.
                end = curve.range[1]
                outside = tesp / fan.entry > end
                at_end = curve.airflow(np.float64(end))
                q = np.where(outside, at_end + (q - at_end) * given.steepness, q)
                dq = np.where(outside, dq * given.steepness, dq)
            flow = flow + given.share[:, k] * q
            slope = slope + given.share[:, k] * dq / fan.entry
        return flow * given.level, slope * given.level

    def residual(self, x: Array) -> tuple[Array, Array, Array, Array]:
        """Residuals of all equations and what the Jacobian needs.

        x : array (sample, leaf + 2), leaf flows, plenum and return pressure.
        """
        n = self.matrix.shape[1]
        n_supply = len(self.network.supply)
        leaf = x[:, :n]
        supply, back = x[:, n], x[:, n + 1]
        flow = leaf @ self.matrix.T
        drop, slope = self.drops(flow)
        at_unit = leaf[:, :n_supply].sum(axis=1)
        # The drops at the unit do not lie on any leaf's path; they enter by the blower.
        path = drop @ self.paths
        result = np.empty_like(x)
        result[:, :n_supply] = supply[:, None] - path[:, :n_supply]
        result[:, n_supply:n] = -back[:, None] - path[:, n_supply:]
        result[:, n] = leaf @ self.sign
        tesp, d_tesp = self.entry(at_unit, drop, slope, supply, back)
        q, dq = self.blower(tesp)
        result[:, n + 1] = at_unit - q
        return result, slope, d_tesp, dq

    def jacobian(self, slope: Array, d_tesp: Array, dq: Array) -> Array:
        """Slopes of all residuals by all unknowns. [sample, equation, unknown]"""
        n = self.matrix.shape[1]
        n_supply = len(self.network.supply)
        size = slope.shape[0]
        result = np.zeros((size, n + 2, n + 2))
        paths = self.paths
        both = paths.T[None, :, :] * slope[:, None, :]
        result[:, :n, :n] = -(both @ paths)
        result[:, :n_supply, n] = 1.0
        result[:, n_supply:n, n + 1] = -1.0
        result[:, n, :n] = self.sign
        result[:, n + 1, :n_supply] = (1.0 - dq * d_tesp)[:, None]
        result[:, n + 1, n] = -dq
        result[:, n + 1, n + 1] = dq
        return result

    def some(self, rows: NDArray[np.intp]) -> Equations:
        """The same equations for some of the variants."""
        given = self.given
        if len(rows) == given.scale.shape[0]:
            return self
        taken = Equations.__new__(Equations)
        taken.__dict__.update(self.__dict__)
        taken.given = Coefficients(
            **{field.name: getattr(given, field.name)[rows] for field in fields(Coefficients)}
        )
        return taken
