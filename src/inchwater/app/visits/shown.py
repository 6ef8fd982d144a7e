"""A field as a template shows it: what stands in it, and what became of that."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from inchwater.app.visits.fields import Choice, Field
from inchwater.app.visits.fields import field as field_of
from inchwater.app.visits.saving import Saved
from inchwater.units import System

# Up to so many choices all are on the page at once; a longer list opens on a tap.
_ALL_ON_PAGE = 6
# What a doubt's sentence says of its buttons: "Use 0.29 / Use 0.12 / Keep 29".
_BUTTONS = re.compile(r" (?:Use [^/]+ / |Type another / )+Keep .+$")


@dataclass(frozen=True, slots=True)
class Heading:
    """Some of the choices of a long list under one word, and those of them that are taken."""

    title: str
    choices: tuple[Choice, ...]
    taken: str


@dataclass(frozen=True, slots=True)
class ShownField:
    """One field with its text, its problem or doubt in words, and what was understood.

    ``narrow_from`` is the airflow's range [m3/s] that the page showed before, where it is to say
    how the answer narrowed.
    """

    field: Field
    typed: str
    unit: str
    problem: str = ""
    doubt: Mapping[str, str] | None = None
    saved: str = ""
    narrow_from: str = ""
    placeholder: str = ""

    @property
    def group(self) -> bool:
        """Whether it is a group of choices, each of them on the page."""
        if self.field.kind == "choices":
            return True
        return bool(self.field.choices) and len(self.field.choices) <= _ALL_ON_PAGE

    @property
    def half(self) -> bool:
        """Whether it stands beside its other half: a cell of the table is a pressure and a flow."""
        return self.field.name.startswith("cell")

    @property
    def headings(self) -> tuple[Heading, ...]:
        """The choices by the words under which they are folded; none in a short list."""
        by_word: dict[str, list[Choice]] = {}
        for choice in self.field.choices:
            by_word.setdefault(choice.group, []).append(choice)
        if set(by_word) <= {""}:
            return ()
        return tuple(
            Heading(
                word,
                tuple(found),
                "; ".join(one.label for one in found if one.value in self.chosen),
            )
            for word, found in by_word.items()
        )

    @property
    def rows(self) -> int:
        """How many lines a field of lines is tall: those that are there, and one more."""
        return max(2, min(12, self.typed.count("\n") + 2)) if self.typed else 2

    @property
    def unsettled(self) -> bool:
        """Whether something has to be put right or decided."""
        return bool(self.problem or self.doubt)

    @property
    def chosen(self) -> tuple[str, ...]:
        """The words of the choices that are taken."""
        return tuple(word.strip() for word in self.typed.split(",") if word.strip())


def shown_field(
    name: str, values: Mapping[str, str], states: Mapping[str, Saved], units: System
) -> ShownField:
    """A field with what stands in it.

    Parameters
    ----------
    name : str
        A field of the page: ``fields.field``.
    values : mapping of str to str
        What stands in each field.
    states : mapping of str to Saved
        Why a text is no record yet.
    units : "ip" or "si"
        The page's units.
    """
    field = field_of(name)
    shown = ShownField(
        field,
        values.get(name, ""),
        field.unit_label(units),
        placeholder=field.placeholder(units),
    )
    state = states.get(name)
    return shown if state is None else with_state(shown, state)


def with_state(shown: ShownField, saved: Saved) -> ShownField:
    """The field with what became of it when it was left."""
    if saved.doubt:
        # The buttons below say what can be used or kept; the sentence need not.
        text = _BUTTONS.sub("", saved.doubt["text"])
        return replace(shown, doubt={**saved.doubt, "text": text})
    if saved.problem:
        return replace(shown, problem=saved.problem["text"])
    return replace(shown, saved=saved.note or (f"Saved: {saved.shown}" if saved.shown else ""))


def shown_fields(
    names: Iterable[str], values: Mapping[str, str], states: Mapping[str, Saved], units: System
) -> list[ShownField]:
    """Several fields, in the order of their names."""
    return [shown_field(name, values, states, units) for name in names]
