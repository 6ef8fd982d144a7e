"""How much thinner than the air that comes to the unit the air in the wheel and the ducts is.

Flows are counted as the air enters the unit, so that they add up along the way.  Cold supply air is
denser and hot air thinner: the same mass then takes less or more pressure in the same duct.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from inchwater.air import INDOORS, Air, sensible_heat
from inchwater.network.build import assumed
from inchwater.network.heat import heat_given
from inchwater.survey import Survey


class Thinner(NamedTuple):
    """Density of the air at the unit's inlet over that in the ducts and in the wheel. [-]"""

    supply: float
    wheel: float


def thinner(survey: Survey, state: Mapping[str, str], air: Air, usual_flow: float) -> Thinner:
    """The supply air's temperature in a call, as its density.

    Parameters
    ----------
    air : Air
        As it comes to the unit.
    usual_flow : float
        Airflow over which the heat of a call is spread. [m3/s]

    Notes
    -----
    At one pressure density goes with one over the absolute temperature.  The air passes the coil
    before the wheel but in a furnace, whose wheel moves what comes from the rooms; burners and
    elements stand after the wheel.
    """
    call = state.get("call", "")
    coil_first = survey.unit.kind != "furnace"
    if call.startswith("cooling") or (not call and state.get("coil") == "wet"):
        cold = 1.0 - assumed("supply-drop-cooling") / INDOORS
        return Thinner(cold, cold if coil_first else 1.0)
    if not call.startswith("heating"):
        return Thinner(1.0, 1.0)
    pump = survey.unit.heat == "heat-pump"
    rise = assumed("supply-rise-heat-pump" if pump else "supply-rise-heat")
    heat = heat_given(survey, state)
    if heat is not None and call == "heating":
        rise = heat / float(sensible_heat(usual_flow, 1.0, air))
    hot = 1.0 + rise / INDOORS
    return Thinner(hot, hot if pump and coil_first else 1.0)
