"""A pytest plugin that spoils the parts' data: with it, the checks of the evidence have to fail.

``pytest -p tests.spoilt`` multiplies every coefficient by the environment's ``SPOILT``.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from types import MappingProxyType

from inchwater.parts import coefficients

FACTOR = float(os.environ["SPOILT"])
_true = coefficients.table


@cache
def _spoilt(
    name: str, package: str = "inchwater.parts.data"
) -> Mapping[str, coefficients.Coefficient]:
    return MappingProxyType(
        {key: replace(row, value=FACTOR * row.value) for key, row in _true(name, package).items()}
    )


coefficients.table = _spoilt
