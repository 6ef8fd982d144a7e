"""What the work page shows: steps with gates and readings, and what is settled before leaving."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inchwater import units
from inchwater.app.core.words import with_status
from inchwater.app.work.services import LastDone
from inchwater.findings import Caution
from inchwater.findings.labels import opening_label, part_label
from inchwater.planning import done_steps, judged
from inchwater.planning.loudness import last_heard
from inchwater.planning.steps import label_of
from inchwater.planning.work_records import left_of
from inchwater.quantity import in_sentence
from inchwater.survey import Job, all_in_force, not_undone, openings_of, work_of
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.planning import Expected, Gate, WorkNow

_SEEN = (("ok", "In order"), ("not-ok", "Not in order"), ("referred", "Referred"))
_MEASURED = (("measured", "Keep this result"), ("referred", "Referred"))
_WORD = {"passed": "settled", "failed": "not in order", "referred": "referred", "open": "open"}


@dataclass(frozen=True, slots=True)
class ToUndo:
    """A state that was set for measuring: what stands so, and how its button calls it."""

    key: str
    trial: str
    label: str
    act: str


@dataclass(frozen=True, slots=True)
class Opening:
    """A register or grille that may be too loud: its key, its words, whether it was named last."""

    key: str
    label: str
    loud: bool


@dataclass(frozen=True, slots=True)
class ShownGate:
    """One gate: what is asked, the results that can be kept, and how it stands in words."""

    id: str
    key: str
    when: str
    label: str
    about: str
    source: str
    asks: str
    unit: str
    unit_label: str
    low: float | None
    high: float | None
    results: tuple[tuple[str, str], ...]
    state: str
    closed: bool
    said: str


@dataclass(frozen=True, slots=True)
class ShownReading:
    """One reading after a step: its interval in the page's units, and what to say of it."""

    id: str
    label: str
    place: str
    quantity: str
    unit: str
    unit_label: str
    low: float
    high: float
    sign: int
    range: str
    inside: str
    below: str
    above: str
    wrong_side: str
    changes: str
    typed: str = ""
    verdict: str = ""


@dataclass(frozen=True, slots=True)
class ShownStep:
    """One step; ``changes`` are the ids in one text, as the page sends them back."""

    number: int
    label: str
    changes: str
    about: str
    parts: tuple[str, ...]
    tools: tuple[str, ...]
    take_back: tuple[str, ...]
    cautions: tuple[Caution, ...]
    before: tuple[ShownGate, ...]
    after: tuple[ShownGate, ...]
    expected: tuple[ShownReading, ...]
    done: bool
    next: bool


def to_undo(job: Job) -> list[ToUndo]:
    """What was set for measuring and is not reported as put back."""
    found = []
    for one in not_undone(job):
        name = _name(one.key, job)
        label = f"{name[:1].upper()}{name[1:]} is {one.state.replace('-', ' ')} for measuring"
        found.append(ToUndo(one.key, one.trial, label, name))
    return found


def _name(key: str, job: Job) -> str:
    """``the filter``, ``the run den``, ``the door of bath``, ``the tap``."""
    kind, _, id_ = key.partition(":")
    survey = job.survey
    if not id_:
        return f"the {kind}"
    if kind == "filter":
        label = part_label(key, survey) or "filter"
        return f"the {in_sentence(label)}"
    rooms = {room.id: room.name or room.id for room in survey.rooms or ()}
    runs = {} if survey.supply is None else {run.id: run.room for run in survey.supply.runs}
    which = rooms.get(id_) or runs.get(id_) or id_
    return f"the {kind} of {which}" if kind in ("door", "register") else f"the {kind} {which}"


def steps_shown(now: WorkNow, last: LastDone | None, job: Job, system: System) -> list[ShownStep]:
    """Every step in its order: those that are done, then those of the plan for what is left.

    Parameters
    ----------
    now : WorkNow
        Where the work stands.
    last : LastDone or None
        What was to be expected after the step that was done last, and what was read.
    job : Job
        Its records say which steps are done.
    system : "ip" or "si"
        The page's units.
    """
    shown = []
    for number, changes in done_steps(job):
        mine = last if last is not None and last.number == number else None
        in_force = work_of(job).done
        shown.append(
            ShownStep(
                number=number,
                label=label_of(changes, job.survey),
                changes=_ids(one.id for one in changes),
                about="",
                parts=(),
                tools=(),
                take_back=(),
                cautions=(),
                before=(),
                after=_gates(now.gates, number, "after", system),
                expected=_expected(mine.expected, number, in_force, system, mine) if mine else (),
                done=True,
                next=False,
            )
        )
    made = list(work_of(job).done)
    for place, step in enumerate(now.plan.steps):
        made += step.ids
        people = f", {step.people} people" if step.people > 1 else ""
        shown.append(
            ShownStep(
                number=step.number,
                label=step.label,
                changes=_ids(step.ids),
                about=f"About {minutes_text(step.minutes)}{people}.",
                parts=step.parts,
                tools=step.tools,
                take_back=step.take_back,
                cautions=step.cautions,
                before=_gates(step.gates, step.number, "before", system),
                after=_gates(step.gates, step.number, "after", system),
                expected=_expected(step.expected, step.number, tuple(made), system),
                done=False,
                next=place == 0,
            )
        )
    return shown


