"""Gates: what has to be found safe before a step, after it, and before anybody leaves.

Limits and sources are in ``data/gates.csv``; a rise is held against the unit's own plate.  A gate
is closed by a result that passes, or by handing it to who is licensed for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, Literal

from inchwater import units
from inchwater.findings.cautions import TRIGGERS
from inchwater.planning.price_work import builds_cabinet
from inchwater.planning.rows import cited, read_rows
from inchwater.quantity import Said, said
from inchwater.survey import (
    HEATING_CALLS,
    Change,
    Job,
    Survey,
    WorkRecord,
    filters_of,
    to_undo,
)
from inchwater.survey.work import When
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.planning.work_plan import Step

State = Literal["open", "passed", "failed", "referred"]
_KINDS = {"s": "seconds", "ppm": "share_of_gas", "k_rise": "temperature_rise"}


@dataclass(frozen=True, slots=True)
class Gate:
    """One gate of one step, or of leaving (``step`` None): what is asked, and how it stands.

    ``low`` and ``high`` bound what is measured, None where there is none [SI]; ``unit`` is the kind
    of it, "" where somebody looks and says so; ``fails_at_high`` whether the upper one is not
    allowed itself.
    """

    key: str
    when: When
    step: int | None
    changes: tuple[str, ...]
    title: str
    text: str
    state: State
    said: Said
    low: float | None = None
    high: float | None = None
    unit: str = ""
    source: str = ""
    status: str = ""
    fails_at_high: bool = False

    @property
    def closed(self) -> bool:
        """Whether nothing more is asked here."""
        return self.state in ("passed", "referred")

    @property
    def kind(self) -> str:
        """The kind of its result; "" where somebody looks and says so."""
        return _KINDS[self.unit] if self.unit else ""

    def shown_in(self, system: System) -> str:
        """The unit that its result is typed in; "" where somebody looks and says so."""
        return units.SHOWN[self.kind][system][0] if self.unit else ""

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units."""
        name = self.shown_in(system)

        def bound(value: float | None) -> float | None:
            return None if value is None else units.from_si(value, name)

        return {
            "key": self.key,
            "when": self.when,
            "step": self.step,
            "changes": list(self.changes),
            "title": self.title,
            "text": self.text,
            "state": self.state,
            "closed": self.closed,
            "said": self.said.text(system),
            "low": bound(self.low),
            "high": bound(self.high),
            "fails_at_high": self.fails_at_high,
            "unit": name,
            "source": self.source,
            "status": self.status,
        }


@dataclass(frozen=True, slots=True)
class _Row:
    key: str
    when: tuple[str, ...]
    kinds: frozenset[str]
    trigger: str
    title: str
    text: str
    high: float | None
    fails_at_high: bool
    unit: str
    source: str
    status: str


@cache
def _rows() -> tuple[_Row, ...]:
    return tuple(
        _Row(
            key=row["key"],
            when=tuple(row["when"].split()),
            kinds=frozenset(row["kinds"].split()),
            trigger=row["trigger"],
            title=row["title"],
            text=row["text"],
            high=units.to_si(float(row["high"]), row["unit"]) if row["high"] else None,
            fails_at_high=row["at_high"] == "fails",
            unit=row["unit"],
            source=cited(row),
            status=row["status"],
        )
        for row in read_rows("gates")
    )


def gate_keys() -> tuple[str, ...]:
    """The keys that a result can be for."""
    plain = tuple(row.key for row in _rows() if row.key != "rise")
    return (*plain, *(f"rise:{call}" for call in HEATING_CALLS))


def gates(job: Job, steps: Sequence[Step]) -> tuple[Gate, ...]:
    """Every gate of a plan's steps and of leaving, each open or closed by the job's records.

    Parameters
    ----------
    job : Job
        Its survey says what is in the building, its records what was found; a temperature rise
        that was read in a trial with the step in force counts too.
    steps : sequence of Step
        In the order in which they are made, those that are done among them.
    """
    made = [(step.number, step.changes) for step in steps]
    return tuple(gates_of(job, made))


def gates_of(job: Job, steps: Sequence[tuple[int, Sequence[Change]]]) -> Iterator[Gate]:
    """The same for steps that are only numbers and changes."""
    for number, changes in steps:
        ids, kinds = tuple(one.id for one in changes), _kinds_of(changes, job.survey)
        for row in _rows():
            if row.kinds.isdisjoint(kinds) or not _asked(row, job, ()):
                continue
            for when in ("before", "after"):
                if when in row.when:
                    for key, title in _stages(row, job.survey):
                        yield _gate(job, row, key, title, when, number, ids)
    every = [change for _, changes in steps for change in changes]
    kinds = _kinds_of(every, job.survey)
    for row in _rows():
        there = "*" in row.kinds or not row.kinds.isdisjoint(kinds)
        if "leaving" in row.when and there and _asked(row, job, every):
            yield _gate(job, row, row.key, row.title, "leaving", None, ())


def _kinds_of(changes: Sequence[Change], survey: Survey) -> set[str]:
    """Kinds of the changes; a grille's filter of another size is another grille, too."""
    at_grille = {one.id for one in filters_of(survey) if one.at == "grille"}
    returns = {one.id for one in survey.returns or ()}
    found = set()
    for one in changes:
        found.add(one.kind)
        if one.kind == "filter":
            sized = "width" in one.to or "height" in one.to
            if at_grille & set(one.targets):
                found |= {"grille"} if sized else set()
            elif sized or builds_cabinet(one, survey):
                found.add("cabinet")
        if one.kind == "fitting" and returns & set(one.targets):
            found.add("enlarge-return")
    return found


