"""The answer: plain data that page, prompt and Python all show.

``answer(job, rng)`` says what the readings of a job mean, ``what_if(job, changes, posterior)``
what a change would do.  The module itself can be called as ``answer``, so that
``inchwater.answer(job, rng)`` means the same whichever of the two was imported first.
"""

import sys
from types import ModuleType
from typing import Any

from inchwater.answer.compose import answer
from inchwater.answer.options import what_if
from inchwater.answer.types import (
    Alternative,
    Answer,
    Curves,
    PathPoint,
    RunFlow,
    TapLine,
    TreeRow,
    WhatIf,
)

__all__ = [
    "Alternative",
    "Answer",
    "Curves",
    "PathPoint",
    "RunFlow",
    "TapLine",
    "TreeRow",
    "WhatIf",
    "answer",
    "what_if",
]


class _Callable(ModuleType):
    """A package named like its function: Python binds the package to the name on import."""

    def __call__(self, *args: Any, **kwargs: Any) -> Answer:
        return answer(*args, **kwargs)


sys.modules[__name__].__class__ = _Callable
