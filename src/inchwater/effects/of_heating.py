"""Heating under a forecast: rise of each stage against the plate, heat kits, heat pumps.

What the plate or the kit's own table says decides; where a survey does not hold it, the effect is
told without odds or is unknown, and why is said.
"""

from __future__ import annotations

import numpy as np

from inchwater.effects import heating
from inchwater.effects.circuit import Circuit, circuit
from inchwater.effects.conditions import Conditions, Plate
from inchwater.effects.data_rows import rows, value
from inchwater.effects.pair import Array, Pair, no_forecast, unknown
from inchwater.effects.types import Bounds, Effect, Odds
from inchwater.network.build import assumed
from inchwater.quantity import HELD, Said, said
from inchwater.survey import Survey

_RISE = "Temperature rise of the air"
# The unknown that a reading of the temperature rise brings with it (``calibration.expected``).
_READ_HEAT = "unit:heat"
_CAUTION = said(
    "Outside the plate's range an exchanger overheats, or its flue gas condenses: measure the rise "
    "with every panel on, and do not leave it so."
)
_HOT_KIT = said("With less air than its table asks for, a heat kit overheats: do not leave it so.")
_LAW = "ASHRAE Handbook Fundamentals 2017, chapter 1, equation 30"


def heat_effects(
    pair: Pair | None, call: str, survey: Survey, winter: Conditions, plate: Plate
) -> tuple[Effect, ...]:
    """What a forecast does to heating in a call.

    Parameters
    ----------
    pair : Pair or None
        Before and after, in this call; None if no forecast of it was made.
    call : {"heating", "heating-low"}
        The stage.
    survey : Survey
        After the changes.
    winter : Conditions
        The air that enters.
    plate : Plate
        Range of rise, heat of the low stage, least air of the kit.
    """
    heat = survey.unit.heat
    if heat == "none":
        return ()
    if heat is None and survey.unit.kind != "furnace":
        why = said("How the unit heats is not in the survey.")
        return (unknown(f"rise:{call}", "heating", _RISE, why),)
    if heat == "heat-pump":
        return (*_heat_pump(pair, call), *_kit(pair, call, survey, plate))
    effects = [_rise(pair, call, survey, winter, plate)]
    return (*effects, *_kit(pair, call, survey, plate))


def _rise(pair: Pair | None, call: str, survey: Survey, winter: Conditions, plate: Plate) -> Effect:
    """The rise of a furnace's stage or of electric heat."""
    key = f"rise:{call}"
    if pair is None:
        return unknown(key, "heating", _RISE, no_forecast(call))
    rises = rises_of(pair, call, survey, winter, plate)
    if isinstance(rises, Said):
        why = rises
        return unknown(key, "heating", _RISE, why)
    notes = [] if pair.power else [said("Without the blower's heat: no watts.")]
    odds = bounds = None
    given = plate.rise.get(call)
    if given is None:
        notes.append(said("The plate's range of rise is not known: read it, for it decides."))
    else:
        low, high = heating.check_range(call, given)
        bounds = Bounds(low, high, "temperature_rise", "rating plate", "read")
        inside = [pair.odds((one >= low) & (one <= high)) for one in rises]
        odds = Odds(said("the rise is within the plate"), inside[0], inside[1])
        if inside[1] < HELD:
            notes.append(_CAUTION)
    return pair.told(
        key,
        "heating",
        f"{_RISE}, {call} call",
        (rises[0], rises[1]),
        "temperature_rise",
        odds=odds,
        bounds=bounds,
        notes=notes,
        source=_LAW,
    )


def rises_of(
    pair: Pair, call: str, survey: Survey, winter: Conditions, plate: Plate
) -> tuple[Array, Array] | Said:
    """Rise by burner or elements before and after (sample,) [K], or why nobody knows."""
    heat = _heat(pair, call, survey, plate)
    if isinstance(heat, Said):
        return heat
    if min(float(np.min(flow)) for flow in pair.airflow) <= 0.0:
        return said("In some of what is possible no air goes through the unit.")
    nothing = np.zeros_like(pair.weights)
    watts = pair.power or (nothing, nothing)
    now, then = (
        np.asarray(heating.temperature_rise(heat, flow, pair.air, power, winter.humidity_ratio))
        for flow, power in zip(pair.airflow, watts, strict=True)
    )
    return now, then


