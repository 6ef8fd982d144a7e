"""What a forecast does to the blower's watts, and to a year's energy and money.

How far a unit is from its table's watts is in the forecast already.  A year needs hours in each
call, and money a tariff; neither is in a survey.  In calls of a refrigeration circuit the hours
after are those that move the same heat.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from inchwater.air import Values
from inchwater.effects import fan_energy
from inchwater.effects.circuit import Circuit
from inchwater.effects.conditions import Use
from inchwater.effects.pair import Pair, no_forecast, unknown
from inchwater.effects.types import Effect
from inchwater.errors import joined
from inchwater.quantity import Said, said

_TABLE = "the blower table's watts"
_NO_WATTS = "The blower table has no watts: type its column of watts, or read the blower's power."


def fan_effects(
    pairs: Mapping[str, Pair], circuits: Mapping[str, Circuit], use: Use
) -> tuple[Effect, ...]:
    """Watts in each call, and the year's energy and money.

    Parameters
    ----------
    pairs : mapping of Pair
        Before and after, by thermostat call.
    circuits : mapping of Circuit
        Of the calls in which a refrigeration circuit runs.
    use : Use
        Hours, tariff, and the circuit's energy of a year.
    """
    found: list[Effect] = []
    for call, pair in pairs.items():
        found += _watts(pair, call)
    found += _year(pairs, circuits, use)
    found += _circuits(circuits, use)
    return tuple(found)


def _watts(pair: Pair, call: str) -> list[Effect]:
    labels = {
        f"fan-power:{call}": f"Power of the blower, {call} call",
        f"fan-share:{call}": f"Power of the blower for its air, {call} call",
    }
    watts = pair.power
    if watts is None:
        return [unknown(key, "fan", label, said(_NO_WATTS)) for key, label in labels.items()]
    (key, label), (for_its_air, its_label) = labels.items()
    effects = [pair.told(key, "fan", label, watts, "power", source=_TABLE)]
    if min(float(np.min(flow)) for flow in pair.airflow) <= 0.0:
        why = said("In some of what is possible no air goes through the blower.")
        return [*effects, unknown(for_its_air, "fan", its_label, why)]
    shares = watts[0] / pair.airflow[0], watts[1] / pair.airflow[1]
    told = pair.told(for_its_air, "fan", its_label, shares, "power_per_airflow", source=_TABLE)
    return [*effects, told]


def _year(pairs: Mapping[str, Pair], circuits: Mapping[str, Circuit], use: Use) -> list[Effect]:
    """Energy and money of the blower in all calls of which the hours were given."""
    labels = {
        "fan-energy": "Energy of the blower in a year",
        "fan-cost": "Cost of the blower in a year",
    }

    def none(why: Said) -> list[Effect]:
        return [unknown(key, "fan", label, why) for key, label in labels.items()]

    if not use.running:
        return none(said("The hours that it runs in a year are not known."))
    missing = [call for call in use.running if call not in pairs]
    if missing:
        return none(no_forecast(joined(missing, "and")))
    before, after = [], []
    for call, running in use.running.items():
        watts = pairs[call].power
        if watts is None:
            return none(said(_NO_WATTS))
        before.append(np.asarray(fan_energy.yearly_energy(watts[0], running)))
        then = _running(running, circuits.get(call))
        after.append(np.asarray(fan_energy.yearly_energy(watts[1], then)))
    # A sample that one call leaves out is missing from the sum.
    pair = _common([pairs[call] for call in use.running], circuits, use)
    energies = np.sum(before, axis=0), np.sum(after, axis=0)
    note = said("Hours then: those that move the same heat, that of the water included.")
    notes = [note] if any(call in circuits for call in use.running) else []
    effects = [
        pair.told(
            "fan-energy",
            "fan",
            labels["fan-energy"],
            energies,
            "energy",
            notes=notes,
            source=_TABLE,
        )
    ]
    if use.price is None:
        why = said("The price of a kilowatt-hour is not known.")
        return [*effects, unknown("fan-cost", "fan", labels["fan-cost"], why)]
    money = [np.asarray(fan_energy.cost(one, use.price)) for one in energies]
    effects.append(
        pair.told(
            "fan-cost",
            "fan",
            labels["fan-cost"],
            (money[0], money[1]),
            "money",
            notes=notes,
            source=_TABLE,
        )
    )
    return effects


def _running(running: float, circuit: Circuit | None) -> Values:
    """Time in a call after the changes: a circuit moves the same heat (sample,). [s]"""
    if circuit is None:
        return running
    return fan_energy.running_after(running, *circuit.ratios)


def _common(pairs: list[Pair], circuits: Mapping[str, Circuit], use: Use) -> Pair:
    """The pair with weight only where every call has some."""
    first = pairs[0]
    weights = first.weights.copy()
    for call in use.running:
        if call in circuits:
            weights = np.where(circuits[call].pair.weights > 0.0, weights, 0.0)
    return Pair(first.before, first.after, first.seed, weights)


def _circuits(circuits: Mapping[str, Circuit], use: Use) -> list[Effect]:
    """Energy of compressor and outdoor fan in a year, of the calls of which it was given."""
    found = []
    for call, energy in use.compressor.items():
        key = f"circuit-energy:{call}"
        label = f"Energy of compressor and outdoor fan in a year, {call} call"
        one = circuits.get(call)
        if one is None:
            why = said(f"Nothing is known of the circuit in the {call} call.")
            found.append(unknown(key, "fan", label, why))
            continue
        now = np.full(one.pair.weights.shape, energy)
        then = energy * one.inputs[1] / one.inputs[0]
        found.append(
            one.pair.told(
                key,
                "fan",
                label,
                (now, then),
                "energy",
                notes=[said("The same heat is moved, that of the water included.")],
                source=one.cited,
            )
        )
        if use.price is not None:
            money = now * use.price, then * use.price
            label = f"Cost of compressor and outdoor fan in a year, {call} call"
            found.append(
                one.pair.told(
                    f"circuit-cost:{call}", "fan", label, money, "money", source=one.cited
                )
            )
    return found
