"""A virtual house: its survey with trials, what truly was in each, and its physics."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from inchwater import units
from inchwater.errors import NotPossibleError, UnknownNameError
from inchwater.rehearsal.boxes import with_boxes
from inchwater.rehearsal.changes_true import changed
from inchwater.rehearsal.figures import stream
from inchwater.rehearsal.generate import Made, make
from inchwater.rehearsal.instruments_true import INSTRUMENTS
from inchwater.rehearsal.state import State, entered, state
from inchwater.rehearsal.survey_errors import last_column, surveyed
from inchwater.rehearsal.usual_changes import usual_changes
from inchwater.rehearsal.visits import COOLING, visited
from inchwater.rehearsal.world import World, world_from_dict, world_to_dict
from inchwater.survey import Change, Job

# Attempts at one seed before giving up; the usual number is one or two.
_MOST = 60
# Below these and above them nothing stands as a house. [cfm/ton], [in. w.c.]
_AIRFLOW = (150.0, 520.0)
_LEAST_TESP = 0.15
_TOP_TESP = 1.0
# Where a furnace's limit opens at the latest. [K]
_LIMIT = 55.0


@dataclass(frozen=True)
class Truths:
    """What truly is, in each trial by its id, and after each change by its id."""

    trials: Mapping[str, State]
    changes: Mapping[str, State]


@dataclass(frozen=True)
class VirtualHouse:
    """One house with everything that can be asked of it.

    job : what was surveyed, the ten usual changes, all trials with all readings;
    roles : what each trial is for, by its id; truths : what truly was;
    world : the physics as plain values, None for a house of which only the truths are known.
    """

    id: str
    tags: Mapping[str, str]
    job: Job
    roles: Mapping[str, str]
    truths: Truths
    world: Mapping[str, Any] | None = field(default=None, repr=False)

    @property
    def by_role(self) -> dict[str, str]:
        """The id of the first trial of each role."""
        found: dict[str, str] = {}
        for trial, role in self.roles.items():
            found.setdefault(role, trial)
        return found

    def with_trials(self, roles: Sequence[str]) -> Job:
        """The job with the trials of these roles only, in this order, and no changes made.

        Raises
        ------
        UnknownNameError
            If the house has no trial of a role.
        """
        by_role = self.by_role
        trials = {trial.id: trial for trial in self.job.trials}
        for role in roles:
            if role not in by_role:
                raise UnknownNameError(
                    where=f"house {self.id}",
                    came=repr(role),
                    right=f"its trials are {', '.join(by_role)}",
                )
        return replace(self.job, changes=(), trials=tuple(trials[by_role[role]] for role in roles))

    def truth(self, changes: Sequence[Change], condition: Mapping[str, str]) -> State:
        """What truly happens after changes, in a condition as of a trial; as :meth:`after`.

        Raises
        ------
        UnknownNameError
            If it does not have a part that the condition names.
        """
        return state(self.after(changes), condition)

    def after(self, changes: Sequence[Change]) -> World:
        """The house's physics with changes made, in this order.

        Raises
        ------
        NotPossibleError
            If the house came without its physics.
        FormatError
            If its physics is of another version.
        UnknownNameError
            If it does not have a part that a change names.
        """
        if self.world is None:
            raise NotPossibleError(
                where=f"house {self.id}",
                came="a house without its physics",
                right="only the truths that its file holds are known",
                do="Ask for one of its trials or changes.",
            )
        world = world_from_dict(self.world)
        for change in changes:
            world = changed(world, change)
        return world


def virtual_house(seed: int) -> VirtualHouse:
    """The house of a seed: the same one in every run of this version.

    A house that stands outside its own blower table is not built; the next attempt of the same
    seed is, and ``world["attempt"]`` says how many were not.

    Parameters
    ----------
    seed : int
        Zero or more.

    Raises
    ------
    NotPossibleError
        If no attempt can stand.
    """
    for attempt in range(_MOST):
        made = make(seed, attempt)
        tap = _stands(made)
        if tap is not None:
            return _finished(seed, made, tap)
    raise NotPossibleError(
        where=f"house {seed}",
        came=f"{_MOST} houses outside their blower tables",
        right="one that runs inside its table",
    )


def _finished(seed: int, made: Made, tap: str) -> VirtualHouse:
    world = made.world
    survey = surveyed(world, made.kind)
    changes = tuple(with_boxes(seed, survey, one) for one in usual_changes(survey, tap))
    trials = visited(world)
    id_ = f"house-{seed}"
    job = Job(
        id=id_,
        name=f"Virtual house {seed}",
        survey=survey,
        changes=changes,
        trials=tuple(one.trial for one in trials),
        instruments=INSTRUMENTS,
    )
    return VirtualHouse(
        id=id_,
        tags=made.kind.tags,
        job=job,
        roles={one.trial.id: one.role for one in trials},
        truths=Truths(
            {one.trial.id: one.truth for one in trials},
            {change.id: state(changed(world, change), COOLING) for change in changes},
        ),
        world=world_to_dict(world),
    )


def _stands(made: Made) -> str | None:
    """The tap to which the last of the usual changes goes, None if the house cannot stand."""
    world = made.world
    now, at = entered(world, COOLING)
    per_ton = units.from_si(now.airflow, "cfm") / made.kind.tons
    tesp = units.from_si(now.tesp, "inwc")
    if not _AIRFLOW[0] < per_ton < _AIRFLOW[1] or not _LEAST_TESP < tesp <= _TOP_TESP:
        return None
    if not _in_table(world, world.machine.tap, at):
        return None
    for call in ("fan", "heating"):
        other, at = entered(world, {"call": call, "coil": "dry"})
        if other.tesp > units.to_si(_TOP_TESP, "inwc"):
            return None
        if not _in_table(world, world.machine.calls[call], at) or other.rise > _LIMIT:
            return None
    return _other_tap(world)


def _other_tap(world: World) -> str | None:
    """A neighbouring tap on which the house stays inside its table, one up or one down."""
    names = list(world.machine.wheel.settings)
    here = names.index(world.machine.tap)
    near = [names[k] for k in (here - 1, here + 1) if 0 <= k < len(names)]
    if stream(world.seed, "tap change").random() < 0.5:
        near.reverse()
    for tap in near:
        after, at = entered(world, COOLING | {"tap": tap})
        if after.tesp <= units.to_si(_TOP_TESP, "inwc") and _in_table(world, tap, at):
            return tap
    return None


def _in_table(world: World, tap: str, entry: float) -> bool:
    """Whether a tap's row reaches the pressure at which it is entered."""
    return entry <= last_column(world.machine.wheel, tap)
