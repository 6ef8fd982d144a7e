"""What a calibrated system will do: as found, after changes, or in a measuring state.

A forecast takes the posterior's samples for all that stays and fresh draws of the prior for what
is new, so that its interval holds both what is not known of the house and the scatter of the work.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from inchwater.calibration import Posterior
from inchwater.calibration.expected import reading_parameters
from inchwater.calibration.priors import Prior
from inchwater.network import Network, Solution, compile_network, solve
from inchwater.network.elements import Array, Parameter
from inchwater.network.newton import looked_at
from inchwater.network.resistances import coefficients
from inchwater.quantity import Estimate
from inchwater.survey import Change, Survey, apply, standing_state, standing_trial, volts_of
from inchwater.survey.standing import settled


@dataclass(frozen=True)
class Prediction:
    """A solved system with the posterior's weights; the axis of all arrays is (sample,).

    ``draw`` is the posterior's: which draw of the laws of side effects a sample goes with.
    """

    survey: Survey
    network: Network
    solution: Solution
    weights: Array
    draw: NDArray[np.intp] | None = None

    @cached_property
    def kept(self) -> dict[Hashable, Any]:
        """What somebody worked out of it and asks for again, under a key of theirs.

        A system as found is compared with hundreds of variants.
        """
        return {}

    def estimate(self, name: str) -> Estimate:
        """Median and the range that holds 9 in 10 of a quantity.

        ``airflow``, ``delivered``, ``leak_supply``, ``leak_return``, ``tesp``, ``power``,
        ``airflow_per_ton``, ``airflow_at_table``; ``static:<place>`` as it will read,
        ``drop:<part>``, ``flow:<run>``.
        """
        samples, kind = self.samples(name)
        return Estimate.of(samples, self.weights, kind)

    def samples(self, name: str) -> tuple[Array, str]:
        """Samples of a quantity (sample,) in SI, and its kind."""
        what, _, key = name.partition(":")
        s = self.solution
        if what == "static":
            return s.output(name), "pressure"
        if what == "drop":
            return s.drop[key], "pressure"
        if what == "flow":
            return s.flow[key], "airflow"
        if what == "tesp":
            return s.tesp, "pressure"
        if what == "power":
            if s.power is None:
                raise KeyError(name)
            return s.power, "power"
        if what == "airflow_per_ton":
            return s.airflow / self.survey.unit.capacity.si, "airflow_per_capacity"
        flows = {
            "airflow": s.airflow,
            "delivered": s.delivered,
            "leak_supply": s.leak_supply,
            "leak_return": s.leak_return,
        }
        return flows[what], "airflow"

    def odds(self, holds: Array) -> float:
        """Weighted share of the samples in which something holds (sample,) bool. [-]"""
        return float(np.sum(self.weights[holds]) / np.sum(self.weights))


def predict(
    posterior: Posterior,
    changes: Sequence[Change] = (),
    condition: Mapping[str, str] | None = None,
    after: Sequence[str] | None = None,
    kept: dict[Parameter, Array] | None = None,
) -> Prediction:
    """The system after changes, in a condition; no changes is "as found".

    Parameters
    ----------
    changes : sequence of Change
        Changes that have not been made, in order.
    condition : mapping, optional
        The condition to forecast; if None that of the trial that the system stands in
        (``survey.standing_trial``), less what was done for measuring only.
    after : sequence of str, optional
        Ids of the job's own changes in force; those of that trial if None.
    kept : dict of Parameter to array, optional
        For many forecasts of one posterior: values of parameters, taken from here and added to.

    Raises
    ------
    InputError, UnknownNameError, PartError
        If a change cannot be applied to this survey.
    OutsideTableError
        If the blower would work more than 0.1 in. w.c. beyond its table.
    """
    survey, state = standing(posterior, changes, condition, after)
    network = compile_network(survey, state, posterior.includes)
    # A hole that was read has the same error in the forecast.
    read = [reading for trial in posterior.job.trials for reading in trial.in_force]
    prior = Prior.of((*network.parameters, *reading_parameters(read, network)))
    values = prior.drawn(posterior.latent, {} if kept is None else kept)
    solution = solve(network, values, posterior.size)
    solution.refuse_outside(posterior.weights)
    return Prediction(survey, network, solution, posterior.weights, posterior.draw)


def standing(
    posterior: Posterior,
    changes: Sequence[Change] = (),
    condition: Mapping[str, str] | None = None,
    after: Sequence[str] | None = None,
) -> tuple[Survey, dict[str, str]]:
    """The survey with changes in force, and the condition that holds then."""
    job = posterior.job
    stands = standing_trial(job)
    if after is None:
        after = stands.after if stands is not None else ()
    survey = job.survey_after(tuple(after))
    # What was done for measuring only can never be a baseline.
    state = standing_state(job) if condition is None else dict(condition)
    volts = None if stands is None else volts_of(job, stands)
    if volts is not None:
        # The supply's voltage is the house's, whatever the condition.
        state.setdefault("volts", f"{volts:g}")
    for change in changes:
        survey = apply(survey, change)
        state = settled(state, change)
    return survey, state


def ideal(posterior: Posterior, keys: Sequence[str], changes: Sequence[Change] = ()) -> Prediction:
    """The system as it would be with some parts as they should be.

    A part that somebody described stands at its clean handbook resistance, flex pulled tight; one
    that nobody described at what published guidance allows it at the design airflow.  A part that
    is already better than that stays as it is.

    Parameters
    ----------
    keys : sequence of str
        Keys of edges: ``run:r1``, ``filter:f1``, ``return:g1:duct``, ``supply``.
    """
    survey, state = standing(posterior, changes)
    network = compile_network(survey, state, posterior.includes)
    prior = Prior.of(network.parameters)
    values = prior.values(posterior.latents(prior))
    given = coefficients(network, values, posterior.size)
    handbook = coefficients(_tight(network), {}, posterior.size)
    solution = solve(network, values, posterior.size, given=given)
    flow = np.full((posterior.size, len(network.edges)), network.design_flow)
    flow = flow * (solution.edge_flow / np.maximum(solution.airflow, 1e-9)[:, None])
    now = looked_at(network, given, flow, solution.found.ends).drop
    best = looked_at(_tight(network), handbook, flow, solution.found.ends).drop
    scale = given.scale.copy()
    for i, edge in enumerate(network.edges):
        if edge.key in keys:
            wanted = np.full(posterior.size, edge.guidance) if edge.guidance else best[:, i]
            if edge.guidance and edge.key.startswith("filter:"):
                wanted = np.minimum(best[:, i], edge.guidance)
            # Where a tee gains more than its leg loses, or air comes back, nothing is to mend.
            loses = (now[:, i] > wanted) & (wanted > 0.0)
            scale[loses, i] = wanted[loses] / now[loses, i]
    solution = solve(network, values, posterior.size, given=given._replace(scale=scale))
    return Prediction(survey, network, solution, posterior.weights, posterior.draw)


def without(posterior: Posterior, side: str, changes: Sequence[Change] = ()) -> Prediction:
    """The system with all resistance of one side's ducts gone: what no change there can beat.

    Parameters
    ----------
    side : {"return", "supply"}
        Which side; filters at the unit go with the return, a cased coil stays.
    """
    survey, state = standing(posterior, changes)
    network = compile_network(survey, state, posterior.includes)
    prior = Prior.of(network.parameters)
    values = prior.values(posterior.latents(prior))
    given = coefficients(network, values, posterior.size)
    scale = given.scale.copy()
    for i, edge in enumerate(network.edges):
        # A leak does not belong to what resists; without pressure behind it, it stops by itself.
        leak = any(leaf.kind == "leak" and i in leaf.path for leaf in network.leaves)
        duct = edge.side == side and i not in network.coil and not leak
        if duct or (side == "return" and i in network.unit_filter):
            scale[:, i] = 1e-4
    solution = solve(network, values, posterior.size, given=given._replace(scale=scale))
    return Prediction(survey, network, solution, posterior.weights, posterior.draw)


def _tight(network: Network) -> Network:
    """The network with every flex duct pulled to its length."""
    edges = tuple(
        replace(
            edge,
            friction=tuple(replace(f, typical_compression=0.03) for f in edge.friction),
        )
        for edge in network.edges
    )
    return replace(network, edges=edges)
