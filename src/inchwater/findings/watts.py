"""Watts against the table: what statics cannot show of a blower's setting, its power can."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from inchwater.findings.types import Doubt, near, told
from inchwater.quantity import Estimate
from inchwater.survey.job import Survey
from inchwater.survey.trials import Trial


@dataclass(frozen=True, slots=True)
class _Cell:
    """What the table gives on one tap at one pressure: power [W] and airflow [m3/s]."""

    tap: str
    power: float
    airflow: float


def watts_doubts(
    trial: Trial, survey: Survey, tesp: float | None, threshold: Callable[[str], float]
) -> Iterator[Doubt]:
    """Whether the watts of a trial fit the tap that is said to be in use.

    Parameters
    ----------
    trial : Trial
        Its power reading is held against the table.
    survey : Survey
        The survey in force in the trial.
    tesp : float or None
        Supply less return static of the trial. [Pa]
    threshold : callable
        A figure of ``consistency.csv`` by its key.
    """
    power = next((r for r in trial.in_force if r.quantity == "power"), None)
    table = survey.unit.table
    if power is None or table is None or tesp is None or tesp <= 0.0:
        return
    cells = {cell.tap: cell for cell in _cells(survey, tesp)}
    said = cells.get(tap_in_use(survey, trial) or "")
    if said is None or abs(power.value / said.power - 1.0) <= threshold("watts-apart"):
        return
    nearest = min(cells.values(), key=lambda cell: abs(cell.power - power.value))
    fits = abs(nearest.power / power.value - 1.0) <= threshold("watts-near")
    constant_airflow = survey.unit.motor == "constant-airflow"
    what = "setting" if constant_airflow else "tap"
    text = "At this pressure the table has {s} on " + what + " {tap}" + "; {w} was read"
    values: dict[str, str | tuple[float, str] | Estimate] = {
        "tap": said.tap,
        "s": (said.power, "power"),
        "w": (power.value, "power"),
    }
    if fits and nearest.tap != said.tap:
        text += (
            ", which is what " + what + " {other} takes. Then the blower moves about {q}, not {o}."
        )
        values |= {"other": nearest.tap, "q": near(nearest.airflow), "o": near(said.airflow)}
    else:
        text += f", which no {what} of the table takes there."
    if constant_airflow:
        text += " Statics cannot show this on a blower that holds its airflow; watts can."
    yield Doubt(
        told(text, **values),
        (
            "Read the setting at the board's switches or in the thermostat's menu, and the "
            "blower's watts once more without anything else on the circuit."
            if constant_airflow
            else "Look which speed lead is on which terminal for this call, and read the "
            "blower's watts once more without anything else on the circuit."
        ),
        "watts",
        "unit",
    )


def tap_in_use(survey: Survey, trial: Trial) -> str | None:
    """The tap of a trial: its own, or that of its call, or the unit's; None if nobody knows."""
    from inchwater.network.compile_fan import tap_in_force

    return tap_in_force(survey.unit, trial.condition)


def _cells(survey: Survey, tesp: float) -> Iterator[_Cell]:
    from inchwater.parts.blowers import tap_curve

    table = survey.unit.table
    assert table is not None  # the caller has looked
    for tap in table.taps:
        rows = [row for row in table.rows if row.tap == tap and row.airflow is not None]
        if len(rows) < 2 or any(row.power is None for row in rows):
            continue
        curve = tap_curve(table.rows, tap)
        power = curve.power(tesp)
        if power is not None:
            yield _Cell(tap, float(power), float(curve.airflow(tesp)))
