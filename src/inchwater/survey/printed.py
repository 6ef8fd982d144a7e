"""What a label prints: quantities in the steps in which their makers round them."""

from __future__ import annotations

from inchwater import units
from inchwater.survey.facts import Fact, How

# Steps of what filters' labels print, one at least. [cfm], [in. w.c.] (common practice, no source)
_AIRFLOW, _DROP = 25.0, 0.01


def printed_airflow(airflow: float) -> Fact:
    """An airflow [m3/s] as a filter's label rates it."""
    return _printed(airflow, "cfm", _AIRFLOW)


def printed_drop(drop: float) -> Fact:
    """A clean drop [Pa] as a filter's label gives it."""
    return _printed(drop, "inwc", _DROP)


def _printed(value: float, unit: str, step: float) -> Fact:
    steps = max(round(units.from_si(value, unit) / step), 1)
    # Hundredths added up are no longer hundredths to the last bit.
    return Fact(round(steps * step, 2), unit, How.STATED)
