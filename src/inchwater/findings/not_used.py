"""Readings that are kept and not used, because the model has nothing to hold them against."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from inchwater.calibration.expected import not_used as why_not
from inchwater.findings.places import place_said, trial_said
from inchwater.findings.types import told
from inchwater.network import compile_network
from inchwater.quantity import Said
from inchwater.survey.job import Job
from inchwater.survey.trials import KINDS, Reading, Trial, place_of
from inchwater.units import System


@dataclass(frozen=True, slots=True)
class NotUsed:
    """One reading that no number rests on, with why, and what would make it count."""

    trial: str
    reading: str
    at: str
    quantity: str
    text: Said

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units."""
        return {
            "trial": self.trial,
            "reading": self.reading,
            "at": self.at,
            "quantity": self.quantity,
            "text": self.text.text(system),
        }


def not_used(job: Job, includes: frozenset[str] | None = None) -> tuple[NotUsed, ...]:
    """The readings of a job that its calibration passes over, in the order of its trials.

    Parameters
    ----------
    job : Job
        Survey and trials.
    includes : frozenset of str, optional
        What the table's zero is taken to hold, where the survey does not say.

    Notes
    -----
    Volts are not among them: they are held against nothing and set the blower.
    """
    return tuple(one for trial in job.trials for one in _of_trial(job, trial, includes))


def _of_trial(job: Job, trial: Trial, includes: frozenset[str] | None) -> Iterator[NotUsed]:
    # A static at one of the unit's own test points is used, or refused where it is compared.
    asked = [r for r in trial.in_force if r.quantity not in ("static", "voltage") or ":" in r.at]
    if not asked:
        return
    network = compile_network(job.survey_after(trial.after), trial.condition, includes)
    for reading in asked:
        why = why_not(reading, network)
        if why:
            yield NotUsed(
                trial.id, reading.id, reading.at, reading.quantity, _said(job, trial, reading, why)
            )


def _said(job: Job, trial: Trial, reading: Reading, why: str) -> Said:
    id_ = place_of(reading.at)[1]
    # The place has been said: its name is not said twice.
    why = why.replace(f"the grille of {id_}", "that grille").replace(
        f"passes {id_} here", "passes there"
    )
    if job.survey.unit.table is None and reading.quantity in ("power", "speed"):
        why = "there is no blower table yet"
    when = f" in {trial_said(job, trial.id)}" if len(job.trials) > 1 else ""
    rise = "A rise of " if reading.quantity == "temperature-rise" else ""
    return told(
        rise + "{m} {place}{when} is kept and not used: {why}. {remedy}",
        m=(abs(reading.value), KINDS[reading.quantity]),
        place=place_said(reading.at),
        when=when,
        why=why,
        remedy=_remedy(reading, trial),
    )


def _remedy(reading: Reading, trial: Trial) -> str:
    """What would make the reading count."""
    match reading.quantity:
        case "power":
            return "With a table that prints watts it counts."
        case "speed":
            return "With a table that prints the blower's speed it counts."
        case "temperature-rise":
            call = trial.condition.get("call", "cooling")
            if call != "heating":
                return "Read it again in a full heating call."
            return "Say what heat the unit gives, and it counts."
        case "static" if reading.at.startswith("return:"):
            return "Type the grille's size, and it counts."
        case _:
            return "Say what was open and in place in that trial, or take the reading back."