def _asked(row: _Row, job: Job, changes: Sequence[Change]) -> bool:
    if row.trigger == "limit":
        read = {r.at for t in job.trials for r in t.in_force}
        return job.survey.unit.kind == "furnace" and "before-coil" in read
    if row.trigger == "filter-out":
        out = any(k.startswith("filter:") for t in job.trials for k in to_undo(t))
        handled = any(change.kind in ("filter", "cabinet") for change in changes)
        plate = any(
            r.quantity == "airflow" and r.at == "unit" for t in job.trials for r in t.in_force
        )
        return out or plate or handled
    if row.trigger == "read":
        return any(trial.in_force for trial in job.trials)
    return TRIGGERS[row.trigger](job.survey)


def _stages(row: _Row, survey: Survey) -> Iterator[tuple[str, str]]:
    """The key and title of a gate; of a rise one for each stage that this unit burns in."""
    if row.key != "rise":
        yield row.key, row.title
        return
    unit = survey.unit
    low = {"heating-low"} & {*unit.rise, *unit.calls} or unit.heat_output_low is not None
    for call in HEATING_CALLS if low else HEATING_CALLS[:1]:
        yield f"rise:{call}", row.title.format(call=call.replace("-", " "))


def _gate(
    job: Job,
    row: _Row,
    key: str,
    title: str,
    when: Literal["before", "after", "leaving"],
    step: int | None,
    changes: tuple[str, ...],
) -> Gate:
    low, high = _bounds(job.survey, row, key)
    result: WorkRecord | float | None = _result(job, key, when, changes)
    if result is None and when == "after" and key.startswith("rise:"):
        result = _read_rise(job, key.partition(":")[2], changes)
    state, words = _judged(result, row, low, high)
    return Gate(
        key,
        when,
        step,
        changes,
        title,
        row.text,
        state,
        words,
        low,
        high,
        row.unit,
        row.source,
        row.status,
        row.fails_at_high,
    )


def _bounds(survey: Survey, row: _Row, key: str) -> tuple[float | None, float | None]:
    if row.key != "rise":
        return None, row.high
    plate = survey.unit.rise.get(key.partition(":")[2])
    return (None, None) if plate is None else (plate.low.si, plate.high.si)


def _result(job: Job, key: str, when: str, changes: tuple[str, ...]) -> WorkRecord | None:
    """The record that decides a gate: the last of its key that was found in the right state.

    What was found after one step holds before the next as long as nothing was done between; what is
    found after a later step holds for those before it.
    """
    done = [n for n, r in enumerate(job.work) if r.kind == "done" and set(r.changes) & set(changes)]
    found: WorkRecord | None = None
    for number, record in enumerate(job.work):
        if record.kind in ("done", "taken-back") and when == "before":
            if done and number >= done[-1]:
                break
            if found is not None and found.when == "after":
                found = None
        if record.kind != "gate" or record.gate != key:
            continue
        own = set(record.changes) & set(changes)
        if (
            (when == "leaving" and record.when == "leaving")
            or (when == "before" and ((record.when == "before" and own) or record.when == "after"))
            or (when == "after" and record.when == "after" and done and number > done[-1])
        ):
            found = record
    return found


def _read_rise(job: Job, call: str, changes: tuple[str, ...]) -> float | None:
    """A rise that was read in a call with these changes in force, the last one. [K]"""
    found = None
    for trial in job.trials:
        if set(changes) <= set(trial.after) and trial.condition.get("call") == call:
            for reading in trial.in_force:
                if reading.quantity == "temperature-rise":
                    found = reading.value
    return found


def _judged(
    result: WorkRecord | float | None, row: _Row, low: float | None, high: float | None
) -> tuple[State, Said]:
    if result is None:
        return "open", said("Nothing is reported yet.")
    by: Mapping[str, str] = {}
    if isinstance(result, WorkRecord):
        by = {"by": f" by {result.by}" if result.by else ""}
        if result.result == "referred":
            to = f" to {result.by}" if result.by else ""
            return "referred", said("Referred{to}.", to=to)
        if result.result == "not-ok":
            return "failed", said("Not in order{by}. Stop, and refer it.", **by)
        if result.value is None:
            if row.unit and row.key == "rise":
                return "open", said("A rise is a number: read it in this stage.")
            return "passed", said("In order{by}.", **by)
        value = result.value.si
    else:
        value = result
    if not row.unit:
        return "open", said("This is looked at, and not measured.")
    shown = (value, _KINDS[row.unit])
    if isinstance(result, WorkRecord) and result.value is not None:
        unit = units.unit(result.value.unit)
        if unit.kind != units.unit(row.unit).kind:
            return "open", said("{unit} does not measure this.", unit=unit.label)
    if low is None and high is None:
        return "open", said("{value} was read; add the plate's range to the survey.", value=shown)
    if low is not None and value < low:
        return "failed", said(
            "{value} is below {low}. Stop, and settle it.", value=shown, low=(low, _KINDS[row.unit])
        )
    if high is not None and (value > high or (row.fails_at_high and value == high)):
        return "failed", said(
            "{value}; the limit is {high}. Stop, and refer it.",
            value=shown,
            high=(high, _KINDS[row.unit]),
        )
    return "passed", said("{value}, within the limit.", value=shown)
