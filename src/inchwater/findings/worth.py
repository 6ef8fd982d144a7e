"""What each restriction is worth: the air to be won if it were as it should be."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from inchwater import units
from inchwater.findings.groups import Group, group_drop, groups
from inchwater.findings.types import Worth
from inchwater.quantity import Estimate
from inchwater.survey.job import Survey

if TYPE_CHECKING:
    from inchwater.calibration import Posterior
    from inchwater.forecast import Prediction

# Gains below a technician's notice are not worth a line.
_NOTICED = units.to_si(3.0, "cfm")
# A part that takes less than this share of the pressure cannot be worth a line either.
_LEAST_SHARE = 0.02
_MOST_GROUPS = 8


def worth(posterior: Posterior, as_found: Prediction, survey: Survey) -> tuple[Worth, ...]:
    """The gain in airflow from each group of parts as it should be, the largest first.

    Parameters
    ----------
    posterior : Posterior
        What the readings say of every part.
    as_found : Prediction
        The system as it is, on the same samples.
    survey : Survey
        The survey of both.

    Returns
    -------
    tuple of Worth
        Gains are differences sample by sample, so that what both have in common cancels. [m3/s]
        A group with less to gain than 3 cfm is left out; beyond the eight groups that take most
        of the pressure none is looked at.

    Notes
    -----
    Gains do not add up: each is alone, with everything else as found.
    """
    from inchwater.forecast import ideal

    now = np.asarray(as_found.solution.airflow, dtype=float)
    weights = np.asarray(as_found.weights, dtype=float)
    found = []
    for group in _that_matter(as_found, survey):
        better = ideal(posterior, group.parts)
        gain = np.asarray(better.solution.airflow, dtype=float) - now
        estimate = Estimate.of(gain, weights, "airflow")
        if estimate.value >= _NOTICED:
            found.append(Worth(group.key, group.label, group.side, estimate, _note(group, survey)))
    return tuple(sorted(found, key=lambda one: -one.gain.value))


def _that_matter(as_found: Prediction, survey: Survey) -> list[Group]:
    """The groups that take most of the pressure: each costs a solve to look at."""
    tesp = float(np.median(as_found.solution.tesp))
    drops = [
        (float(np.median(group_drop(as_found, group))), group) for group in groups(as_found, survey)
    ]
    large = sorted((one for one in drops if one[0] >= _LEAST_SHARE * tesp), key=lambda one: -one[0])
    return [group for _, group in large[:_MOST_GROUPS]]


def _note(group: Group, survey: Survey) -> str:
    if group.alike and group.side == "supply":
        return "which one, these readings cannot say"
    if group.guidance == "coil" and group.side == "unit":
        inside = next((c for c in survey.coils or () if c.inside_unit), None)
        if inside is not None:
            return "inside the cabinet: its own restriction reads as low external static"
    return ""
