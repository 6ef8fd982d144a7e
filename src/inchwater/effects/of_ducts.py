"""What a forecast does to the air on its way: warmed by an attic, and jackets that sweat.

Sizes are in the survey; insulation, and the air around the ducts, somebody has to say.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inchwater.effects import duct_gain
from inchwater.effects.circuit import Both
from inchwater.effects.conditions import Surroundings
from inchwater.effects.data_rows import value
from inchwater.effects.of_cooling import Cooling
from inchwater.effects.pair import Array, Pair, no_forecast, unknown
from inchwater.effects.types import Bounds, Effect, Odds
from inchwater.forecast import Prediction
from inchwater.network.pieces import sized
from inchwater.parts.sections import Section
from inchwater.quantity import Said, said
from inchwater.survey import Branch, Duct, Survey

_GAIN = "Warming of the air from the unit to the end of"
_SWEAT = "Jacket at the cold end of"
_SERIES = "resistances in series; films of CIBSE Guide C, table 3.25 (read as coded)"


@dataclass(frozen=True, slots=True)
class _Piece:
    """One duct in the air's way: part, section, length [m], insulation [m2 K/W]."""

    part: str
    section: Section
    length: float
    insulation: float

    @property
    def area(self) -> float:
        """Of its wall. [m2]"""
        return self.section.perimeter * self.length


@dataclass(frozen=True, slots=True)
class _Arrived:
    """Air at the end of a run, and its jacket at the cold end (sample,). [K]"""

    end: Array
    jacket: Array


def duct_effects(pair: Pair | None, cooled: Cooling, around: Surroundings) -> tuple[Effect, ...]:
    """Warming and sweating of every run in the cooling call.

    Parameters
    ----------
    pair : Pair or None
        Before and after, in the cooling call.
    cooled : Cooling
        What leaves the unit.
    around : Surroundings
        Air around the ducts, insulation, jacket.
    """
    if pair is None:
        return _none(no_forecast("cooling"))
    survey = pair.after.survey
    if survey.supply is None or not survey.supply.branches:
        return _none(said("The runs are not in the survey."))
    if cooled.leaving is None or cooled.circuit is None:
        return _none(said("What leaves the unit is not known."))
    if around.temperature is None:
        return _none(said("The temperature around the ducts is not known."))
    if around.insulation is None:
        return _none(said("The insulation of the ducts is not known: read its R-value."))
    kept = cooled.circuit.pair
    found: list[Effect] = []
    for run in survey.supply.runs:
        found += _run(kept, run, cooled.leaving, around, around.temperature)
    return tuple(found)


def _none(why: Said) -> tuple[Effect, ...]:
    return (
        unknown("duct-gain", "ducts", f"{_GAIN} the runs", why, "supply"),
        unknown("sweating", "ducts", f"{_SWEAT} the runs", why, "supply"),
    )


def _run(pair: Pair, run: Branch, leaving: Both, around: Surroundings, hot: float) -> list[Effect]:
    at = f"run:{run.id}"
    name = f"run {run.id}, {run.room}" if run.room else f"run {run.id}"
    keys = f"duct-gain:{run.id}", f"sweating:{run.id}"
    labels = f"{_GAIN} {name}", f"{_SWEAT} {name}"
    now, then = (
        _arrives(pair, state, run.id, start, around, hot)
        for state, start in zip(pair.both, leaving, strict=True)
    )
    if isinstance(then, Said):
        why = then
        return [unknown(k, "ducts", label, why, at) for k, label in zip(keys, labels, strict=True)]
    # A run that is new, or of which the size was not known, has no number for now.
    before = None if isinstance(now, Said) else now
    notes = [said("In air of {hot} around it.", hot=(hot, "temperature"))]
    if isinstance(now, Said):
        notes.append(said("Now: {why}", why=now.text()))
    gain = _told(
        pair,
        keys[0],
        labels[0],
        at,
        None if before is None else before.end - leaving[0],
        then.end - leaving[1],
        "temperature_rise",
        notes=tuple(notes),
    )
    if around.dew_point is None:
        why = said("The dew point of the air around the ducts is not known.")
        return [gain, unknown(keys[1], "ducts", labels[1], why, at)]
    odds = Odds(
        said("it sweats: jacket below {dew}", dew=(around.dew_point, "temperature")),
        None if before is None else pair.odds(duct_gain.sweats(before.jacket, around.dew_point)),
        pair.odds(duct_gain.sweats(then.jacket, around.dew_point)),
    )
    sweating = _told(
        pair,
        keys[1],
        labels[1],
        at,
        None if before is None else before.jacket,
        then.jacket,
        "temperature",
        odds=odds,
        bounds=Bounds(around.dew_point, None, "temperature", "dew point around it", "read"),
    )
    return [gain, sweating]


