"""A blower that holds its airflow: what it is set to, and which setting is wanted."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from inchwater.criteria import Goal
from inchwater.findings.types import near, told
from inchwater.findings.watts import tap_in_use
from inchwater.quantity import Estimate, Said
from inchwater.survey.job import Job

if TYPE_CHECKING:
    from inchwater.forecast import Prediction


def setting(job: Job, as_found: Prediction, goal: Goal) -> Said | None:
    """What is to be said of a constant-airflow blower's setting; None for any other motor.

    Parameters
    ----------
    job : Job
        Its table has the other settings; a power reading lets the watts speak.  Without a table
        it is told that only these two show the setting.
    as_found : Prediction
        The calibrated system; its pressure is where the table is entered.
    goal : Goal
        The wanted window. [m3/s]
    """
    from inchwater.parts.blowers import tap_curve

    unit = job.survey.unit
    if unit.motor != "constant-airflow" or not job.trials:
        return None
    read = any(r.quantity == "power" for trial in job.trials for r in trial.in_force)
    if unit.table is None:
        return told(
            "This blower holds the airflow that it is set to; statics cannot show which. "
            + ("Its watts were read, and" if read else "Its watts")
            + " tell it once the table's airflow and power on each setting are here."
        )
    tap = tap_in_use(job.survey, job.trials[0])
    if tap not in unit.table.taps:
        return None
    entry = float(np.median(as_found.solution.entry))
    flows = {}
    for name in unit.table.taps:
        cells = [row for row in unit.table.rows if row.tap == name and row.airflow is not None]
        if len(cells) > 1:
            flows[name] = float(tap_curve(unit.table.rows, name).airflow(entry))
    held = flows.get(tap or "")
    if held is None:
        return None
    text = "On setting {tap} the table has about {h}, whatever the pressure."
    text += (
        " Statics cannot show whether the blower holds it; its watts were read."
        if read
        else " Statics cannot show whether the blower holds it; its watts would."
    )
    values: dict[str, str | Estimate] = {"h": near(held), "tap": str(tap)}
    if held < goal.low:
        better = min(flows, key=lambda name: abs(flows[name] - goal.middle))
        if better != tap and flows[better] > held:
            text += " It is set too low: setting {better} moves about {b} at this pressure."
            values["better"] = better
            values["b"] = near(flows[better])
        else:
            text += " No setting of the table moves more."
    elif held > goal.high:
        text += " It is set above the wanted airflow."
    return told(text, **values)
