"""Inputs of the *What if* page's controls: what can be chosen of a system, and typed fields."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from inchwater import units
from inchwater.app.visits.fields import FIELDS, Choice, Field, Kind
from inchwater.app.visits.values import number_text
from inchwater.findings.labels import duct_size, trunk_label
from inchwater.survey import Branch, Survey, grilles_of


@dataclass(frozen=True, slots=True)
class Input:
    """One input of a control, as the page shows it."""

    name: str
    label: str
    help: str = ""
    unit: str = ""
    mode: str = "text"
    choices: tuple[Choice, ...] = ()
    many: bool = False
    empty: str = "as it is"
    chosen: tuple[str, ...] = ()
    typed: str = ""


def field(name: str, label: str, help_: str, kind: Kind, quantity: str | None = None) -> Field:
    """A field of a control; it belongs to no part of the facts and has no place in a document."""
    return Field(
        group="change",
        name=name,
        label=label,
        help=help_,
        kind=kind,
        thin=False,
        quantity=quantity,
        point=None,
        reading=None,
        path=None,
        how="stated",
        waits_for=(),
        choice_set="",
    )


def label_fields(kind: str) -> tuple[Field, Field]:
    """What the label of a new filter says: its drop, and the airflow that goes with it."""
    drop, airflow = FIELDS["filter_rated_drop"], FIELDS["filter_rated_airflow"]
    return (
        field(f"{kind}.rated-drop", drop.label, drop.help, "quantity", "pressure"),
        field(f"{kind}.rated-airflow", airflow.label, airflow.help, "quantity", "airflow"),
    )


def grades(name: str, empty: str) -> Input:
    """A choice among the classes of filters."""
    return Input(name, "Filter class", choices=FIELDS["filter_grade"].choices, empty=empty)


def return_choices(survey: Survey) -> tuple[Choice, ...]:
    """Every return that has a grille, by its room or its place in the row."""
    return tuple(Choice(r.id, f"Return {r.room or i}") for i, r in enumerate(grilles_of(survey), 1))


def _like(run: Branch) -> Iterator[str]:
    """How a run looks, so that one can see which of them it is."""
    duct = run.duct
    if size := duct_size(duct):
        yield size
    if duct.length is not None:
        yield f"{number_text(duct.length.value)} {units.unit(duct.length.unit).label}"
    if hung := " ".join(word for word in (duct.slack, duct.material) if word):
        yield hung


def run_choices(survey: Survey) -> tuple[Choice, ...]:
    """Every run by its room, or by its place in the row."""
    if survey.supply is None:
        return ()
    return tuple(
        Choice(run.id, ", ".join((f"Run {i}", *([run.room] if run.room else []), *_like(run))))
        for i, run in enumerate(survey.supply.runs, 1)
    )


def which(survey: Survey, kind: str, label: str = "Which") -> Input:
    """Runs to choose from, several at once."""
    return Input(f"{kind}.at", label, choices=run_choices(survey), many=True)


def duct_choices(survey: Survey) -> tuple[Choice, ...]:
    """Every duct with a size of its own to stand in: trunks, runs, and returns that have one."""
    trunks = () if survey.supply is None else survey.supply.walk()
    sized = {
        one.id
        for one in survey.returns or ()
        if one.duct.diameter is not None or one.duct.width is not None
    }
    return (
        *(Choice(b.id, trunk_label(b.id, survey)) for b, _ in trunks if b.is_trunk),
        *run_choices(survey),
        *(choice for choice in return_choices(survey) if choice.value in sized),
    )
