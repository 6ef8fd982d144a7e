"""Houses as a file: what every benchmark reads with ``--houses FILE`` (docs/houses.md).

A house that others made needs no ``world``; its survey with trials and what truly was in each is
enough.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from inchwater.errors import FormatError, InchwaterError
from inchwater.rehearsal.house import Truths, VirtualHouse
from inchwater.rehearsal.state import State
from inchwater.survey import job_from_dict, job_to_dict

FORMAT, VERSION = "inchwater-houses", 1
# Keys of a stored state with the state's own names; the first five are wanted, the others may lack.
_NUMBERS = {
    "airflow_m3s": "airflow",
    "delivered_m3s": "delivered",
    "tesp_pa": "tesp",
    "power_w": "power",
    "speed_rads": "speed",
}
_TABLES = {
    "static_pa": "static",
    "drop_pa": "drop",
    "runs_m3s": "runs",
    "grilles_m3s": "grilles",
}
_HOUSE_KEYS = ("id", "tags", "roles", "job", "truths")


def save_houses(path: str | Path, houses: Iterable[VirtualHouse]) -> None:
    """Write houses to a file.

    Parameters
    ----------
    path : path
        Replaced if it exists.
    houses : iterable of VirtualHouse
        In the order in which they are read again.
    """
    document = {
        "format": FORMAT,
        "version": VERSION,
        "houses": [house_to_dict(house) for house in houses],
    }
    text = json.dumps(document, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    Path(path).write_text(text + "\n", encoding="utf-8")


def load_houses(path: str | Path) -> tuple[VirtualHouse, ...]:
    """Read houses from a file.

    Raises
    ------
    FormatError
        If it is not such a file: the text says where and what is wanted.
    InchwaterError
        If a house's job cannot be right.
    """
    place = str(path)
    try:
        document = json.loads(Path(path).read_text(encoding="utf-8"), parse_constant=_no_number)
    except OSError as problem:
        raise FormatError(
            where=place,
            came=problem.strerror or str(problem),
            right="a file of houses is wanted",
        ) from problem
    except ValueError as problem:
        if isinstance(problem, FormatError):
            raise
        raise FormatError(
            where=place, came=f"no JSON ({problem})", right="a file of houses is JSON in UTF-8"
        ) from problem
    if not isinstance(document, Mapping) or document.get("format") != FORMAT:
        raise FormatError(
            where=place,
            came=repr(document.get("format")) if isinstance(document, Mapping) else "a list",
            right=f'an object with "format": "{FORMAT}" is wanted',
        )
    if document.get("version") != VERSION:
        raise FormatError(
            where=f"{place}: version",
            came=repr(document.get("version")),
            right=f"this version reads files of version {VERSION}",
        )
    houses = document.get("houses")
    if not isinstance(houses, list) or not houses:
        raise FormatError(
            where=f"{place}: houses", came="no house", right="a list of one house or more is wanted"
        )
    found = tuple(house_from_dict(one, f"houses[{k}]") for k, one in enumerate(houses))
    ids = [house.id for house in found]
    twice = next((one for one in ids if ids.count(one) > 1), None)
    if twice is not None:
        raise FormatError(
            where=f"{place}: houses",
            came=f"the id {twice!r} twice",
            right="each house has an id of its own",
        )
    return found


def house_to_dict(house: VirtualHouse) -> dict[str, Any]:
    """One house as plain values."""
    document: dict[str, Any] = {
        "id": house.id,
        "tags": dict(house.tags),
        "roles": dict(house.roles),
        "job": job_to_dict(house.job),
        "truths": {
            "trials": {key: _state_to(one) for key, one in house.truths.trials.items()},
            "changes": {key: _state_to(one) for key, one in house.truths.changes.items()},
        },
    }
    if house.world is not None:
        document["world"] = dict(house.world)
    return document


def house_from_dict(document: Any, where: str = "house") -> VirtualHouse:
    """One house of plain values, checked."""
    if not isinstance(document, Mapping):
        raise FormatError(where=where, came=type(document).__name__, right="an object is wanted")
    for key in _HOUSE_KEYS:
        if key not in document:
            raise _missing(f"{where}.{key}", f"a house has {', '.join(_HOUSE_KEYS)}")
    try:
        job = job_from_dict(document["job"])
    except InchwaterError as problem:
        # The job's own words, with the house in which they hold.
        problem.where = f"{where}.job: {problem.where}"
        problem.args = (str(problem),)
        raise
    truths = document["truths"]
    parts: dict[str, dict[str, State]] = {}
    for part, known in (
        ("trials", tuple(trial.id for trial in job.trials)),
        ("changes", tuple(change.id for change in job.changes)),
    ):
        at = f"{where}.truths.{part}"
        if not isinstance(truths, Mapping) or not isinstance(truths.get(part), Mapping):
            raise _missing(at, "truths hold trials and changes, by their ids")
        parts[part] = {}
        for key, one in truths[part].items():
            if key not in known:
                raise FormatError(
                    where=f"{at}.{key}",
                    came=repr(key),
                    right=f"the job's {part} are {', '.join(known) or 'none'}",
                )
            parts[part][key] = _state_from(one, f"{at}.{key}")
    roles = document["roles"]
    for trial in job.trials:
        if trial.id not in roles:
            raise _missing(f"{where}.roles.{trial.id}", "every trial of the job has a role")
        if trial.id not in parts["trials"]:
            raise _missing(f"{where}.truths.trials.{trial.id}", "every trial has its truth")
    strange = next((key for key in roles if key not in parts["trials"]), None)
    if strange is not None:
        raise FormatError(
            where=f"{where}.roles.{strange}",
            came=repr(strange),
            right=f"the job's trials are {', '.join(parts['trials'])}",
        )
    return VirtualHouse(
        id=str(document["id"]),
        tags={str(key): str(value) for key, value in document["tags"].items()},
        job=job,
        roles={str(key): str(value) for key, value in roles.items()},
        truths=Truths(parts["trials"], parts["changes"]),
        world=document.get("world"),
    )


def _missing(where: str, right: str) -> FormatError:
    return FormatError(where=where, came="nothing", right=right)


def _no_number(text: str) -> float:
    raise FormatError(where="file of houses", came=text, right="numbers with an end are wanted")


def _state_to(one: State) -> dict[str, Any]:
    stored: dict[str, Any] = {key: float(getattr(one, name)) for key, name in _NUMBERS.items()}
    for key, name in _TABLES.items():
        stored[key] = {at: float(value) for at, value in getattr(one, name).items()}
    stored["rise_k"] = float(one.rise)
    return stored


def _state_from(stored: Any, where: str) -> State:
    if not isinstance(stored, Mapping):
        raise FormatError(where=where, came=type(stored).__name__, right="an object is wanted")
    values: dict[str, Any] = {}
    for key, name in _NUMBERS.items():
        if key not in stored:
            raise _missing(f"{where}.{key}", f"a truth has {', '.join(_NUMBERS)} and static_pa")
        values[name] = _number(stored[key], f"{where}.{key}")
    if "static_pa" not in stored:
        raise _missing(f"{where}.static_pa", f"a truth has {', '.join(_NUMBERS)} and static_pa")
    for key, name in _TABLES.items():
        given = stored.get(key, {})
        if not isinstance(given, Mapping):
            raise FormatError(
                where=f"{where}.{key}",
                came=type(given).__name__,
                right="an object of numbers by place is wanted",
            )
        values[name] = {at: _number(one, f"{where}.{key}.{at}") for at, one in given.items()}
    return State(**values, rise=_number(stored.get("rise_k", 0.0), f"{where}.rise_k"))


def _number(value: Any, where: str) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
        raise FormatError(where=where, came=repr(value), right="a number is wanted")
    return float(value)
