"""A system before and after changes in one thermostat call, sample by sample.

Both predictions are of one posterior, so that what is not known of the house cancels in a change.
How far a law lies from this house is drawn once for both, from a stream of its own name: another
effect beside it moves no number.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from inchwater.air import Air
from inchwater.effects.types import Bounds, Effect, Group, Odds
from inchwater.errors import InputError
from inchwater.forecast import Prediction
from inchwater.quantity import Estimate, Said, said

Array = NDArray[np.float64]
# What share of the samples may lie outside a law's range and be left out, said in a note. [-]
LEFT_OUT = 0.02


@dataclass(frozen=True)
class Pair:
    """The system before and after; ``weights`` (sample,) are zero where a sample is left out."""

    before: Prediction
    after: Prediction
    seed: int
    weights: Array

    @classmethod
    def of(cls, before: Prediction, after: Prediction, seed: int) -> Pair:
        """The pair of two predictions of one posterior.

        Raises
        ------
        InputError
            at ``after`` if its samples are not those of ``before``.
        """
        first, second = np.asarray(before.weights), np.asarray(after.weights)
        if first.shape != second.shape or not np.array_equal(first, second):
            raise InputError(
                where="after",
                came=f"a forecast of {second.size} samples",
                right=f"it is of the {first.size} samples that the forecast before is of",
                do="Make both forecasts from the same posterior.",
            )
        return cls(before, after, seed, first.astype(np.float64))

    @property
    def both(self) -> tuple[Prediction, Prediction]:
        """Before and after."""
        return self.before, self.after

    @property
    def air(self) -> Air:
        """The air that both flows are of."""
        return self.before.network.air

    @property
    def airflow(self) -> tuple[Array, Array]:
        """Through the blower (sample,). [m3/s]"""
        return self.before.solution.airflow, self.after.solution.airflow

    @property
    def power(self) -> tuple[Array, Array] | None:
        """Watts of the blower (sample,); None if its table has none. [W]"""
        now, then = self.before.solution.power, self.after.solution.power
        return None if now is None or then is None else (now, then)

    def scatter(self, name: str) -> Array:
        """Standard normal draws (sample,) of a name, the same each time it is asked. [-]"""
        stream, draw = zlib.crc32(name.encode()), self.after.draw
        if draw is None:
            return _drawn(self.seed, stream, self.weights.size)
        # A longer row of the same stream begins with the shorter one, so that its length is free.
        size = 1 << int(draw.max()).bit_length()
        return _drawn(self.seed, stream, size)[draw]

    def within(self, low: float, high: float, *values: Array) -> tuple[Pair, float]:
        """The pair without samples of which a value lies outside a range, and their share. [-]"""
        inside = np.ones(self.weights.shape, dtype=bool)
        for one in values:
            inside &= np.isfinite(one) & (one >= low) & (one <= high)
        share = float(np.sum(self.weights[~inside]) / np.sum(self.weights))
        return replace(self, weights=np.where(inside, self.weights, 0.0)), share

    def estimate(self, values: Array, kind: str) -> Estimate:
        """Median and range of samples that are not left out."""
        held = self.weights > 0.0
        spread = np.broadcast_to(values, self.weights.shape)
        return Estimate.of(spread[held], self.weights[held], kind)

    def odds(self, holds: NDArray[np.bool_]) -> float:
        """Share of the weight in which something holds. [-]"""
        return float(np.sum(self.weights[holds]) / np.sum(self.weights))

    def told(
        self,
        key: str,
        group: Group,
        label: str,
        values: tuple[Array, Array],
        kind: str,
        *,
        at: str = "unit",
        relative: bool = False,
        change: str | None = None,
        odds: Odds | None = None,
        bounds: Bounds | None = None,
        notes: Sequence[Said] = (),
        source: str = "",
    ) -> Effect:
        """The effect of values before and after (sample,).

        Parameters
        ----------
        kind, change : str
            Kinds of the values, and of their difference where it is another (a temperature's is a
            rise).
        relative : bool
            Whether the change is told as a ratio less one.
        """
        now, then = values
        by, kind_by = (then / now - 1.0, "ratio") if relative else (then - now, change or kind)
        return Effect(
            key=key,
            group=group,
            label=label,
            at=at,
            now=self.estimate(now, kind),
            then=self.estimate(then, kind),
            change=self.estimate(by, kind_by),
            relative=relative,
            odds=odds,
            bounds=bounds,
            notes=tuple(notes),
            source=source,
        )


@lru_cache(maxsize=512)
def _drawn(seed: int, stream: int, size: int) -> Array:
    """Draws of a stream, kept because a search asks for the same ones hundreds of times."""
    drawn = np.random.default_rng([seed, stream]).standard_normal(size)
    drawn.setflags(write=False)
    return drawn


def unknown(key: str, group: Group, label: str, why: Said, at: str = "unit") -> Effect:
    """The effect of which nothing can be said, and why."""
    return Effect(key=key, group=group, label=label, at=at, unknown=why)


def no_forecast(call: str) -> Said:
    """Why nothing is known in a call that was not forecast."""
    return said(f"There is no forecast of the {call} call; it needs the tap that runs then.")
