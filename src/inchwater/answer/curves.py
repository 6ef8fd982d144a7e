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
    from inchwater.parts.blowers import TapCurve

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
        return (TapLine("usual", True, _points(curve)),)
    # Which taps may be in use: one where it is known, several where nobody has said.
    in_use = set(fan.taps)
    lines = []
    for tap in unit.table.taps:
        rows = [r for r in unit.table.rows if r.tap == tap and r.airflow is not None]
        if len(rows) == 1 and tap not in in_use:
            lines.append(TapLine(tap, False, ((float(rows[0].airflow or 0.0), rows[0].tesp),)))
            continue
        if len(rows) < 2:
            continue
        curve = tap_curve(unit.table.rows, tap)
        lines.append(TapLine(tap, tap in in_use, _points(curve)))
    # A tap that the table lacks, or has one cell of, as it was filled.
    drawn = {line.tap for line in lines}
    filled = [pair for pair in zip(fan.taps, fan.curves, strict=True) if pair[0] not in drawn]
    return (*lines, *(TapLine(tap, True, _points(curve)) for tap, curve in filled))


def _points(curve: TapCurve) -> tuple[tuple[float, float], ...]:
    """Airflow [m3/s] and pressure [Pa] along a curve's own range."""
    pressures = np.linspace(*curve.range, _POINTS)
    flows = np.asarray(curve.airflow(pressures), dtype=float)
    return tuple(zip(map(float, flows), map(float, pressures), strict=True))
