"""Where something can be read in a practice house as it stands, and how many minutes that takes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from inchwater.errors import InputError
from inchwater.rehearsal.practice_figures import practice
from inchwater.rehearsal.state import State
from inchwater.survey import TEST_POINTS, Quantity, Survey, place_of

# By which of the given minutes a static's place is read; a plenum's hole is our own figure.
_STATIC = {
    "before-filter": "before-filter",
    "before-coil": "coil-side",
    "trunk:": "duct",
    "run:": "duct",
    "return:": "return-grille",
}
_AT_UNIT: dict[Quantity, str] = {
    "airflow": "flow",
    "power": "watts",
    "voltage": "watts",
    "speed": "speed",
    "temperature-rise": "temperature-rise",
}


@dataclass(frozen=True, slots=True)
class Spot:
    """One place at which one quantity can be read, and the minutes of the first time [min]."""

    quantity: Quantity
    at: str
    minutes: float

    @property
    def again(self) -> float:
        """The minutes of every later time. [min]"""
        return round(2.0 * practice("share again") * self.minutes) / 2.0


def spots(
    survey: Survey, state: State, condition: Mapping[str, str], minutes: Mapping[str, float]
) -> tuple[Spot, ...]:
    """Everything that can be read now, in the order in which a technician comes to it.

    Parameters
    ----------
    survey : Survey
        As it stands: a part that nobody wrote down cannot be found.
    state : State
        What truly is; its places are those of the house.
    condition : mapping
        A filter that is out has no drop, and a rise needs a call for heat.
    minutes : mapping
        Of each kind of reading. [min]

    Raises
    ------
    InputError
        If a kind of reading has no minutes.
    """
    return tuple(
        Spot(quantity, at, _minutes(minutes, quantity, at, survey))
        for quantity, at in _readable(survey, state, condition)
    )


def _readable(
    survey: Survey, state: State, condition: Mapping[str, str]
) -> Iterator[tuple[Quantity, str]]:
    out = any(value == "out" for value in condition.values())
    for point in TEST_POINTS:
        if point in state.static:
            yield "static", point
    for part in state.drop:
        if not (out and part.startswith("filter:")):
            yield "drop", part
    if not out:
        # The plate stands in the filter's slot.
        yield "airflow", "unit"
    yield "power", "unit"
    yield "voltage", "unit"
    yield "speed", "unit"
    if state.rise > 0.0:
        yield "temperature-rise", "unit"
    for run in state.runs:
        yield "airflow", f"register:{run}"
    known = {one.id for one in survey.returns or () if one.kind != "common"}
    for kind in ("return:", "trunk:", "run:"):
        for at in state.static:
            found, part = place_of(at)
            if found == kind and (kind != "return:" or part in known):
                yield "static", at


def _minutes(minutes: Mapping[str, float], quantity: Quantity, at: str, survey: Survey) -> float:
    kind, part = place_of(at)
    if quantity == "static" and at in ("return", "supply"):
        return practice("minutes point")
    if quantity == "static":
        key = _STATIC[kind]
    elif quantity == "drop":
        at_grille = {one.id for one in survey.filters or () if one.at == "grille"}
        key = "coil-side" if kind == "coil:" else "filter-drop"
        key = "return-grille" if part in at_grille else key
    else:
        key = "hood" if kind == "register:" else _AT_UNIT[quantity]
    if key not in minutes:
        raise InputError(
            where=f"minutes.{key}",
            came="nothing",
            right=f"there are minutes for {', '.join(minutes)}",
            do="Give this kind of reading its minutes as well.",
        )
    return minutes[key]
