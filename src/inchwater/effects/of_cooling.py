"""Cooling under a forecast: capacity, power and efficiency, and the air and the coil behind it.

Capacity is that of a circuit with the right charge and a clean outdoor coil; told is what airflow
changes of it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inchwater.air import sensible_heat
from inchwater.effects.circuit import Both, Circuit, circuit
from inchwater.effects.coil_air import (
    CoilAir,
    coil_air,
    ices,
    refrigerant_temperature,
    total_capacity,
)
from inchwater.effects.conditions import Conditions, Plate
from inchwater.effects.data_rows import rows, value
from inchwater.effects.pair import Array, Pair, unknown
from inchwater.effects.types import Bounds, Effect, Group, Odds
from inchwater.quantity import Said, said

# Name, group and label of every effect, in the order in which they are told.
_TOLD: dict[str, tuple[Group, str]] = {
    "rated-air": ("cooling", "Air against the rated airflow"),
    "capacity": ("cooling", "Total cooling capacity"),
    "sensible": ("cooling", "Sensible cooling, less the blower's heat"),
    "circuit-power": ("cooling", "Power of compressor and outdoor fan, of that at rated air"),
    "efficiency": ("cooling", "Efficiency of the circuit, of that at rated air"),
    "leaving-air": ("coil", "Temperature of the air that leaves the unit"),
    "split": ("coil", "Return less supply temperature"),
    "sensible-share": ("coil", "Sensible share of the capacity"),
    "water": ("coil", "Water taken from the air"),
    "coil": ("coil", "Refrigerant in the coil"),
    "coil-mild": ("coil", "Refrigerant in the coil on a mild day"),
}
_SETTLED = said("Once it has run long enough to settle.")
_MODEL = "EnergyPlus engineering reference, bypass factor of a coil (memory)"


@dataclass(frozen=True)
class Cooling:
    """The effects of one cooling call; ``circuit`` and ``leaving`` [K] are None where unknown."""

    effects: tuple[Effect, ...]
    circuit: Circuit | None = None
    leaving: Both | None = None


@dataclass(frozen=True)
class _Teller:
    """Makes the effects of one call, with its suffix to the keys."""

    circuit: Circuit
    suffix: str

    def __call__(
        self,
        name: str,
        values: Both,
        kind: str,
        *notes: Said,
        relative: bool = False,
        change: str | None = None,
        odds: Odds | None = None,
        bounds: Bounds | None = None,
        source: str | None = None,
    ) -> Effect:
        group, label = _TOLD[name]
        return self.circuit.pair.told(
            name + self.suffix,
            group,
            label,
            values,
            kind,
            relative=relative,
            change=change,
            odds=odds,
            bounds=bounds,
            notes=notes,
            source=self.circuit.cited if source is None else source,
        )


def cooling(
    pair: Pair | None, call: str, hot: Conditions, mild: Conditions, plate: Plate
) -> Cooling:
    """What a forecast does to cooling in a call.

    Parameters
    ----------
    pair : Pair or None
        Before and after, in this call; None if no forecast of it was made.
    call : {"cooling", "cooling-low"}
        The stage.
    hot, mild : Conditions
        What capacity and air are told for, and what icing is told for beside it.
    plate : Plate
        Its rated sensible share counts.
    """
    suffix = "" if call == "cooling" else f":{call}"
    found: Circuit | Said
    if pair is not None and pair.after.survey.coils == ():
        found = said("There is no cooling coil.")
    else:
        found = circuit(pair, call)
    if isinstance(found, Said):
        why = found
        none = [unknown(name + suffix, *told, why) for name, told in _TOLD.items()]
        return Cooling(tuple(none))
    told = _Teller(found, suffix)
    shares = _rated_shares(found.pair, plate)
    totals, airs = _run(found, hot, shares)
    leaving, sensible = _after_blower(found, hot, totals, airs)
    day = said(f"On {hot.label}.") if hot.label else said("In the conditions given.")
    bare = () if found.pair.power is not None else (said("Without the blower's heat: no watts."),)
    effects = (
        told("rated-air", found.fractions, "ratio", *found.notes),
        told("capacity", totals, "heat_output", day, relative=True),
        told("sensible", sensible, "heat_output", day, *bare, relative=True, source=_MODEL),
        told("circuit-power", found.powers, "ratio", relative=True),
        told("efficiency", found.efficiencies, "ratio", relative=True),
        told(
            "leaving-air",
            leaving,
            "temperature",
            day,
            *bare,
            change="temperature_rise",
            source=_MODEL,
        ),
        told(
            "split",
            (hot.temperature - leaving[0], hot.temperature - leaving[1]),
            "temperature_rise",
            day,
            *bare,
            source=_MODEL,
        ),
        told("sensible-share", _both(airs, "sensible_share"), "ratio", day, source=_MODEL),
        told("water", _both(airs, "water"), "water_flow", day, relative=True, source=_MODEL),
        _refrigerant(told, "coil", airs, day),
        _refrigerant(told, "coil-mild", _run(found, mild, shares)[1], said(f"On {mild.label}.")),
    )
    return Cooling(effects, found, leaving)


def _run(
    found: Circuit, entering: Conditions, shares: Array
) -> tuple[Both, tuple[CoilAir, CoilAir]]:
    """Total capacity [W] and the air behind the coil, before and after."""
    totals = [
        np.asarray(total_capacity(found.stage, ratio, found.curves.family, entering))
        for ratio in found.ratios
    ]
    airs = [
        coil_air(flow, total, found.stage, entering, shares, found.pair.air.density)
        for flow, total in zip(found.flows, totals, strict=True)
    ]
    return (totals[0], totals[1]), (airs[0], airs[1])


def _after_blower(
    found: Circuit, entering: Conditions, totals: Both, airs: tuple[CoilAir, CoilAir]
) -> tuple[Both, Both]:
    """Temperature behind coil and blower [K], and the sensible capacity that is left [W]."""
    nothing = np.zeros_like(totals[0])
    watts = found.pair.power or (nothing, nothing)
    leaving, sensible = [], []
    for total, air, heat, flow in zip(totals, airs, watts, found.flows, strict=True):
        warms = heat / sensible_heat(flow, 1.0, found.pair.air, entering.humidity_ratio)
        leaving.append(np.asarray(air.leaving + warms))
        sensible.append(np.asarray(total * air.sensible_share - heat))
    return (leaving[0], leaving[1]), (sensible[0], sensible[1])


def _refrigerant(told: _Teller, name: str, airs: tuple[CoilAir, CoilAir], day: Said) -> Effect:
    scatter = told.circuit.pair.scatter("coil:approach")
    cold = [np.asarray(refrigerant_temperature(one, scatter)) for one in _both(airs, "dew_point")]
    freezing = rows("coil_air")["freezing"]
    odds = Odds(
        said("the coil ices: refrigerant below {cold}", cold=(freezing.value, "temperature")),
        told.circuit.pair.odds(ices(cold[0])),
        told.circuit.pair.odds(ices(cold[1])),
    )
    return told(
        name,
        (cold[0], cold[1]),
        "temperature",
        day,
        _SETTLED,
        change="temperature_rise",
        odds=odds,
        bounds=Bounds(freezing.value, None, "temperature", freezing.source, freezing.status),
        source=f"{_MODEL}; refrigerant below it: proposed",
    )


def _rated_shares(pair: Pair, plate: Plate) -> Array:
    """Sensible heat ratio of the rating test (sample,). [-]"""
    if plate.sensible_share is not None:
        return np.full(pair.weights.shape, plate.sensible_share)
    usual = value("coil_air", "rated sensible share")
    sigma = value("coil_air", "rated sensible share sigma")
    # Three sigmas: beyond, there is no such coil.
    return usual + sigma * np.clip(pair.scatter("coil:share"), -3.0, 3.0)


def _both(airs: tuple[CoilAir, CoilAir], what: str) -> Both:
    return np.asarray(getattr(airs[0], what)), np.asarray(getattr(airs[1], what))
