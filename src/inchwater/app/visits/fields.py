"""Every field of the visit's page: its label and help in the trade's words, what may be typed.

``FIELDS[name]`` is one field, ``group(name)`` those of one part of the page in their order; both
come from ``data/fields.csv`` and ``data/choices.csv``.  How text becomes a value is in
``parsing.py``, where the value goes in the survey in ``placing.py``.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from importlib import resources
from typing import TYPE_CHECKING, Literal, cast

from inchwater import units
from inchwater.errors import UnknownNameError
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.parts.fittings import Group

Kind = Literal[
    "quantity", "choice", "choices", "count", "year", "size", "word", "line", "lines", "table"
]
# Which groups of fittings a run can have, in the air's order; the others sit elsewhere.
_RUN_FITTINGS: dict[Group, str] = {
    "take-off": "Take-off",
    "elbow": "Elbows",
    "bend": "Bends of flex",
    "box": "Junction boxes",
    "transition": "Changes of size",
    "damper": "Damper",
    "boot": "Boot",
}
# The word with which a choice of several says that none of them is there.
NONE = "none"

GROUPS: dict[str, str] = {
    "complaint": "What is wrong",
    "start": "The first three numbers",
    "table": "Blower and its table",
    "filter": "Filter",
    "returns": "Return side",
    "runs": "Supply side",
    "doors": "Doors",
    "unit": "Coil, wheel, motor",
    "place": "The house",
    "use": "A year's use",
    "second": "More readings",
    "trial2": "Readings in another state",
}


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing that can be chosen: its word in files, its words on the page, where it stands.

    ``group`` is the heading under which a long list has it; empty in a short one.
    """

    value: str
    label: str
    group: str = ""


@dataclass(frozen=True, slots=True)
class Field:
    """One field of the page.

    ``thin`` fields are the short path to the first answer; every other one is an optional fact.
    ``quantity`` is a key of ``units.SHOWN``.  A reading has its test point and what is measured
    there in ``point`` and ``reading``; any other field has its place in the document in ``path``
    (``*`` is every filter, coil or return), or ``placing.py`` has a rule for it.  ``how`` is how a
    fact typed here is known.  ``waits_for`` names fields (or how their names begin) whose saving
    may make a draft of this one valid.  ``usual`` is what is taken where the field is empty, or
    an example of what can be typed.
    """

    group: str
    name: str
    label: str
    help: str
    kind: Kind
    thin: bool
    quantity: str | None
    point: str | None
    reading: str | None
    path: str | None
    how: str
    waits_for: tuple[str, ...]
    choice_set: str
    usual: str = ""

    @property
    def choices(self) -> tuple[Choice, ...]:
        """What can be chosen; empty for typed fields."""
        if self.choice_set == "filter-grade":
            return _grades()
        if self.choice_set == "run-fittings":
            return _run_fittings()
        return _CHOICES.get(self.choice_set, ())

    @property
    def signed(self) -> bool:
        """Whether a minus says something, as beside fast air in a supply duct."""
        return (self.point or "").startswith(("run:", "trunk:"))

    @property
    def input_mode(self) -> str:
        """The keyboard that a phone shows: ``decimal``, ``numeric`` or ``text``."""
        if self.kind == "quantity":
            # A phone's decimal keys have no minus.
            return "text" if self.signed else "decimal"
        return "numeric" if self.kind in ("count", "year") else "text"

    @property
    def is_reading(self) -> bool:
        """Whether it is measured, and so kept as a row of its own."""
        return self.point is not None

    @property
    def trial(self) -> int:
        """Which of the visit's trials a reading belongs to, counted from 0."""
        return 1 if self.group == "trial2" else 0

    def placeholder(self, system: System) -> str:
        """What stands in an empty field: the default as a number of the page's units, or words."""
        name, colon, number = self.usual.partition(":")
        if self.kind != "quantity":
            # An example in inches, and behind a bar the same one in millimetres.
            inches, _, millimetres = self.usual.partition("|")
            return millimetres if millimetres and system == "si" else inches
        if colon:
            value = units.to_si(float(number), name)
        elif self.usual in _assumptions():
            value = _assumptions()[self.usual]
        else:
            return self.usual
        return f"usually {units.shown(value, self.quantity or '', system)[1]}"

    def unit(self, system: System) -> str | None:
        """The unit's spelling in files; None for what has no unit."""
        if self.kind == "size":
            return units.SHOWN["length"][system][0]
        return units.SHOWN[self.quantity][system][0] if self.quantity else None

    def unit_label(self, system: System) -> str:
        """The unit as it stands beside the field; empty for what has none."""
        name = self.unit(system)
        return units.unit(name).label if name else ""

    def label_of(self, value: str) -> str:
        """A choice's words on the page."""
        return next((one.label for one in self.choices if one.value == value), value)

    def waits(self, saved: str) -> bool:
        """Whether a draft of this field may have become valid now that ``saved`` is."""
        return any(saved.startswith(name) for name in self.waits_for)


