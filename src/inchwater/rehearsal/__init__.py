"""Virtual houses: an independent truth to rehearse the engine with; it imports the survey only.

``virtual_house(seed)`` makes one, ``load_houses`` reads those that others made.
"""

from __future__ import annotations

import json
from importlib import import_module, resources
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from inchwater.rehearsal.house import Truths, VirtualHouse, virtual_house
    from inchwater.rehearsal.house_file import load_houses, save_houses
    from inchwater.rehearsal.state import State
    from inchwater.survey import Job

__all__ = [
    "State",
    "Truths",
    "VirtualHouse",
    "demos",
    "load_houses",
    "save_houses",
    "truths",
    "virtual_house",
]

# Loaded on first use, so that the demo does not wait for what makes houses.
_LATER = {
    "State": "state",
    "Truths": "house",
    "VirtualHouse": "house",
    "virtual_house": "house",
    "load_houses": "house_file",
    "save_houses": "house_file",
}


def __getattr__(name: str) -> Any:
    if name in _LATER:
        return getattr(import_module(f"{__name__}.{_LATER[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def demos() -> dict[str, Job]:
    """The three demo jobs by letter: invented houses, one cause each."""
    from inchwater.survey import job_from_dict

    return {letter: job_from_dict(_stored(f"demo-{letter}.json")) for letter in ("a", "b", "c")}


def truths() -> dict[str, Any]:
    """What truly was in each demo house, trial by trial, and which part is the cause."""
    stored = _stored("demo-truth.json")
    return {letter: stored[f"demo-{letter}"] for letter in ("a", "b", "c")}


def _stored(name: str) -> dict[str, Any]:
    path = resources.files(__package__).joinpath(f"data/{name}")
    document: dict[str, Any] = json.loads(path.read_text("utf-8"))
    return document
