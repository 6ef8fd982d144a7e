"""The cautions that belong to an act on this system, the gravest first.

The texts are our own words over the sources in ``data/cautions.csv``.  What is not known of the
building counts as a reason to look, never as "no danger".
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Literal, get_args

from inchwater.errors import UnknownNameError
from inchwater.findings.types import Caution
from inchwater.survey.job import Survey

# ``cabinet``: opening the unit to look, power off.
Act = Literal[
    "reading",
    "test-point",
    "cabinet",
    "filter",
    "return",
    "duct",
    "tap",
    "register",
    "pulled-run",
    "door",
    "cleaning",
    "insulation",
]
ACTS: tuple[Act, ...] = get_args(Act)

# Which act a kind of change is (doing nothing is none), and which act a temporary condition is.
ACT_OF_CHANGE: dict[str, Act] = {
    "filter": "filter",
    "grille": "return",
    "add-return": "return",
    "enlarge-run": "duct",
    "tighten-run": "duct",
    "add-run": "duct",
    "fitting": "duct",
    "register": "register",
    "tap": "tap",
    "cabinet": "return",
    "enlarge-return": "return",
    "shorten-run": "duct",
    "move-run": "duct",
    "boot": "duct",
    "plenum": "duct",
    "damper": "register",
    "insulate": "insulation",
    "seal": "duct",
    "remove-bypass": "duct",
    "transfer": "door",
    "clean-wheel": "cleaning",
    "clean-coil": "cleaning",
    "motor": "tap",
}
ACT_OF_CONDITION: dict[str, Act] = {
    "filter": "filter",
    "run": "pulled-run",
    "register": "register",
    "tap": "tap",
}


@dataclass(frozen=True, slots=True)
class _Row:
    acts: frozenset[str]
    trigger: str
    caution: Caution


@cache
def _rows() -> tuple[_Row, ...]:
    text = resources.files("inchwater.findings.data").joinpath("cautions.csv").read_text("utf-8")
    return tuple(
        _Row(
            acts=frozenset(row["acts"].split()),
            trigger=row["trigger"],
            caution=Caution(row["id"], row["title"], row["text"], row["source"], row["status"]),
        )
        for row in csv.DictReader(text.splitlines())
    )


def cautions_for(survey: Survey, act: str, *, watts: bool = False) -> tuple[Caution, ...]:
    """The cautions of one act on one system, in the order of the file: the gravest first.

    Parameters
    ----------
    survey : Survey
        What is known of unit and building.
    act : str
        One of :data:`ACTS`.
    watts : bool, default False
        Whether the act reads electric power.

    Raises
    ------
    UnknownNameError
        If there is no such act; the text lists those that there are.
    """
    if act not in ACTS:
        raise UnknownNameError(where="act", came=repr(act), right=f"acts are {', '.join(ACTS)}")
    return tuple(
        row.caution
        for row in _rows()
        if act in row.acts and (watts if row.trigger == "watts" else TRIGGERS[row.trigger](survey))
    )


def cautions_of(survey: Survey, acts: tuple[str, ...]) -> tuple[Caution, ...]:
    """The cautions of several acts together, each once, in the order of the file."""
    wanted = {caution.id for act in acts for caution in cautions_for(survey, act)}
    return tuple(row.caution for row in _rows() if row.caution.id in wanted)


# --- what calls a caution up -------------------------------------------------------------------


def _gas(survey: Survey) -> bool:
    heat = survey.unit.heat
    return heat == "gas" or (heat is None and survey.unit.kind == "furnace")


def _fuel(survey: Survey) -> bool:
    return _gas(survey) or bool(survey.place.fuel_appliances)


def _fuel_unknown(survey: Survey) -> bool:
    return not _fuel(survey) and survey.place.fuel_appliances is None


def _built_before(year: int) -> Callable[[Survey], bool]:
    return lambda survey: survey.place.built is not None and survey.place.built < year


def _motor(*motors: str | None) -> Callable[[Survey], bool]:
    return lambda survey: survey.unit.motor in motors


def _space(name: str) -> Callable[[Survey], bool]:
    return lambda survey: survey.place.space == name


TRIGGERS: dict[str, Callable[[Survey], bool]] = {
    "always": lambda survey: True,
    "fuel": _fuel,
    "fuel-unknown": _fuel_unknown,
    "gas-heat": _gas,
    # A heat pump most often has electric strips behind it; unknown heat is looked at too.
    "electric-heat": lambda survey: (
        survey.unit.heat in ("electric", "heat-pump")
        or (survey.unit.heat is None and survey.unit.kind != "furnace")
    ),
    "attic": _space("attic"),
    "crawlspace": _space("crawlspace"),
    "before-1980": _built_before(1980),
    "before-1978": _built_before(1978),
    "built-unknown": lambda survey: survey.place.built is None,
    "constant-torque": _motor("constant-torque"),
    "constant-airflow": _motor("constant-airflow"),
    "psc": _motor("psc"),
    "leads": _motor("psc", "constant-torque", None),
    "motor-unknown": _motor(None),
    "cooling": lambda survey: survey.coils is None or bool(survey.coils),
    "filter-out": lambda survey: survey.filters is None or bool(survey.filters),
}
