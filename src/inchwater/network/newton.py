"""Solving a network: Newton on the leaves' flows with signed losses, thousands of variants at once.

A start from square laws and a bisection on the blower, then Newton with a halved step where a full
one does not help.  A variant is accepted on its residuals, never on the size of a step; if one does
not come to rest, the error names the part and no numbers are left.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inchwater.network.elements import Array, Network
from inchwater.network.equations import Equations
from inchwater.network.resistances import Coefficients
from inchwater.network.rest import MASS_TOLERANCE, PATH_TOLERANCE, refuse

MAX_ROUNDS = 60


@dataclass(frozen=True, slots=True)
class State:
    """A solved set of variants: leaf flows [m3/s], plenum and return total pressure [Pa]."""

    flow: Array
    supply: Array
    back: Array
    rounds: int


def start(equations: Equations, size: int) -> Array:
    """A first guess: every path a square law, the unit's flow by bisection on the blower."""
    network = equations.network
    n, n_supply = equations.matrix.shape[1], len(network.supply)
    design = network.design_flow
    guess = np.zeros((size, n))
    guess[:, :n_supply] = design / max(n_supply, 1)
    guess[:, n_supply:] = design / max(len(network.returns), 1)
    drop, _ = equations.drops(guess @ equations.matrix.T)
    path = np.maximum(drop @ equations.paths, 1e-9)
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
        part = equations.some(active)
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
            tried = equations.some(active[pending]).residual(trial)
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