def _told(
    pair: Pair,
    key: str,
    label: str,
    at: str,
    now: Array | None,
    then: Array,
    kind: str,
    odds: Odds | None = None,
    bounds: Bounds | None = None,
    notes: tuple[Said, ...] = (),
) -> Effect:
    """The effect of a run that may not be there yet."""
    return Effect(
        key=key,
        group="ducts",
        label=label,
        at=at,
        now=None if now is None else pair.estimate(now, kind),
        then=pair.estimate(then, kind),
        change=None if now is None else pair.estimate(then - now, "temperature_rise"),
        odds=odds,
        bounds=bounds,
        notes=notes,
        source=_SERIES,
    )


def _arrives(
    pair: Pair, state: Prediction, id_: str, start: Array, around: Surroundings, hot: float
) -> _Arrived | Said:
    """The air at the end of a run's way, or why nobody knows."""
    pieces = _way(state.survey, id_, around)
    if isinstance(pieces, Said):
        return pieces
    here, jacket = start, start
    for piece in pieces:
        flow = state.solution.part_flow.get(piece.part)
        if flow is None or np.min(flow) <= 0.0:
            return said("No air comes through it.")
        here, jacket = _through(pair, piece, flow, here, hot, around)
    return _Arrived(np.asarray(here), np.asarray(jacket))


def _through(
    pair: Pair, piece: _Piece, flow: Array, entering: Array, hot: float, around: Surroundings
) -> tuple[Array, Array]:
    """Air at the end of a piece, and the jacket at its cold end (sample,). [K]"""
    outside = np.asarray(duct_gain.film_outside(around.reflective, pair.scatter("ducts:film")))
    as_hung = np.exp(
        value("duct_gain", "insulation sigma_ln") * pair.scatter(f"ducts:{piece.part}")
    )
    inside = duct_gain.film_inside(flow / piece.section.area)
    wall = duct_gain.conductance(piece.insulation * as_hung, inside, outside)
    end = duct_gain.leaving_temperature(entering, hot, wall, piece.area, flow, pair.air.density)
    face = duct_gain.jacket_temperature(entering, hot, wall, outside)
    return np.asarray(end), np.asarray(face)


def _way(survey: Survey, id_: str, around: Surroundings) -> list[_Piece] | Said:
    """The trunks and the run from the plenum to a register, or what of them is not known."""
    if survey.supply is None:
        return said("it is new.")
    runs = survey.runs_by_id
    branches = {branch.id: branch for branch, _ in survey.supply.walk()}
    paths = {branch.id: path for branch, path in survey.supply.walk()}
    if id_ not in runs:
        return said("it is new.")
    pieces = []
    for one in (*paths[id_], id_):
        kind = branches[one].kind
        duct: Duct = branches[one].duct if kind == "trunk" else runs[one].duct
        size = sized(duct, kind)
        insulation = around.insulation_of(one)
        if size.typical or duct.length is None:
            return said("Size or length of {kind} {id} is not in the survey.", kind=kind, id=one)
        if insulation is None:
            return said(
                "The insulation of {kind} {id} is not known: read its R-value.", kind=kind, id=one
            )
        pieces.append(_Piece(f"{kind}:{one}", size.section, duct.length.si, insulation))
    return pieces
