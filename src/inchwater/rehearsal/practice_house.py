"""The house of a practice round, and what truly is in it: remembered, because a page asks often."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

from inchwater.rehearsal.figures import stream
from inchwater.rehearsal.house import VirtualHouse, virtual_house
from inchwater.rehearsal.practice_figures import plates
from inchwater.rehearsal.state import State, state
from inchwater.rehearsal.world import World
from inchwater.survey import Fact, How, Survey, job_to_dict


@lru_cache(maxsize=32)
def practice_house(seed: int) -> VirtualHouse:
    """The virtual house of a seed, whose plate allows what the seed draws for practice."""
    house = virtual_house(seed)
    choices = plates()
    allowed = choices[int(stream(seed, "practice plate").integers(len(choices)))]
    unit = replace(house.job.survey.unit, tesp_rating=Fact.of(allowed, "pressure", How.SEEN))
    return replace(house, job=replace(house.job, survey=replace(house.job.survey, unit=unit)))


@lru_cache(maxsize=32)
def house_mark(seed: int) -> str:
    """Twelve letters that are others when the house of a seed is another one.

    A later version may make another house of the same number; a round on the old one cannot be
    computed again then.
    """
    house = practice_house(seed)
    job = job_to_dict(house.job)
    made = [house.world, job["survey"], job["changes"]]
    return hashlib.sha256(json.dumps(made, sort_keys=True).encode()).hexdigest()[:12]


def plate_of(survey: Survey) -> float:
    """What the plate of a practice house allows. [Pa]"""
    assert survey.unit.tesp_rating is not None  # every practice house has one
    return survey.unit.tesp_rating.si


def world_after(seed: int, ids: Sequence[str]) -> World:
    """The house's physics with changes made, in this order."""
    house = practice_house(seed)
    changes = house.job.changes_by_id
    return house.after([changes[id_] for id_ in ids])


def truth(seed: int, ids: tuple[str, ...], condition: Mapping[str, str]) -> State:
    """What truly is after changes in a condition."""
    return _truth(seed, ids, tuple(sorted(condition.items())))


# As many as one search for the cheapest fix asks for, twice.
@lru_cache(maxsize=512)
def _truth(seed: int, ids: tuple[str, ...], condition: tuple[tuple[str, str], ...]) -> State:
    return state(world_after(seed, ids), dict(condition))
