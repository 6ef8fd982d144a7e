"""Targets of one call that no system can meet together, told with both of them."""

from __future__ import annotations

from collections.abc import Iterable

from inchwater.air import airflow_from_rise
from inchwater.criteria.target import Target
from inchwater.errors import InputError
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
    windows = [*by_key.get("airflow", ()), *by_key.get("kit-air", ())]
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
        together = Target(
            key="room-share",
            label=f"Air in {len(rooms)} rooms together",
            quantity="airflow",
            call=call,
            subject="",
            low=least,
            high=None,
            unit_kind="airflow",
            source=rooms[0].source,
            status=rooms[0].status,
        )
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
    label = f"{one.label[:1].lower()}{one.label[1:]}"
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
    return Target(
        key="rise",
        label=f"Air for a temperature rise of {rise.bounds()}",
        quantity="airflow",
        call=call,
        subject="",
        low=low,
        high=high,
        unit_kind="airflow",
        source=rise.source,
        status=rise.status,
    )
