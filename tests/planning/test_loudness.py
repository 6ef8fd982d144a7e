"""What people hear after work: against exact conditional odds, and what it does to offers."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.stats import norm, truncnorm

import inchwater
from inchwater import criteria, planning
from inchwater.calibration import DRAW
from inchwater.effects import EffectArrays
from inchwater.effects.pair import Pair
from inchwater.forecast import predict
from inchwater.planning import loudness
from inchwater.planning.loudness import heard, last_heard, too_loud
from inchwater.planning.work_now import standing_now
from inchwater.rehearsal import demos
from inchwater.survey import SOMEWHERE, WorkRecord, openings_of
from inchwater.survey.ducts import walked
from tests.planning.test_work_now import FOUND, HUNG, RETURN, SPEED, agreed, done, read_again


@pytest.fixture(scope="module")
def after():
    """The house with its flex hung and a new return, read again, calibrated."""
    job = read_again(done(agreed(HUNG, RETURN), HUNG, RETURN), HUNG, RETURN)
    return inchwater.calibrate(job, 1, size=600)


def told(posterior, *records):
    """The posterior of the job with these records of what is too loud, each with all in force."""
    ids = (HUNG.id, RETURN.id)
    made = tuple(
        WorkRecord(f"h{n}", "heard", changes=ids, loud=loud) for n, loud in enumerate(records)
    )
    return replace(posterior, job=replace(posterior.job, work=(*posterior.job.work, *made)))


def noise_of(posterior):
    """The odds that noise is met at each opening as the system stands, by its name."""
    standing, _ = standing_now(posterior)
    words = {"noise_supply": "register", "noise_return": "grille"}
    return {
        f"{words[one.target.quantity]}:{one.target.subject}": one.odds
        for one in standing.held
        if one.target.key == "noise" and one.odds is not None
    }


def worst_of(posterior):
    """The middle of the loudest opening's level as found [NC]."""
    arrays = EffectArrays.alone(predict(posterior, ()), posterior.job.id)
    runs = posterior.job.survey.supply.runs
    levels = np.max([arrays.level("supply", run.id) for run in runs], axis=0)
    return float(np.median(np.random.default_rng(1).choice(levels, 4000, p=posterior.weights)))


def test_without_a_word_nothing_changes(after):
    """Not a sample, not a weight."""
    assert heard(after) is after
    assert too_loud(after.job) is None
    assert last_heard(after.job) is None


def test_what_is_too_loud_is_missed_and_what_is_not_is_met(after):
    """Where somebody finds it too loud the target is missed; the others go with being silent."""
    before = noise_of(after)
    # One of which the law is not sure.
    name = min(before, key=lambda one: abs(before[one] - 0.5))
    assert 0.02 < before[name] < 0.98
    loud = noise_of(heard(told(after, (name,))))
    quiet = noise_of(heard(told(after, ())))
    assert loud[name] < 0.02
    # By Bayes with what is taken of a silent customer: one miss in fifty goes unsaid.
    for one, odds in before.items():
        assert 1.0 - quiet[one] <= 0.025 * (1.0 - odds) / max(odds, 1e-3) + 0.01
    others = [one for one in before if one != name]
    assert all(loud[one] >= before[one] - 0.1 for one in others)


def test_somewhere_is_at_least_one_of_them(after):
    """Nobody can say where: then not all are met, and nothing is sure of any."""
    found = heard(told(after, (SOMEWHERE,)))
    standing, _ = standing_now(found)
    noise = [k for k, one in enumerate(standing.targets) if one.key == "noise"]
    missed = (standing.off[:, noise] > 0.0).any(axis=1)
    assert standing.weights[missed].sum() > 0.99
    odds = noise_of(found)
    assert sum(one < 0.5 for one in odds.values()) < len(odds)


def test_said_twice_is_given_back_as_it_is(after):
    """Counting it again would be to hear it twice."""
    once = heard(told(after, ()))
    assert heard(once) is once


