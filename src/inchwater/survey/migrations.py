"""Older job documents brought to the current version: one pure function per version.

``migrated`` applies them in order.  A version that is newer than this program is refused, because
what a later version means cannot be known here.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping
from typing import Any

from inchwater.errors import FormatError
from inchwater.survey.form import short

FORMAT = "inchwater-job"
VERSION = 7

Document = dict[str, Any]


def migrated(document: Mapping[str, Any]) -> Document:
    """The document in the current version; the given one is left as it is.

    Parameters
    ----------
    document : mapping
        A job document of any version up to :data:`VERSION`.

    Returns
    -------
    dict

    Raises
    ------
    FormatError
        If it is not a job document, if its version is newer than this program, or if an older
        form holds what the current one cannot express.
    """
    if document.get("format") != FORMAT:
        came = short(document["format"]) if "format" in document else "nothing"
        raise FormatError(
            where="format",
            came=came,
            right=f"a job file says {FORMAT!r} here",
            do="Choose a file that Inchwater saved.",
        )
    version = document.get("version")
    if not isinstance(version, int) or isinstance(version, bool) or version < 0:
        came = short(version) if "version" in document else "nothing"
        raise FormatError(
            where="version", came=came, right=f"a whole number from 0 to {VERSION} is wanted"
        )
    if version > VERSION:
        raise FormatError(
            where="version",
            came=str(version),
            right=f"this Inchwater reads versions up to {VERSION}",
            do="Update Inchwater, then open the file again.",
        )
    current: Document = copy.deepcopy(dict(document))
    for step in range(version, VERSION):
        try:
            current = MIGRATIONS[step](current)
        except (AttributeError, KeyError, TypeError) as trouble:
            raise FormatError(
                where="job file",
                came=f"a document that is not of version {step} inside",
                right=f"a file of version {step} has the form of that version throughout",
                do="Choose the file as it was saved, before anybody edited it.",
            ) from trouble
    return current


# --- version 0, the draft before the first release, to version 1 --------------------------------

# What version 0 said of each part, and the word of version 1 for it; None needs no word.
_INCLUDED = {
    ("coil", "dry"): "coil-dry",
    ("coil", "wet"): "coil-wet",
    ("coil", "no"): None,
    ("filter", "yes"): "filter",
    ("filter", "no"): None,
    ("heater", "yes"): "heater",
    ("heater", "no"): None,
}
_VALUE_KEYS = {"power": "value_w", "voltage": "value_v", "airflow": "value_m3s"}


def _version_0(document: Document) -> Document:
    """Version 0 to 1: the table's boundary by words, a value named by its unit, several targets.

    Version 0 gave ``table.includes`` as a state per part (``{"coil:c1": "dry", "filter:f1":
    "no"}``) and every reading's SI value as ``value_pa``, whatever its quantity.  A change had one
    ``target``, and its keys stood beside it instead of in ``to``.  ``unit.order`` is left out:
    the order follows from the kind of unit and from where the coil is.
    """
    unit = document["survey"]["unit"]
    unit.pop("order", None)
    table = unit.get("table", {})
    if "includes" in table:
        words = (_included(part, state) for part, state in table["includes"].items())
        table["includes"] = sorted({word for word in words if word})
    document["changes"] = [_change_from_0(change) for change in document.get("changes", [])]
    for trial in document.get("trials", []):
        for reading in trial.get("readings", []):
            key = _VALUE_KEYS.get(reading["quantity"])
            if key is not None:
                reading[key] = reading.pop("value_pa")
    return {**document, "version": 1}


def _included(part: str, state: str) -> str | None:
    kind = part.partition(":")[0]
    if (kind, state) not in _INCLUDED:
        raise FormatError(
            where=f"survey.unit.table.includes.{part}",
            came=short(state),
            right="version 0 says dry, wet or no of a coil, yes or no of a filter or heater",
        )
    return _INCLUDED[kind, state]


def _change_from_0(change: Document) -> Document:
    kept: Document = {key: change[key] for key in ("id", "kind", "made") if key in change}
    if "target" in change:
        kept["targets"] = [change["target"]]
    to = {key: value for key, value in change.items() if key not in (*kept, "target")}
    return {**kept, "to": to} if to else kept


# --- version 1 to version 2 ----------------------------------------------------------------------


def _version_1(document: Document) -> Document:
    """Version 1 to 2: every key means what it did; an empty list below a run is left out.

    Version 2 adds shapes of ducts, materials, sag and balancing dampers; returns of stud bays and
    common returns with what leads into them; zones, bypasses, rooms with their doors and transfers,
    leakage, heat kits, stages of a call and how a call's tap is known.
    """
    survey = document.get("survey")
    supply = survey.get("supply") if isinstance(survey, dict) else None
    if isinstance(supply, dict):
        _without_empty(supply.get("branches"))
    return {**document, "version": 2}


def _without_empty(branches: Any) -> None:
    """In version 1 a branch with an empty list below it was a run; version 2 asks for its runs.

    What is no list of branches is left as it is: the schema says better what is wrong with it.
    """
    for branch in branches if isinstance(branches, list) else ():
        if isinstance(branch, dict):
            if branch.get("branches") == []:
                del branch["branches"]
            _without_empty(branch.get("branches"))


# --- version 2 to version 3 ----------------------------------------------------------------------


def _version_2(document: Document) -> Document:
    """Version 2 to 3: every key means what it did.

    Version 3 adds readings at parts (``run:<id>``, ``filter:<id>``, ``register:<id>``), drops,
    temperature rises and speeds, and what a furnace's plate says of its heat.
    """
    return {**document, "version": 3}


# --- version 3 to version 4 ----------------------------------------------------------------------


def _version_3(document: Document) -> Document:
    """Version 3 to 4: every key means what it did.

    Version 4 adds wishes to the targets, what rooms are for and what they need, what plates say of
    the temperature rise, of a low stage and of a heat kit's air, what surrounds the ducts, and how
    much a system runs in a year.
    """
    return {**document, "version": 4}


# --- version 4 to version 5 ----------------------------------------------------------------------


def _version_4(document: Document) -> Document:
    """Version 4 to 5: every key means what it did.

    Version 5 adds what was done of the work, record by record: accepted, done, taken back, gates,
    what was put back after measuring, and why it ended.
    """
    return {**document, "version": 5}


# --- version 5 to version 6 ----------------------------------------------------------------------


def _version_5(document: Document) -> Document:
    """Version 5 to 6: every key means what it did.

    Version 6 adds to the records of the work what somebody finds too loud after it.
    """
    return {**document, "version": 6}


# --- version 6 to version 7 ----------------------------------------------------------------------


def _version_6(document: Document) -> Document:
    """Version 6 to 7: every key means what it did.

    Version 7 adds to the records of the work that somebody called again.
    """
    return {**document, "version": 7}


MIGRATIONS: Mapping[int, Callable[[Document], Document]] = {
    0: _version_0,
    1: _version_1,
    2: _version_2,
    3: _version_3,
    4: _version_4,
    5: _version_5,
    6: _version_6,
}
