"""What the pages of a visit show and in which order: names of fields, ways on and back, lists."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from django.urls import reverse

from inchwater import units
from inchwater.answer import Answer, WhatIf
from inchwater.app.visits import fields
from inchwater.app.visits.models import Visit
from inchwater.app.visits.part_fields import part_fields
from inchwater.app.visits.saving import Saved
from inchwater.app.visits.shown import ShownField, shown_field, shown_fields
from inchwater.app.visits.values import number_text
from inchwater.findings import Worth
from inchwater.planning import READ_AGAIN, NextAct
from inchwater.quantity import Estimate
from inchwater.survey import Fact, How, Survey, Unit
from inchwater.units import System

# What may stand in for a survey whose unit is not chosen yet: only cautions are asked of it.
NOTHING_KNOWN = Survey(unit=Unit(kind="air-handler", capacity=Fact(3.0, "ton", How.TYPICAL)))
_OTHER_SIDE = "other_coil_static"
LEAKAGE = ("sealing", "airflow", "pressure")
RISE = ("rise_low", "rise_high", "rise_low_stage_low", "rise_low_stage_high")
# The short path to the first answer, in the order in which a technician has it at hand.
START = ("capacity", "unit_kind", "return_static", "supply_static", "supply_at")
FACT_GROUPS = (
    *("table", "filter", "returns", "runs", "doors", "second", "trial2", "unit", "place", "use"),
)
# What a simple house does not need lies folded behind the rest of its part.
FOLDS: dict[str, tuple[tuple[str, tuple[str, ...]], ...]] = {
    "table": (("Which tap each call runs on", ("calls", "calls_how")),),
    "filter": (
        ("What its label says", ("filter_rated_drop", "filter_rated_airflow")),
        ("Several filters", ("filters_each",)),
    ),
    "returns": (
        ("Several returns", ("returns_each",)),
        ("Return leakage", tuple(f"return_leak_{what}" for what in LEAKAGE)),
    ),
    "runs": (
        ("Run by run, trunk by trunk", ("runs_each", "trunks")),
        ("Bypass", ("bypass", "bypass_diameter", "bypass_damper")),
        ("Supply leakage", tuple(f"supply_leak_{what}" for what in LEAKAGE)),
    ),
    "unit": (
        ("Heat", ("heat", "heat_output", "heat_output_low", *RISE)),
        ("Electric heat kit", ("heat_kit_power", "heat_kit_at", "heat_kit_least")),
    ),
    "place": (("Air around the ducts", ("duct_air", "duct_dew_point")),),
    "second": (("At the unit", ("unit_airflow", "blower_speed")),),
}
# The visit's way: address, its word, in order.  Facts and test points lie beside it.
STEPS = (
    ("say", "Say"),
    ("reading", "Reading"),
    ("findings", "Findings"),
    ("options", "Options"),
    ("work", "Work"),
)
# What lies beside the way: its word, and the page that it comes from.
_ASIDE = {
    "facts": ("Facts", "findings"),
    "test_points": ("Test points", "reading"),
    "next_reading": ("Next reading", "reading"),
    "what_if": ("What if", "findings"),
    "wishes": ("What is wanted", "options"),
}
# Acts without which the airflow is a guess: they come before what the guess is made of.
FIRST = ("unit.table", "unit.table.includes", "unit.tap", "unit")
# The field of a static, by the side of the coil on which the first supply reading was taken.
_STATICS = {
    "return": {"after-coil": "return_static", "before-coil": "return_static"},
    "supply": {"after-coil": "supply_static", "before-coil": _OTHER_SIDE},
    "before-coil": {"after-coil": _OTHER_SIDE, "before-coil": "supply_static"},
}
# Which fields of the page hold what the next act asks for.
_NEXT = {
    "unit.table": ("cell1_tesp", "cell1_airflow", "cell2_tesp", "cell2_airflow"),
    "unit.table.includes": ("table_includes",),
    "unit.tap": ("tap",),
    "unit": ("watts",),
    "filters": ("filter_at", "filter_size", "filter_grade"),
    "supply": ("runs",),
    "returns": ("return_count", "return_grille", "return_kind"),
    "before-filter": ("before_filter_static",),
    "unit.wheel": ("wheel",),
    "unit:airflow": ("unit_airflow",),
    "unit:speed": ("blower_speed",),
    "unit:temperature-rise": ("trial2_state", "trial2_rise"),
    "trial2": ("trial2_state", "trial2_return_static", "trial2_supply_static"),
}


def asks(values: Mapping[str, str]) -> tuple[str, ...]:
    """The fields of the reading page: on which side of the coil only where both are reachable."""
    two_sides = values.get("unit_kind") == "furnace" or values.get("supply_at") == "before-coil"
    return START if two_sides else START[:-1]


def comes_first(answer: Answer) -> bool:
    """Whether the next act stands before the details: without it they are a guess.

    A doubt about a field is the next act itself.
    """
    return answer.next.field in FIRST or any(doubt.field for doubt in answer.doubts)


def next_names(act: NextAct, values: Mapping[str, str]) -> tuple[str, ...]:
    """The fields of the next act; none where it is done elsewhere."""
    if act.title == READ_AGAIN and any(name.startswith("trial2_") for name in values):
        # Which of the two trials is to be read again stands in the doubt.
        return ()
    if act.kind == "reading" and act.field in _STATICS:
        first = values.get("supply_at") or "after-coil"
        return (_STATICS[act.field][first],)
    return _NEXT.get(act.field, ())


def next_fields(
    answer: Answer, values: Mapping[str, str], states: Mapping[str, Saved], system: System
) -> list[ShownField]:
    """The fields of the next act, with the columns of the table already in the cells."""
    names = next_names(answer.next, values)
    known = dict(values)
    if answer.next.kind == "cells":
        for name, side in (("cell1_tesp", "low"), ("cell2_tesp", "high")):
            column = answer.next.text.values.get(side)
            if not known.get(name) and isinstance(column, tuple):
                number, _, _ = units.shown(column[0], "pressure", system)
                known[name] = number_text(round(number, units.SHOWN["pressure"][system][1]))
    return shown_fields(names, known, states, system)


@dataclass(frozen=True, slots=True)
class Fold:
    """Fields that lie folded under a title: how many are known, whether one is to be settled."""

    title: str
    fields: list[ShownField]

    @property
    def known(self) -> int:
        """How many of them have a value."""
        return sum(bool(one.typed) and not one.problem for one in self.fields)

    @property
    def open(self) -> bool:
        """Whether something in it has to be settled."""
        return any(one.problem or one.doubt for one in self.fields)


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the facts page; ``folds`` are what a simple house does not need."""

    name: str
    title: str
    fields: list[ShownField]
    folds: tuple[Fold, ...]
    known: int
    open: bool


