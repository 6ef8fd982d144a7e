"""From numbers to places on a picture: a linear scale and ticks at round numbers."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Linear:
    """A linear scale from ``low``–``high`` (any unit) to ``start``–``end`` (user units)."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """The place of a value; outside the domain it is outside the range, never held."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)

    def holds(self, value: float) -> bool:
        """Whether the value lies in the domain."""
        return self.low <= value <= self.high


def step(low: float, high: float, about: int) -> float:
    """The round step (1, 2 or 5 times a power of ten) that gives about so many ticks."""
    raw = (high - low) / max(about, 1)
    power = 10.0 ** math.floor(math.log10(raw))
    for times in (1.0, 2.0, 5.0):
        if raw <= times * power:
            return times * power
    return 10.0 * power


def ticks(low: float, high: float, about: int = 5) -> tuple[float, ...]:
    """Round numbers within ``low``–``high``, about so many of them."""
    size = step(low, high, about)
    first, last = math.ceil(low / size - 1e-9), math.floor(high / size + 1e-9)
    return tuple(round(k * size, 10) for k in range(first, last + 1))


def round_out(low: float, high: float, about: int = 5) -> tuple[float, float]:
    """The domain widened to round numbers, so that the first and last tick are its ends.

    A domain without width is given one, or nothing could be placed on it.
    """
    if not high > low:
        low, high = (low - 1.0, high + 1.0) if low else (0.0, 1.0)
    size = step(low, high, about)
    return (
        round(math.floor(low / size + 1e-9) * size, 10),
        round(math.ceil(high / size - 1e-9) * size, 10),
    )


def tick_texts(values: tuple[float, ...]) -> tuple[str, ...]:
    """The ticks as text, all with the decimals that the finest needs; minus as a minus sign."""
    decimals = 0
    while decimals < 6 and any(abs(v - round(v, decimals)) > 1e-9 for v in values):
        decimals += 1
    texts = (f"{value:,.{decimals}f}" for value in values)
    return tuple(
        (text.lstrip("-") if not float(text.replace(",", "")) else text).replace("-", "−")
        for text in texts
    )