def test_a_later_word_counts_with_the_earlier_one(after):
    """Two words in one state: both are counted, and the last is what stands."""
    name = min(noise_of(after), key=lambda one: abs(noise_of(after)[one] - 0.5))
    both = told(after, (name,), ())
    assert last_heard(both.job).loud == ()
    assert too_loud(both.job) is None
    once = noise_of(heard(told(after, (name,))))[name]
    assert noise_of(heard(both))[name] > once


def test_a_thinned_posterior_remembers_what_was_heard(after):
    """A search works on fewer samples: each brings its own draw of the laws along."""
    name = min(noise_of(after), key=lambda one: abs(noise_of(after)[one] - 0.5))
    few = heard(told(after, (name,))).thinned(300)
    assert noise_of(few)[name] < 0.03
    assert set(few.samples) - set(few.names) == {DRAW}
    job = told(after, (name,)).job
    again = type(few).from_bytes(few.to_bytes(), job)
    assert np.array_equal(again.draw, few.draw)


def test_offers_after_it_are_weighed_by_it(after):
    """Leaving it as it is fails where it is too loud; where nothing is, noise fails nothing."""
    name = min(noise_of(after), key=lambda one: abs(noise_of(after)[one] - 0.5))
    labels = {}
    for words in ((name,), ()):
        offers = planning.options(told(after, words), most=1, size=200, effects=False).offers
        missed = offers[0].missed
        labels[words] = {label: odds for label, odds in missed if label.startswith("noise of")}
    assert max(labels[(name,)].values()) > 0.95
    assert all(odds < 0.1 for odds in labels[()].values())


def test_nobody_may_stop_while_somebody_finds_it_too_loud(after):
    """Whatever the odds say."""
    name = next(iter(noise_of(after)))
    now = planning.work_now(told(after, (name,)))
    assert now.stop is None
    assert now.too_loud.text().startswith("Who lives here finds it too loud now: register ")
    assert now.to_dict()["too_loud"] == now.too_loud.text()
    assert planning.work_now(told(after, ())).too_loud is None


def test_what_was_heard_of_another_state_is_not_of_this_one(after):
    """A step more, and whoever lives there is asked again; what was heard still teaches."""
    name = next(iter(noise_of(after)))
    job = told(after, (name,)).job
    ids = (HUNG.id, RETURN.id)
    back = planning.recorded(job, WorkRecord("b9", "taken-back", changes=ids[1:]))
    assert last_heard(back) is None
    assert too_loud(back) is None


@pytest.mark.parametrize("room", [None, "den"])
def test_a_complaint_of_noise_says_that_it_is_too_loud_as_found(room):
    """In the room that is named, else somewhere; another complaint says nothing of noise."""
    job = demos()["a"]
    first = inchwater.calibrate(
        replace(job, complaint="It is cold.", complaint_room=None), 1, size=400
    )
    untold = replace(first, job=replace(job, complaint=None, complaint_room=None))
    assert heard(untold) is untold
    # Who is cold and says nothing of noise is not deaf: hardly an opening is far too loud.
    assert worst_of(heard(first)) < worst_of(untold) - 3.0
    rooms = {f"register:{run.id}": run.room for run in job.survey.supply.runs}
    of = replace(job, complaint="The registers hiss.", complaint_room=room)
    found = noise_of(heard(replace(first, job=of)))
    meant = [one for one in found if room is None or rooms.get(one) == room]
    assert len(meant) == (1 if room else len(found))
    before = noise_of(replace(first, job=of))
    # Each of them may be the one; together they cannot all be met.
    assert sum(1.0 - found[one] for one in meant) > 0.98
    assert all(found[one] <= before[one] + 0.02 for one in meant)


