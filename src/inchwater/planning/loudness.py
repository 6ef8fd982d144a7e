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
from numpy.typing import NDArray
from scipy.special import expit

from inchwater import criteria
from inchwater.calibration import DRAW
from inchwater.effects import EffectArrays
from inchwater.errors import InchwaterError
from inchwater.findings.labels import opening_label
from inchwater.parts.coefficients import table
from inchwater.planning.wanted import in_cooling, without_parts
from inchwater.quantity import Said, in_sentence, said
from inchwater.survey import SOMEWHERE, Job, WorkRecord, in_force, openings_of, standing_state

if TYPE_CHECKING:
    from inchwater.calibration import Posterior
    from inchwater.forecast import Prediction

Array = NDArray[np.float64]
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
            loud = (one.loud or ()) if not somewhere else openings_of(job.survey_after(one.changes))
            found.append(Word(one.changes, loud, somewhere))
    return tuple(found)


def _complained(job: Job, noisy: str) -> tuple[str, ...]:
    """The openings that a complaint may be about."""
    survey = job.survey
    rooms = {f"grille:{one.id}": one.room for one in survey.returns or ()}
    if survey.supply is not None:
        rooms |= {f"register:{one.id}": one.room for one in survey.supply.runs}
    return tuple(one for one in openings_of(survey) if criteria.is_noisy(noisy, rooms[one], survey))


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
    odds = [_told(posterior, one) for one in words(posterior.job)]
    told = [one for one in odds if one is not None]
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


def _told(posterior: Posterior, word: Word) -> Array | None:
    """How likely it is that somebody says this (draw, sample); None where it tells nothing."""
    from inchwater.forecast import predict

    job = posterior.job
    survey = job.survey_after(word.changes)
    state = in_cooling(survey, standing_state(job, word.changes))
    if not word.changes:
        state = without_parts(state)
    call = state.get("call", "cooling")
    wanted = criteria.targets(survey, job.targets, call, criteria.noisy_room(job))
    noise = [one for one in wanted if one.key == "noise" and one.needed]
    names = [f"{_WORDS[one.quantity]}:{one.subject}" for one in noise]
    try:
        first = predict(posterior, (), without_parts(state), after=())
        then = predict(posterior, (), state, after=word.changes) if word.changes else first
    except InchwaterError:
        # A state outside the table cannot be told, nor what was heard in it.
        return None
    each = max(_DRAWS // posterior.size, _FEWEST)
    held = [_held(noise, first, then, job, number) for number in range(each)]
    off = np.stack([one.off for one in held])
    there = ~np.isnan(off).any(axis=(0, 1))
    rows = table("work", "inchwater.planning.data")
    wrongly, silent = rows["heard_wrongly"].value, rows["not_heard"].value
    missed = off > 0.0
    loud = np.array([name in word.loud for name in names], dtype=bool)
    if word.unasked:
        others = there & ~loud
        if not others.any():
            return None
        high = np.array([np.inf if one.high is None else one.high for one in noise])
        beyond = (np.stack([one.values for one in held]) - high)[:, :, others].max(axis=2)
        middle, width = rows["unasked"].value, rows["unasked_width"].value
        return np.asarray(expit((middle - beyond) / width))
    if word.any:
        meant = there & loud
        return np.where(missed[:, :, meant].any(axis=2), 1.0, wrongly) if meant.any() else None
    if not there.any():
        return None
    if_loud = np.where(missed, 1.0 - silent, wrongly)
    if_not = np.where(missed, silent, 1.0 - wrongly)
    return np.asarray(np.where(loud, if_loud, if_not)[:, :, there].prod(axis=2))


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
    base, later = in_force(job)
    found = [one for one in job.work if one.kind == "heard" and set(one.changes) == {*base, *later}]
    return found[-1] if found else None


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
