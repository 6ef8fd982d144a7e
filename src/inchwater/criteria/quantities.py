"""The quantities that criteria compare, one array of samples each, from a prediction."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from inchwater.criteria.presets import Goal, plate
from inchwater.parts.filters import face_velocity
from inchwater.survey.job import Survey
from inchwater.survey.unit import Filter

if TYPE_CHECKING:
    from inchwater.forecast import Prediction

Samples = NDArray[np.float64]

# The kind of quantity, for units and display, of everything in the answer of `quantities`.
KINDS = {
    "airflow": "airflow",
    "delivered": "airflow",
    "tesp": "pressure",
    "return_static": "pressure",
    "supply_static": "pressure",
    "airflow_per_capacity": "airflow_per_capacity",
    "share_of_design": "ratio",
    "delivered_share_of_design": "ratio",
    "supply_duct": "pressure",
    "return_duct": "pressure",
    "filter_drop": "pressure",
    "filter_face_velocity": "velocity",
    "coil_share": "ratio",
    "power_per_airflow": "power_per_airflow",
}


def quantities(prediction: Prediction, survey: Survey, goal: Goal) -> dict[str, Samples]:
    """Samples (sample,) of every quantity that this system has, in SI; what it lacks is left out.

    Parameters
    ----------
    prediction : Prediction
        The solved system with its weights.
    survey : Survey
        The survey that the prediction is of: its capacity, filters, coils and plate.
    goal : Goal
        Its middle is the design airflow. [m3/s]

    Returns
    -------
    dict of str to array (sample,)
        Keys of :data:`KINDS`; statics are magnitudes, so that both sides read as on a gauge. [SI]
    """
    solution = prediction.solution
    airflow = np.asarray(solution.airflow, dtype=float)
    delivered = np.asarray(solution.delivered, dtype=float)
    found: dict[str, Samples] = {
        "airflow": airflow,
        "delivered": delivered,
        "tesp": np.asarray(solution.tesp, dtype=float),
        "airflow_per_capacity": airflow / survey.unit.capacity.si,
        "share_of_design": airflow / goal.middle,
        "delivered_share_of_design": delivered / goal.middle,
    }
    if "return" in solution.static:
        found["return_static"] = -np.asarray(solution.static["return"], dtype=float)
    if "supply" in solution.static:
        found["supply_static"] = np.asarray(solution.static["supply"], dtype=float)
        found["supply_duct"] = found["supply_static"]

    filters = filter_drops(prediction, survey)
    if filters:
        found["filter_drop"] = np.max(np.stack(list(filters.values())), axis=0)
        speeds = face_velocities(prediction, survey)
        if speeds:
            found["filter_face_velocity"] = np.max(np.stack(list(speeds.values())), axis=0)
    if "return_static" in found and (filters or survey.filters == ()):
        # What the return side takes beside its filters; without a filter known, nobody can say.
        found["return_duct"] = found["return_static"] - _in_series(filters, survey, airflow)

    outside = [coil.id for coil in survey.coils or () if not coil.inside_unit]
    drops = [
        np.asarray(solution.drop[f"coil:{id_}"], dtype=float)
        for id_ in outside
        if f"coil:{id_}" in solution.drop
    ]
    if drops:
        found["coil_share"] = np.sum(np.stack(drops), axis=0) / plate(survey)[0]
    if solution.power is not None:
        found["power_per_airflow"] = np.asarray(solution.power, dtype=float) / airflow
    return found


def filter_drops(prediction: Prediction, survey: Survey) -> dict[str, Samples]:
    """Drop of each filter that the prediction has, by its id (sample,). [Pa]"""
    drop = prediction.solution.drop
    return {
        filter_.id: np.asarray(drop[f"filter:{filter_.id}"], dtype=float)
        for filter_ in survey.filters or ()
        if f"filter:{filter_.id}" in drop
    }


def face_velocities(prediction: Prediction, survey: Survey) -> dict[str, Samples]:
    """Air speed at the nominal face of each filter of known size, by its id (sample,). [m/s]"""
    flow = prediction.solution.part_flow
    return {
        one.id: np.asarray(
            face_velocity(flow[f"filter:{one.id}"], one.width.si, one.height.si, one.count)
        )
        for one in survey.filters or ()
        if one.width is not None and one.height is not None and f"filter:{one.id}" in flow
    }


def _in_series(drops: dict[str, Samples], survey: Survey, like: Samples) -> Samples:
    """What the filters take of the return static: those in grilles stand side by side."""
    places: dict[str, Filter] = {f.id: f for f in survey.filters or ()}
    total = np.zeros_like(like)
    side_by_side = [d for id_, d in drops.items() if places[id_].at == "grille"]
    if side_by_side:
        total = total + np.mean(np.stack(side_by_side), axis=0)
    for id_, drop in drops.items():
        if places[id_].at != "grille":
            total = total + drop
    return total
