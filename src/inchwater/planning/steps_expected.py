"""The readings to expect after a step, and what one means that is not as expected.

The interval holds an honest reading nine times in ten: beside what is not known of the system and
of the work it has the test point's own error, the instrument's and the scatter of each reading.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from inchwater import units
from inchwater.calibration.expected import by_hood, errors, expected, not_used
from inchwater.calibration.priors import noise
from inchwater.errors import InputError
from inchwater.network.elements import Array
from inchwater.planning.rows import read_rows
from inchwater.quantity import Estimate, Said, said
from inchwater.survey import KINDS, Job, Quantity, Reading, place_of, standing_trial
from inchwater.survey.trials import RETURN_SIDE
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.calibration import Posterior
    from inchwater.forecast import Prediction

Side = Literal["inside", "below", "above", "sign"]
_WORDS: Mapping[Quantity, str] = {
    "static": "Static",
    "drop": "Drop",
    "airflow": "Airflow",
    "temperature-rise": "Temperature rise",
    "power": "Watts of the blower",
    "voltage": "Volts",
    "speed": "Speed of the blower",
}
_AT = {
    "return": "on the return side",
    "before-filter": "before the filter",
    "before-coil": "before the coil",
    "supply": "on the supply side",
    "unit": "at the unit",
}


@dataclass(frozen=True, slots=True)
class Expected:
    """One reading to expect after a step, with what to say where it is inside, below or above.

    ``estimate`` is of the size, without sign; ``sign`` is that of the reading: -1 on the return
    side. ``instrument`` is one sigma of a reading by itself, instrument and repeatability [SI].
    """

    at: str
    quantity: Quantity
    label: str
    sign: int
    estimate: Estimate
    instrument: float
    inside: Said
    below: Said
    above: Said
    wrong_side: Said

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units: all that a page needs to judge a reading by itself."""
        name = units.SHOWN[self.estimate.kind][system][0]
        return {
            "at": self.at,
            "quantity": self.quantity,
            "label": self.label,
            "sign": self.sign,
            "estimate": self.estimate.to_dict(system),
            "range": f"{self.estimate.range_text(system)} {self.estimate.label(system)}",
            "instrument": units.from_si(self.instrument, name),
            "inside": self.inside.text(system),
            "below": self.below.text(system),
            "above": self.above.text(system),
            "wrong_side": self.wrong_side.text(system),
        }


