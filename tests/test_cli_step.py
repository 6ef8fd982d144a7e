"""``inchwater step JOB``: work reported at the prompt, judged, and refused in words."""

import json
from dataclasses import replace

import pytest

from inchwater import survey
from inchwater.rehearsal import virtual_house

HOUSE = virtual_house(3)
BY_KIND = {change.kind: change.id for change in HOUSE.job.changes}
HUNG, RETURN, SPEED = BY_KIND["tighten-run"], BY_KIND["add-return"], BY_KIND["tap"]


@pytest.fixture
def job(tmp_path):
    """House 3 with its first readings, as a file."""
    found = replace(HOUSE.with_trials(("first",)), changes=HOUSE.job.changes, system="s1")
    path = tmp_path / "job.json"
    survey.save(found, path)
    return path


def words(out: str) -> str:
    """What was printed, in one line."""
    return " ".join(out.split())


def test_without_an_agreement_it_says_how_to_agree(say, job):
    """And changes nothing in the file."""
    before = job.read_text("utf-8")
    code, out, err = say("step", job)
    assert (code, err) == (0, "")
    assert words(out).startswith("Nothing is accepted yet. 'inchwater step JOB --accept 2' takes")
    assert job.read_text("utf-8") == before


def test_a_visit_from_agreement_to_the_last_tick(say, job):
    """Agreed, done, read, judged, taken back; the file keeps every record."""
    code, out, _ = say("step", job, "--accept", f"{SPEED},{HUNG}")
    assert code == 0
    text = words(out)
    assert f"Agreed: {SPEED}, {HUNG}." in text
    assert "Next: step 1, 2 left. Pull the flex of" in text
    for word in ("Parts:", "Tools:", "To read after it, 9 in 10", "To take it back", "Caution"):
        assert word in text
    assert "Then step 2: Set the blower to" in text
    code, out, _ = say("step", job, "--done", "next")
    assert "Step 1 is done" in words(out)
    assert "The visit stays open." in words(out)
    code, out, err = say("step", job, "--read", "return=0.2", "--read", "supply=1.4", "--json")
    assert (code, err) == (0, "")
    found = json.loads(out)
    assert [one["at"] for one in found["judged"]] == ["return", "supply"]
    assert found["judged"][1]["side"] == "above"
    assert "to expect at most" in found["judged"][1]["said"]
    assert found["done"] == [HUNG]
    # Nothing that the survey and the other readings allow makes it 1.4.
    assert found["stop"] is None
    strange = found["unexplained"][-1]
    assert strange.startswith("Static on the supply side: 1.40 in. w.c. was read after the work")
    assert strange in words(say("step", job)[1])
    assert survey.load(job).trials[-1].after == (HUNG,)
    code, out, _ = say("step", job, "--take-back", "last", "--by", "technician")
    assert "Step 1 is taken back" in words(out)
    records = survey.load(job).work
    assert [one.kind for one in records] == ["accepted", "done", "taken-back"]
    assert records[-1].by == "technician"
    assert records[0].at.endswith("Z")


def test_gates_are_reported_by_their_key(say, job):
    """Measured, referred, and one that fails keeps the step from being reported."""
    say("step", job, "--accept", RETURN)
    code, _, err = say("step", job, "--done", "1")
    assert code == 2
    assert err.startswith("gate spillage: no result came; before this step: Spillage")
    code, out, _ = say("step", job, "--gate", "spillage=20 s", "--gate", "co-flue=500ppm")
    assert "Gate co-flue: 500 ppm; the limit is 100 ppm. Stop, and refer it." in words(out)
    code, _, err = say("step", job, "--gate", "co-room=2", "--done", "1")
    assert code == 2
    assert err.startswith("gate co-flue: 500 ppm")
    # What is refused leaves the file as it was: not even the result beside it is kept.
    assert len(survey.load(job).work) == 3
    acts = ("--gate", "co-room=2", "--gate", "co-flue=referred", "--done", "1")
    assert say("step", job, *acts, "--by", "licensed technician")[0] == 0
    value = next(r.value for r in survey.load(job).work if r.gate == "spillage")
    assert (value.value, value.unit) == (20.0, "s")


