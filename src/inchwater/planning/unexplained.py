"""Readings after work that no system fits which the survey and the other readings allow.

Heavy-tailed errors let such a reading go, and odds are then those of all but it: nobody may stop on
them.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from inchwater.planning.steps_expected import expectations, judged, readings_of
from inchwater.quantity import Said, said
from inchwater.survey import KINDS, Reading, standing_trial

if TYPE_CHECKING:
    from inchwater.calibration import Posterior
    from inchwater.forecast import Prediction


def unexplained(posterior: Posterior) -> tuple[Said, ...]:
    """Each reading of the system as it stands after work that the calibration does not explain.

    Parameters
    ----------
    posterior : Posterior
        Calibrated with those readings too: one that it follows lies within its own range.

    Returns
    -------
    tuple of Said
        None before any work was read.
    """
    from inchwater.forecast import predict

    stands = standing_trial(posterior.job)
    if stands is None or not stands.after:
        return ()
    readings = readings_of(posterior.job, stands.after)
    return tuple(_said(posterior, predict(posterior), readings))


def _said(posterior: Posterior, now: Prediction, readings: tuple[Reading, ...]) -> Iterator[Said]:
    values = {(one.quantity, one.at): one.value for one in readings}
    for one in expectations(posterior, now, readings, "*"):
        value = values[one.quantity, one.at]
        if judged(one, value).inside:
            continue
        kind = KINDS[one.quantity]
        yield said(
            "{label}: {value} was read after the work, and all that is known makes it {low:bare} "
            "to {high}. Until that is explained nobody can say that the target is met: read it "
            "again, and look whether the work is what was planned.",
            label=one.label,
            value=(one.sign * value, kind),
            low=(one.estimate.low, kind),
            high=(one.estimate.high, kind),
        )
