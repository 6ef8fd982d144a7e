"""The curves of one system: its blower by tap, the duct system with its band, where they meet."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from inchwater.answer.types import Curves, TapLine
from inchwater.parts.coefficients import table
from inchwater.quantity import Estimate
from inchwater.survey import Survey

if TYPE_CHECKING:
    from inchwater.forecast import Prediction

_POINTS = 13


def curves(prediction: Prediction, survey: Survey) -> Curves:
    """Blower and system curves of a prediction.

    Parameters
    ----------
    prediction : Prediction
        Solved samples: each is a point of its own system curve.
    survey : Survey
        Its table has the other taps.

    Returns
    -------
    Curves
        Airflow [m3/s], pressure at the table's boundary [Pa].

    Notes
    -----
    A sample's system curve goes through its own operating point with the lumped exponent of
    ``data/curves.csv``; the band holds 9 in 10 of the samples.
    """
    solution = prediction.solution
    weights = np.asarray(prediction.weights, dtype=float)
    airflow = np.asarray(solution.airflow, dtype=float)
    tesp = np.asarray(solution.entry, dtype=float)
    figures = table("curves", "inchwater.answer.data")
    exponent, reach = figures["system-exponent"].value, figures["reach"].value
    middle = Estimate.of(airflow, weights, "airflow").value
    band = []
    for flow in np.linspace(0.0, middle * reach, _POINTS):
        at = Estimate.of(tesp * (flow / airflow) ** exponent, weights, "pressure")
        band.append((float(flow), at.low, at.value, at.high))
    return Curves(
        taps=_taps(prediction, survey),
        system=tuple(band),
        point=(middle, Estimate.of(tesp, weights, "pressure").value),
    )


def _taps(prediction: Prediction, survey: Survey) -> tuple[TapLine, ...]:
    from inchwater.parts.blowers import tap_curve

    fan = prediction.solution.network.fan
    unit = survey.unit
    if unit.table is None or not fan.has_table:
        curve = fan.curves[0]
        pressures = np.linspace(*curve.range, _POINTS)
        flows = np.asarray(curve.airflow(pressures), dtype=float)
        points = tuple(zip(map(float, flows), map(float, pressures), strict=True))
        return (TapLine("usual", True, points),)
    # Which taps may be in use: one where it is known, several where nobody has said.
    in_use = set(fan.taps)
    lines = []
    for tap in unit.table.taps:
        rows = [r for r in unit.table.rows if r.tap == tap and r.airflow is not None]
        if len(rows) == 1:
            lines.append(
                TapLine(tap, tap in in_use, ((float(rows[0].airflow or 0.0), rows[0].tesp),))
            )
            continue
        if not rows:
            continue
        curve = tap_curve(unit.table.rows, tap)
        pressures = np.linspace(*curve.range, _POINTS)
        flows = np.asarray(curve.airflow(pressures), dtype=float)
        lines.append(
            TapLine(
                tap,
                tap in in_use,
                tuple(zip(map(float, flows), map(float, pressures), strict=True)),
            )
        )
    return tuple(lines)
