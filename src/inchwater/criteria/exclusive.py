"""Targets of one call that no system can meet together, told with both of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from inchwater.air import airflow_from_rise
from inchwater.criteria.target import Target
from inchwater.errors import InputError
from inchwater.quantity import in_sentence
from inchwater.survey.job import Survey

# Windows that miss each other by less than this share are not called exclusive: figures are rounded
# and a burner's heat is known to some percent only. [-]
_SLACK = 0.02


def refuse_exclusive(survey: Survey, found: Iterable[Target], call: str) -> None:
    """Nothing, or the first pair of targets that leaves no airflow to both.

    Raises
    ------
    InputError
        at ``targets``, with both windows and who says so.
    """
    by_key: dict[str, list[Target]] = {}
    for one in found:
        by_key.setdefault(one.key, []).append(one)
    windows = [one for key in ("airflow", "kit-air", "leak-air") for one in by_key.get(key, ())]
    windows += [
        _air_for_rise(survey, rise, call)
        for rise in by_key.get("rise", ())
        if rise.needed and _heat(survey, call) is not None
    ]
    for number, one in enumerate(windows):
        for other in windows[:number]:
            _compare(one, other)
    air = next(iter(by_key.get("airflow", ())), None)
    if air is None:
        return
    for one in by_key.get("delivered", ()):
        _compare(one, air)
    rooms = [one for one in by_key.get("room-share", ()) if one.quantity == "room_airflow"]
    least = sum(one.low or 0.0 for one in rooms)
    if rooms and air.high is not None and least > air.high * (1.0 + _SLACK):
        words = f"Air in {len(rooms)} rooms together"
        together = _airflow(words, least, None, rooms[0])
        _compare(together, air)


def _compare(one: Target, other: Target) -> None:
    high, least = other.high, one.low
    low, most = other.low, one.high
    below = high is not None and least is not None and least > high * (1.0 + _SLACK)
    above = low is not None and most is not None and low > most * (1.0 + _SLACK)
    if below or above:
        raise InputError(
            where="targets",
            came=f"{_words(one)}, beside {_words(other)},",
            right="no airflow meets both",
            do="Change one of the two.",
        )


def _words(one: Target) -> str:
    label = in_sentence(one.label)
    return f"{label} of {one.bounds()} ({one.source})"


def _heat(survey: Survey, call: str) -> float | None:
    """What burner or elements give by their plates. [W]"""
    unit = survey.unit
    if unit.heat == "heat-pump":
        return None
    fact = unit.heat_output_low if call == "heating-low" else unit.heat_output
    if fact is None and call == "heating" and unit.heat_kit is not None:
        fact = unit.heat_kit.power
    return None if fact is None else fact.si


def _air_for_rise(survey: Survey, rise: Target, call: str) -> Target:
    """The airflow that a rise leaves room for, at standard density."""
    heat = _heat(survey, call)
    assert heat is not None
    low = None if rise.high is None else float(airflow_from_rise(heat, rise.high))
    high = None if rise.low is None else float(airflow_from_rise(heat, rise.low))
    return _airflow(f"Air for a temperature rise of {rise.bounds()}", low, high, rise)


def _airflow(label: str, low: float | None, high: float | None, by: Target) -> Target:
    """The airflow that another target comes to. [m3/s]"""
    return replace(
        by, label=label, quantity="airflow", subject="", low=low, high=high, unit_kind="airflow"
    )
