"""Inchwater: why an installed forced-air system moves too little air, and what a change would do.

The names below are the public API; each is loaded when it is first used, so that importing the
package costs nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from inchwater.answer import Answer, WhatIf, answer, what_if
    from inchwater.calibration import Posterior, calibrate
    from inchwater.criteria import Standing, Target, measured, targets
    from inchwater.errors import InchwaterError
    from inchwater.forecast.predict import Prediction, predict
    from inchwater.planning.next_reading import next_reading
    from inchwater.planning.offers import Frontier, options
    from inchwater.planning.price_book import price_book
    from inchwater.planning.steps_expected import judged
    from inchwater.planning.work_now import work_now
    from inchwater.planning.work_plan import WorkPlan, work_plan
    from inchwater.planning.work_records import accepted, recorded
    from inchwater.quantity import Estimate
    from inchwater.survey import Change, Job, WorkRecord, load, minimal_job, save
    from inchwater.survey.schema import schema

__version__ = "0.1.0"

_HOMES = {
    "Answer": "inchwater.answer",
    "Change": "inchwater.survey",
    "Estimate": "inchwater.quantity",
    "Frontier": "inchwater.planning",
    "InchwaterError": "inchwater.errors",
    "Job": "inchwater.survey",
    "Posterior": "inchwater.calibration",
    "Prediction": "inchwater.forecast",
    "Standing": "inchwater.criteria",
    "Target": "inchwater.criteria",
    "WhatIf": "inchwater.answer",
    "WorkPlan": "inchwater.planning",
    "WorkRecord": "inchwater.survey",
    "accepted": "inchwater.planning",
    "calibrate": "inchwater.calibration",
    "judged": "inchwater.planning",
    "load": "inchwater.survey",
    "measured": "inchwater.criteria",
    "minimal_job": "inchwater.survey",
    "next_reading": "inchwater.planning",
    "options": "inchwater.planning",
    "predict": "inchwater.forecast",
    "price_book": "inchwater.planning",
    "recorded": "inchwater.planning",
    "save": "inchwater.survey",
    "schema": "inchwater.survey",
    "targets": "inchwater.criteria",
    "what_if": "inchwater.answer",
    "work_now": "inchwater.planning",
    "work_plan": "inchwater.planning",
}

__all__ = [
    "Answer",
    "Change",
    "Estimate",
    "Frontier",
    "InchwaterError",
    "Job",
    "Posterior",
    "Prediction",
    "Standing",
    "Target",
    "WhatIf",
    "WorkPlan",
    "WorkRecord",
    "accepted",
    "answer",
    "calibrate",
    "judged",
    "load",
    "measured",
    "minimal_job",
    "next_reading",
    "options",
    "predict",
    "price_book",
    "recorded",
    "save",
    "schema",
    "targets",
    "what_if",
    "work_now",
    "work_plan",
]


def __getattr__(name: str) -> Any:
    if name == "answer":
        # The package of this name can be called; Python itself binds it here on import.
        return import_module("inchwater.answer")
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
