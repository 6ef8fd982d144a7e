"""What is wanted of a system, as a search takes it: quantities with bounds, call by call."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np

from inchwater import criteria
from inchwater.effects import EffectArrays
from inchwater.errors import InchwaterError
from inchwater.network.elements import Array, Parameter
from inchwater.quantity import Said, in_sentence, said
from inchwater.survey import Change, Job, Survey

if TYPE_CHECKING:
    from inchwater.calibration import Posterior
    from inchwater.forecast import Prediction

# Kinds of quantity that are logarithms already.
_LEVELS = ("noise_criterion", "sound_level")


@dataclass(frozen=True, slots=True)
class Asked:
    """One wanted quantity of one system: its bounds in SI, -inf or inf where there is none.

    ``linear`` is whether effects add on its own scale (a level in decibels), not on a logarithm's.
    """

    key: str
    label: str
    low: float
    high: float
    linear: bool = False

    @property
    def call(self) -> str:
        """The call that it is asked of: ``cooling`` of ``cooling:noise:r1``; empty without one."""
        return parts_of(self.key)[0]

    @property
    def target_key(self) -> str:
        """Its target's key, without call and part: ``noise`` of ``cooling:noise:r1``."""
        return parts_of(self.key)[1]


def parts_of(key: str) -> tuple[str, str, str]:
    """Call, target and part of what is asked, empty where the key names none."""
    call, _, rest = key.partition(":") if ":" in key else ("", "", key)
    target, _, part = rest.partition(":")
    return call, target, part


@dataclass(frozen=True)
class Forecasts:
    """One call as it stands and after changes; ``doors`` makes the same with all doors shut.

    ``first`` is the call before anything was changed at all, where something was: what is louder
    or faster is held against that.
    """

    call: str
    now: Prediction
    then: Prediction
    doors: Callable[[], Prediction]
    first: Prediction | None = None


def beside_found(
    posterior: Posterior,
    survey: Survey,
    call: str,
    condition: Mapping[str, str],
    *,
    after: Sequence[str],
    unread: Sequence[Change] = (),
    kept: dict[Parameter, Array] | None = None,
) -> Forecasts:
    """A call with work in force, beside the same before any of it.

    Parameters
    ----------
    posterior : Posterior
        The calibrated job.
    survey : Survey
        With all of the work in force.
    condition : mapping
        What holds in this call.
    after : sequence of str
        Ids of the changes that readings were taken with.
    unread : sequence of Change
        What was done since.
    kept : dict, optional
        What forecasts of the same samples share, as ``predict`` takes it.

    Raises
    ------
    InchwaterError
        If one of them cannot be forecast.
    """
    from inchwater.forecast import predict

    shut = {**condition, **doors_shut(survey)}
    return Forecasts(
        call,
        predict(posterior, (), without_parts(condition), after=(), kept=kept),
        predict(posterior, unread, condition, after=after, kept=kept),
        lambda: predict(posterior, unread, shut, after=after, kept=kept),
    )


def doors_shut(survey: Survey) -> dict[str, str]:
    """The condition in which every room's door is shut."""
    return {f"door:{room.id}": "shut" for room in survey.rooms or ()}


def in_cooling(survey: Survey, state: Mapping[str, str]) -> dict[str, str]:
    """The condition that the window of airflow is for: as it stands, in a call that cools."""
    if criteria.for_cooling(survey, state.get("call")):
        return dict(state)
    return {k: v for k, v in state.items() if k != "tap"} | {"call": "cooling"}


def in_call(state: Mapping[str, str], call: str, first: str) -> dict[str, str]:
    """A condition in another call than the ``first``: what is of the house stays (volts, coil)."""
    if call == first:
        return dict(state)
    kept = ("volts", "coil") if call.startswith("cooling") else ("volts",)
    return {k: v for k, v in state.items() if k in kept} | {"call": call}


def without_parts(state: Mapping[str, str]) -> dict[str, str]:
    """A condition before any change: a part that came with one was not there."""
    return {k: v for k, v in state.items() if ":" not in k}


def call_untold(call: str, error: InchwaterError) -> Said:
    """That a call cannot be told, and why, as a sentence.

    Parameters
    ----------
    error : InchwaterError
        What its forecast was refused with.
    """
    why = error.right.removesuffix(".")
    return said("The {call} call cannot be told: {why}.", call=call, why=why)


class Wanted(Protocol):
    """What is wanted of a system, in which calls."""

    @property
    def calls(self) -> tuple[str, ...]:
        """The thermostat calls to forecast; the first is the one that the search is for."""

    def asked(self, found: Forecasts) -> tuple[tuple[Asked, Array], ...]:
        """The wanted quantities of a call with their samples (sample,). [SI]"""


@dataclass(frozen=True)
class AllTargets:
    """All that ``criteria.targets`` want, in every call in which it shows.

    What counts and can be told is asked for.  Parts have targets of their own, so that an option
    with a run more has more of them than the system as found.
    """

    job: Job
    calls: tuple[str, ...]
    noisy: str | None = None

    @classmethod
    def of(cls, job: Job, survey: Survey, call: str = "cooling") -> AllTargets:
        """Those of a job, for its survey as it stands; ``call`` is the one that comes first.

        Raises
        ------
        InputError
            If two of them exclude each other, or a wish is looser than what a maker allows.
        """
        more = criteria.calls_wanted(survey, job.targets)
        others = (one for one in more if one != call and (one in survey.unit.calls))
        made = cls(job, (call, *others), criteria.noisy_room(job))
        for one in made.calls:
            # What excludes itself as found is said before anything is solved.
            made.targets(survey, one)
        return made

    def targets(self, survey: Survey, call: str) -> tuple[criteria.Target, ...]:
        """What is wanted of a survey in a call."""
        return criteria.targets(survey, self.job.targets, call, self.noisy)

    def standing(self, found: Forecasts, *, needed: bool = False) -> criteria.Standing:
        """How a forecast stands against all of it, or against what counts alone (``needed``)."""
        wanted = self.targets(found.then.survey, found.call)
        if needed:
            wanted = tuple(one for one in wanted if one.needed)
        doors = None
        if any(one.needed and one.key == "door-pressure" for one in wanted):
            doors = found.doors()
        effects = EffectArrays.of(found.first or found.now, found.then, self.job.id)
        return criteria.measured(wanted, found.then, effects, doors=doors)

    def asked(self, found: Forecasts) -> tuple[tuple[Asked, Array], ...]:
        """What counts and can be told, with what its bounds are held against. [SI]"""
        standing = self.standing(found, needed=True)
        return tuple(
            (
                Asked(
                    f"{found.call}:{one.name}",
                    self._label(one, found.call),
                    -np.inf if one.low is None else one.low,
                    np.inf if one.high is None else one.high,
                    one.unit_kind in _LEVELS,
                ),
                standing.beyond[:, k],
            )
            for k, one in enumerate(standing.targets)
            if standing.counted[k]
        )

    def _label(self, one: criteria.Target, call: str) -> str:
        label = in_sentence(one.label)
        return label if call == self.calls[0] else f"{label}, {call.replace('-', ' ')} call"
