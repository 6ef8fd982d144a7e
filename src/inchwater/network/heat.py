"""The heat of a heating call: of electric elements, or as the plate of a furnace says."""

from __future__ import annotations

from collections.abc import Mapping

from inchwater.network.build import assumed
from inchwater.survey import Survey


def heat_given(survey: Survey, state: Mapping[str, str]) -> float | None:
    """Heat that the full heating call gives to the air, the blower's own apart. [W]

    None where nobody knows it, and of a heat pump, whose compressor heats too.

    Parameters
    ----------
    state : mapping
        The condition; ``volts`` is the voltage under load.

    Notes
    -----
    Elements are resistances: their heat goes with the square of the voltage over the rated one.
    """
    unit = survey.unit
    if unit.heat in ("none", "heat-pump"):
        return None
    kit = unit.heat_kit
    if kit is not None and kit.power is not None and unit.heat != "gas":
        if "volts" not in state:
            return kit.power.si
        # Kits are rated at the higher of the two usual supplies, whatever the blower runs on.
        rated = assumed("heat-kit-volts") if unit.nominal_volts is None else unit.nominal_volts.si
        return kit.power.si * (float(state["volts"]) / rated) ** 2
    return None if unit.heat_output is None else unit.heat_output.si