def _heat(pair: Pair, call: str, survey: Survey, plate: Plate) -> Array | Said:
    """Heat that the air gets in a call (sample,) [W], or why nobody knows."""
    electric = survey.unit.heat == "electric" and survey.unit.heat_kit is not None
    sigma = value("heating", "elements sigma_ln" if electric else "stated heat sigma_ln")
    if call == "heating-low":
        given = plate.heat_output_low
        if given is None:
            return said("The heat of the low stage is not known: read it on the plate.")
    else:
        given = pair.after.network.heat
        if given is None:
            return said(
                "The heat that the unit gives is not in the survey: read its output (not its "
                "input) on the plate."
            )
        read = pair.after.solution.values.get(_READ_HEAT)
        if read is not None:
            # Somebody has read the rise: what the unit gives is known better than by its plate.
            return np.asarray(given * read)
    return np.asarray(given * np.exp(sigma * pair.scatter(f"heat:{call}")))


def _heat_pump(pair: Pair | None, call: str) -> tuple[Effect, ...]:
    """Capacity, efficiency and power of a heat pump in heating, over those at rated air."""
    suffix = "" if call == "heating" else f":{call}"
    labels = {
        "heating-capacity": "Heating capacity, of that at rated air",
        "heating-power": "Power of compressor and outdoor fan in heating, of that at rated air",
        "heating-efficiency": "Efficiency in heating, of that at rated air",
        "heating-rise": "Temperature rise of the air, of that at rated air",
    }
    found: Circuit | Said = circuit(pair, call)
    if isinstance(found, Said):
        why = found
        return tuple(unknown(k + suffix, "heating", label, why) for k, label in labels.items())
    rises = tuple(r / f for r, f in zip(found.ratios, found.fractions, strict=True))
    values = (found.ratios, found.powers, found.efficiencies, (rises[0], rises[1]))
    return tuple(
        found.pair.told(
            key + suffix,
            "heating",
            label,
            both,
            "ratio",
            relative=True,
            notes=found.notes,
            source=found.cited,
        )
        for (key, label), both in zip(labels.items(), values, strict=True)
    )


def _kit(pair: Pair | None, call: str, survey: Survey, plate: Plate) -> tuple[Effect, ...]:
    """Air for an electric heat kit against the least that it may have."""
    kit = survey.unit.heat_kit
    if kit is None or call != "heating":
        return ()
    key, label = "kit-air", "Air through the electric heat kit"
    if pair is None:
        why = no_forecast("heating")
        return (unknown(key, "heating", label, why),)
    rise = _kit_rise(pair, survey) if survey.unit.heat == "heat-pump" else ()
    least = plate.kit_airflow
    if least is not None:
        odds = Odds(
            said("the kit gets the air that it needs"),
            pair.odds(pair.airflow[0] >= least),
            pair.odds(pair.airflow[1] >= least),
        )
        bounds = Bounds(least, None, "airflow", "the kit's own table", "read")
        notes = (_HOT_KIT,) if odds.then is not None and odds.then < HELD else ()
    elif kit.power is not None:
        row = rows("heating")["kit airflow low"]
        low, high = heating.usual_kit_airflow(kit.power.si)
        odds, bounds = None, None
        notes = (
            said(
                "Tables of such kits ask for {low} to {high} at least (" + row.status + "); its "
                "own table decides: read it.",
                low=(low, "airflow"),
                high=(high, "airflow"),
            ),
        )
    else:
        why = said("Neither the kit's power nor the least air of its table is in the survey.")
        return (unknown(key, "heating", label, why), *rise)
    told = pair.told(
        key,
        "heating",
        label,
        pair.airflow,
        "airflow",
        odds=odds,
        bounds=bounds,
        notes=notes,
        source="the kit's own table",
    )
    return (told, *rise)


def _kit_rise(pair: Pair, survey: Survey) -> tuple[Effect, ...]:
    """What the kit of a heat pump adds to its rise."""
    key, label = "kit-rise", "Temperature rise of the electric heat kit alone"
    unit = survey.unit
    if unit.heat_kit is None or unit.heat_kit.power is None:
        why = said("The kit's power is not in the survey: read it on the kit's plate.")
        return (unknown(key, "heating", label, why),)
    if min(float(np.min(flow)) for flow in pair.airflow) <= 0.0:
        why = said("In some of what is possible no air goes through the unit.")
        return (unknown(key, "heating", label, why),)
    rated = assumed("heat-kit-volts") if unit.nominal_volts is None else unit.nominal_volts.si
    sigma = value("heating", "elements sigma_ln")
    off = np.exp(sigma * pair.scatter("heat:kit"))
    rises = []
    for state, flow in zip(pair.both, pair.airflow, strict=True):
        volts = float(state.network.state.get("volts", rated))
        heat = heating.kit_heat(unit.heat_kit.power.si, volts, rated) * off
        rises.append(np.asarray(heating.temperature_rise(heat, flow, pair.air)))
    told = pair.told(key, "heating", label, (rises[0], rises[1]), "temperature_rise", source=_LAW)
    return (told,)