@dataclass(frozen=True, slots=True)
class Judged:
    """A reading held against what was expected; ``side`` is ``sign`` where its sign is wrong."""

    inside: bool
    side: Side
    said: Said

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units."""
        return {"inside": self.inside, "side": self.side, "said": self.said.text(system)}


def judged(one: Expected, value: float) -> Judged:
    """Whether a reading is as expected, and what it most likely means if it is not.

    Parameters
    ----------
    one : Expected
        What was expected there.
    value : float
        The reading with its sign. [SI]

    Raises
    ------
    InputError
        If it is no number.
    """
    if not math.isfinite(value):
        raise InputError(
            where=f"{one.quantity} at {one.at}",
            came=repr(value),
            right="a reading is a number",
            do="Read again.",
        )
    size = one.sign * value
    if size < 0.0 and one.estimate.low > 0.0:
        return Judged(False, "sign", one.wrong_side)
    if size < one.estimate.low:
        return Judged(False, "below", one.below)
    if size > one.estimate.high:
        return Judged(False, "above", one.above)
    return Judged(True, "inside", one.inside)


def readings_of(job: Job, after: Sequence[str] | None = None) -> tuple[Reading, ...]:
    """What is read again after each step: all that was read in the state that the system stands in.

    Of each place and quantity the last one.  Volts are the house's own, and are left out.

    Parameters
    ----------
    after : sequence of str, optional
        Only with these changes in force; with whatever was in force if None.
    """
    stands = standing_trial(job)
    if stands is None:
        return ()
    found: dict[tuple[str, str], Reading] = {}
    for trial in job.trials:
        same = after is None or trial.after == tuple(after)
        if same and dict(trial.condition) == dict(stands.condition):
            for reading in trial.in_force:
                if reading.quantity != "voltage":
                    found[reading.quantity, reading.at] = reading
    return tuple(found.values())


def expectations(
    posterior: Posterior, then: Prediction, readings: Sequence[Reading], stage: str
) -> tuple[Expected, ...]:
    """What each reading should show in a forecast, with all that stands between.

    Parameters
    ----------
    posterior : Posterior
        Whose instruments' gains count where they were read with before.
    then : Prediction
        The system after the step.
    readings : sequence of Reading
        Earlier ones of the same quantities at the same places.
    stage : str
        The kind of step, for what a reading outside most likely means.
    """
    return tuple(_expectations(posterior, then, readings, stage))


def _expectations(
    posterior: Posterior, then: Prediction, readings: Sequence[Reading], stage: str
) -> Iterator[Expected]:
    for reading in readings:
        if not_used(reading, then.network):
            continue
        kind = KINDS[reading.quantity]
        sign = -1 if reading.quantity == "static" and place_of(reading.at)[0] in RETURN_SIDE else 1
        true = sign * expected(reading, then.solution)
        shown, spread = _shown(posterior, reading, true, then.weights)
        yield _with_words(reading, sign, Estimate.of(shown, then.weights, kind), spread, stage)


def _shown(
    posterior: Posterior, reading: Reading, true: Array, weights: Array
) -> tuple[Array, float]:
    """What an instrument shows of a size (sample,), and one sigma of that alone. [SI]"""
    middle = float(np.average(true, weights=weights))
    instruments = posterior.job.instruments_by_id
    of = errors(replace(reading, value=middle), instruments)
    key = zlib.crc32(f"step:{reading.quantity}:{reading.at}".encode())
    rng = np.random.default_rng([posterior.seed, key])
    size = len(true)
    gain = posterior.samples.get(f"instrument:{of.instrument}:gain")
    gain = rng.standard_normal(size) if gain is None else gain
    dof = noise("hood-dof" if by_hood(reading) else "student-dof")
    shown = true * (1.0 + of.gain * gain) + of.zero * rng.standard_normal(size)
    return shown + of.repeat * rng.standard_t(dof, size), of.own(middle)


# --- words ---------------------------------------------------------------------------------------


@cache
def _meanings() -> Mapping[tuple[str, str, str], tuple[str, str]]:
    return {
        (row["stage"], row["quantity"], row["place"]): (row["below"], row["above"])
        for row in read_rows("meanings")
    }


def meaning(stage: str, reading: Reading) -> tuple[str, str]:
    """What a reading below, and one above what is expected most likely means after a step."""
    kind, id_ = place_of(reading.at)
    place = "duct" if kind in ("trunk:", "run:") else "supply"
    if kind in RETURN_SIDE:
        place = "return"
    found = _meanings()
    for key in (
        (stage, reading.quantity, place),
        (stage, reading.quantity, "*"),
        ("*", reading.quantity, place),
        ("*", reading.quantity, "*"),
    ):
        if key in found:
            return found[key]
    raise KeyError((stage, reading.quantity, kind, id_))


def _with_words(
    reading: Reading, sign: int, estimate: Estimate, spread: float, stage: str
) -> Expected:
    kind, id_ = place_of(reading.at)
    where = _AT.get(kind) or f"at {kind.removesuffix(':')} {id_}"
    label = f"{_WORDS[reading.quantity]} {where}"
    low, high = (estimate.low, estimate.kind), (estimate.high, estimate.kind)
    below, above = meaning(stage, reading)
    return Expected(
        at=reading.at,
        quantity=reading.quantity,
        label=label,
        sign=sign,
        estimate=estimate,
        instrument=spread,
        inside=said(
            "{label}: as expected, between {low:bare} and {high}. Go on.",
            label=label,
            low=low,
            high=high,
        ),
        below=said(
            "{label}: below the {low} to expect at least. {why}", label=label, low=low, why=below
        ),
        above=said(
            "{label}: above the {high} to expect at most. {why}", label=label, high=high, why=above
        ),
        wrong_side=said(
            "{label}: the sign is that of the other side. Check which tube is on which port, and "
            "where the tip is; then read again.",
            label=label,
        ),
    )
