"""What the page of a practice round shows: every act as a button, in the order of the work."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from inchwater.app.practice.models import PracticeRound
from inchwater.findings import Caution
from inchwater.planning import money
from inchwater.rehearsal.practice import Act, Round, Taken
from inchwater.rehearsal.practice_figures import practice
from inchwater.rehearsal.practice_file import act_to_dict
from inchwater.rehearsal.practice_hidden import hidden
from inchwater.rehearsal.practice_score import score
from inchwater.reports import practice as said
from inchwater.reports import practice_words as words
from inchwater.reports.practice_help import Help
from inchwater.reports.tables import Row, Table
from inchwater.survey import filters_of
from inchwater.units import System

_ENDED = {"": "going on", "done": "over: done", "cannot": "over: cannot be reached"}


@dataclass(frozen=True, slots=True)
class Button:
    """An act as a button: what is sent, what stands on it, and a word beside it."""

    sent: str
    label: str
    beside: str = ""

    @classmethod
    def of(cls, act: Act, label: str, beside: str = "") -> Button:
        """The button of an act."""
        return cls(json.dumps(act_to_dict(act)), label, beside)


@dataclass(frozen=True, slots=True)
class Group:
    """Buttons under a title, with what can hurt there; ``open`` if the last act was one of them.

    ``price`` stands beside the title of a change.
    """

    title: str
    buttons: tuple[Button, ...]
    cautions: tuple[Caution, ...]
    open: bool = False
    price: str = ""


@dataclass(frozen=True, slots=True)
class Shown:
    """The display that is being looked at: where, every figure so far, and how to go on."""

    label: str
    figures: tuple[str, ...]
    unit: str
    still: bool
    again: Button
    wait: Button


def listed(row: PracticeRound) -> dict[str, Any]:
    """A line of the list of rounds."""
    return {"id": row.pk, "name": f"House {row.seed}", "about": _ENDED.get(row.ended, "")}


def going_on(now: Round, system: System) -> dict[str, Any]:
    """What a round shows while it goes on."""
    return {
        "display": None if now.current is None else _display(now.current, now, system),
        "state": _capital(words.state_said(now)),
        "spent": said.spent_said(now),
        "groups": tuple(_groups(now)),
        "calls": tuple(_calls(now)),
        "filter": _filter(now),
        "changes": tuple(_changes(now)),
        "last": _last(now),
        "done": Button.of(Act("done"), "Done: the goal is met"),
        "cannot": Button.of(Act("cannot"), "It cannot be reached with these"),
        **_both(now, system),
    }


def over(now: Round, system: System) -> dict[str, Any]:
    """What a round shows when it is over."""
    result = score(now)
    return {
        "verdict": said.verdict_said(result),
        "met": said.met_said(result).text(system),
        "money": said.score_lines(result, now),
        "cheapest": said.cheapest_said(result, now),
        "truth": said.truth_table(result, now, system),
        "hidden": [
            one.text(system) for one in words.hidden_said(hidden(now.seed), now.house.job.survey)
        ],
        **_both(now, system),
    }


def helped(found: Help) -> Table:
    """The tool's sets of changes by price, with their odds."""
    return Table(
        "Sets of changes, and their odds of meeting the goal",
        ("Changes", "Price", "Odds"),
        tuple(
            Row(f"set-{number}", one.label, (money(one.price), f"{100 * one.odds:.0f} %"))
            for number, one in enumerate(found.choices)
        ),
    )


def _both(now: Round, system: System) -> dict[str, Any]:
    return {
        "now": now,
        "goal": said.goal_said(now).text(system),
        "rules": said.rules_said(now),
        "invented": said.INVENTED,
        "survey": said.survey_lines(now.survey),
        "blower": said.blower_table(now.survey, system),
        "readings": said.readings_table(now, system),
    }


def _display(last: Taken, now: Round, system: System) -> Shown:
    reading = last.display.reading
    half = f"{practice('minutes look'):g} min"
    looks = last.display.looks_until_still(last.looks)
    figures, unit = words.figures_said(last, system)
    return Shown(
        label=words.spot_said(reading.quantity, reading.at, now.survey),
        figures=figures,
        unit=unit,
        still=last.display.still(last.looks),
        again=Button.of(Act("look"), "Look again", half),
        wait=Button.of(Act("look", looks=looks), "Wait until it stands still"),
    )


def _groups(now: Round) -> Iterator[Group]:
    survey = now.survey
    read = [one.display.reading for one in now.taken]
    known = {(one.quantity, one.at) for one in read}
    last = now.current
    for title in words.GROUPS:
        spots = [spot for spot in now.spots if words.group_of(spot) == title]
        if not spots:
            continue
        buttons = tuple(
            Button.of(
                Act("read", spot.at, spot.quantity),
                words.spot_said(spot.quantity, spot.at, survey),
                f"{spot.again if (spot.quantity, spot.at) in known else spot.minutes:g} min",
            )
            for spot in spots
        )
        here = last is not None and any(
            (spot.quantity, spot.at) == (last.display.reading.quantity, last.display.reading.at)
            for spot in spots
        )
        first = last is None and title == words.GROUPS[0]
        yield Group(title, buttons, words.cautions_of_group(title, survey), here or first)


def _calls(now: Round) -> Iterator[Button]:
    minutes = f"{practice('minutes call'):g} min"
    for call, tap in now.survey.unit.calls.items():
        if call != now.condition["call"]:
            yield Button.of(Act("call", call), f"Call for {call}, tap {tap}", minutes)


def _filter(now: Round) -> Group | None:
    if not filters_of(now.survey):
        return None
    minutes = f"{practice('minutes filter'):g} min"
    act, label = (
        (Act("filter-in"), "Put the filter back")
        if now.out
        else (Act("filter-out"), "Pull the filter, briefly")
    )
    cautions = words.cautions_of_filter(now.survey)
    return Group("Filter", (Button.of(act, label, minutes),), cautions, now.out)


def _changes(now: Round) -> Iterator[Group]:
    survey = now.house.job.survey
    for one in now.house.job.changes:
        stands = one.id in now.in_force
        act = Act("take-back", one.id) if stands else Act("change", one.id)
        price = money(now.terms.prices[one.id])
        label = "Take it back" if stands else f"Make it for {price}"
        beside = f"{practice('minutes take-back'):g} min" if stands else ""
        yield Group(
            f"{one.id}: {words.change_said(one, survey)}",
            (Button.of(act, label, beside),),
            words.cautions_of_change(one, survey),
            price="stands" if stands else price,
        )


def _last(now: Round) -> str:
    """What the last act did, where no display shows it."""
    if not now.acts or now.current is not None:
        return ""
    act = now.acts[-1]
    if act.do == "change":
        return (
            f"Made: {words.change_said(now.change(act.at), now.house.job.survey)}. Now read again."
        )
    if act.do == "take-back":
        name = words.change_said(now.change(act.at), now.house.job.survey)
        return f"Taken back: {name}. What was paid stays paid."
    if act.do == "filter-out":
        most = practice("filter out most")
        return f"The filter is out, for {most:.0f} minutes at most; a few readings, then back."
    if act.do == "filter-in":
        return "The filter is back."
    return f"The thermostat calls for {act.at}; the blower is steady."


def _capital(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"
