"""Trunks, runs and doors as lines: where they go in the document, and the lines that stand there.

A field's lines are the whole list, as in ``lines_of_returns.py``.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from inchwater.app.visits.line_names import found, ids_of, line_text, name_of, named, walk
from inchwater.app.visits.part_lines import Line
from inchwater.app.visits.part_words import duct_words, length_words, size_words
from inchwater.app.visits.room_words import room_words
from inchwater.app.visits.supply import runs_in
from inchwater.app.visits.values import NotYetError
from inchwater.errors import InputError
from inchwater.units import System

Document = dict[str, Any]


def place_trunks(document: Document, lines: tuple[Line, ...] | None) -> None:
    """Hang the runs on the trunks of the lines; a trunk that names none feeds all that are left."""
    label = "Several trunks, one line each"
    supply = document.get("survey", {}).get("supply", {})
    runs = runs_in(supply)
    if not lines:
        if runs:
            supply["branches"] = runs
        return
    if not runs:
        raise NotYetError(
            where=label,
            came=lines[0].name,
            right="it counts once the runs that leave the trunk are typed",
        )
    old = [one for one in walk(supply.get("branches", [])) if one.get("branches")]
    ids = ids_of(lines, old, "t", {one["id"] for one in runs})
    trunks = {
        line.name: {"id": ids[line.name], "duct": line.said["duct"], "branches": []}
        | ({"zone": line.said["zone"]} if "zone" in line.said else {})
        for line in lines
    }
    hung: set[str] = set()
    for line in lines:
        for name in line.said.get("feeds", ()):
            part = trunks.get(name) or found(name, [*trunks.values(), *runs], label)
            if part["id"] in hung or part is trunks[line.name]:
                raise InputError(
                    where=f"{label}, {line.name}",
                    came=name,
                    right="a run or a trunk hangs on one trunk, and on no other",
                    do="Take it away from one of the lines.",
                )
            hung.add(part["id"])
            trunks[line.name]["branches"].append(part)
    rest = [run for run in runs if run["id"] not in hung]
    takes = [line for line in lines if "feeds" not in line.said]
    if len(takes) > 1:
        raise InputError(
            where=label,
            came=f"{takes[0].name} and {takes[1].name}",
            right="only one trunk can feed all that are left",
            do="Say what the others feed: “feeds den, kitchen”.",
        )
    if takes:
        trunks[takes[0].name]["branches"] += rest
        hung |= {run["id"] for run in rest}
    _no_circle(trunks.values(), hung, label)
    top = [one for one in trunks.values() if one["id"] not in hung]
    supply["branches"] = [*top, *(run for run in rest if run["id"] not in hung)]


def _no_circle(trunks: Iterable[Document], hung: set[str], label: str) -> None:
    trunks = list(trunks)
    for trunk in trunks:
        if not trunk["branches"]:
            raise InputError(
                where=label,
                came=f"{trunk['id']} without a run",
                right="a trunk feeds runs",
                do="Say which: “feeds den, kitchen”.",
            )
    reached: set[str] = set()
    todo = [trunk for trunk in trunks if trunk["id"] not in hung]
    while todo:
        one = todo.pop()
        reached.add(one["id"])
        todo += [part for part in one["branches"] if part.get("branches")]
    for trunk in trunks:
        if trunk["id"] not in reached:
            raise InputError(
                where=label,
                came=f"{trunk['id']}, which feeds itself",
                right="every trunk begins at the plenum or at another trunk that does",
                do="Look at what “feeds” names.",
            )


def trunks_text(survey: Document, system: System) -> str:
    """The lines of the trunks; empty if every run leaves the plenum."""
    branches = survey.get("supply", {}).get("branches", [])
    trunks = [one for one in walk(branches) if one.get("branches")]
    lines = []
    for one in trunks:
        words = _branch_words(one, {}, system)
        # A lone trunk feeds everything, which need not be said.
        if len(trunks) > 1 or len(branches) > 1:
            words.append("feeds " + ", ".join(name_of(part) for part in one["branches"]))
        lines.append(line_text(one["id"], words))
    return "\n".join(lines)


def place_runs_each(document: Document, lines: tuple[Line, ...] | None) -> None:
    """Make the runs those of the lines; a new one leaves the plenum, or the only trunk."""
    survey = document.setdefault("survey", {})
    if lines is None:
        survey.pop("supply", None)
        return
    supply = survey.setdefault("supply", {"id": "plenum"})
    old = runs_in(supply)
    trunks = {one["id"] for one in walk(supply.get("branches", [])) if one.get("branches")}
    ids = ids_of(lines, old, "r", trunks)
    ducts = [line.said["duct"] for line in lines]
    shared = {key: one for key, one in ducts[0].items() if all(d.get(key) == one for d in ducts)}
    supply["run_like"] = shared
    new = {}
    for line, duct in zip(lines, ducts, strict=True):
        was = named(line.name, old) or {}
        kept = {key: one for key, one in was.items() if key not in ("duct", "zone")}
        run = kept | {"id": ids[line.name]}
        run["duct"] = {key: one for key, one in duct.items() if key not in shared}
        if "zone" in line.said:
            run["zone"] = line.said["zone"]
        if line.name != run["id"]:
            run["room"] = line.name
        new[run["id"]] = run
    placed: set[str] = set()
    branches = _replaced(supply.get("branches", []), new, placed)
    fresh = [run for id_, run in new.items() if id_ not in placed]
    only = branches[0] if len(branches) == 1 and branches[0].get("branches") else None
    (branches if only is None else only["branches"]).extend(fresh)
    supply["branches"] = branches


def _replaced(
    branches: list[Document], new: dict[str, Document], placed: set[str]
) -> list[Document]:
    kept = []
    for one in branches:
        if one.get("branches"):
            inner = _replaced(one["branches"], new, placed)
            if inner:
                kept.append({**one, "branches": inner})
        elif one["id"] in new:
            placed.add(one["id"])
            kept.append(new[one["id"]])
    return kept


def runs_each_text(survey: Document, system: System) -> str:
    """The lines of the runs; empty if none is known."""
    supply = survey.get("supply", {})
    like = supply.get("run_like", {})
    lines = []
    for run in runs_in(supply):
        lines.append(line_text(name_of(run), _branch_words(run, like, system)))
    return "\n".join(lines)


def _branch_words(branch: Document, like: Document, system: System) -> list[str]:
    """A trunk's or run's duct as it could be typed, and the zone that it is in."""
    words = duct_words(like | branch.get("duct", {}), system)
    return [*words, f"zone {branch['zone']}"] if "zone" in branch else words


def place_doors(document: Document, lines: tuple[Line, ...] | None) -> None:
    """Make the rooms with a door those of the lines."""
    survey = document.setdefault("survey", {})
    if lines is None:
        survey.pop("rooms", None)
        return
    ids = ids_of(lines, survey.get("rooms", []), "room")
    survey["rooms"] = [
        {"id": ids[line.name]}
        | ({"name": line.name} if line.name != ids[line.name] else {})
        | line.said
        for line in lines
    ]


def doors_text(survey: Document, system: System) -> str:
    """The lines of the rooms with a door; empty if none is known."""
    lines = []
    for one in survey.get("rooms", []):
        if "transfers" not in one:
            words = ["usual"]
        elif not one["transfers"]:
            words = ["none"]
        else:
            words = [_way_out(way, system) for way in one["transfers"]]
        lines.append(line_text(name_of(one), [*words, *room_words(one, system)]))
    return "\n".join(lines)


def _way_out(way: Document, system: System) -> str:
    words = [way["kind"]]
    if "width" in way and "height" in way:
        words.append(size_words(way, system))
    elif "height" in way:
        words.append(length_words(way["height"], "length", system))
    return ", ".join([" ".join(words), *duct_words(way.get("duct", {}), system)])
