"""What air may not fall below, whatever it brings: heat, a heat kit, the sensor of a leak.

A furnace below its air overheats its exchanger, a kit its elements, and refrigerant that leaks is
only thinned by the air that the maker asks for.  So a change that passes such a limit more often
than the system does as found is refused and not weighed against its price.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from inchwater.criteria.limits import verdict_odds
from inchwater.quantity import Said

if TYPE_CHECKING:
    from inchwater.network.elements import Array
    from inchwater.planning.evaluate import Outcome

# The targets that are such limits, and what a change would do to them.
_LIMITS = {
    "rise": "In the {call} call the air would get hotter than the plate allows ({bound})",
    "kit-air": "The electric heat kit would get less air than its table asks for ({bound})",
    "leak-air": "When refrigerant leaks, the air would be less than the maker asks for ({bound})",
}
_KINDS = {"rise": "temperature_rise", "kit-air": "airflow", "leak-air": "airflow"}
# Odds by which a change may pass a limit more often: less is within what the samples tell. [-]
_SAME = 0.01


def below_floor(base: Outcome, then: Outcome) -> Said | None:
    """Why a change may not be made: it passes a limit of air more often; None where it may.

    Parameters
    ----------
    base, then : Outcome
        As found and after the change, on the same samples.
    """
    found = {one.key: k for k, one in enumerate(base.asked)}
    for column, one in enumerate(then.asked):
        call, name = one.call, one.target_key
        if name not in _LIMITS or one.key not in found:
            continue
        # Of a rise only its upper end is a matter of too little air.
        bound = one.high if name == "rise" else one.low
        now = _passed(name, base.values[:, found[one.key]], bound)
        odds = _passed(name, then.values[:, column], bound)
        if odds > 1.0 - verdict_odds()[0] and odds > now + _SAME:
            return Said(
                _LIMITS[name] + " in {odds} of 100 cases; as found it is in {now}.",
                {
                    "call": call.replace("-", " "),
                    "bound": (bound, _KINDS[name]),
                    "odds": f"{100.0 * odds:.0f}",
                    "now": f"{100.0 * now:.0f}",
                },
            )
    return None


def _passed(name: str, values: Array, bound: float) -> float:
    """The share of the samples in which a limit is passed. [-]"""
    return float(np.mean(values > bound if name == "rise" else values < bound))
