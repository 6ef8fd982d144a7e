"""One slip in a visit is found and named; honest visits, and slips too small, are told apart."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inchwater import answer
from inchwater.errors import OutsideTableError
from inchwater.findings import check, with_slip
from inchwater.findings.slip import figure
from inchwater.findings.slips_said import hidden_said, slip_doubts
from inchwater.rehearsal import demos
from inchwater.survey import Fact
from tests.calibration.simulated import houses
from tests.solved import inwc, three_numbers, with_reading

B = demos()["b"]


def valued(job, at, trial=0):
    return next(r.value for r in job.trials[trial].readings if r.at == at)


def told(job):
    """The doubts that a job's slips raise, by id."""
    return {doubt.id: doubt for doubt in slip_doubts(job, check(job))}


@pytest.mark.parametrize("letter", ["a", "b", "c"])
def test_honest_visits_are_left_in_peace(letter):
    """The demos are likely enough, and no slip is told of them."""
    found = check(demos()[letter])
    assert found.odds > figure("suspicious")
    assert not found.alarm
    assert told(demos()[letter]) == {}


def test_one_reading_off_is_named_with_what_it_should_be():
    """0.60 before the coil where everything else makes it 0.27."""
    doubt = told(with_reading(B, "before-coil", inwc(0.60)))["slip:reading-off"]
    assert doubt.text.text() == (
        "0.60 in. w.c. was read before the coil in the first trial (cooling call); the other "
        "readings and the survey make it about 0.27 in. w.c.: this one reading is off."
    )
    assert doubt.field == "before-coil"


def test_swapped_tubes_with_their_signs_put_right_are_named():
    """The page gives each side its sign; what is left is that they fit the other way round."""
    back, supply = valued(B, "return"), valued(B, "before-coil")
    job = with_reading(with_reading(B, "return", -supply), "before-coil", -back)
    doubt = told(job)["slip:tubes-swapped"]
    assert doubt.text.text() == (
        "The tube at the return and the one before the coil are swapped in the first trial "
        "(cooling call): read the other way round they fit."
    )


def test_another_unit_is_named_with_what_it_would_be():
    """Inches typed where pascals were asked for, in all of a trial or in one reading."""
    one = told(with_reading(B, "return", valued(B, "return") / inwc(1.0)))["slip:other-unit"]
    assert one.text.text("si") == (
        "1 Pa at the return in the first trial (cooling call) looks like inches typed as Pa: then "
        "it is 137 Pa."
    )
    first = B.trials[0]
    small = replace(
        first, readings=tuple(replace(r, value=r.value / inwc(1.0)) for r in first.readings)
    )
    every = told(replace(B, trials=(small, *B.trials[1:])))["slip:other-unit"]
    assert every.text.text() == (
        "All pressures in the first trial (cooling call) look like inches typed as Pa."
    )


def test_a_filter_that_was_not_pulled_is_named():
    """The second trial says that the filter was out and reads like the first."""
    second = replace(B.trials[1], readings=B.trials[0].readings)
    doubt = told(replace(B, trials=(B.trials[0], second)))["slip:filter-left-in"]
    assert doubt.text.text() == (
        "The filter was in in the second trial (cooling call, filter out), though out was said: "
        "the readings are those of a system with its filter in."
    )


def test_another_speed_in_one_trial_is_named():
    """One of three equal trials ran on a higher tap than the other two."""
    from inchwater.calibration.observe import observe
    from inchwater.calibration.priors import Prior

    job = demos()["a"]
    first = job.trials[0]
    odd = replace(first, id="t8", condition={**first.condition, "tap": "4"})
    truth = observe(replace(job, trials=(first, odd)))
    prior = Prior.of(p for one in truth for p in one.parameters)
    still = prior.values({name: np.zeros(1) for name in prior.latents})
    as_said, fast = (one.predict(still, 1)[0][0] for one in truth)
    trials = [
        replace(
            first,
            id=f"t{n}",
            readings=tuple(
                replace(r, id=f"{n}-{r.id}", value=float(v))
                for r, v in zip(first.readings, shown, strict=True)
            ),
        )
        for n, shown in enumerate((as_said, as_said, fast))
    ]
    found = check(replace(job, trials=tuple(trials)))
    assert found.named[0].slip.kind == "tap-in-trial"
    assert (found.named[0].slip.trials, found.named[0].slip.to) == (("t2",), "4")


def test_as_likely_slips_are_told_both_with_what_parts_them():
    """Two trials that contradict each other in one reading: either of the two may be off."""
    a = demos()["a"]
    second = replace(
        a.trials[0],
        id="t2",
        readings=tuple(
            replace(r, id=f"2-{r.id}", value=r.value * (0.6 if r.at == "supply" else 1.0))
            for r in a.trials[0].readings
        ),
    )
    job = replace(a, trials=(*a.trials, second))
    found = check(job)
    assert len(found.named) == 2
    first, other = slip_doubts(job, found)
    assert {first.id, other.id} <= {doubt.id for doubt in answer(job, 1).doubts}
    assert other.text.text().startswith("Nearly as likely: ")
    assert first.recheck.endswith(
        (
            "Whichever of the two reads otherwise the second time was off.",
            "A second reading there that stays the same leaves the other.",
        )
    )
    # Where no answer can be given, "the two" are both in the error.
    error = OutsideTableError(where="table", came="60 in. w.c.", right="it ends at 0.8", do="Look.")
    assert with_slip(error, job).do == " ".join(
        f"{doubt.text.text()} {doubt.recheck}" for doubt in (first, other)
    )


