"""Virtual houses: an independent truth to rehearse the engine with; it imports the survey only."""

from __future__ import annotations

import json
from importlib import resources
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from inchwater.survey import Job

__all__ = ["demos", "truths"]


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
