"""The refrigeration circuit of a forecast in one call: its share of the rated air, what that does.

Heating and cooling share it.  Samples outside what the curves are carried to are left out where
they are few, which a note says; where they are many nothing is said of the circuit.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inchwater.effects import capacity
from inchwater.effects.capacity import CurveSet
from inchwater.effects.pair import LEFT_OUT, Array, Pair, no_forecast
from inchwater.quantity import Said, said
from inchwater.survey import Survey

Both = tuple[Array, Array]


@dataclass(frozen=True)
class Circuit:
    """A circuit before and after (sample,).

    ``pair`` has no weight where a sample is left out, and its numbers there mean nothing;
    ``stage`` is the nominal capacity of the stage that runs [W]; ``flows`` the air through its coil
    [m3/s]; ``fractions`` its share of the rated air, ``ratios`` capacity and ``inputs`` energy put
    in for each heat moved, over those at rated air [-].
    """

    pair: Pair
    curves: CurveSet
    stage: float
    flows: Both
    fractions: Both
    ratios: Both
    inputs: Both
    notes: tuple[Said, ...]

    @property
    def powers(self) -> Both:
        """Power of compressor and outdoor fan over that at rated air (sample,). [-]"""
        return self.ratios[0] * self.inputs[0], self.ratios[1] * self.inputs[1]

    @property
    def efficiencies(self) -> Both:
        """Heat moved for the energy put in, over that at rated air (sample,). [-]"""
        return 1.0 / self.inputs[0], 1.0 / self.inputs[1]

    @property
    def cited(self) -> str:
        """Whose curves."""
        return f"{self.curves.source}, set {self.curves.key}"


def stages(survey: Survey) -> int:
    """Stages of the compressor: two where a low stage of it has a call of its own. [-]"""
    unit = survey.unit
    low = {"cooling-low"} | ({"heating-low"} if unit.heat == "heat-pump" else set())
    return 2 if low & set(unit.calls) else 1


def circuit(pair: Pair | None, call: str) -> Circuit | Said:
    """The circuit in a call, or why nothing can be said of it.

    Parameters
    ----------
    pair : Pair or None
        Before and after, in this call; None if no forecast of it was made.
    call : str
        ``cooling``, ``cooling-low``, ``heating`` or ``heating-low``.
    """
    if pair is None:
        return no_forecast(call)
    survey = pair.after.survey
    curves = capacity.set_of(survey.unit.heat == "heat-pump", stages(survey), call)
    nominal = survey.unit.capacity.si
    shares = [
        np.asarray(flow * pair.air.density / _rated(nominal, curves)) for flow in pair.airflow
    ]
    low, high = capacity.limits()
    kept, left_out = pair.within(low, high, *shares)
    if left_out > LEFT_OUT:
        return said(
            "In {share} of what is possible the coil gets less than {low} or more than {high} of "
            "its rated air, where nothing is known. Read the airflow, and check the capacity on "
            "the plate.",
            share=(left_out, "ratio"),
            low=(low, "ratio"),
            high=(high, "ratio"),
        )
    # A sample without weight must still be a number.
    held = kept.weights > 0.0
    fractions = [np.where(held, one, 1.0) for one in shares]
    usual = nominal * curves.rated_airflow
    flows = [np.where(held, flow, usual) for flow in pair.airflow]
    lost, wasted = kept.scatter("circuit:capacity"), kept.scatter("circuit:input")
    ratios = [np.asarray(capacity.capacity_ratio(f, curves, lost)) for f in fractions]
    inputs = [np.asarray(capacity.energy_input_ratio(f, curves, wasted)) for f in fractions]
    return Circuit(
        pair=kept,
        curves=curves,
        stage=nominal * curves.stage,
        flows=(flows[0], flows[1]),
        fractions=(fractions[0], fractions[1]),
        ratios=(ratios[0], ratios[1]),
        inputs=(inputs[0], inputs[1]),
        notes=_notes(kept, fractions, left_out, survey),
    )


def _rated(nominal: float, curves: CurveSet) -> float:
    """Mass of air in a second at which a circuit is rated. [kg/s]"""
    # A backward or missing flow must come out as outside, so this is no law that refuses it.
    unit_share = float(capacity.airflow_fraction(1.0, nominal, curves, 1.0))
    return 1.0 / unit_share


def _notes(kept: Pair, fractions: list[Array], left_out: float, survey: Survey) -> tuple[Said, ...]:
    notes = []
    if left_out > 0.0:
        notes.append(
            said(
                "Left out: {share} of what is possible, where the coil gets far more or less air "
                "than is known of.",
                share=(left_out, "ratio"),
            )
        )
    for word, one in (("Now", fractions[0]), ("Then", fractions[1])):
        far = capacity.beyond(kept.estimate(one, "ratio").value)
        if far is not None:
            notes.append(said(f"{word}: {far}"))
    if survey.unit.heat is None:
        notes.append(said("Taken for an air conditioner: nobody said whether it is a heat pump."))
    return tuple(notes)