def test_a_survey_that_no_slip_mends_cannot_be_right():
    """The furthest part is named, with how many times its resistance is what its size says."""
    filters = tuple(
        replace(f, width=Fact(30, "in"), height=Fact(30, "in")) for f in B.survey.filters
    )
    tiny = replace(
        B.survey,
        filters=filters,
        unit=replace(B.survey.unit, capacity=Fact(5, "ton")),
    )
    job = replace(B, survey=tiny)
    first = replace(
        B.trials[0],
        readings=tuple(
            replace(r, value=r.value * (9.0 if r.at == "supply" else 1.0))
            for r in B.trials[0].readings
            if r.at in ("return", "supply", "before-filter")
        ),
    )
    second = replace(
        first, id="t2", readings=tuple(replace(r, value=r.value * 0.4) for r in first.readings)
    )
    third = replace(
        first, id="t3", readings=tuple(replace(r, value=r.value * 1.6) for r in first.readings)
    )
    job = replace(job, trials=(first, second, third))
    found = check(job)
    assert found.unexplained
    doubt = told(job)["cannot-be-right"]
    assert (
        "cannot be right" in doubt.text.text() or "more than one thing is off" in doubt.text.text()
    )


def test_a_part_at_the_end_of_what_is_possible_is_told():
    """Four prior sigmas are a bound, not a number; three are said nothing of."""
    found = check(B)
    for sigmas, ids in ((3.0, []), (4.5, ["at-bound:filter:f1:filter"])):
        latents = {**found.best.latents, "filter:f1:filter": sigmas}
        moved = replace(found, best=replace(found.best, latents=latents))
        said = list(slip_doubts(B, moved))
        assert [doubt.id for doubt in said] == ids
    assert said[0].text.text() == (
        "To fit these readings one part has to be at the end of what is thought possible of it: "
        "filter. What is said of it is no more than a bound."
    )


def test_what_all_ducts_share_is_told_in_words():
    """A latent that parts of one kind share has no part's name: what it stands for is said."""
    found = check(B)
    shared = next(name for name in found.best.latents if name.startswith("terminal/"))
    moved = replace(found, best=replace(found.best, latents={**found.best.latents, shared: -4.5}))
    (doubt,) = slip_doubts(B, moved)
    assert "what all registers resist with their boots." in doubt.text.text()


def test_what_is_too_small_to_see_is_said():
    """Two statics alone: neither a small error of one of them nor another speed would show."""
    said = hidden_said(demos()["a"], check(demos()["a"]))
    assert said[-1] == (
        "One reading off by 0.10 in. w.c. (25 Pa) at the return or in the supply plenum: nothing "
        "else that was read would contradict it. A second reading, or another trial, would show it."
    )
    assert said[0].startswith("Another speed wire than said (tap ")


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 6), st.sampled_from([-1.0, 1.0]), st.floats(2.5, 4.0))
def test_an_error_past_its_limit_is_found_and_a_small_one_left(row, sign, times):
    """Any reading moved by well more than its limit alarms; by a fifth of it, it does not."""
    readings = [(t, r) for t, trial in enumerate(B.trials) for r in trial.readings]
    trial, reading = readings[row]
    limit = check(B).limits[B.trials[trial].id, reading.at, reading.quantity]
    for share, alarm in ((times, True), (0.2, False)):
        value = reading.value + sign * share * limit
        found = check(with_reading(B, reading.at, value, trial=trial))
        assert found.alarm is alarm


def test_houses_of_the_model_itself_raise_few_alarms():
    """Of 40 honest visits drawn from the priors at most one in twenty alarms."""
    alarms = [check(job).alarm for job, _ in houses(B, np.random.default_rng(11), 40)]
    assert np.mean(alarms) <= 0.05


def test_the_answer_tells_the_slip():
    """Page and prompt show what the check found, and the numbers beside it."""
    found = answer(with_reading(B, "before-coil", inwc(0.60)), 1)
    assert "slip:reading-off" in {doubt.id for doubt in found.doubts}
    assert found.airflow.value > 0.0


def test_readings_outside_the_table_are_told_with_their_slip():
    """Where no answer can be given, the error says what would explain the readings."""
    error = OutsideTableError(where="table", came="60 in. w.c.", right="it ends at 0.8", do="Look.")
    told_ = with_slip(error, with_reading(B, "supply", valued(B, "supply") * inwc(1.0)))
    assert str(told_) == (
        "table: 60 in. w.c. came; it ends at 0.8. 27.40 in. w.c. in the supply plenum in the first "
        "trial (cooling call) looks like Pa typed as inches: then it is 0.11 in. w.c. Look at the "
        "unit on the gauge's display and read again."
    )
    assert with_slip(error, B) is error


def test_three_numbers_have_nothing_to_contradict_them():
    """Two statics of an undescribed system are never unlikely."""
    assert not check(three_numbers()).alarm


def test_an_honest_check_is_quick():
    """What an answer waits for: well under a tenth of a second; twice that is a hang-up."""
    check(B)
    start = time.process_time()
    check(B, None, {})
    assert time.process_time() - start < 0.2
