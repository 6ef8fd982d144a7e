"""What people hear after work, and what it tells: a posterior that knows where it is too loud.

Noise has laws that lie several decibels from any one register, and nobody carries a sound level
meter to a house.  Those who live there say at once where it is too loud, and what is too loud is
what they find so: their word outweighs the law, for the register that stands there now.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import expit

from inchwater import criteria
from inchwater.calibration import DRAW
from inchwater.effects import EffectArrays
from inchwater.errors import InchwaterError
from inchwater.findings.labels import opening_label
from inchwater.network.elements import Array, Parameter
from inchwater.parts.coefficients import table
from inchwater.planning.wanted import in_cooling, without_parts
from inchwater.planning.work_records import last_about_now
from inchwater.quantity import Said, in_sentence, said
from inchwater.survey import SOMEWHERE, Job, WorkRecord, openings_of, standing_state

if TYPE_CHECKING:
    from inchwater.calibration import Posterior
    from inchwater.forecast import Prediction

_WORDS = {"noise_supply": "register", "noise_return": "grille"}
# How many draws of the laws are tried in all, and for each sample at least.
_DRAWS, _FEWEST = 32_000, 8


@dataclass(frozen=True, slots=True)
class Word:
    """What somebody said of a state: which openings are too loud, or that ``any`` of them is.

    ``changes`` were in force; without any it is the complaint, of the system as found: of the
    openings that it is not about nobody was asked (``unasked``), and yet they might have been
    named.
    """

    changes: tuple[str, ...]
    loud: tuple[str, ...]
    any: bool = False
    unasked: bool = False


def words(job: Job) -> tuple[Word, ...]:
    """All that was said of noise: the complaint, then each word after work."""
    found = []
    noisy = criteria.noisy_room(job)
    meant = () if noisy is None else _complained(job, noisy)
    if meant:
        found.append(Word((), meant, any=True))
    if job.complaint:
        found.append(Word((), meant, unasked=True))
    for one in job.work:
        if one.kind == "heard":
            somewhere = SOMEWHERE in (one.loud or ())
            loud = openings_of(job.survey_after(one.changes)) if somewhere else one.loud or ()
            found.append(Word(one.changes, tuple(loud), somewhere))
    return tuple(found)


def _complained(job: Job, noisy: str) -> tuple[str, ...]:
    """The openings that a complaint may be about."""
    rooms = openings_of(job.survey)
    return tuple(one for one in rooms if criteria.is_noisy(noisy, rooms[one], job.survey))


def heard(posterior: Posterior) -> Posterior:
    """The posterior with what people said of noise counted; as it is where nobody said anything.

    Each sample is tried with several draws of the laws of noise, and keeps one of those with which
    the noise targets are missed where somebody finds it too loud and met elsewhere.

    Parameters
    ----------
    posterior : Posterior
        The calibrated job; one that this function gave is given back as it is.
    """
    if DRAW in posterior.samples:
        return posterior
    told = _told(posterior)
    if not told:
        return posterior
    likely = np.prod(told, axis=0)
    rng = np.random.default_rng([posterior.seed, len(likely)])
    # Of each sample's draws one by its odds; the sample itself weighs as much as all of them.
    edges = np.cumsum(likely, axis=0)
    chosen = (edges < rng.random(posterior.size) * edges[-1]).sum(axis=0)
    weights = posterior.weights * likely.mean(axis=0)
    weights = weights / weights.sum()
    draw = np.arange(posterior.size) + posterior.size * chosen
    return replace(
        posterior,
        samples={**posterior.samples, DRAW: draw.astype(float)},
        weights=weights,
        effective_size=min(posterior.effective_size, float(1.0 / np.sum(weights**2))),
    )


def _told(posterior: Posterior) -> list[Array]:
    """How likely it is that somebody says each of the words that tell anything (draw, sample)."""
    kept: dict[Parameter, Array] = {}
    states: dict[tuple[str, ...], _State | None] = {}
    found = []
    for word in words(posterior.job):
        if word.changes not in states:
            states[word.changes] = _State.of(posterior, word.changes, kept)
        state = states[word.changes]
        odds = None if state is None else state.odds(word)
        found += [] if odds is None else [odds]
    return found


@dataclass(frozen=True)
class _State:
    """How noise stands against its targets in one state, draw by draw of the laws.

    names : the openings as records name them; off : how far each misses (draw, sample, opening),
    NaN where it cannot be told; beyond : its level less its bound (draw, sample, opening) [NC].
    """

    names: tuple[str, ...]
    off: Array
    beyond: Array

    @classmethod
    def of(
        cls, posterior: Posterior, changes: tuple[str, ...], kept: dict[Parameter, Array]
    ) -> _State | None:
        """The state with changes in force; None where it cannot be forecast."""
        from inchwater.forecast import predict

        job = posterior.job
        survey = job.survey_after(changes)
        state = in_cooling(survey, standing_state(job, changes))
        before = without_parts(state)
        call = state.get("call", "cooling")
        wanted = criteria.targets(survey, job.targets, call, criteria.noisy_room(job))
        noise = [one for one in wanted if one.key == "noise" and one.needed]
        try:
            first = predict(posterior, (), before, after=(), kept=kept)
            then = first
            if changes:
                then = predict(posterior, (), state, after=changes, kept=kept)
        except InchwaterError:
            # A state outside the table cannot be told, nor what was heard in it.
            return None
        each = max(_DRAWS // posterior.size, _FEWEST)
        held = [_held(noise, first, then, job, number) for number in range(each)]
        high = np.array([np.inf if one.high is None else one.high for one in noise])
        return cls(
            names=tuple(f"{_WORDS[one.quantity]}:{one.subject}" for one in noise),
            off=np.stack([one.off for one in held]),
            beyond=np.stack([one.values for one in held]) - high,
        )

    def odds(self, word: Word) -> Array | None:
        """How likely it is that somebody says this (draw, sample); None where it tells nothing."""
        there = ~np.isnan(self.off).any(axis=(0, 1))
        loud = np.array([name in word.loud for name in self.names], dtype=bool)
        meant = there & ~loud if word.unasked else there & loud if word.any else there
        if not meant.any():
            return None
        rows = table("work", "inchwater.planning.data")
        if word.unasked:
            loudest = self.beyond[:, :, meant].max(axis=2)
            return np.asarray(
                expit((rows["unasked"].value - loudest) / rows["unasked_width"].value)
            )
        wrongly, silent = rows["heard_wrongly"].value, rows["not_heard"].value
        missed = self.off[:, :, meant] > 0.0
        if word.any:
            return np.where(missed.any(axis=2), 1.0, wrongly)
        if_loud = np.where(missed, 1.0 - silent, wrongly)
        if_not = np.where(missed, silent, 1.0 - wrongly)
        return np.asarray(np.where(loud[meant], if_loud, if_not).prod(axis=2))


def _held(
    noise: Sequence[criteria.Target], first: Prediction, then: Prediction, job: Job, number: int
) -> criteria.Standing:
    """How noise stands against its targets with one draw of the laws for each sample."""
    size = then.weights.size
    draw = np.arange(size) + size * number
    effects = EffectArrays.of(first, replace(then, draw=draw), job.id)
    return criteria.measured(noise, replace(then, draw=draw), effects)


def last_heard(job: Job) -> WorkRecord | None:
    """What somebody said last of the system as it stands; None where nobody was asked since."""
    return last_about_now(job, "heard")


def too_loud(job: Job) -> Said | None:
    """That somebody finds it too loud as it stands, and where; None where nobody says so."""
    last = last_heard(job)
    if last is None or not last.loud:
        return None
    survey = job.survey_after(last.changes)
    where = [in_sentence(opening_label(one, survey)) for one in last.loud if one != SOMEWHERE]
    return said(
        "Who lives here finds it too loud now: {where}. That is not what is wanted, whatever is "
        "forecast; the options are weighed by it.",
        where="; ".join(where) or "nobody can say at which register",
    )
