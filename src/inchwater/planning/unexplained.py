"""Readings after work that no system fits which the survey and the other readings allow.

Heavy-tailed errors let such a reading go, and odds are then those of all but it: nobody may stop on
them.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from inchwater.planning.steps_expected import expectations, judged
from inchwater.quantity import Said, said
from inchwater.survey import KINDS, Job, Reading, standing_trial

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

    readings = _of_the_standing(posterior.job)
    if not readings:
        return ()
    return tuple(_said(posterior, predict(posterior), readings))


def _of_the_standing(job: Job) -> tuple[Reading, ...]:
    """The last reading of each place and quantity with what is in force, once there is work."""
    stands = standing_trial(job)
    if stands is None or not stands.after:
        return ()
    found: dict[tuple[str, str], Reading] = {}
    for trial in job.trials:
        if (trial.after, dict(trial.condition)) == (stands.after, dict(stands.condition)):
            for reading in trial.in_force:
                if reading.quantity != "voltage":
                    found[reading.quantity, reading.at] = reading
    return tuple(found.values())


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
