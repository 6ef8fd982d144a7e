"""Records of the work: what is refused and in which words, and what they come to."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inchwater import survey
from inchwater.rehearsal import demos
from inchwater.survey import Change, Fact, How, Trial, WorkRecord
from inchwater.survey.check_work import work_problems

DEMO = demos()["b"]
CH1 = Change("ch1", "filter", ("f1",), {"grade": "pleat-1in-merv8"})
CH2 = Change("ch2", "tap", (), {"tap": "high"})


def job(*work: WorkRecord) -> survey.Job:
    """Demo B with two changes: a trial as found, one with the filter out."""
    found = DEMO
    taps = found.survey.unit.table.taps
    return replace(found, changes=(CH1, replace(CH2, to={"tap": taps[-1]})), work=work)


def texts(one: survey.Job) -> list[str]:
    """Every problem of a job in words."""
    return [str(problem) for problem in survey.problems(one)]


def done(number: int, *ids: str) -> WorkRecord:
    """A step reported done."""
    return WorkRecord(f"d{number}", "done", changes=ids)


def back(number: int, *ids: str) -> WorkRecord:
    """A step reported taken back."""
    return WorkRecord(f"b{number}", "taken-back", changes=ids)


def test_records_that_can_be_are_no_problem():
    """One of each kind."""
    work = (
        WorkRecord("w1", "accepted", "2026-03-02T10:00:00Z", "key", ("ch1", "ch2")),
        WorkRecord(
            "w2",
            "gate",
            gate="co-flue",
            when="before",
            changes=("ch1",),
            result="measured",
            value=Fact(40.0, "ppm", How.MEASURED),
        ),
        done(1, "ch1"),
        back(1, "ch1"),
        WorkRecord("w5", "undone", state="filter:f1", trial="tr2"),
        done(2, "ch2"),
        WorkRecord("w6", "heard", changes=("ch2",), loud=("register:r1", "grille:g1"), by="owner"),
        WorkRecord("w7", "heard", changes=("ch2",), loud=("somewhere",)),
        WorkRecord("w8", "heard", changes=("ch2",), loud=()),
        WorkRecord("w81", "called-again", changes=("ch2",), note="still warm"),
        WorkRecord("w82", "called-again"),
        WorkRecord("w9", "stopped", why="customer", by="office", note="another day"),
    )
    assert texts(job(*work)) == []


@pytest.mark.parametrize(
    ("work", "text"),
    [
        (
            (done(1, "ch9"),),
            "work[0].changes: 'ch9' came; the changes of this job are ch1, ch2. "
            "Report it at the job that it belongs to.",
        ),
        (
            (done(1, "ch1"), done(2, "ch1")),
            "work[1].changes: ch1 done again came; it was reported done before and has not been "
            "taken back since. Report it once; if it was taken back in between, report that first.",
        ),
        (
            (back(1, "ch1"),),
            "work[0].changes: ch1 taken back came; nothing has been done yet. "
            "Report first that it was done, or leave it out.",
        ),
        (
            (done(1, "ch1"), back(1, "ch2")),
            "work[1].changes: ch2 taken back came; what can be taken back is ch1. "
            "Report first that it was done, or leave it out.",
        ),
        (
            (WorkRecord("w1", "undone", state="filter:f1", trial="tr1"),),
            "work[0].state: 'filter:f1' came; tr1 has nothing to undo.",
        ),
        (
            (WorkRecord("w1", "undone", state="filter:f1", trial="tr9"),),
            "work[0].trial: 'tr9' came; the trials of this job are tr1, tr2.",
        ),
        (
            (WorkRecord("w1", "done"),),
            "work[0].changes: nothing came; a record of kind done has changes.",
        ),
        (
            (WorkRecord("w1", "done", changes=("ch1",), why="other"),),
            "work[0].why: why at a record of kind done came; it has changes, step, at, by, note. "
            "Leave it out.",
        ),
        (
            (WorkRecord("w1", "done", changes=("ch1", "ch1")),),
            "work[0].changes: ch1, ch1 came; each change stands there once.",
        ),
        (
            (WorkRecord("w1", "done", changes=("ch1",), step=0),),
            "work[0].step: 0 came; steps are numbered from 1.",
        ),
        (
            (WorkRecord("w1", "finished", changes=("ch1",)),),
            "work[0].kind: 'finished' came; a record of work is accepted, done, taken-back, gate, "
            "undone, heard, called-again, stopped.",
        ),
        (
            (WorkRecord("w1", "called-again", changes=("ch9",)),),
            "work[0].changes: 'ch9' came; the changes of this job are ch1, ch2. "
            "Report it at the job that it belongs to.",
        ),
        (
            (WorkRecord("w1", "called-again", loud=()),),
            "work[0].loud: loud at a record of kind called-again came; it has changes, at, by, "
            "note. Leave it out.",
        ),
        (
            (WorkRecord("w1", "heard", changes=("ch1",)),),
            "work[0].loud: nothing came; a record of kind heard has changes, loud.",
        ),
        (
            (WorkRecord("w1", "heard", loud=("register:r1",)),),
            "work[0].changes: nothing came; a record of kind heard has changes, loud.",
        ),
        (
            (WorkRecord("w1", "heard", changes=("ch1",), loud=("register:r1", "somewhere")),),
            "work[0].loud: register:r1, somewhere came; each register or grille once, or "
            "'somewhere' alone where nobody can say.",
        ),
        (
            (WorkRecord("w1", "done", changes=("ch1",), loud=()),),
            "work[0].loud: loud at a record of kind done came; it has changes, step, at, by, note. "
            "Leave it out.",
        ),
        (
            (WorkRecord("w1", "done", "yesterday", changes=("ch1",)),),
            "work[0].at: 'yesterday' for w1 came; a date and time is written as "
            "2026-03-02T09:10:00Z.",
        ),
    ],
)
def test_what_cannot_have_happened_is_refused_in_words(work, text):
    """Twice, out of order, of what is not there."""
    found = texts(job(*work))
    assert len(found) == 1
    # How a time is written is said by another module in its own words.
    assert found[0] == text or (".at:" in text and found[0].startswith("work[0].at: 'yesterday'"))


@pytest.mark.parametrize(
    ("result", "value", "text"),
    [
        ("measured", None, "nothing came; a result that was measured has a value, and no other"),
        ("ok", Fact(3.0, "ppm"), "a value with the result ok came; a result that was measured"),
        ("measured", Fact(-3.0, "ppm"), "-3 ppm came; shares of carbon monoxide run from 0 to"),
        ("measured", Fact(float("nan"), "ppm"), "nan ppm came; shares of carbon monoxide run"),
        ("measured", Fact(1e9, "s"), "1e+09 s came; times of spillage run from 0 to 3,600 s."),
        ("measured", Fact(3.0, "inwc"), "'inwc' came; a result at a gate is in s, ppm,"),
    ],
)
def test_a_result_at_a_gate_is_what_can_be(result, value, text):
    """Values below zero, without end, of another kind, or none at all."""
    record = WorkRecord("w1", "gate", gate="co-room", when="before", result=result, value=value)
    (found,) = texts(job(record))
    assert text in found


def test_what_is_too_loud_is_a_register_or_grille_of_the_system_as_it_stands():
    """One of another house is refused, with what there is to choose from."""
    record = WorkRecord("w1", "heard", changes=("ch1",), loud=("register:r99",))
    (found,) = texts(job(record))
    assert found.startswith("work[0].loud: 'register:r99' came; what can be too loud is register:")
    assert "somewhere" in found


def test_a_record_has_an_id_of_its_own():
    """As every part has."""
    one = replace(done(1, "ch1"), id="w1")
    assert texts(job(one, replace(back(1, "ch1"), id="w1"))) == [
        "work: the id 'w1' twice came; every part, change, trial, reading and record has an id of "
        "its own. Give one of the two another id."
    ]


def test_what_the_records_come_to():
    """Agreed, done, taken back; a later agreement replaces the one before."""
    work = (
        WorkRecord("w1", "accepted", option="a", changes=("ch1", "ch2")),
        done(1, "ch1"),
        WorkRecord("w3", "accepted", option="b", changes=("ch2",)),
        done(2, "ch2"),
        back(1, "ch1"),
        WorkRecord("w6", "stopped", why="other"),
    )
    of = job(*work)
    assert survey.work_of(of) == survey.WorkSoFar("b", ("ch2",), ("ch2",), "other")
    assert survey.work_of(of, 2) == survey.WorkSoFar("a", ("ch1", "ch2"), ("ch1",), None)
    assert survey.work_of(of, 2).left == ("ch2",)


def test_what_was_set_for_measuring_is_to_be_put_back():
    """From the trials; a record takes it off, a later trial brings it back."""
    of = job()
    assert survey.not_undone(of) == (survey.NotUndone("filter:f1", "out", "tr2"),)
    put_back = WorkRecord("w1", "undone", state="filter:f1", trial="tr2")
    assert survey.not_undone(replace(of, work=(put_back,))) == ()
    again = Trial("tr3", (), {"filter:f1": "out", "door:den": "shut"})
    later = replace(of, trials=(*of.trials, again), work=(put_back,))
    assert [one.key for one in survey.not_undone(later)] == ["filter:f1", "door:den"]
    assert survey.for_measuring_only(again) == ("filter:f1", "door:den")
    assert survey.for_measuring_only(of.trials[0]) == ()


def test_what_is_in_force_is_what_was_read_with_and_done_since():
    """A change that was read with before there were records stays; what is taken back goes."""
    of = job()
    reading = of.trials[0].readings[0]
    trial = Trial("tr3", ("ch1",), of.trials[0].condition, (replace(reading, id="rd90"),))
    read = replace(of, trials=(*of.trials, trial))
    assert survey.in_force(read) == (("ch1",), ())
    assert survey.in_force(replace(read, work=(done(1, "ch2"),))) == (("ch1",), ("ch2",))
    taken = replace(read, work=(done(1, "ch1"), done(2, "ch2"), back(1, "ch1")))
    assert survey.in_force(taken) == ((), ("ch2",))


@settings(deadline=None, max_examples=60)
@given(
    st.lists(
        st.tuples(st.booleans(), st.sampled_from([("ch1",), ("ch2",), ("ch1", "ch2")])), max_size=8
    )
)
def test_a_job_that_is_in_order_says_what_is_in_force(acts):
    """Against plain sets: what the checks let through is what a person would count."""
    work: list[WorkRecord] = []
    in_force: set[str] = set()
    for number, (is_done, ids) in enumerate(acts):
        record = done(number, *ids) if is_done else back(number, *ids)
        fits = not in_force & set(ids) if is_done else in_force >= set(ids)
        assert ([*work_problems(job(*work, record))] == []) is fits
        if fits:
            work.append(record)
            in_force = in_force | set(ids) if is_done else in_force - set(ids)
    assert set(survey.work_of(job(*work)).done) == in_force


def test_a_job_with_records_is_read_as_it_was_written():
    """To the last bit; and its numbers are those of the job without them."""
    from inchwater.calibration.posterior import job_hash

    of = job(WorkRecord("w1", "accepted", changes=("ch1",)), done(1, "ch1"))
    assert survey.job_from_dict(survey.job_to_dict(of)) == of
    assert job_hash(of) == job_hash(replace(of, work=()))