def openings_shown(job: Job) -> tuple[Opening, ...]:
    """What may be too loud once all that was agreed is done, as somebody is asked."""
    survey = job.survey_after((*all_in_force(job), *(one.id for one in left_of(job))))
    last = last_heard(job)
    loud = () if last is None else last.loud or ()
    keys = openings_of(survey)
    return tuple(Opening(one, opening_label(one, survey), one in loud) for one in keys)


def leaving_shown(now: WorkNow, system: System) -> tuple[ShownGate, ...]:
    """What is settled before anybody leaves."""
    return _gates(now.gates, None, "leaving", system)


def odds_line(now: WorkNow) -> str:
    """How likely all that is wanted is met by now."""
    return f"As it stands, all that is wanted is met in {100.0 * now.odds:.0f} of 100 cases."


def minutes_text(minutes: float) -> str:
    """``25 min``, ``2 h 10 min``."""
    whole = round(minutes / 5.0) * 5 if minutes > 10.0 else max(round(minutes), 1)
    hours, rest = divmod(whole, 60)
    return " ".join(
        ([f"{hours} h"] if hours else []) + ([f"{rest} min"] if rest or not hours else [])
    )


def _ids(ids: Iterable[str]) -> str:
    return " ".join(ids)


def _expected(
    expected: Sequence[Expected],
    number: int,
    in_force: Sequence[str],
    system: System,
    last: LastDone | None = None,
) -> tuple[ShownReading, ...]:
    return tuple(
        _reading(one, f"read-{number}-{place}", _ids(in_force), system, last)
        for place, one in enumerate(expected, 1)
    )


def _reading(
    one: Expected, id_: str, changes: str, system: System, last: LastDone | None
) -> ShownReading:
    name = units.SHOWN[one.estimate.kind][system][0]
    typed, value = (
        (None, None) if last is None else last.read.get((one.quantity, one.at), (None, None))
    )
    return ShownReading(
        id=id_,
        label=one.label,
        place=one.at,
        quantity=one.quantity,
        unit=name,
        unit_label=units.unit(name).label,
        low=units.from_si(one.estimate.low, name),
        high=units.from_si(one.estimate.high, name),
        sign=one.sign,
        range=f"{one.estimate.range_text(system)} {one.estimate.label(system)}",
        inside=one.inside.text(system),
        below=one.below.text(system),
        above=one.above.text(system),
        wrong_side=one.wrong_side.text(system),
        changes=changes,
        typed=typed or "",
        verdict="" if value is None else judged(one, value).side,
    )


def _gates(
    gates: Iterable[Gate], step: int | None, when: str, system: System
) -> tuple[ShownGate, ...]:
    return tuple(_gate(one, system) for one in gates if one.step == step and one.when == when)


def _gate(one: Gate, system: System) -> ShownGate:
    document = one.to_dict(system)
    name = document["unit"]
    most = "below" if one.fails_at_high else "at most"
    bounds = [
        f"{word} {document[side]:g}"
        for side, word in (("low", "at least"), ("high", most))
        if document[side] is not None
    ]
    key = "".join(c if c.isalnum() else "-" for c in one.key)
    return ShownGate(
        id=f"gate-{one.when}-{one.step or 0}-{key}",
        key=one.key,
        when=one.when,
        label=one.title,
        about=one.text,
        source=with_status(one.source, one.status),
        asks=f"Found, {', '.join(bounds)}" if bounds else "Found",
        unit=name,
        unit_label=units.unit(name).label if name else "",
        low=document["low"],
        high=document["high"],
        results=_MEASURED if name else _SEEN,
        state=_WORD[one.state],
        closed=one.closed,
        said=one.said.text(system),
    )
