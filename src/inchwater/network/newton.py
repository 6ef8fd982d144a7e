"""Solving a network: Newton on the leaves' flows with signed losses, thousands of variants at once.

Unknowns of one variant are the flows of all leaves and the total pressures at the two ends of the
duct system: the supply plenum and the return side.  Equations: along each leaf's path the drops
add up to the plenum's pressure, as much air returns as is supplied, and the blower moves what its
table says at the pressure it works against.  A variant is accepted on its residuals, never on the
size of a step; if one does not come to rest, the error names the part and no numbers are left.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inchwater.network.elements import Array, Local, Network, Power, Values, product
from inchwater.network.rest import MASS_TOLERANCE, PATH_TOLERANCE, refuse
from inchwater.parts import ducts, flex
from inchwater.parts.laws import PowerLaw

MAX_ROUNDS = 60
# Below this share of the design flow a signed power law is replaced by its chord, so that Newton
# always has a slope to stand on; the drop there is below a millionth of the fan's pressure.
_CHORD = 1e-4


@dataclass(frozen=True, slots=True)
class Coefficients:
    """The resistances of all edges in all variants.

    friction : array (sample, piece), factor on each friction piece's drop [-]
    quadratic : array (sample, edge), drop per flow squared [Pa s2/m6]
    power : array (sample, law), coefficient of each power law [Pa / (m3/s)^n]
    scale : array (sample, edge), factor on the whole edge [-]
    level : array (sample,), factor on the blower's flow [-]
    share : array (sample, tap), weights of the taps [-]
    references : array (sample, law), drops that the table's zero holds [Pa / (m3/s)^n]
    steepness : array (sample,), factor on the blower's slope beyond its table [-]
    """

    friction: Array
    quadratic: Array
    power: Array
    scale: Array
    level: Array
    share: Array
    references: Array
    steepness: Array


@dataclass(frozen=True, slots=True)
class State:
    """A solved set of variants: leaf flows [m3/s], plenum and return total pressure [Pa]."""

    flow: Array
    supply: Array
    back: Array
    rounds: int


def _law(law: Power, network: Network) -> float:
    return float(PowerLaw(law.coefficient, law.exponent).in_air(network.air).coefficient)


def _quadratic(local: Local, network: Network) -> float:
    return 0.5 * network.air.density * local.coefficient / local.area**2


def coefficients(network: Network, values: Values, size: int) -> Coefficients:
    """Resistances of a network for given parameter values.

    Parameters
    ----------
    values : mapping of arrays (sample,)
        Values of the parameters by name; a missing one is taken at its handbook value.
    size : int
        Number of variants.
    """
    friction, power = [], []
    quadratic = np.zeros((size, len(network.edges)))
    for i, edge in enumerate(network.edges):
        for piece in edge.friction:
            factor = product(piece.by, values, size)
            if piece.compression is not None:
                compression = values.get(
                    piece.compression, np.full(size, piece.typical_compression)
                )
                factor = factor * flex.compression_factor(compression, piece.diameter)
            friction.append(factor)
        for local in edge.local:
            quadratic[:, i] += _quadratic(local, network) * product(local.by, values, size)
        for law in edge.power:
            power.append(_law(law, network) * product(law.by, values, size))
    fan = network.fan
    share = np.ones((size, 1))
    if fan.tap_by is not None and len(fan.curves) > 1:
        share = _tap_shares(values.get(fan.tap_by, np.full(size, 0.5)), len(fan.curves))
    references = [_law(ref, network) * product(ref.by, values, size) for ref in fan.references]
    return Coefficients(
        friction=np.stack(friction, axis=1) if friction else np.zeros((size, 0)),
        quadratic=quadratic,
        power=np.stack(power, axis=1) if power else np.zeros((size, 0)),
        scale=np.ones((size, len(network.edges))),
        level=product(fan.level, values, size),
        share=share,
        references=np.stack(references, axis=1) if references else np.zeros((size, 0)),
        steepness=product(((fan.beyond_by, 1.0),) if fan.beyond_by else (), values, size),
    )


def _tap_shares(place: Array, count: int) -> Array:
    """Weights of the taps for a place between the first (0) and the last (1).  [sample, tap]"""
    along = np.clip(place, 0.0, 1.0) * (count - 1)
    return np.maximum(0.0, 1.0 - np.abs(along[:, None] - np.arange(count)[None, :]))


class Equations:
    """The residuals of a network and their slopes, prepared once for one set of coefficients."""

    def __init__(self, network: Network, given: Coefficients) -> None:
        self.network = network
        self.given = given
        self.matrix = network.incidence()
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
        path = drop @ self._paths
        result = np.empty_like(x)
        result[:, :n_supply] = supply[:, None] - path[:, :n_supply]
        result[:, n_supply:n] = -back[:, None] - path[:, n_supply:]
        result[:, n] = leaf @ self.sign
        tesp, d_tesp = self.entry(at_unit, drop, slope, supply, back)
        q, dq = self.blower(tesp)
        result[:, n + 1] = at_unit - q
        return result, slope, d_tesp, dq

    @property
    def _paths(self) -> Array:
        """Which edge lies on which leaf's path to its end of the duct system. [edge, leaf]"""
        matrix = self.matrix.copy()
        for row in (*self.network.unit_filter, *self.network.coil):
            matrix[row, :] = 0.0
        return matrix

    def jacobian(self, slope: Array, d_tesp: Array, dq: Array) -> Array:
        """Slopes of all residuals by all unknowns. [sample, equation, unknown]"""
        n = self.matrix.shape[1]
        n_supply = len(self.network.supply)
        size = slope.shape[0]
        result = np.zeros((size, n + 2, n + 2))
        paths = self._paths
        both = paths.T[None, :, :] * slope[:, None, :]
        result[:, :n, :n] = -(both @ paths)
        result[:, :n_supply, n] = 1.0
        result[:, n_supply:n, n + 1] = -1.0
        result[:, n, :n] = self.sign
        result[:, n + 1, :n_supply] = (1.0 - dq * d_tesp)[:, None]
        result[:, n + 1, n] = -dq
        result[:, n + 1, n + 1] = dq
        return result


