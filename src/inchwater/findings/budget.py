"""Where the pressure goes: what each part takes, beside what it usually may."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from inchwater.criteria import guidance
from inchwater.criteria.limits import cited
from inchwater.findings.groups import group_drop, groups
from inchwater.findings.types import BudgetRow
from inchwater.quantity import Estimate
from inchwater.survey.job import Survey

if TYPE_CHECKING:
    from inchwater.forecast import Prediction


def budget(prediction: Prediction, survey: Survey) -> tuple[BudgetRow, ...]:
    """The drop of each group of parts with its range, in the air's order.

    Parameters
    ----------
    prediction : Prediction
        Solved samples; its drops are what is shown.
    survey : Survey
        The survey that the prediction is of.

    Returns
    -------
    tuple of BudgetRow
        Parts side by side are one row. Guidance is for a whole side (ducts) or a part (filter,
        coil, grille), as its source has it. [Pa]
    """
    weights = np.asarray(prediction.weights, dtype=float)
    rows = []
    for group in groups(prediction, survey):
        usual = guidance(group.guidance)
        source = ""
        if usual is not None:
            source = cited(usual.source, usual.place)
            source = f"{source} (from memory)" if usual.status == "memory" else source
        rows.append(
            BudgetRow(
                key=group.key,
                label=group.label,
                side=group.side,
                drop=Estimate.of(group_drop(prediction, group), weights, "pressure"),
                guidance=usual.drop if usual is not None else None,
                source=source,
            )
        )
    return tuple(rows)
