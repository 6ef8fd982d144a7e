"""The supply as it is typed in one line, and where that goes in the document.

``seven 6-inch, about 25 ft, slack flex`` is seven ids and one description; ids and rooms that are
there already stay, because readings and changes may point at them.
"""

from __future__ import annotations

import itertools
from copy import deepcopy
from typing import Any

from inchwater.app.visits.fields import NONE, Field
from inchwater.app.visits.part_words import duct_document, duct_words
from inchwater.app.visits.values import NotYetError, Typed, fact_text
from inchwater.errors import InputError
from inchwater.survey.typed_runs import RunGroup
from inchwater.units import System

Document = dict[str, Any]
# What one line says of all runs at once.
_SAID = (
    *("material", "shape", "diameter", "width", "height", "length", "slack"),
    *("sag", "spacing", "damper", "register"),
)


def place_runs(document: Document, groups: tuple[RunGroup, ...] | None) -> None:
    """Put what the line says in the supply: so many runs, and what they are like.

    Parameters
    ----------
    document : dict
        Changed in place.
    groups : tuple of RunGroup or None
        The runs in their order; what they share becomes ``run_like``.
    """
    survey = document.setdefault("survey", {})
    if groups is None:
        survey.pop("supply", None)
        return
    supply = survey.setdefault("supply", {"id": "plenum"})
    ducts = [duct_document(group.duct) for group in groups for _ in range(group.count)]
    shared = {key: one for key, one in ducts[0].items() if all(d.get(key) == one for d in ducts)}
    runs = runs_in(supply)[: len(ducts)]
    runs += _new_runs(supply, len(ducts) - len(runs))
    # The line speaks of every run, so what an older one said of a single run is over.
    supply["run_like"] = _unsaid(supply.get("run_like", {})) | shared
    for run, duct in zip(runs, ducts, strict=True):
        own = {key: one for key, one in duct.items() if key not in shared}
        run["duct"] = _unsaid(run.get("duct", {})) | own
    _keep_runs(supply, runs)


def _unsaid(duct: Document) -> Document:
    return {key: one for key, one in duct.items() if key not in _SAID}


def place_rooms(document: Document, names: Any) -> None:
    """Name the rooms in the order of the runs; without runs, there is one to each room.

    Raises
    ------
    InputError
        If there are more rooms than runs.
    """
    survey = document.setdefault("survey", {})
    supply = survey.setdefault("supply", {"id": "plenum"})
    runs = runs_in(supply)
    names = list(names or ())
    if not runs and names:
        runs = _new_runs(supply, len(names))
        _keep_runs(supply, runs)
    if len(names) > len(runs):
        raise InputError(
            where="Rooms",
            came=f"{len(names)} names",
            right=f"there are {len(runs)} runs, and one room to each",
            do="Take a name away, or type how many runs there are first.",
        )
    named = sum(bool(run.get("room")) for run in runs[len(names) :])
    if names and named:
        raise InputError(
            where="Rooms",
            came=f"{len(names)} names",
            right=f"{named} further runs have names, which would be lost",
            do="Type all of them in the order of the runs, or empty the field first.",
        )
    for number, run in enumerate(runs):
        if number < len(names) and names[number]:
            run["room"] = names[number]
        else:
            run.pop("room", None)


def place_trunk(document: Document, key: str, value: Typed | None) -> None:
    """Put the runs on one trunk with this diameter or length; the plenum again without either."""
    supply = document.get("survey", {}).get("supply", {})
    runs = runs_in(supply)
    if not runs:
        if value is None:
            return
        raise NotYetError(
            where=f"Trunk {key}",
            came=value.text,
            right="it counts once the runs that leave the trunk are typed",
        )
    trunks = [one for one in supply.get("branches", []) if one.get("branches")]
    if len(trunks) > 1:
        raise InputError(
            where=f"Trunk {key}",
            came="one trunk",
            right=f"this survey has {len(trunks)} trunks, which differ",
            do="Change them under “Several trunks, one line each”.",
        )
    trunk: Document = trunks[0] if trunks else {"id": _free("t", supply), "branches": runs}
    duct = trunk.setdefault("duct", {})
    if value is None:
        duct.pop(key, None)
    else:
        duct[key] = value.fact("stated" if key == "length" else "seen")
    if trunks:
        if not duct:
            supply["branches"] = runs
    else:
        supply["branches"] = [trunk]