def facts_of(
    values: Mapping[str, str],
    states: Mapping[str, Saved],
    system: System,
    survey: Survey | None = None,
) -> list[Part]:
    """The parts of the facts page; a part with something to settle is open.

    Parameters
    ----------
    survey : Survey, optional
        What is described; each of its parts has the fields of what can be read there.
    """
    parts = []
    for name in FACT_GROUPS:
        names = [f.name for f in fields.group(name)]
        if values.get("unit_kind") in ("air-handler", "packaged") and not values.get(_OTHER_SIDE):
            # Only a furnace's coil has two sides that a tip can reach.
            names = [one for one in names if one != _OTHER_SIDE]
        shown = shown_fields(names, values, states, system)
        whole = Fold(fields.GROUPS[name], shown)
        folds = tuple(
            Fold(title, [one for one in shown if one.field.name in folded_names])
            for title, folded_names in FOLDS.get(name, ())
        )
        if name == "second":
            folds += _at_parts(values, states, system, survey)
            shown += [one for fold in folds for one in fold.fields if one not in shown]
            whole = Fold(whole.title, shown)
        folded = {one.field.name for fold in folds for one in fold.fields}
        first = [one for one in shown if one.field.name not in folded]
        parts.append(Part(name, whole.title, first, folds, whole.known, whole.open))
    return parts


def _at_parts(
    values: Mapping[str, str],
    states: Mapping[str, Saved],
    system: System,
    survey: Survey | None,
) -> tuple[Fold, ...]:
    """What can be read at single parts of the system, folded by what it is."""
    return tuple(
        Fold(
            of_kind.title,
            [
                # With the room, which its name alone does not say.
                replace(shown_field(one.name, values, states, system), field=one)
                for one in of_kind.fields
            ],
        )
        for of_kind in part_fields(survey)
    )


