"""What is reported of a step at the prompt, made into records and readings of the job."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import count
from typing import TYPE_CHECKING, Any, get_args

from inchwater.cli import frame, typed
from inchwater.errors import InputError, UnknownNameError

if TYPE_CHECKING:
    from inchwater.planning import Expected, Gate, Judged
    from inchwater.survey import Change, Fact, Job

# The option of a reading by its quantity, as it is parsed.
_OPTIONS = {
    "static": "static",
    "drop": "drop",
    "airflow": "airflow",
    "power": "watts",
    "temperature-rise": "rise",
    "speed": "speed",
}


@dataclass(frozen=True)
class Acts:
    """How acts are recorded: by whom, with which note, doubts kept or asked."""

    by: str | None
    note: str | None
    keep: bool
    pressure_unit: str

    def accept(self, job: Job, text: str, offers: Callable[[Job], Sequence[Any]]) -> Job:
        """Agree on an offer by its number, or on the job's own changes."""
        from inchwater import planning

        option, changes = None, _own(job, text)
        if changes is None:
            found = offers(job)
            place = int(text)
            if not 1 <= place <= len(found):
                raise InputError(
                    where="--accept",
                    came=text,
                    right=f"offers are numbered from 1 to {len(found)}",
                    do="'inchwater options JOB' lists them by their numbers.",
                )
            option, changes = found[place - 1].key, found[place - 1].changes
        return planning.accepted(job, changes, option, at=typed.now(), by=self.by)

    def done(self, job: Job, text: str) -> Job:
        """Report a step of the plan done."""
        from inchwater import planning

        steps = dict(planning.planned_steps(job))
        done = dict(planning.done_steps(job))
        if not steps and not done:
            raise _nothing_accepted("--done")
        number = min(steps, default=0) if text == "next" else _number("--done", text)
        if number in done:
            raise InputError(
                where="--done",
                came=f"step {number} again",
                right="it was reported done before",
                do="Report it once; if it was taken back in between, report that first.",
            )
        if number not in steps:
            raise _no_step("--done", text, steps)
        ids = tuple(one.id for one in steps[number])
        return self._recorded(job, kind="done", changes=ids, step=number)

    def take_back(self, job: Job, text: str) -> Job:
        """Report a step taken back."""
        from inchwater import planning

        steps = dict(planning.done_steps(job))
        number = max(steps, default=0) if text == "last" else _number("--take-back", text)
        if number not in steps:
            raise _no_step("--take-back", text, steps, "no step is in force")
        ids = tuple(one.id for one in steps[number])
        return self._recorded(job, kind="taken-back", changes=ids, step=number)

    def gate(self, job: Job, word: str) -> Job:
        """Report a result at the first gate of its key that is open, after what is done first."""
        key, equals, result = (part.strip() for part in word.partition("="))
        if not (equals and key and result):
            raise InputError(
                where="--gate",
                came=repr(word),
                right="a result is KEY=RESULT",
                do="Type it like spillage=ok, co-flue=40, rise:heating=52 or co-room=referred.",
            )
        gate = _open_gate(job, key)
        value = None
        if result not in ("ok", "not-ok", "referred"):
            value = _value(gate, result)
            result = "measured"
        return self._recorded(
            job,
            kind="gate",
            gate=key,
            when=gate.when,
            changes=gate.changes,
            step=gate.step,
            result=result,
            value=value,
        )

    def read(
        self, job: Job, words: Sequence[str], wanted: Sequence[Expected], step: int
    ) -> tuple[Job, tuple[tuple[Expected, Judged], ...]]:
        """Add readings after the last step, and hold them against what was expected of it."""
        from inchwater import planning, survey

        there = {one.at: one for one in wanted}
        known = {one.id for trial in job.trials for one in trial.readings}
        ids = (f"rd{n}" for n in count(1) if f"rd{n}" not in known)
        readings, judged = [], []
        for word in words:
            at, equals, text = (part.strip() for part in word.partition("="))
            if not equals or at not in there:
                raise UnknownNameError(
                    where="--read",
                    came=repr(word),
                    right=f"after step {step} these are read: {', '.join(there)}, each as AT=VALUE",
                    do="Add anything else by 'inchwater reading JOB'.",
                )
            one = typed.reading(
                id_=next(ids),
                name=_OPTIONS[there[at].quantity],
                at=at,
                text=text,
                unit=self.pressure_unit,
                keep=self.keep,
            )
            readings.append(one)
            judged.append((there[at], planning.judged(there[at], one.value)))
        job, _ = planning.in_trial(job, tuple(readings))
        survey.check(job)
        return job, tuple(judged)

    def undo(self, job: Job, key: str) -> Job:
        """Report that a state that was set for measuring is put back."""
        from inchwater import survey

        left = {one.key: one for one in survey.not_undone(job)}
        if key not in left:
            raise UnknownNameError(
                where="--undo",
                came=repr(key),
                right=f"not put back yet: {', '.join(left) or 'nothing'}",
            )
        return self._recorded(job, kind="undone", state=key, trial=left[key].trial)

    def heard(self, job: Job, text: str) -> Job:
        """Report what somebody who lives there finds too loud as the system stands."""
        from inchwater import planning

        words = [word.strip() for word in text.split(",") if word.strip()]
        if not words:
            raise InputError(
                where="--heard",
                came=repr(text),
                right="registers or grilles that are too loud, 'somewhere', or 'nothing'",
                do="Type it like register:r1,grille:g1.",
            )
        loud = () if words == ["nothing"] else tuple(words)
        with frame.named({f"work[{len(job.work)}].loud": "--heard"}):
            return self._recorded(
                job, kind="heard", changes=planning.heard_with(job, "--heard"), loud=loud
            )

    def called_again(self, job: Job) -> Job:
        """Report that somebody called about the system as it stands."""
        from inchwater import survey

        return self._recorded(job, kind="called-again", changes=survey.all_in_force(job))

    def stop(self, job: Job, why: str) -> Job:
        """Report that no more work is done."""
        return self._recorded(job, kind="stopped", why=frame.one_of("--stop", why, _whys()))

    def _recorded(self, job: Job, **fields: Any) -> Job:
        from inchwater import planning
        from inchwater.planning.work_records import new_id
        from inchwater.survey import WorkRecord

        record = WorkRecord(id=new_id(job), at=typed.now(), by=self.by, note=self.note, **fields)
        return planning.recorded(job, record, keep=self.keep)


