"""Where the work stands: what is left, whether all is met by now, and what keeps a visit open."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from inchwater.criteria import Standing, together
from inchwater.errors import InchwaterError
from inchwater.parts.coefficients import table
from inchwater.planning.called_again import not_enough, people_said
from inchwater.planning.gates import Gate, gates_of
from inchwater.planning.loudness import too_loud
from inchwater.planning.price_book import PriceBook
from inchwater.planning.unexplained import unexplained
from inchwater.planning.wanted import (
    AllTargets,
    Forecasts,
    beside_found,
    call_untold,
    in_call,
    in_cooling,
)
from inchwater.planning.wanted_limit import joined
from inchwater.planning.work_plan import WorkPlan, now_in_force, work_plan
from inchwater.planning.work_records import done_steps, left_of
from inchwater.quantity import Said, said
from inchwater.survey import Job, NotUndone, WorkSoFar, in_force, not_undone, work_of
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


@dataclass(frozen=True, slots=True)
class WorkNow:
    """Where the work stands.

    ``plan`` is for what is left; ``standing`` is against all that is wanted, as the system is now;
    ``not_told`` is what is wanted and cannot be told: calls, and targets that lack a fact;
    ``unexplained`` are readings after work that do not fit all that is known;
    ``too_loud`` says where somebody finds it too loud as it stands, None where nobody says so;
    ``called_again`` says that somebody called about it as it stands, None where nobody did;
    ``stop`` says that no more work is needed, and names what cannot be told; None where it is
    needed, where a reading is not explained, somebody finds it too loud or called again, or where
    work that is done has not been read:
    ``not_proven`` says that of what would be met otherwise;
    ``open`` are the reasons why the visit cannot be closed.
    """

    work: WorkSoFar
    plan: WorkPlan
    gates: tuple[Gate, ...]
    not_undone: tuple[NotUndone, ...]
    standing: Standing
    odds: float
    not_told: tuple[Said, ...]
    unexplained: tuple[Said, ...]
    too_loud: Said | None
    called_again: Said | None
    stop: Said | None
    not_proven: Said | None
    open: tuple[Said, ...]

    @property
    def against(self) -> tuple[Said, ...]:
        """What speaks against stopping, whatever the odds are: readings, and what people say."""
        people = (one for one in (self.too_loud, self.called_again) if one is not None)
        return (*self.unexplained, *people)

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
            "not_told": [one.text(system) for one in self.not_told],
            "unexplained": [one.text(system) for one in self.unexplained],
            "too_loud": None if self.too_loud is None else self.too_loud.text(system),
            "called_again": None if self.called_again is None else self.called_again.text(system),
            "stop": None if self.stop is None else self.stop.text(system),
            "not_proven": None if self.not_proven is None else self.not_proven.text(system),
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
    # What people say moves no reading: those to expect are of the plan before.
    held, not_told = standing_now(people_said(posterior))
    odds = held.odds()
    undone = not_undone(job)
    strange = unexplained(posterior)
    _, unread = in_force(job)
    loud, called = too_loud(job), not_enough(job)
    stop = None if strange or loud or called else _stop(odds, len(plan.steps), not_told)
    return WorkNow(
        work=work,
        plan=plan,
        gates=found,
        not_undone=undone,
        standing=held,
        odds=odds,
        not_told=not_told,
        unexplained=strange,
        too_loud=loud,
        called_again=called,
        # What was done and not read yet is forecast: no reading has shown that it came out so.
        stop=None if unread else stop,
        not_proven=_not_proven(odds, not_told) if unread and stop is not None else None,
        open=may_close(job),
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


def standing_now(posterior: Posterior) -> tuple[Standing, tuple[Said, ...]]:
    """The system as it is now against all that is wanted, in every call; noise against as found.

    Returns
    -------
    Standing
        In every call that can be forecast.
    tuple of Said
        What is wanted and cannot be told: calls other than the first, then targets that count and
        lack a fact.

    Raises
    ------
    InchwaterError
        If the first call cannot be forecast.
    """
    from inchwater.forecast import standing

    base, unread, _ = now_in_force(posterior)
    survey, state = standing(posterior, unread, after=base)
    state = in_cooling(survey, state)
    wanted = AllTargets.of(posterior.job, survey, state.get("call", "cooling"))

    def forecasts(call: str) -> Forecasts:
        condition = in_call(state, call, wanted.calls[0])
        return beside_found(posterior, survey, call, condition, after=base, unread=unread)

    held = [wanted.standing(forecasts(wanted.calls[0]))]
    untold: list[Said] = []
    for call in wanted.calls[1:]:
        try:
            held.append(wanted.standing(forecasts(call)))
        except InchwaterError as error:
            # Nobody can tell that call; the first one is told by itself.
            untold.append(call_untold(call, error))
    found = together(held)
    return found, (*untold, *found.lacking)


def _not_proven(odds: float, not_told: Sequence[Said]) -> Said:
    return said(
        "By forecast {met}, in {odds} of 100; what was done last is not read yet. Read the system "
        "as it stands before you stop.",
        met=_met(not_told),
        odds=f"{100.0 * odds:.0f}",
    )


def _stop(odds: float, left: int, not_told: Sequence[Said] = ()) -> Said | None:
    if odds < table("work", "inchwater.planning.data")["stop"].value:
        return None
    more = {
        0: "",
        1: " The step that is left is not needed for it.",
    }.get(left, " The {left} steps that are left are not needed for it.")
    met = said(
        _met(not_told).capitalize() + ", in {odds} of 100: you may stop." + more,
        odds=f"{100.0 * odds:.0f}",
        left=str(left),
    )
    if not not_told:
        return met
    return joined([met, Said("Not told, and so not known to be met:", {}), *not_told])


def _met(not_told: Sequence[Said]) -> str:
    # What nobody can tell is not met by that: it is named, and the word is of the rest alone.
    return "what can be told is met" if not_told else "the target is met"
