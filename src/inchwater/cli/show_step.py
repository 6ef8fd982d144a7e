"""Where the work stands, for people at a prompt: what was judged, what is next, what is open."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inchwater.cli.show import print_rows, say_cautions, say_first, say_more
from inchwater.units import System

if TYPE_CHECKING:
    from rich.console import Console

    from inchwater.planning import Expected, Judged, Step, WorkNow
    from inchwater.survey import WorkRecord

_KINDS = {
    "accepted": "Agreed: {changes}.",
    "done": "Step {step} is done: {changes}.",
    "taken-back": "Step {step} is taken back: {changes}.",
    "gate": "Gate {gate}: {result}.",
    "undone": "Put back: {state}.",
    "heard": "Too loud: {loud}.",
    "called-again": "They called again.",
    "stopped": "No more work: {why}.",
}


def stands(
    out: Console,
    now: WorkNow,
    judged: Sequence[tuple[Expected, Judged]],
    added: Sequence[WorkRecord],
    system: System,
) -> None:
    """What was reported and judged, whether to stop, the next step, and what keeps a visit open."""
    for record in added:
        say_more(
            out,
            _KINDS[record.kind].format(
                changes=", ".join(record.changes),
                step=record.step,
                gate=record.gate,
                result=_result(record, now, system),
                state=record.state,
                loud=", ".join(record.loud or ()) or "nothing",
                why=record.why,
            ),
            below=False,
        )
    for _, held in judged:
        say_more(out, held.said.text(system), below=False)
    if now.stop is not None:
        say_first(out, now.stop.text(system))
    elif not now.work.accepted and not now.work.done:
        say_first(out, "Nothing is accepted yet.")
        say_more(out, "'inchwater step JOB --accept 2' takes the second of 'inchwater options'.")
    elif now.against:
        # Odds are those of all but these readings, here as on the page of the work.
        for said in now.against:
            say_first(out, said.text(system))
    elif now.not_proven is not None:
        say_first(out, now.not_proven.text(system))
    else:
        say_more(out, now.standing.said().text(system))
    if now.stop is None and (now.work.accepted or now.work.done):
        for said in now.not_told:
            say_more(out, said.text(system), below=False)
    if now.plan.steps:
        left = len(now.plan.steps)
        say_first(out, f"Next: step {now.plan.steps[0].number}, {left} left.")
        _step(out, now.plan.steps[0], system)
        for one in now.plan.steps[1:]:
            say_more(out, f"Then step {one.number}: {one.label}.", below=False)
    for said in now.open:
        say_more(out, f"Open: {said.text(system)}", below=False)
    if now.work.done or now.work.stopped:
        say_more(out, "The visit may be closed." if now.may_close else "The visit stays open.")


def _result(record: WorkRecord, now: WorkNow, system: System) -> str:
    for gate in now.gates:
        if (gate.key, gate.when, gate.step) == (record.gate, record.when, record.step):
            return gate.said.text(system).rstrip(".")
    return str(record.result)


def _step(out: Console, step: Step, system: System) -> None:
    people = "one person" if step.people == 1 else f"{step.people} people"
    say_more(out, f"{step.label}. About {step.minutes:.0f} min, {people}.")
    say_cautions(out, step.cautions)
    for gate in step.gates:
        if not gate.closed and gate.when == "before":
            say_more(out, f"Before it, {gate.key}: {gate.title}. {gate.text}")
    if step.parts:
        say_more(out, f"Parts: {'; '.join(step.parts)}.")
    say_more(out, f"Tools: {'; '.join(step.tools)}.")
    rows = [
        (one.label, f"{one.estimate.range_text(system)} {one.estimate.label(system)}")
        for one in step.expected
    ]
    if rows:
        print_rows(out, "To read after it, 9 in 10", ("Reading", "To expect"), rows)
    say_more(out, f"To take it back: {' '.join(step.take_back)}")
