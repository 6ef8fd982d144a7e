"""Where the work stands: what is left, whether all is met by now, and what keeps a visit open.

``recorded`` adds one record to a job and refuses what cannot be; ``work_now`` reads the records.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from inchwater.criteria import Standing, for_cooling, together
from inchwater.errors import DoubtError, InputError, OutsideTableError, UnknownNameError
from inchwater.parts.coefficients import table
from inchwater.planning.gates import Gate, gate_keys, gates_of
from inchwater.planning.price_book import PriceBook
from inchwater.planning.steps import in_steps
from inchwater.planning.wanted import AllTargets, Forecasts
from inchwater.planning.work_plan import WorkPlan, now_in_force, work_plan
from inchwater.quantity import Said, said
from inchwater.survey import (
    Change,
    Job,
    NotUndone,
    Survey,
    WorkRecord,
    WorkSoFar,
    check,
    not_undone,
    standing_trial,
    work_of,
)
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.calibration import Posterior

_STATES = {
    "filter": "filter {id} out",
    "run": "run {id} pulled off",
    "register": "register {id} closed",
    "door": "door of {id} held {state}",
    "zone": "zone {id} held {state}",
    "bypass": "bypass {id} held {state}",
    "tap": "tap {state} set for a test",
}


def done_steps(job: Job) -> tuple[tuple[int, tuple[Change, ...]], ...]:
    """The steps that are in force by the records: number and changes, in their order."""
    known = {change.id: change for change in job.changes}
    in_force = work_of(job).done
    found: list[tuple[int, tuple[Change, ...]]] = []
    for record in job.work:
        own = tuple(known[id_] for id_ in record.changes if id_ in in_force)
        if record.kind == "done" and own:
            # What was taken back and done again counts where it was done last.
            ids = {one.id for one in own}
            found = [(n, c) for n, c in found if not ids & {one.id for one in c}]
            found.append((record.step or len(found) + 1, own))
    return tuple(found)


def planned_steps(job: Job) -> tuple[tuple[int, tuple[Change, ...]], ...]:
    """The steps that are left of what was accepted: number and changes, as ``work_plan`` has them.

    Their order and their numbers need no calibration.
    """
    done = done_steps(job)
    first = 1 + max((number for number, _ in done), default=0)
    survey = _stands(job)
    return tuple(enumerate(in_steps(left_of(job), survey), first))


def _stands(job: Job) -> Survey:
    stands = standing_trial(job)
    work = work_of(job)
    read = stands.after if stands is not None else ()
    taken = {i for r in job.work if r.kind == "taken-back" for i in r.changes} - {*work.done}
    base = tuple(id_ for id_ in read if id_ not in taken)
    return job.survey_after((*base, *(id_ for id_ in work.done if id_ not in base)))


def left_of(job: Job) -> tuple[Change, ...]:
    """The changes that were accepted and are not in force by records or trials."""
    stands = standing_trial(job)
    work = work_of(job)
    taken = {i for r in job.work if r.kind == "taken-back" for i in r.changes} - {*work.done}
    in_force = {*work.done, *(stands.after if stands is not None else ())} - taken
    known = {change.id: change for change in job.changes}
    return tuple(known[id_] for id_ in work.accepted if id_ not in in_force)


def recorded(job: Job, record: WorkRecord, *, keep: bool = False) -> Job:
    """The job with one record of work more.

    Parameters
    ----------
    record : WorkRecord
        What happened; its id is new in this job.
    keep : bool
        Whether a step that is reported out of order was truly done so.

    Raises
    ------
    InputError, UnknownNameError
        If it is reported twice, is of a change, gate, trial or state that the job does not have, or
        a gate before the step is open; the job stays as it is.
    DoubtError
        If another step comes before it and nobody said that it was done out of order.
    """
    where = f"work[{len(job.work)}]"
    after = replace(job, work=(*job.work, record))
    check(after)
    if record.kind == "gate" and record.gate not in gate_keys():
        raise UnknownNameError(
            where=f"{where}.gate",
            came=repr(record.gate),
            right=f"the gates are {', '.join(gate_keys())}",
        )
    if record.kind == "done":
        _refuse_early(job, record, where, keep)
    return after


def _refuse_early(job: Job, record: WorkRecord, where: str, keep: bool) -> None:
    steps = planned_steps(job)
    own = set(record.changes)
    known = {change.id: change for change in job.changes}
    before = [(n, c) for n, c in steps if not own & {one.id for one in c}]
    mine = [n for n, c in steps if own & {one.id for one in c}]
    skipped = [n for n, _ in before if mine and n < min(mine)]
    number = mine[0] if mine else record.step or 0
    # What cannot be made without an earlier step is refused by the survey, kept or not.
    job.survey_after(tuple(dict.fromkeys((*work_of(job).done, *record.changes))))
    if skipped and not keep:
        raise DoubtError(
            where=f"{where}.changes",
            came=f"step {number}",
            right=f"step {skipped[0]} comes before it and is not reported",
            do=f"Report step {skipped[0]} first, or keep it if it was done in this order.",
            keep=str(number),
        )
    changes = tuple(known[id_] for id_ in record.changes)
    for gate in gates_of(job, [(number, changes)]):
        if gate.when == "before" and not gate.closed:
            raise InputError(
                where=f"gate {gate.key}",
                came=gate.said.text().rstrip(".") or "nothing",
                right=f"before this step: {gate.title}",
                do="Report the result that was found before the work; where there is none, stop "
                "and refer it to a licensed technician, and report that.",
            )


@dataclass(frozen=True, slots=True)
class WorkNow:
    """Where the work stands.

    ``plan`` is for what is left; ``standing`` is against all that is wanted, as the system is now;
    ``stop`` says that no more work is needed, None where it is; ``open`` are the reasons why the
    visit cannot be closed.
    """

    work: WorkSoFar
    plan: WorkPlan
    gates: tuple[Gate, ...]
    not_undone: tuple[NotUndone, ...]
    standing: Standing
    odds: float
    stop: Said | None
    open: tuple[Said, ...]

    @property
    def may_close(self) -> bool:
        """Whether nothing keeps the visit open."""
        return not self.open

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """One JSON document."""
        return {
            "option": self.work.option,
            "accepted": list(self.work.accepted),
            "done": list(self.work.done),
            "left": list(self.work.left),
            "stopped": self.work.stopped,
            "plan": self.plan.to_dict(system),
            "gates": [one.to_dict(system) for one in self.gates],
            "not_undone": [
                {"key": one.key, "state": one.state, "trial": one.trial, "said": undone_said(one)}
                for one in self.not_undone
            ],
            "standing": self.standing.to_dict(system),
            "odds": self.odds,
            "stop": None if self.stop is None else self.stop.text(system),
            "may_close": self.may_close,
            "open": [one.text(system) for one in self.open],
        }


def work_now(posterior: Posterior, book: PriceBook | None = None) -> WorkNow:
    """Where the work on a job stands, with a new plan for what is left of it.

    Parameters
    ----------
    posterior : Posterior
        The job calibrated anew with all its trials, those after the last step among them.
    book : PriceBook, optional
        Prices; the planning figures that ship if None.

    Raises
    ------
    OutsideTableError
        If the blower works more than 0.1 in. w.c. beyond its table, as it is or after a step.
    """
    job = posterior.job
    work = work_of(job)
    done = done_steps(job)
    first = 1 + max((number for number, _ in done), default=0)
    plan = work_plan(posterior, left_of(job), book, first=first)
    steps = (*done, *((one.number, one.changes) for one in plan.steps))
    found = tuple(gates_of(job, steps))
    held = standing_now(posterior)
    odds = held.odds()
    undone = not_undone(job)
    numbers = {number for number, _ in done}
    return WorkNow(
        work=work,
        plan=plan,
        gates=found,
        not_undone=undone,
        standing=held,
        odds=odds,
        stop=_stop(odds, len(plan.steps)),
        open=tuple(_open(found, undone, numbers)),
    )


def may_close(job: Job) -> tuple[Said, ...]:
    """Why a visit cannot be closed yet, by its records alone; empty where it can."""
    done = done_steps(job)
    found = tuple(gates_of(job, done))
    return tuple(_open(found, not_undone(job), {number for number, _ in done}))


def undone_said(one: NotUndone) -> str:
    """What is not put back, in words: ``filter f1 out``."""
    kind, _, id_ = one.key.partition(":")
    return _STATES[kind].format(id=id_, state=one.state)


def _open(found: Sequence[Gate], undone: Sequence[NotUndone], done: set[int]) -> Iterator[Said]:
    for one in undone:
        yield said("Not put back after {trial}: {what}.", trial=one.trial, what=undone_said(one))
    for gate in found:
        if gate.closed or not (gate.step in done or (gate.step is None and (done or undone))):
            continue
        where = "Before leaving" if gate.step is None else f"{gate.when} step {gate.step}"
        yield said(
            "{where}: {title}. " + gate.said.template,
            **{**gate.said.values, "where": where[:1].upper() + where[1:], "title": gate.title},
        )


def standing_now(posterior: Posterior) -> Standing:
    """The system as it is now against all that is wanted, in every call; noise against as found.

    A call other than the one that was read in is left out where it cannot be forecast.
    """
    from inchwater.forecast import predict, standing

    base, unread, _ = now_in_force(posterior)
    survey, state = standing(posterior, unread, after=base)
    if not for_cooling(survey, state.get("call")):
        state = {k: v for k, v in state.items() if k != "tap"} | {"call": "cooling"}
    wanted = AllTargets.of(posterior.job, survey, state.get("call", "cooling"))
    shut = {f"door:{room.id}": "shut" for room in survey.rooms or ()}

    def forecasts(call: str) -> Forecasts:
        condition = dict(state)
        if call != wanted.calls[0]:
            kept = ("volts", "coil") if call.startswith("cooling") else ("volts",)
            condition = {k: v for k, v in state.items() if k in kept} | {"call": call}
        # A part that came with a change was not there as found.
        then = {k: v for k, v in condition.items() if ":" not in k}
        return Forecasts(
            call,
            predict(posterior, (), then, after=()),
            predict(posterior, unread, condition, after=base),
            lambda: predict(posterior, unread, condition | shut, after=base),
        )

    held = [wanted.standing(forecasts(wanted.calls[0]))]
    for call in wanted.calls[1:]:
        try:
            held.append(wanted.standing(forecasts(call)))
        except OutsideTableError:
            # Nobody can tell that call; the first one is told by itself.
            continue
    return together(held)


def _stop(odds: float, left: int) -> Said | None:
    if odds < table("work", "inchwater.planning.data")["stop"].value:
        return None
    more = " The {left} that are left are not needed for it." if left else ""
    steps = "1 step" if left == 1 else f"{left} steps"
    return said(
        "The target is met, in {odds} of 100: you may stop." + more,
        odds=f"{100.0 * odds:.0f}",
        left=steps,
    )