def fact_names(survey: Survey | None = None) -> list[str]:
    """The fields of the facts page and of the next act, in their order."""
    at_parts = [field.name for of_kind in part_fields(survey) for field in of_kind.fields]
    return [field.name for name in FACT_GROUPS for field in fields.group(name)] + at_parts


def page_of(name: str) -> str:
    """The page on which a field stands."""
    if name in START:
        return "reading"
    return "say" if fields.field(name).group == "complaint" else "facts"


def way(here: str, visit: UUID) -> dict[str, Any]:
    """Where one is, in words: ``2 of 4 Reading``, with the page before and the page after."""
    names = [name for name, _ in STEPS]
    if here not in names:
        words, back = _ASIDE[here]
        link_back = (reverse(back, args=[visit]), dict(STEPS)[back])
        return {"place": words, "back": link_back, "on": None}
    at = names.index(here)

    def link(step: int) -> tuple[str, str] | None:
        if not 0 <= step < len(STEPS):
            return None
        return reverse(STEPS[step][0], args=[visit]), STEPS[step][1]

    return {
        "place": f"{at + 1} of {len(STEPS)} {STEPS[at][1]}",
        "back": link(at - 1) or (reverse("home"), "Home"),
        "on": link(at + 1),
    }


def name_of(visit: Visit) -> str:
    """What a visit is called: the system's name, the room, or the day."""
    if visit.system.name:
        return visit.system.name
    if visit.complaint_room:
        return f"{visit.complaint_room}: {visit.complaint}".strip(": ")
    return f"Visit of {_moment(visit.created)}"


def about(visit: Visit) -> str:
    """A line on what is known of a visit, for a list."""
    if visit.complaint:
        return visit.complaint
    return f"last changed {_moment(visit.changed)}"


def _moment(at: datetime) -> str:
    # In the time of this machine, which in local mode is the reader's.
    return f"{at.astimezone():%-d %B, %H:%M}"


@dataclass(frozen=True, slots=True)
class WorthRow:
    """One restriction with the length of its bar in hundredths; the bar ends at the right."""

    worth: Worth
    share: float

    @property
    def rest(self) -> float:
        """Where the bar starts."""
        return 100.0 - self.share


def worth_rows(answer: Answer) -> list[WorthRow]:
    """What each is worth, with bars against the largest."""
    most = max((one.gain.value for one in answer.worth), default=0.0)
    return [
        WorthRow(one, round(100.0 * max(one.gain.value, 0.0) / most, 1) if most > 0.0 else 0.0)
        for one in answer.worth
    ]


def range_text(airflow: Estimate) -> str:
    """An airflow's range as it goes through a form. [m3/s]"""
    return f"{airflow.low:.6g},{airflow.high:.6g}"


def narrowed_line(before: str, now: Estimate, system: System) -> str:
    """How a saved fact moved the range: ``Airflow 620–910 → 690–830 cfm``; empty if it did not."""
    try:
        low, high = (float(part) for part in before.split(","))
    except ValueError:
        return ""
    was = Estimate(low, low, high, "airflow").range_text(system)
    after = now.range_text(system)
    if was == after:
        return f"Airflow stays {after} {now.label(system)}."
    word = "narrower" if now.high - now.low < high - low else "wider, and nearer to the truth"
    return f"Airflow {was} → {after} {now.label(system)}: {word}."


@dataclass(frozen=True, slots=True)
class Compared:
    """One quantity now and after."""

    label: str
    now: Estimate
    after: Estimate


def compared(answer: Answer, after: WhatIf) -> list[Compared]:
    """What a change moves, both flows first."""
    return [
        Compared("Through the blower", answer.airflow, after.airflow),
        Compared("To the rooms", answer.delivered, after.delivered),
        Compared("Per capacity", answer.airflow_per_ton, after.airflow_per_ton),
        Compared("External static", answer.tesp, after.tesp),
        Compared("Return static", answer.return_static, after.return_static),
        Compared("Supply static", answer.supply_static, after.supply_static),
    ]


def guidance(answer: Answer) -> list[str]:
    """The sources of the guidance in the budget, each once."""
    sources = (row.source for row in answer.budget if row.guidance is not None)
    return list(dict.fromkeys(sources))
