"""Trials that contradict themselves or each other are named, with the fit still there."""

from dataclasses import replace

import pytest

from inchwater import answer
from inchwater.errors import UnknownNameError
from inchwater.findings.steady import steady_doubts
from inchwater.rehearsal import demos
from inchwater.survey import Reading
from tests.solved import inwc


def again(job, factor=1.0, id_="t9"):
    """The first trial read once more, all its pressures times a factor."""
    first = job.trials[0]
    readings = tuple(replace(r, id=f"{id_}-{r.id}", value=r.value * factor) for r in first.readings)
    return replace(job, trials=(*job.trials, replace(first, id=id_, readings=readings)))


def test_honest_trials_say_nothing():
    """The demos' own trials, and one of them read twice alike."""
    for letter in "abc":
        job = demos()[letter]
        assert steady_doubts(job) == ()
        assert steady_doubts(again(job)) == ()


def test_two_trials_that_are_said_to_be_the_same_and_were_not():
    """Which trials, where, and both numbers."""
    found = {doubt.id: doubt for doubt in steady_doubts(again(demos()["a"], 0.7))}
    assert found["contradiction:tr1:t9:supply"].text.text() == (
        "The first trial (cooling call) and the second trial (cooling call) are said to be the "
        "same, yet 0.68 in. w.c. and 0.48 in. w.c. were read in the supply plenum: something was "
        "different."
    )
    other = again(demos()["a"], 0.7)
    heating = replace(other.trials[1], condition={"call": "heating"})
    assert steady_doubts(replace(other, trials=(other.trials[0], heating))) == ()


def test_ten_readings_that_disagree_are_not_steady():
    """How many, between what, and that they count as one."""
    job = demos()["a"]
    first = job.trials[0]
    more = tuple(
        Reading(f"s{k}", "supply", "static", "", "inwc", inwc(0.5 + 0.04 * k)) for k in range(9)
    )
    job = replace(job, trials=(replace(first, readings=(*first.readings, *more)),))
    (doubt,) = steady_doubts(job)
    assert doubt.text.text() == (
        "The 10 readings in the supply plenum in the first trial (cooling call) lie between 0.50 "
        "in. w.c. and 0.82 in. w.c.: that was not steady. Together they count as one."
    )
    found = answer(job, 1)
    assert any(one.id == "not-steady:tr1:supply" for one in found.doubts)
    assert 0.5 < found.tesp.value / inwc(0.75) < 1.5


def test_a_wet_coil_in_a_heating_call_cannot_be():
    """Only cooling wets a coil; the numbers are still given."""
    job = demos()["a"]
    hot = replace(job.trials[0], condition={"call": "heating", "coil": "wet"})
    (doubt,) = steady_doubts(replace(job, trials=(hot,)))
    assert doubt.text.text() == (
        "The first trial (heating call) has a wet coil in a heating call; only cooling wets a coil."
    )
    assert answer(replace(job, trials=(hot,)), 1).airflow.value > 0.0


def test_a_condition_of_a_part_that_is_not_there_is_refused_in_words():
    """A filter that the survey does not have cannot be out."""
    job = demos()["a"]
    out = replace(job.trials[0], condition={"filter:zz": "out"})
    with pytest.raises(UnknownNameError) as caught:
        answer(replace(job, trials=(out,)), 1)
    assert str(caught.value) == (
        "condition.filter:zz: 'zz' came; this survey has f1, f2. Add the part to the survey first."
    )
