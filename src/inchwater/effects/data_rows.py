"""The rows of this package's coefficient tables."""

from __future__ import annotations

from collections.abc import Mapping

from inchwater.parts.coefficients import Coefficient, table

_DATA = "inchwater.effects.data"


def rows(name: str) -> Mapping[str, Coefficient]:
    """The coefficients of ``effects/data/<name>.csv`` by key."""
    return table(name, _DATA)


def value(name: str, key: str) -> float:
    """One coefficient's value in SI."""
    return rows(name)[key].value