def start(equations: Equations, size: int) -> Array:
    """A first guess: every path a square law, the unit's flow by bisection on the blower."""
    network = equations.network
    n, n_supply = equations.matrix.shape[1], len(network.supply)
    design = network.design_flow
    guess = np.zeros((size, n))
    guess[:, :n_supply] = design / max(n_supply, 1)
    guess[:, n_supply:] = design / max(len(network.returns), 1)
    drop, _ = equations.drops(guess @ equations.matrix.T)
    path = np.maximum(drop @ equations._paths, 1e-9)
    conductance = guess / np.sqrt(path)
    k_supply = conductance[:, :n_supply].sum(axis=1) ** -2
    k_return = conductance[:, n_supply:].sum(axis=1) ** -2
    unit_drop, _ = equations.drops(np.full((size, len(network.edges)), design))
    inside, _ = equations.entry(
        np.full(size, design), unit_drop, np.zeros_like(unit_drop), np.zeros(size), np.zeros(size)
    )
    k_total = k_supply + k_return + inside / design**2
    low, high = np.full(size, 0.02 * design), np.full(size, 4.0 * design)
    for _ in range(20):
        middle = 0.5 * (low + high)
        too_low = equations.blower(k_total * middle**2)[0] > middle
        low = np.where(too_low, middle, low)
        high = np.where(too_low, high, middle)
    unit = 0.5 * (low + high)
    x = np.empty((size, n + 2))
    x[:, :n_supply] = (
        conductance[:, :n_supply] / conductance[:, :n_supply].sum(axis=1)[:, None] * unit[:, None]
    )
    x[:, n_supply:n] = (
        conductance[:, n_supply:] / conductance[:, n_supply:].sum(axis=1)[:, None] * unit[:, None]
    )
    x[:, n] = k_supply * unit**2
    x[:, n + 1] = -k_return * unit**2
    return x


def newton(network: Network, given: Coefficients, guess: Array | None = None) -> State:
    """All variants of a network at rest.

    Raises
    ------
    ConvergenceError
        If a variant's residuals stay above the accepted ones; names the part on the worst path.
    """
    size = given.scale.shape[0]
    equations = Equations(network, given)
    x = start(equations, size) if guess is None else guess.copy()
    n = equations.matrix.shape[1]
    scale = np.ones(n + 2)
    scale[:n] = 100.0
    scale[n:] = network.design_flow

    def measure(residual: Array, at: Array) -> tuple[Array, Array]:
        head = np.maximum(at[:, n] - at[:, n + 1], 1.0)
        worst = np.abs(residual[:, :n]).max(axis=1) / head
        mass = np.abs(residual[:, n:]).max(axis=1) / network.design_flow
        return worst, mass

    residual, slope, d_tesp, dq = equations.residual(x)
    active = np.arange(size)
    rounds = 0
    while rounds < MAX_ROUNDS:
        rounds += 1
        path, mass = measure(residual, x)
        active = np.flatnonzero((path > PATH_TOLERANCE) | (mass > MASS_TOLERANCE))
        if not len(active):
            break
        part = _take(equations, active)
        jacobian = part.jacobian(slope[active], d_tesp[active], dq[active])
        try:
            step = np.linalg.solve(jacobian, -residual[active][:, :, None])[:, :, 0]
        except np.linalg.LinAlgError:
            # A part that resists without end leaves its own flow undecided.
            break
        before = np.square(residual[active] / scale).sum(axis=1)
        length = np.ones(len(active))
        pending = np.arange(len(active))
        for _ in range(12):
            trial = x[active[pending]] + length[pending, None] * step[pending]
            tried = _take(equations, active[pending]).residual(trial)
            merit = np.square(tried[0] / scale).sum(axis=1)
            good = merit < before[pending] * (1.0 - 1e-4 * length[pending])
            done = active[pending[good]]
            x[done] = trial[good]
            residual[done], slope[done] = tried[0][good], tried[1][good]
            d_tesp[done], dq[done] = tried[2][good], tried[3][good]
            pending = pending[~good]
            if not len(pending):
                break
            length[pending] *= 0.5
        if len(pending):
            stuck = active[pending]
            path_stuck, mass_stuck = measure(residual[stuck], x[stuck])
            # Rounding holds a variant at rest just above the line; a true stall is refused below.
            if np.all((path_stuck < 1e-9) & (mass_stuck < 1e-8)) or len(pending) == len(active):
                break
    path, mass = measure(residual, x)
    bad = (path > PATH_TOLERANCE) | (mass > MASS_TOLERANCE)
    if np.any(bad) or not np.all(np.isfinite(x)):
        refuse(equations, residual, x, bad)
    return State(flow=x[:, :n], supply=x[:, n], back=x[:, n + 1], rounds=rounds)


def _take(equations: Equations, rows: NDArray[np.intp]) -> Equations:
    """The same equations for some of the variants."""
    given = equations.given
    if len(rows) == given.scale.shape[0]:
        return equations
    taken = Equations.__new__(Equations)
    taken.__dict__.update(equations.__dict__)
    taken.given = Coefficients(
        **{name: getattr(given, name)[rows] for name in Coefficients.__dataclass_fields__}
    )
    return taken
