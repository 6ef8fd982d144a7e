"""``measured(targets, prediction)``: how far each target is missed, in every posterior sample."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from inchwater.criteria.quantities import filter_drops
from inchwater.criteria.standing import Standing
from inchwater.criteria.target import Target
from inchwater.criteria.targets_rooms import load_shares
from inchwater.effects import EffectArrays
from inchwater.network.pieces import sized
from inchwater.parts.filters import face_velocity
from inchwater.quantity import Said, said
from inchwater.survey.ducts import Duct, Grille, Return
from inchwater.survey.job import Survey

if TYPE_CHECKING:
    from inchwater.forecast import Prediction

Array = NDArray[np.float64]
_USUAL = "cooling"
# How much softer an opening becomes, by the quantity of its noise.
_LOUDER = {"noise_supply": "quieter_supply", "noise_return": "quieter_return"}


def measured(
    targets: Sequence[Target],
    prediction: Prediction,
    effects: EffectArrays | None = None,
    *,
    doors: Prediction | None = None,
) -> Standing:
    """How a forecast stands against targets, sample by sample.

    Parameters
    ----------
    targets : sequence of Target
        Of ``criteria.targets``, for the survey and call of the prediction.
    prediction : Prediction
        What is forecast.
    effects : EffectArrays, optional
        Of the forecast as found and this one; without it nothing can be told of louder or softer
        than now, and noise has to be within its guidance.
    doors : Prediction, optional
        The same with the doors of the rooms shut, for the pressures behind them.

    Returns
    -------
    Standing
        A target that cannot be told has NaN in its column and a reason in ``unknown``.
    """
    at = _At(prediction, effects or EffectArrays.alone(prediction), doors)
    weights = np.asarray(prediction.weights, dtype=float)
    values = np.full((weights.size, len(targets)), np.nan)
    allowed = np.zeros_like(values)
    why: list[Said | None] = []
    for column, target in enumerate(targets):
        found = at.value(target)
        why.append(found if isinstance(found, Said) else None)
        if not isinstance(found, Said):
            values[:, column] = found
            allowed[:, column] = at.allowed(target, found)
    return Standing(tuple(targets), values, weights, tuple(why), allowed)


@dataclass(frozen=True)
class _At:
    """The quantities of one forecast."""

    prediction: Prediction
    effects: EffectArrays
    doors: Prediction | None

    @property
    def survey(self) -> Survey:
        return self.prediction.survey

    @property
    def call(self) -> str:
        """The call that the forecast is for."""
        return str(self.prediction.network.state.get("call", _USUAL))

    def value(self, target: Target) -> Array | Said:
        """Samples (sample,) of what a target is about [SI], or why nobody knows."""
        if target.call and target.call != self.call:
            return said(f"There is no forecast of the {target.call} call.")
        return QUANTITIES[target.quantity](self, target.subject)

    def allowed(self, target: Target, found: Array) -> Array | float:
        """By how much its upper bound may be passed (sample,): hardly louder than now. [SI]"""
        if target.high is None:
            return 0.0
        if target.faster is not None:
            now = self._before(target)
            if now is None or isinstance(now, Said):
                return 0.0
            return np.maximum(target.faster * now - target.high, 0.0)
        if target.louder is None:
            return 0.0
        louder = QUANTITIES[_LOUDER[target.quantity]](self, target.subject)
        if isinstance(louder, Said):
            return 0.0
        return np.maximum((found - target.high) - (-louder - target.louder), 0.0)

    # --- the unit

    def airflow(self, _: str) -> Array | Said:
        return np.asarray(self.prediction.solution.airflow)

    def delivered(self, _: str) -> Array | Said:
        return np.asarray(self.prediction.solution.delivered)

    def delivered_share(self, _: str) -> Array | Said:
        solution = self.prediction.solution
        return np.asarray(solution.delivered / solution.airflow)

    def tesp(self, _: str) -> Array | Said:
        return np.asarray(self.prediction.solution.tesp)

    def power(self, _: str) -> Array | Said:
        solution = self.prediction.solution
        if solution.power is None:
            return said("The blower table has no watts.")
        return np.asarray(solution.power / solution.airflow)

    def rise(self, _: str) -> Array | Said:
        if self.survey.unit.heat == "heat-pump":
            return said("What a heat pump gives goes with the weather: its rise is not forecast.")
        return self.effects.rise(self.call)

    # --- parts

    def filter_drop(self, id_: str) -> Array | Said:
        found = filter_drops(self.prediction, self.survey).get(id_)
        return said("It is not in this forecast.") if found is None else found

    def filter_face(self, id_: str) -> Array | Said:
        one = next((f for f in self.survey.filters or () if f.id == id_), None)
        flow = self.prediction.solution.part_flow.get(f"filter:{id_}")
        if one is None or flow is None:
            return said("It is not in this forecast.")
        if one.width is None or one.height is None:
            return said("The size of the filter is not in the survey.")
        return np.asarray(face_velocity(flow, one.width.si, one.height.si, one.count))

    def run_velocity(self, id_: str) -> Array | Said:
        return self._there(self._duct(self._branches.get(id_), "run", f"run:{id_}"))

    def trunk_velocity(self, id_: str) -> Array | Said:
        return self._there(self._duct(self._branches.get(id_), "trunk", f"trunk:{id_}"))

    def return_velocity(self, id_: str) -> Array | Said:
        one = self._returns.get(id_)
        duct = None if one is None else one.duct
        return self._duct(duct, "return", f"return:{id_}:duct")

    def register_velocity(self, id_: str) -> Array | Said:
        duct = self._branches.get(id_)
        flow = self.prediction.solution.flow.get(id_)
        return self._there(_at_face(None if duct is None else duct.register, flow, "register"))

    def grille_velocity(self, id_: str) -> Array | Said:
        one = self._returns.get(id_)
        flow = self.prediction.solution.drawn.get(id_)
        return _at_face(None if one is None else one.grille, flow, "grille")

    def noise_supply(self, id_: str) -> Array | Said:
        return self.effects.level("supply", id_)

    def noise_return(self, id_: str) -> Array | Said:
        return self.effects.level("return", id_)

    def quieter_supply(self, id_: str) -> Array | Said:
        return _negative(self.effects.louder("supply", id_))

    def quieter_return(self, id_: str) -> Array | Said:
        return _negative(self.effects.louder("return", id_))

    # --- rooms

    def room_airflow(self, id_: str) -> Array | Said:
        found = self._to_rooms.get(id_)
        return said("No run is known to end in this room.") if found is None else found

    def room_share(self, id_: str) -> Array | Said:
        loads = load_shares(self.survey, self.call)
        served = {room: self._to_rooms[room] for room in loads if room in self._to_rooms}
        if id_ not in served:
            return said("No run is known to end in this room.")
        if len(served) < 2:
            return said("A share takes the loads of at least two rooms.")
        total = np.sum(np.stack(list(served.values())), axis=0)
        load = loads[id_] / sum(loads[room] for room in served)
        return np.asarray(served[id_] / total / load)

    def door_pressure(self, id_: str) -> Array | Said:
        for one in (self.doors, self.prediction):
            if one is not None and id_ in one.solution.room:
                return np.asarray(np.abs(one.solution.room[id_]))
        return said("There is no forecast with its door shut.")

    # --- what several of them need

    def _before(self, target: Target) -> Array | Said | None:
        """An air speed before any change; None where there is nothing to compare with. [m/s]"""
        if not self.effects.compared:
            return None
        before = self.effects.pair.before
        key = "measured", target.quantity, target.subject, target.call
        if key not in before.kept:
            before.kept[key] = _At(before, self.effects, None).value(target)
        found: Array | Said = before.kept[key]
        return found

    @cached_property
    def _branches(self) -> Mapping[str, Duct]:
        supply = self.survey.supply
        if supply is None:
            return {}
        trunks = {b.id: b.duct for b, _ in supply.walk() if b.is_trunk}
        return trunks | {run.id: run.duct for run in supply.runs}

    @cached_property
    def _returns(self) -> Mapping[str, Return]:
        return {one.id: one for one in self.survey.returns or ()}

    @cached_property
    def _to_rooms(self) -> Mapping[str, Array]:
        """Air that registers bring into each described room (sample,). [m3/s]"""
        found: dict[str, Array] = {}
        flows = self.prediction.solution.flow
        supply = self.survey.supply
        for run in () if supply is None else supply.runs:
            room = self.survey.room_called(run.room)
            if room is not None and run.id in flows:
                flow = np.asarray(flows[run.id])
                found[room.id] = found[room.id] + flow if room.id in found else flow
        return found

    def _there(self, found: Array | Said) -> Array | Said:
        """A speed of supply air as it is there: flows count as air at the unit's inlet. [m/s]"""
        if isinstance(found, Said):
            return found
        return np.asarray(found * self.prediction.network.thinner_on("supply"))

    def _duct(self, duct: Duct | None, kind: str, part: str) -> Array | Said:
        flow = self.prediction.solution.part_flow.get(part)
        if duct is None or flow is None:
            return said("No size of it is in the survey.")
        size = sized(duct, kind)
        if size.typical:
            return said("No size of it is in the survey.")
        return np.asarray(flow / size.section.area)


def _at_face(grille: Grille | None, flow: Array | None, word: str) -> Array | Said:
    if flow is None:
        return said("No air comes through it.")
    if grille is None or grille.width is None or grille.height is None:
        return said(f"The face of the {word} is not in the survey.")
    return np.asarray(flow / (grille.width.si * grille.height.si))


def _negative(found: Array | Said) -> Array | Said:
    return found if isinstance(found, Said) else -found


QUANTITIES: Mapping[str, Callable[[_At, str], Array | Said]] = {
    name: getattr(_At, name)
    for name in (
        "airflow",
        "delivered",
        "delivered_share",
        "tesp",
        "power",
        "rise",
        "filter_drop",
        "filter_face",
        "run_velocity",
        "trunk_velocity",
        "return_velocity",
        "register_velocity",
        "grille_velocity",
        "noise_supply",
        "noise_return",
        "quieter_supply",
        "quieter_return",
        "room_airflow",
        "room_share",
        "door_pressure",
    )
}
