"""Targets of the rooms: air against design and load, pressure behind a shut door."""

from __future__ import annotations

from dataclasses import replace

from inchwater.criteria.bounds import Bounds, figure, said_by_others, usual
from inchwater.criteria.maker import Maker
from inchwater.criteria.presets import for_cooling
from inchwater.survey.job import Survey
from inchwater.survey.unit import HEATING_CALLS


def of_rooms(maker: Maker) -> None:
    """Shares of the air against designs and loads, and pressures behind shut doors."""
    loads = load_shares(maker.survey, maker.call)
    least = figure("room-least")
    for room in maker.survey.rooms or ():
        name = room.name or room.id
        found = maker.wished.bounds(
            "room-share",
            "ratio",
            usual("room-share"),
            room.id,
            others=said_by_others("room-share", "ratio"),
        )
        if found is None or found.high is None:
            continue
        wide = 0.0 if found.stated else least
        design = room.airflow
        if design is not None and for_cooling(maker.survey, maker.call or None):
            off = max(found.high * design.si, wide)
            bounds = _about(found, design.si, off)
            maker.add("room-share", f"Air in {name}", "room_airflow", "airflow", bounds, room.id)
        elif room.id in loads:
            _share(maker, found, name, room.id, loads[room.id], wide)
    for room in maker.survey.rooms or ():
        design = room.airflow
        _door(maker, room.id, room.name or room.id, None if design is None else design.si)


def _share(maker: Maker, found: Bounds, name: str, id_: str, load: float, wide: float) -> None:
    """The share of the air over that of the load, which is to be one."""
    window = next((one for one in maker.found if one.key == "airflow"), None)
    off = found.high or 0.0
    if window is not None and window.low is not None and window.high is not None and load > 0.0:
        # 25 cfm of a small room's design are more than a fifth of it.
        off = max(off, wide / (load * 0.5 * (window.low + window.high)))
    bounds = _about(found, 1.0, off)
    label = f"Share of the air in {name} over its share of the load"
    maker.add("room-share", label, "room_share", "ratio", bounds, id_)


def _door(maker: Maker, id_: str, name: str, design: float | None) -> None:
    is_large = design is not None and design >= figure("door-large")
    maker.add(
        "door-pressure",
        f"Pressure in {name} with its door shut",
        "door_pressure",
        "pressure",
        maker.wished.bounds(
            "door-pressure",
            "pressure",
            usual("door-pressure-large" if is_large else "door-pressure"),
            id_,
        ),
        id_,
        needed=False,
    )


def load_shares(survey: Survey, call: str) -> dict[str, float]:
    """Each room's share of the loads that are known, by room [-]; of heating in a heating call."""
    heating = call in HEATING_CALLS
    loads = {}
    for room in survey.rooms or ():
        load = room.heating_load if heating else room.cooling_load
        if load is not None:
            loads[room.id] = load.si
    total = sum(loads.values())
    return {id_: load / total for id_, load in loads.items()} if total > 0.0 else {}


def _about(found: Bounds, middle: float, off: float) -> Bounds:
    low = max(middle - off, 0.0)
    return replace(found, low=low, high=middle + off)