@pytest.mark.parametrize(
    ("acts", "start"),
    [
        (("--done", "1"), "--done: a step came; nothing is accepted yet."),
        (("--accept", "nope"), "--accept: 'nope' came; the number of an offer, or changes of"),
        (("--take-back", "last"), "--take-back: 'last' came; no step is in force."),
        (("--gate", "spillage"), "--gate: 'spillage' came; a result is KEY=RESULT."),
        (("--gate", "gas=ok"), "--gate: 'gas' came; the gates that are open now are"),
        (("--undo", "filter:f1"), "--undo: 'filter:f1' came; not put back yet: nothing."),
        (("--stop", "bored"), "--stop: 'bored' came; it is one of target-met, customer, other."),
        (("--system", "s9"), "--system: 's9' came; this job is of system s1."),
        (("--read", "return=0.2"), "step: readings before any step is done came;"),
        (("--accept", HUNG, "--done", "7"), "--done: '7' came; the steps are 1."),
        (("--accept", HUNG, "--done", "x"), "--done: 'x' came; the number of a step is wanted."),
        (
            ("--accept", f"{HUNG},{SPEED}", "--done", "2"),
            "work[1].changes: step 2 came. Step 1 comes before it and is not reported.",
        ),
        (
            ("--accept", HUNG, "--done", "1", "--read", "cellar=1"),
            "--read: 'cellar=1' came; after step 1 these are read: return, supply",
        ),
        (
            ("--accept", HUNG, "--done", "1", "--read", "return=soft"),
            "Static at return: 'soft' came;",
        ),
        (
            ("--gate", "rise:heating=warm"),
            "--gate: 'rise:heating' came; the gates that",
        ),
        (
            ("--accept", RETURN, "--gate", "co-flue=40psi"),
            "--gate co-flue: '40psi' came; a number with ppm behind it is wanted.",
        ),
        (
            ("--accept", RETURN, "--gate", "co-room=-1"),
            "work[1].value: -1 ppm came; shares of carbon monoxide run from 0 to 40,000 ppm.",
        ),
        (("--gate", "closed-up=12"), "--gate closed-up: '12' came; this is looked at:"),
    ],
)
def test_bad_input_is_said_and_nothing_is_written(say, job, acts, start):
    """Each in its own words, exit code 2, the file untouched."""
    before = job.read_text("utf-8")
    code, out, err = say("step", job, *acts)
    assert (code, out) == (2, "")
    assert err.startswith(start)
    assert job.read_text("utf-8") == before


def test_a_step_done_twice_is_refused(say, job):
    """And what was reported stays."""
    say("step", job, "--accept", HUNG, "--done", "1")
    code, out, _ = say("step", job, "--done", "1", "--json")
    assert code == 2
    assert json.loads(out)["error"]["came"] == "step 1 again"
    assert [one.kind for one in survey.load(job).work] == ["accepted", "done"]


def test_stopping_is_kept_with_its_reason(say, job):
    """For the next visit."""
    code, out, _ = say("step", job, "--stop", "customer", "--note", "wants to think it over")
    assert code == 0
    assert "No more work: customer." in words(out)
    assert survey.load(job).work[-1].note == "wants to think it over"


def test_what_is_too_loud_after_a_step_is_kept_and_nobody_may_stop(say, job):
    """As found it is the complaint; after a step it is asked, and a later word replaces it."""
    code, out, _ = say("step", job, "--accept", HUNG, "--heard", "nothing", "--json")
    assert code == 2
    error = json.loads(out)["error"]
    assert error["came"] == "what is heard before any step is done"
    assert "the job's complaint" in error["right"]
    assert survey.load(job).work == ()
    run = survey.load(job).survey.supply.runs[0].id
    code, out, err = say("step", job, "--accept", HUNG, "--done", "1", "--heard", f"register:{run}")
    assert (code, err) == (0, "")
    assert f"Too loud: register:{run}." in words(out)
    assert f"Who lives here finds it too loud now: register {run}" in words(out)
    record = survey.load(job).work[-1]
    assert (record.kind, record.changes, record.loud) == ("heard", (HUNG,), (f"register:{run}",))
    code, out, _ = say("step", job, "--heard", "nothing", "--json")
    assert code == 0
    assert json.loads(out)["too_loud"] is None
    assert survey.load(job).work[-1].loud == ()


def test_a_call_after_the_work_is_kept_and_nobody_may_stop(say, job):
    """With the changes in force then; before any step it is of the house as found."""
    code, out, err = say("step", job, "--accept", HUNG, "--called-again")
    assert (code, err) == (0, "")
    assert "They called again." in words(out)
    assert survey.load(job).work[-1].changes == ()
    code, out, _ = say("step", job, "--done", "1", "--called-again", "--json")
    assert code == 0
    found = json.loads(out)
    assert found["called_again"].startswith("They called again: as it stands")
    assert found["stop"] is None
    record = survey.load(job).work[-1]
    assert (record.kind, record.changes) == ("called-again", (HUNG,))


@pytest.mark.parametrize("word", ["register:r99", "den", "somewhere,register:r1", ","])
def test_what_cannot_be_too_loud_is_refused_with_what_can(say, job, word):
    """And the step that was reported beside it is not written either."""
    before = job.read_text("utf-8")
    code, out, _ = say("step", job, "--accept", HUNG, "--done", "1", "--heard", word, "--json")
    assert code == 2
    error = json.loads(out)["error"]
    assert error["where"] == "--heard"
    assert "somewhere" in error["right"]
    assert job.read_text("utf-8") == before
