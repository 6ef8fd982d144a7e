"""What is wanted of a system: the airflow window from the job's targets, or from a named preset."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from inchwater import units
from inchwater.criteria.limits import cited, read_rows
from inchwater.errors import InputError, UnknownNameError
from inchwater.survey.facts import Fact, How
from inchwater.survey.job import Survey, Targets

# Whose bounds they are that somebody wants of this one system.
STATED = "stated for this job"


@dataclass(frozen=True, slots=True)
class Preset:
    """A named window of airflow for the capacity [m3/s per W], with its source."""

    key: str
    label: str
    low: float
    high: float
    source: str
    status: str
    note: str


@dataclass(frozen=True, slots=True)
class Goal:
    """The wanted airflow of one system, from ``low`` to ``high`` [m3/s], and who wants it."""

    low: float
    high: float
    source: str
    status: str = ""
    stated: bool = False

    @property
    def middle(self) -> float:
        """The figure that a sentence names, and the design unless one is stated. [m3/s]"""
        return 0.5 * (self.low + self.high)


@cache
def presets() -> dict[str, Preset]:
    """Every preset by its key."""
    return {
        row["key"]: Preset(
            key=row["key"],
            label=row["label"],
            low=units.to_si(float(row["low"]), row["unit"], "airflow_per_capacity"),
            high=units.to_si(float(row["high"]), row["unit"], "airflow_per_capacity"),
            source=cited(row["source"], row["place"]),
            status=row["status"],
            note=row["note"],
        )
        for row in read_rows("presets.csv")
    }


def preset(key: str) -> Preset:
    """The preset of this key; UnknownNameError with the choices if there is none."""
    try:
        return presets()[key]
    except KeyError:
        raise UnknownNameError(
            where="targets.preset", came=repr(key), right=f"presets are {', '.join(presets())}"
        ) from None


def goal(survey: Survey, targets: Targets) -> Goal:
    """The wanted airflow of this system.

    Parameters
    ----------
    survey : Survey
        Its unit's capacity scales the window.
    targets : Targets
        Either bound outranks that of the preset.

    Raises
    ------
    InputError at "targets.airflow_per_capacity_low" if it is not below the high bound.
    """
    from_preset = preset(targets.preset)
    low = _bound(targets.airflow_per_capacity_low, from_preset.low)
    high = _bound(targets.airflow_per_capacity_high, from_preset.high)
    if not low < high:
        raise InputError(
            where="targets.airflow_per_capacity_low",
            came=f"{units.from_si(low, 'cfm_ton'):.0f} cfm/ton",
            right=f"it lies below the high bound, {units.from_si(high, 'cfm_ton'):.0f} cfm/ton",
            do="Correct one of the two bounds, or leave both out for the preset.",
        )
    stated = targets.airflow_per_capacity_low or targets.airflow_per_capacity_high
    capacity = survey.unit.capacity.si
    if stated is not None:
        return Goal(low * capacity, high * capacity, STATED, str(stated.how), True)
    return Goal(low * capacity, high * capacity, from_preset.source, from_preset.status)


def for_cooling(survey: Survey, call: str | None) -> bool:
    """Whether the wanted window is for what runs in this thermostat call.

    Windows per capacity are for air across a coil that cools, or heats as a heat pump; a call for
    the fan alone or for burner and heater is wanted otherwise.
    """
    if call in (None, "cooling"):
        return True
    return call == "heating" and survey.unit.heat == "heat-pump"


def burns_gas(survey: Survey) -> bool:
    """Whether it is a gas furnace, as far as the survey says; a furnace of unknown heat is."""
    unit = survey.unit
    return unit.heat == "gas" or (unit.heat is None and unit.kind == "furnace")


def plate(survey: Survey) -> tuple[float, How]:
    """The plate's limit of external static pressure [Pa] and how it is known.

    Without a plate the typical figure of ``limits.csv`` stands in, as ``How.TYPICAL``.
    """
    from inchwater.criteria.limits import criteria

    rating = survey.unit.tesp_rating
    if rating is not None:
        return rating.si, rating.how
    typical = criteria()["tesp"].high
    assert typical is not None  # the data file has it; a test holds it to that
    return typical, How.TYPICAL


def _bound(fact: Fact | None, otherwise: float) -> float:
    return fact.si if fact is not None else otherwise
