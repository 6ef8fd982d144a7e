"""Several readings of one quantity at one place in one trial: what they are worth together.

Each has the place's own error and the instrument's, which they share, and scatter of its own, by
which several are better than one.  Readings that scatter far more than one technician does at one
place were not taken of one steady state: however many there are, they count as one reading.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from inchwater.network.elements import Array
from inchwater.survey import Reading

# Odds of a scatter as large as this, in a steady state, below which it is not one. [-]
_ODDS = 1e-3


@dataclass(frozen=True, slots=True)
class Group:
    """Readings of one quantity at one place: their rows, their scatter (one sigma) [SI]."""

    rows: tuple[int, ...]
    scatter: float
    steady: bool


def groups(readings: Sequence[Reading], repeat: Sequence[float]) -> Iterator[Group]:
    """Every group of two readings or more.

    Parameters
    ----------
    readings : sequence of Reading
        Those of one trial that are in force.
    repeat : sequence of float
        What each scatters in a steady state, one sigma. [SI]
    """
    from scipy.special import gammaincc

    rows: dict[tuple[str, str], list[int]] = {}
    for row, reading in enumerate(readings):
        rows.setdefault((reading.quantity, reading.at), []).append(row)
    for own in rows.values():
        if len(own) < 2:
            continue
        values = np.array([readings[row].value for row in own])
        usual = float(np.mean([repeat[row] for row in own]))
        apart = float(np.square(values - values.mean()).sum()) / usual**2
        # Chi squared of one degree of freedom less than there are readings.
        odds = float(gammaincc(0.5 * (len(own) - 1), 0.5 * apart))
        yield Group(tuple(own), float(values.std(ddof=1)), odds >= _ODDS)


def widened(readings: Sequence[Reading], repeat: Sequence[float]) -> Array:
    """What each reading scatters (reading,), more where its place was not steady. [SI]"""
    result = np.array(repeat, dtype=float)
    for group in groups(readings, repeat):
        if not group.steady:
            result[list(group.rows)] = group.scatter * np.sqrt(len(group.rows))
    return result