def field(name: str) -> Field:
    """The field of this name; UnknownNameError if the page has none."""
    found = known(name)
    if found is None:
        raise UnknownNameError(
            where="field", came=repr(name), right=f"fields are {', '.join(FIELDS)}"
        )
    return found


def known(name: str) -> Field | None:
    """The field of this name, those of readings at single parts among them; None if none is."""
    from inchwater.app.visits.part_fields import part_field

    return FIELDS.get(name) or part_field(name)


def group(name: str) -> tuple[Field, ...]:
    """The fields of one part of the page, in their order."""
    return tuple(one for one in FIELDS.values() if one.group == name)


def _grades() -> tuple[Choice, ...]:
    from inchwater.parts.filters import GRADES

    return tuple(Choice(key, grade.label) for key, grade in GRADES.items())


def _run_fittings() -> tuple[Choice, ...]:
    from inchwater.parts.fittings import groups

    found = groups()
    listed = tuple(
        Choice(one.key, one.label, heading)
        for group, heading in _RUN_FITTINGS.items()
        for one in found[group]
        if not one.key.startswith("return-")
    )
    return (*listed, Choice(NONE, "None: nothing but duct and register", "None"))


def _assumptions() -> dict[str, float]:
    from inchwater.parts.coefficients import table

    return {key: row.value for key, row in table("assumptions", "inchwater.network.data").items()}


def _rows(name: str) -> list[dict[str, str]]:
    path = resources.files("inchwater.app.visits.data").joinpath(name)
    return list(csv.DictReader(path.read_text("utf-8").splitlines()))


def _read_choices() -> dict[str, tuple[Choice, ...]]:
    sets: dict[str, list[Choice]] = {}
    for row in _rows("choices.csv"):
        sets.setdefault(row["choices"], []).append(Choice(row["value"], row["label"]))
    return {name: tuple(choices) for name, choices in sets.items()}


def _read_fields() -> dict[str, Field]:
    return {
        row["name"]: Field(
            group=row["group"],
            name=row["name"],
            label=row["label"],
            help=row["help"],
            kind=cast(Kind, row["kind"]),
            thin=row["thin"] == "yes",
            quantity=row["quantity"] or None,
            point=row["point"] or None,
            reading=row["reading"] or None,
            path=row["path"] or None,
            how=row["how"],
            waits_for=tuple(row["waits_for"].split(";")) if row["waits_for"] else (),
            choice_set=row["choices"],
            usual=row["usual"],
        )
        for row in _rows("fields.csv")
    }


_CHOICES = _read_choices()
FIELDS: dict[str, Field] = _read_fields()
# The cells of a blower table that can be typed one by one; a longer table is pasted.
CELLS = tuple(name.removesuffix("_tesp") for name in FIELDS if name.endswith("_tesp"))