def test_every_opening_has_a_name(after):
    """Of the survey with the changes in force, the new return's grille among them."""
    there = openings_of(FOUND.survey_after((RETURN.id,)))
    assert set(noise_of(after)) <= set(there)
    assert len(there) == len(openings_of(FOUND.survey)) + 1


# --- against SciPy's truncated normal, a law in closed form ---------------------------------------


def test_a_draw_is_conditioned_as_a_truncated_normal_is(after, monkeypatch):
    """One law with one scatter: its mean and spread are SciPy's ``truncnorm``.

    Reference: scipy.stats.truncnorm, the standard normal beyond a bound; the weight of all samples
    is that of the bound alone, ``norm.sf``.
    """
    bound = 1.0
    name = f"register:{FOUND.survey.supply.runs[0].id}"

    def held(noise, first, then, job, number):
        size = then.weights.size
        draw = np.arange(size) + size * number
        effects = EffectArrays.of(first, replace(then, draw=draw), job.id)
        off = np.zeros((size, len(noise)))
        at = [one.subject for one in noise].index(name.partition(":")[2])
        off[:, at] = np.maximum(effects.pair.scatter("a law") - bound, 0.0)
        return SimpleNamespace(off=off, values=off)

    monkeypatch.setattr(loudness, "_held", held)
    found = heard(told(after, (name,)))
    then = predict(found, ())
    scatter = Pair.of(then, then, EffectArrays.of(then, then, found.job.id).pair.seed).scatter(
        "a law"
    )
    exact = truncnorm(bound, np.inf)
    inside = scatter > bound
    # Wrong once in a thousand against an odd of 16 in 100, which is what the bound leaves.
    assert found.weights[inside].sum() > 0.99 * norm.sf(bound) / (norm.sf(bound) + 0.001)
    mean = np.average(scatter, weights=found.weights)
    assert mean == pytest.approx(exact.mean(), abs=4.0 * exact.std() / np.sqrt(300.0))
    spread = np.sqrt(np.average((scatter - mean) ** 2, weights=found.weights))
    assert spread == pytest.approx(exact.std(), rel=0.2)


def test_a_draw_s_row_is_the_same_however_long_it_is(after):
    """The samples' own rows are the first of them: nothing moves where nobody said anything."""
    then = predict(after, ())
    pair = Pair.of(then, then, 5)
    own = replace(then, draw=np.arange(then.weights.size))
    later = replace(then, draw=np.arange(then.weights.size) + then.weights.size * 3)
    assert np.array_equal(replace(pair, after=own).scatter("x"), pair.scatter("x"))
    assert not np.array_equal(replace(pair, after=later).scatter("x"), pair.scatter("x"))


def test_without_faces_there_is_nothing_to_learn():
    """No level can be told where no register or grille has a size: no word moves a sample."""
    survey = FOUND.survey
    branches = walked(
        survey.supply.branches, lambda one: replace(one, duct=replace(one.duct, register=None))
    )
    backs = tuple(replace(one, grille=None) for one in survey.returns)
    bare = replace(survey, returns=backs, supply=replace(survey.supply, branches=branches))
    job = read_again(done(replace(agreed(HUNG), survey=bare), HUNG), HUNG)
    record = WorkRecord("h1", "heard", changes=(HUNG.id,), loud=())
    known = inchwater.calibrate(replace(job, work=(*job.work, record)), 1, size=200)
    assert any(one.key == "noise" for one in criteria.targets(bare, FOUND.targets, "cooling"))
    assert heard(known) is known


def test_readings_to_expect_are_those_that_were_told_before_anybody_was_asked(after):
    """Noise moves no reading: a word changes no interval that a phone holds already."""
    name = next(iter(noise_of(after)))
    job = planning.accepted(after.job, (SPEED,), "the speed")
    known = replace(after, job=job)
    plain, told_ = planning.work_now(known), planning.work_now(told(known, (name,)))
    assert plain.plan.steps[0].expected
    assert plain.plan == told_.plan
    assert plain.odds != told_.odds
