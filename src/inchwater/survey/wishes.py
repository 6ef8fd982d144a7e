"""What somebody can wish of a system, and what cannot be wished.

The usual bounds of each, with their sources, stand in ``criteria``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from inchwater.errors import InchwaterError, InputError, UnknownNameError
from inchwater.survey.form import listed
from inchwater.survey.job import Job, Survey, Wish
from inchwater.survey.ranges import fact_problem
from inchwater.survey.unit import CALLS


@dataclass(frozen=True, slots=True)
class WishKey:
    """One thing that can be wished.

    ``kind`` is its kind of quantity, ``range`` its key of ``data/ranges.csv``; ``bounds`` is
    ``low``, ``high`` or ``both``; ``part`` is ``filter``, ``run``, ``trunk``, ``return``, ``room``,
    or empty where it is of the whole system.
    """

    key: str
    kind: str
    range: str
    bounds: str
    part: str = ""


_ALL = (
    WishKey("airflow", "airflow", "airflow", "both"),
    WishKey("delivered", "ratio", "delivered_share", "low"),
    WishKey("tesp", "pressure", "tesp_rating", "high"),
    WishKey("filter-face", "velocity", "velocity", "high", "filter"),
    WishKey("filter-drop", "pressure", "drop", "high", "filter"),
    WishKey("run-velocity", "velocity", "velocity", "high", "run"),
    WishKey("trunk-velocity", "velocity", "velocity", "high", "trunk"),
    WishKey("return-velocity", "velocity", "velocity", "high", "return"),
    WishKey("register-velocity", "velocity", "velocity", "high", "run"),
    WishKey("grille-velocity", "velocity", "velocity", "high", "return"),
    WishKey("noise", "noise_criterion", "noise_criterion", "high", "room"),
    WishKey("quieter", "sound_level", "quieter", "low", "room"),
    WishKey("room-share", "ratio", "off_share", "high", "room"),
    WishKey("door-pressure", "pressure", "door_pressure", "high", "room"),
    WishKey("power", "power_per_airflow", "power_per_airflow", "high"),
    WishKey("rise", "temperature_rise", "temperature_rise", "both"),
)
WISHES: Mapping[str, WishKey] = MappingProxyType({one.key: one for one in _ALL})
_PARTS = {
    "filter": "the filters are",
    "run": "the runs are",
    "trunk": "the trunks are",
    "return": "the returns are",
    "room": "the rooms are",
}


def parts_wished(survey: Survey, part: str) -> tuple[str, ...]:
    """The ids of what a wish of this ``part`` may name."""
    if part == "filter":
        return tuple(one.id for one in survey.filters or ())
    if part == "return":
        return tuple(one.id for one in survey.returns or ())
    if part == "room":
        return tuple(one.id for one in survey.rooms or ())
    branches = () if survey.supply is None else survey.supply.walk()
    return tuple(b.id for b, _ in branches if b.is_trunk == (part == "trunk"))


def wish_problems(job: Job) -> Iterator[InchwaterError]:
    """Everything in the wishes of a job that cannot be."""
    seen: set[tuple[str, str | None, str | None]] = set()
    for index, wish in enumerate(job.targets.wishes):
        where = f"targets.wishes[{index}]"
        if wish.key not in WISHES:
            yield UnknownNameError(
                where=f"{where}.key", came=repr(wish.key), right=f"wishes are {', '.join(WISHES)}"
            )
            continue
        yield from _wish_problems(where, wish, WISHES[wish.key], job.survey)
        said = (wish.key, wish.call, wish.part)
        if said in seen:
            yield InputError(
                where=where,
                came=f"{wish.key} twice",
                right="a wish for the same call and part stands there once",
                do="Keep the one that is meant.",
            )
        seen.add(said)


def _wish_problems(
    where: str, wish: Wish, key: WishKey, survey: Survey
) -> Iterator[InchwaterError]:
    for bound, fact in (("low", wish.low), ("high", wish.high)):
        if fact is not None and key.bounds not in (bound, "both"):
            yield InputError(
                where=f"{where}.{bound}",
                came=f"a {bound} bound",
                right=f"{key.key} has a {key.bounds} bound alone",
                do=f"Leave it out, or give it as {key.bounds}.",
            )
        else:
            yield from fact_problem(f"{where}.{bound}", fact, key.range)
    if wish.low is None and wish.high is None:
        yield InputError(
            where=where,
            came=f"{key.key} without a bound",
            right="a wish says at least, at most, or both",
            do="Give a bound, or leave the wish out.",
        )
    if wish.call is not None and wish.call not in CALLS:
        yield UnknownNameError(
            where=f"{where}.call", came=repr(wish.call), right=f"the calls are {', '.join(CALLS)}"
        )
    if wish.part is None:
        return
    if not key.part:
        yield InputError(
            where=f"{where}.part",
            came=repr(wish.part),
            right=f"{key.key} is of the whole system",
            do="Leave the part out.",
        )
        return
    known = parts_wished(survey, key.part)
    if wish.part not in known:
        yield UnknownNameError(
            where=f"{where}.part",
            came=repr(wish.part),
            right=listed(known, _PARTS[key.part], f"no {key.part} is described yet"),
        )
