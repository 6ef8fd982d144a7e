"""The figures of the virtual houses' physics and spreads, from ``data/``, and random streams."""

from __future__ import annotations

import csv
import functools
import zlib
from collections.abc import Mapping
from importlib import resources
from typing import TYPE_CHECKING

from inchwater import units
from inchwater.errors import UnknownNameError

if TYPE_CHECKING:
    import numpy as np


@functools.cache
def rows(name: str) -> Mapping[str, Mapping[str, str]]:
    """The rows of ``data/<name>.csv`` by their keys."""
    text = resources.files(__package__).joinpath(f"data/{name}.csv").read_text("utf-8")
    return {row["key"]: row for row in csv.DictReader(text.splitlines())}


@functools.cache
def figure(key: str) -> float:
    """A figure of ``data/true_parts.csv`` in SI.

    Raises
    ------
    UnknownNameError
        If the houses know no such part, such as a grade of filter that nobody has described.
    """
    known = rows("true_parts")
    if key not in known:
        raise UnknownNameError(
            where="virtual house",
            came=repr(key),
            right=f"its physics knows {', '.join(known)}",
        )
    return units.to_si(float(known[key]["value"]), known[key]["unit"])


@functools.cache
def fitting(key: str) -> tuple[float, float]:
    """A fitting's loss on its own velocity pressure and on that of the duct it leaves. [-, -]

    Raises
    ------
    UnknownNameError
        If ``data/true_fittings.csv`` has no such fitting.
    """
    known = rows("true_fittings")
    if key not in known:
        raise UnknownNameError(
            where="virtual house",
            came=f"the fitting {key!r}",
            right=f"its physics knows {', '.join(known)}",
        )
    return float(known[key]["value"]), float(known[key]["common"])


@functools.cache
def spread(key: str) -> float:
    """A figure of ``data/spreads.csv``: how far houses and readings scatter, in SI."""
    row = rows("spreads")[key]
    return units.to_si(float(row["value"]), row["unit"])


def stream(seed: int, *names: str) -> np.random.Generator:
    """The random stream of one thing in one house: the same names, the same numbers, for ever."""
    import numpy as np

    keys = [zlib.crc32(name.encode()) for name in names]
    return np.random.Generator(np.random.PCG64(np.random.SeedSequence([seed, *keys])))