def place_run_fittings(document: Document, words: tuple[str, ...] | None) -> None:
    """Say what sits on each run, in the air's order; None makes it unknown again."""
    supply = document.get("survey", {}).get("supply", {})
    if not runs_in(supply):
        if words is None:
            return
        raise NotYetError(
            where="Fittings on each run",
            came=", ".join(words),
            right="they count once the runs are typed",
        )
    like = supply.setdefault("run_like", {})
    if words is None:
        like.pop("fittings", None)
    else:
        like["fittings"] = [] if words == (NONE,) else list(words)


def supply_text(document: Document, field: Field, system: System) -> str | None:
    """What stands in a field of the supply; None if the field is not one of those here."""
    supply = document.get("survey", {}).get("supply", {})
    if field.name == "runs":
        return runs_text(supply, system)
    if field.name == "rooms":
        names = [run.get("room", "") for run in runs_in(supply)]
        return ", ".join(names).rstrip(", ")
    if field.name in ("trunk_diameter", "trunk_length"):
        key = field.name.removeprefix("trunk_")
        trunks = [one for one in supply.get("branches", []) if one.get("branches")]
        facts = [one["duct"][key] for one in trunks if key in one.get("duct", {})]
        return "; ".join(fact_text(fact, field.quantity or "", system) for fact in facts)
    return None


def runs_text(supply: Document, system: System) -> str:
    """The line that says what the runs are, as it could be typed; empty if none is known."""
    described = [
        _described(supply.get("run_like", {}) | run.get("duct", {}), system)
        for run in runs_in(supply)
    ]
    groups = [(words, len(list(same))) for words, same in itertools.groupby(described)]
    return "; ".join(
        ", ".join([f"{count} run{'s' if count > 1 else ''}", *words]) for words, count in groups
    )


def _described(duct: Document, system: System) -> tuple[str, ...]:
    # The one line has no words for fittings and for kinds of register: they have their own fields.
    said = {key: one for key, one in duct.items() if key != "fittings"}
    if "register" in said:
        said["register"] = {k: v for k, v in said["register"].items() if k != "kind"}
    return tuple(duct_words(said, system))


def runs_in(supply: Document) -> list[Document]:
    """The branches that end in a room, in the document's order."""

    def below(branches: list[Document]) -> list[Document]:
        return [
            run
            for branch in branches
            for run in (below(branch["branches"]) if branch.get("branches") else [branch])
        ]

    return below(supply.get("branches", []))


def _keep_runs(supply: Document, runs: list[Document]) -> None:
    """Leave only these runs, each where it was; new ones go where the first one is."""
    kept = {run["id"] for run in runs}
    placed: set[str] = set()

    def below(branches: list[Document]) -> list[Document]:
        left = []
        for branch in branches:
            if branch.get("branches"):
                inner = below(branch["branches"])
                if inner:
                    left.append({**branch, "branches": inner})
            elif branch["id"] in kept:
                placed.add(branch["id"])
                left.append(branch)
        return left

    branches = below(deepcopy(supply.get("branches", [])))
    new = [run for run in runs if run["id"] not in placed]
    trunk = next((one for one in branches if one.get("branches")), None)
    (trunk["branches"] if trunk else branches).extend(new)
    supply["branches"] = branches


def _new_runs(supply: Document, count: int) -> list[Document]:
    taken = _ids(supply)
    free = (f"r{number}" for number in range(1, 10_000) if f"r{number}" not in taken)
    return [{"id": next(free)} for _ in range(count)]


def _free(letter: str, supply: Document) -> str:
    taken = _ids(supply)
    return next(
        f"{letter}{number}" for number in range(1, 10_000) if f"{letter}{number}" not in taken
    )


def _ids(supply: Document) -> set[str]:
    def below(branches: list[Document]) -> set[str]:
        return {one["id"] for one in branches}.union(
            *(below(one.get("branches", [])) for one in branches)
        )

    return below(supply.get("branches", []))
