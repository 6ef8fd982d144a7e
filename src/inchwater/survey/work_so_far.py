"""What the records of a job's work come to: what was accepted, what is done, what is to undo."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from inchwater.survey.job import Job, Survey
from inchwater.survey.standing import MEASURING, standing_trial
from inchwater.survey.trials import Trial
from inchwater.survey.work import Why, WorkRecord

# What a thermostat or a family leaves open, and somebody holds shut for a reading.
_HELD = ("zone", "bypass")


@dataclass(frozen=True, slots=True)
class WorkSoFar:
    """What has become of the work: ids of changes in the order in which they came.

    ``accepted`` is what was agreed last; ``done`` what is in force now; ``left`` what was agreed
    and is not in force.  ``option`` is the key of the option that was accepted; ``stopped`` why no
    more is done.
    """

    option: str | None = None
    accepted: tuple[str, ...] = ()
    done: tuple[str, ...] = ()
    stopped: Why | None = None

    @property
    def left(self) -> tuple[str, ...]:
        """What was agreed and is not in force."""
        return tuple(id_ for id_ in self.accepted if id_ not in self.done)


def work_of(job: Job, until: int | None = None) -> WorkSoFar:
    """What the first ``until`` records of a job come to; all of them if None.

    A new agreement replaces the one before it and leaves what is done as it is.
    """
    option: str | None = None
    accepted: tuple[str, ...] = ()
    done: list[str] = []
    stopped: Why | None = None
    for record in job.work[:until]:
        if record.kind == "accepted":
            option, accepted, stopped = record.option, record.changes, None
        elif record.kind == "done":
            done += [id_ for id_ in record.changes if id_ not in done]
            stopped = None
        elif record.kind == "taken-back":
            done = [id_ for id_ in done if id_ not in record.changes]
        elif record.kind == "stopped":
            stopped = record.why
    return WorkSoFar(option, accepted, tuple(done), stopped)


def in_force(job: Job) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What is in force now: ids of changes that readings were taken with, and of those not yet.

    Returns
    -------
    tuple of str
        Those of the standing trial that were not taken back since.
    tuple of str
        Those that were reported done and were not in force in that trial, in their order.
    """
    stands = standing_trial(job)
    read = () if stands is None else stands.after
    done = work_of(job).done
    ever = {id_ for record in job.work if record.kind == "done" for id_ in record.changes}
    base = tuple(id_ for id_ in read if id_ in done or id_ not in ever)
    return base, tuple(id_ for id_ in done if id_ not in base)


def all_in_force(job: Job) -> tuple[str, ...]:
    """What is in force now, read with or not: ids of changes in their order."""
    base, later = in_force(job)
    return (*base, *later)


def openings_of(survey: Survey) -> dict[str, str | None]:
    """What may be too loud, and its room, None where nobody has named it.

    By the names of a record: ``register:<run id>``, ``grille:<return id>``.
    """
    runs = () if survey.supply is None else survey.supply.runs
    grilles = [one for one in survey.returns or () if one.kind != "common"]
    return {f"register:{one.id}": one.room for one in runs} | {
        f"grille:{one.id}": one.room for one in grilles
    }


def to_undo(trial: Trial) -> dict[str, str]:
    """What was set for the readings of a trial only, and has to be put back: key and state."""
    return {key: state for key, state in trial.condition.items() if _is_set(key, state)}


def _is_set(key: str, state: str) -> bool:
    kind = key.partition(":")[0]
    # A door is put back as it was found, whichever way it was held.
    return state in MEASURING or kind in ("tap", "door") or (kind in _HELD and state == "shut")


def for_measuring_only(trial: Trial) -> tuple[str, ...]:
    """The states of a trial by which it can be neither baseline nor proof, by their keys.

    A filter out, a run pulled off, a register closed; and a door that is held: how air comes back
    from the rooms is then not what it is in use.
    """
    return tuple(
        key
        for key, state in trial.condition.items()
        if state in MEASURING or key.startswith("door:")
    )


@dataclass(frozen=True, slots=True)
class NotUndone:
    """A state that was set for measuring and has not been put back: its key, state, last trial."""

    key: str
    state: str
    trial: str


def not_undone(job: Job) -> tuple[NotUndone, ...]:
    """What was set for measuring and is not reported as put back, in the order of the trials.

    A record ``undone`` names the last trial in that state; what is set again in a later trial has
    to be put back again.
    """
    order = {trial.id: number for number, trial in enumerate(job.trials)}
    undone: dict[str, int] = {}
    for record in _undone(job):
        at = order.get(str(record.trial), -1)
        undone[str(record.state)] = max(at, undone.get(str(record.state), -1))
    found: dict[str, NotUndone] = {}
    for number, trial in enumerate(job.trials):
        for key, state in to_undo(trial).items():
            if undone.get(key, -1) < number:
                found[key] = NotUndone(key, state, trial.id)
    return tuple(found.values())


def _undone(job: Job) -> Iterator[WorkRecord]:
    return (record for record in job.work if record.kind == "undone")
