"""What a technician calls a test point and a trial."""

from __future__ import annotations

from inchwater.survey.job import Job
from inchwater.survey.trials import place_of

_PLACES = {
    "before-filter": "before the filter",
    "return": "at the return",
    "before-coil": "before the coil",
    "supply": "in the supply plenum",
    "unit": "at the unit",
}
_KINDS_OF_PLACE = {
    "trunk:": "in trunk {id}",
    "run:": "in the run {id}",
    "return:": "behind the grille of {id}",
    "filter:": "across the filter",
    "coil:": "across the coil",
    "register:": "at the register of {id}",
    "grille:": "at the grille of {id}",
}
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth")


def place_said(at: str) -> str:
    """``at the return``, ``at the register of r1``."""
    kind, id_ = place_of(at)
    if id_:
        return _KINDS_OF_PLACE.get(kind, "at {id}").format(id=id_)
    return _PLACES.get(at, f"at {at}")


def trial_said(job: Job, id_: str) -> str:
    """``the second trial (heating call, filter out)``."""
    number = next(i for i, trial in enumerate(job.trials) if trial.id == id_)
    condition = job.trials[number].condition
    words = []
    for key, state in condition.items():
        kind, _, part = key.partition(":")
        if kind == "call":
            words.append(f"{state} call")
        elif kind == "tap":
            words.append(f"tap {state}")
        elif kind == "filter" and state == "out":
            words.append("filter out")
        elif kind in ("door", "run", "register", "zone", "bypass") and state not in ("open", "in"):
            words.append(f"{kind} {part} {state}")
    name = f"the {_ORDINALS[number]} trial" if number < len(_ORDINALS) else f"trial {number + 1}"
    return f"{name} ({', '.join(dict.fromkeys(words))})" if words else name