def _whys() -> tuple[str, ...]:
    from inchwater.survey.work import Why

    return get_args(Why)


def _own(job: Job, text: str) -> tuple[Change, ...] | None:
    """The job's own changes by their ids; None where the text is an offer's number."""
    known = job.changes_by_id
    ids = [part.strip() for part in text.split(",") if part.strip()]
    if ids and all(id_ in known for id_ in ids):
        return tuple(known[id_] for id_ in ids)
    if text.isdecimal() and len(text) < 4:
        return None
    raise UnknownNameError(
        where="--accept",
        came=repr(text),
        right=f"the number of an offer, or changes of this job: {', '.join(known) or 'none yet'}",
    )


def _open_gate(job: Job, key: str) -> Gate:
    """The gate that a result belongs to: of what is done first, then of what comes next."""
    from inchwater import planning
    from inchwater.planning.gates import gates_of

    done = planning.done_steps(job)
    following = planning.planned_steps(job)[:1]
    numbers = {number for number, _ in done}
    found = list(gates_of(job, (*done, *following)))
    mine = [one for one in found if one.key == key and _is_due(one, numbers)]
    if not mine:
        due = dict.fromkeys(one.key for one in found if _is_due(one, numbers) and not one.closed)
        raise UnknownNameError(
            where="--gate",
            came=repr(key),
            right=f"the gates that are open now are {', '.join(due) or 'none'}",
        )
    # A result that failed is followed by another; a gate that is closed can be looked at again.
    return next((one for one in mine if not one.closed), mine[-1])


def _is_due(gate: Gate, done: set[int]) -> bool:
    return gate.when == "leaving" or (gate.step in done) == (gate.when == "after")


def _value(gate: Gate, text: str) -> Fact:
    from inchwater.survey import Fact, How
    from inchwater.survey.typed_numbers import measured

    if not gate.unit:
        raise InputError(
            where=f"--gate {gate.key}",
            came=repr(text),
            right="this is looked at: ok, not-ok or referred",
        )
    number, name, _ = measured(f"--gate {gate.key}", text, gate.shown_in("ip"), gate.kind)
    return Fact(number, name, How.MEASURED)


def _number(option: str, text: str) -> int:
    if not text.isdecimal() or len(text) > 4:
        raise InputError(
            where=option, came=repr(text), right="the number of a step is wanted", do="Type 1."
        )
    return int(text)


def _no_step(
    option: str, text: str, steps: dict[int, Any], none: str = "no step is left"
) -> UnknownNameError:
    return UnknownNameError(
        where=option,
        came=repr(text),
        right=f"the steps are {', '.join(map(str, steps))}" if steps else none,
    )


def _nothing_accepted(option: str) -> InputError:
    return InputError(
        where=option,
        came="a step",
        right="nothing is accepted yet",
        do="'inchwater step JOB --accept 2' takes the second offer of 'inchwater options JOB'.",
    )
