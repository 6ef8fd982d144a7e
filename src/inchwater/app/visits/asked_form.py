"""What one control of the *What if* page has in the query, and the change that it stands for."""

from __future__ import annotations

from typing import Any

from django.http import QueryDict

from inchwater.app.visits.controls import TYPED
from inchwater.app.visits.parsing import parse
from inchwater.app.visits.values import Size, Typed
from inchwater.errors import InputError
from inchwater.survey import Change, Fact, How, Survey
from inchwater.units import System


class Form:
    """The query of one kind of change."""

    def __init__(self, query: QueryDict, kind: str, system: System) -> None:
        self.query, self.kind, self.system = query, kind, system

    def word(self, name: str) -> str:
        """One word of a name; "" where there is none."""
        return self.query.get(f"{self.kind}.{name}", "").strip()

    def words(self, name: str) -> tuple[str, ...]:
        """All words of a name."""
        return tuple(word for word in self.query.getlist(f"{self.kind}.{name}") if word)

    def value(self, name: str) -> Any:
        """What was typed, read as a field; None if it is empty."""
        typed = self.word(name)
        if not typed:
            return None
        return parse(TYPED[f"{self.kind}.{name}"], typed, self.system)

    def fact(self, name: str) -> Fact | None:
        """A quantity that was typed, as stated."""
        value = self.value(name)
        return stated(value) if isinstance(value, Typed) else None

    def faces(self) -> dict[str, Fact]:
        """Width and height of the size that was typed; nothing without one."""
        size = self.value("size")
        if not isinstance(size, Size):
            return {}
        return {
            side: Fact(value, size.unit, How.STATED)
            for side, value in (("width", size.width), ("height", size.height))
        }

    def label(self) -> dict[str, Fact]:
        """What a new filter's label says: its drop and the airflow of it, both or neither."""
        drop, airflow = self.fact("rated-drop"), self.fact("rated-airflow")
        if (drop is None) != (airflow is None):
            came = "an airflow without its drop" if drop is None else "a drop without its airflow"
            raise missing("filter's label", came, "both are printed together, and both are wanted")
        if drop is None or airflow is None:
            return {}
        return {"rated_drop": drop, "rated_airflow": airflow}

    def change(self, targets: tuple[str, ...], to: dict[str, Any]) -> Change:
        """The change, without what was left empty."""
        known = {key: value for key, value in to.items() if value is not None and value != ""}
        return Change(id=f"if-{self.kind}", kind=self.kind, targets=targets, to=known)


def stated(value: Typed) -> Fact:
    """The fact of a number that was typed."""
    return Fact(value.value, value.unit, How.STATED)


def missing(where: str, came: str, right: str) -> InputError:
    """What a control lacks."""
    return InputError(where=where, came=came, right=right)


def new_id(survey: Survey, letter: str) -> str:
    """An id that no part has yet."""
    taken = survey.part_ids
    return next(f"{letter}{n}" for n in range(1, 10_000) if f"{letter}{n}" not in taken)
