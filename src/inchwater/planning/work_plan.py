"""``work_plan(posterior, changes) -> WorkPlan``: an accepted option as ordered steps."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from inchwater.errors import InputError
from inchwater.findings import Caution, cautions_of
from inchwater.findings.cautions import ACT_OF_CHANGE
from inchwater.planning.gates import Gate, gates_of
from inchwater.planning.price_book import Price, PriceBook, price_book
from inchwater.planning.steps import (
    added_up,
    in_steps,
    label_of,
    parts_of,
    stage_of,
    take_back_of,
    time_of,
    tools_of,
)
from inchwater.planning.steps_expected import Expected, expectations, readings_of
from inchwater.survey import Change, Survey, apply, in_force
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.calibration import Posterior


@dataclass(frozen=True, slots=True)
class Step:
    """One step: what is changed at one place in one go, and what should be read afterwards.

    ``minutes`` is how long it takes with its ``people``; ``take_back`` how it is undone, the last
    change first; ``expected`` are the readings with this step and those before it in force.
    """

    number: int
    label: str
    changes: tuple[Change, ...]
    minutes: float
    people: int
    parts: tuple[str, ...]
    tools: tuple[str, ...]
    take_back: tuple[str, ...]
    cautions: tuple[Caution, ...]
    gates: tuple[Gate, ...]
    expected: tuple[Expected, ...]

    @property
    def ids(self) -> tuple[str, ...]:
        """The ids of its changes."""
        return tuple(one.id for one in self.changes)

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units; time in minutes."""
        return {
            "number": self.number,
            "label": self.label,
            "changes": list(self.ids),
            "minutes": self.minutes,
            "people": self.people,
            "parts": list(self.parts),
            "tools": list(self.tools),
            "take_back": list(self.take_back),
            "cautions": [one.to_dict(system) for one in self.cautions],
            "gates": [one.to_dict(system) for one in self.gates],
            "expected": [one.to_dict(system) for one in self.expected],
        }


@dataclass(frozen=True, slots=True)
class WorkPlan:
    """The steps in their order, and what all of them take together.

    ``minutes`` is how long the steps and getting ready take one after the other; ``leaving`` are
    the gates before anybody goes.
    """

    steps: tuple[Step, ...]
    parts: tuple[str, ...]
    tools: tuple[str, ...]
    minutes: float
    price: Price
    cautions: tuple[Caution, ...] = ()
    leaving: tuple[Gate, ...] = ()

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """One JSON document; money in US dollars, time in minutes."""
        return {
            "steps": [one.to_dict(system) for one in self.steps],
            "parts": list(self.parts),
            "tools": list(self.tools),
            "minutes": self.minutes,
            "price": self.price.to_dict(),
            "cautions": [one.to_dict(system) for one in self.cautions],
            "leaving": [one.to_dict(system) for one in self.leaving],
        }


def work_plan(
    posterior: Posterior,
    changes: Sequence[Change],
    book: PriceBook | None = None,
    *,
    first: int = 1,
) -> WorkPlan:
    """The steps of a set of changes, each with the readings to expect after it.

    Parameters
    ----------
    posterior : Posterior
        The calibrated job, all its trials counted.
    changes : sequence of Change
        What is to be done and is not in force yet, in an order in which it can be made.
    book : PriceBook, optional
        Prices; the planning figures that ship if None.
    first : int
        The number of the first step; later ones where some are done already. [-]

    Returns
    -------
    WorkPlan
        Without a step where there is nothing to do.

    Raises
    ------
    InputError, UnknownNameError
        If a change cannot be made here, comes twice, or is in force already.
    OutsideTableError
        If the blower would work more than 0.1 in. w.c. beyond its table after a step.
    """
    from inchwater.forecast import predict

    costs = book or price_book()
    base, unread, survey = now_in_force(posterior)
    _refuse_twice(changes, {*base, *(one.id for one in unread)})
    readings = readings_of(posterior.job)
    before = survey
    steps: list[Step] = []
    made: list[Change] = []
    for number, own in enumerate(in_steps(changes, survey), first):
        made += own
        then = predict(posterior, (*unread, *made), after=base)
        minutes, people = time_of(own, survey, costs)
        steps.append(
            Step(
                number=number,
                label=label_of(own, survey),
                changes=own,
                minutes=minutes,
                people=people,
                parts=parts_of(own, survey),
                tools=tools_of(own, survey),
                take_back=take_back_of(own, survey),
                cautions=cautions_of(survey, _acts(own)),
                gates=(),
                expected=expectations(posterior, then, readings, stage_of(own, survey)),
            )
        )
        for change in own:
            survey = apply(survey, change)
    with_gates, leaving = _gated(posterior, steps)
    ready = costs.ready(changes, before)
    return WorkPlan(
        steps=with_gates,
        parts=added_up(line for step in steps for line in step.parts),
        tools=_each_once(step.tools for step in steps),
        minutes=sum(step.minutes for step in steps) + (0.0 if ready is None else ready.minutes),
        price=costs.price(changes, before),
        cautions=cautions_of(before, _acts(made)) if made else (),
        leaving=leaving,
    )


def now_in_force(posterior: Posterior) -> tuple[tuple[str, ...], tuple[Change, ...], Survey]:
    """What is in force by the job's records: changes that were read with, those that were not yet.

    Returns
    -------
    tuple of str
        Ids of the changes that the standing trial was read with and that are still in force.
    tuple of Change
        Those that were reported done since, in their order.
    Survey
        With all of them in force.
    """
    job = posterior.job
    base, later = in_force(job)
    known = job.changes_by_id
    return base, tuple(known[id_] for id_ in later), job.survey_after((*base, *later))


def _refuse_twice(changes: Sequence[Change], in_force: set[str]) -> None:
    seen: set[str] = set()
    for change in changes:
        if change.id in seen or change.id in in_force:
            raise InputError(
                where=f"changes.{change.id}",
                came="a change that is in force already" if change.id in in_force else "it twice",
                right="a plan holds each change once, and only what is still to be made",
                do="Leave it out.",
            )
        seen.add(change.id)


def _acts(changes: Sequence[Change]) -> tuple[str, ...]:
    acts = (ACT_OF_CHANGE[one.kind] for one in changes if one.kind in ACT_OF_CHANGE)
    # After each step both sides are read again.
    return (*dict.fromkeys(acts), "reading")


def _gated(
    posterior: Posterior, steps: Sequence[Step]
) -> tuple[tuple[Step, ...], tuple[Gate, ...]]:
    found = tuple(gates_of(posterior.job, [(step.number, step.changes) for step in steps]))
    with_gates = tuple(
        replace(step, gates=tuple(gate for gate in found if gate.step == step.number))
        for step in steps
    )
    return with_gates, tuple(gate for gate in found if gate.step is None)


def _each_once(lists: Iterable[Iterable[str]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(line for one in lists for line in one))
