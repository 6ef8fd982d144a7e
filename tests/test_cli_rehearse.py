"""``inchwater rehearse``: a whole round by acts, from a pipe, at a prompt; bad input in fields."""

from __future__ import annotations

import io
import json
import sys

import pytest

from inchwater.cli.rehearse_words import acts_of
from inchwater.rehearsal.practice import Act
from inchwater.rehearsal.practice_file import load_round
from inchwater.rehearsal.practice_house import practice_house
from inchwater.rehearsal.practice_score import score
from inchwater.reports.practice import practice_round
from inchwater.survey import load

SUPPLY = Act("read", "supply", "static")


@pytest.fixture
def typed(monkeypatch):
    """Put lines behind the standard input; ``terminal`` makes it one."""

    def put(*lines, terminal=False):
        stream = io.StringIO("".join(f"{line}\n" for line in lines))
        stream.isatty = lambda: terminal
        monkeypatch.setattr(sys, "stdin", stream)

    return put


def words(text):
    """A text without line breaks."""
    return " ".join(text.split())


# --- what is typed -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "act"),
    [
        ("read supply", SUPPLY),
        ("READ Supply 6", Act("read", "supply", "static", 6)),
        ("read run:r1", Act("read", "run:r1", "static")),
        ("drop f1", Act("read", "filter:f1", "drop")),
        ("read drop filter:f1 3", Act("read", "filter:f1", "drop", 3)),
        ("hood r1", Act("read", "register:r1", "airflow")),
        ("plate 4", Act("read", "unit", "airflow", 4)),
        ("read watts", Act("read", "unit", "power")),
        ("volts", Act("read", "unit", "voltage")),
        ("rpm", Act("read", "unit", "speed")),
        ("rise", Act("read", "unit", "temperature-rise")),
        ("again", Act("look")),
        ("again 3", Act("look", looks=3)),
        ("call heating", Act("call", "heating")),
        ("filter out", Act("filter-out")),
        ("filter in", Act("filter-in")),
        ("make ch4", Act("change", "ch4")),
        ("back CH4", Act("take-back", "ch4")),
        ("done", Act("done")),
        ("cannot", Act("cannot")),
    ],
)
def test_every_verb_is_an_act(line, act):
    """The trade's words, in any case, with or without "read" before what is read at the unit."""
    assert acts_of(line, practice_round(1)) == (act,)


def test_hoods_are_read_one_by_one_and_wait_ends_with_the_display():
    """ "hood all" is every register; "wait" is as many looks as this display needs."""
    now = practice_round(1)
    runs = [one.id for one in now.survey.supply.runs]
    assert [one.at for one in acts_of("hood all", now)] == [
        f"register:{id_}"
        for id_ in sorted(runs, key=lambda id_: [s.at for s in now.spots].index(f"register:{id_}"))
    ]
    read = now.after(SUPPLY)
    (wait,) = acts_of("wait", read)
    assert read.after(wait).current.display.still(1 + wait.looks)
    assert not read.current.display.still(wait.looks)


@pytest.mark.parametrize(
    "line",
    [
        "",
        "dance",
        "read",
        "read supply two",
        "read supply 1 2",
        "read supply ٣",
        "read supply 99999",
        "filter",
        "filter sideways",
        "call",
        "make ch1 ch2",
        "wait 3",
        "done now",
        "hood",
    ],
)
def test_what_is_not_understood_lists_what_can_be_said(say, line):
    """Exit code 2, the verbs, and where each is explained."""
    code, _, err = say("rehearse", "--seed", "1", line)
    assert code == 2
    came = repr(line) if line else "nothing"
    assert err.startswith(f"rehearse: {came} came; acts are read PLACE [LOOKS]; drop PART")
    assert err.endswith("Type one of them; 'help' in the prompt says what each does.\n")


def test_a_part_that_is_not_there_is_told(say):
    """The parts that are there stand in the error."""
    code, _, err = say("rehearse", "--seed", "1", "drop f9")
    assert (code, err) == (
        2,
        "drop: 'f9' came; it can be read at f1. Choose one of them.\n",
    )


# --- a whole round -------------------------------------------------------------------------------


def cheapest(seed):
    """The acts of the cheapest end of a house."""
    fix = score(practice_round(seed, (Act("cannot"),))).cheapest
    return ["cannot"] if fix is None else [*(f"make {id_}" for id_ in fix.changes), "done"]


def test_a_round_from_its_goal_to_what_was_hidden(say):
    """It says that the house is invented, what is wanted, what a display shows, and the score."""
    code, out, err = say(
        "rehearse", "--seed", "1", "read supply", "wait", "read return 9", *cheapest(1)
    )
    assert (code, err) == (0, "")
    text = words(out)
    for said in (
        "Practice house 1. An invented house, for training: nothing in it stands anywhere.",
        "Wanted in the cooling call:",
        "At most 3 of the ten changes stand at once; what is paid stays paid.",
        "still moving. 5 min.",
        "stands still.",
        "Caution, Drill only where the sketch shows:",
        "Over it $",
        "What truly is, in the cooling call",
        "What the survey did not say:",
    ):
        assert said in text
    # The truth is told at the end only.
    assert text.index("stands still") < text.index("What truly is")


@pytest.mark.parametrize("seed", [1, 5])
def test_the_document_of_a_round(say, seed):
    """One document: goal, readings, places, changes, the round itself; a score when it is over."""
    acts = ["read supply 9", "read return 9"]
    code, out, err = say("rehearse", "--seed", seed, *acts, "--json")
    assert (code, err) == (0, "")
    going = json.loads(out)
    assert going["score"] is None
    assert [one["at"] for one in going["readings"]] == ["supply", "return"]
    assert len(going["changes"]) == 10
    assert all(place["minutes"] > 0 for place in going["places"])
    house = practice_house(seed)
    assert str(house.truths.trials["tr1"].airflow)[:7] not in out
    code, out, _ = say("rehearse", "--seed", seed, *acts, *cheapest(seed), "--json")
    ended = json.loads(out)
    found = ended["score"]
    assert found["verdict"] in ("met-cheapest", "cannot-right")
    assert found["over_usd"] == pytest.approx(found["measuring_usd"])
    assert found["hidden"]
    assert ended["money_usd"] == (found["cheapest"] or {"price_usd": 0})["price_usd"]


def test_every_place_that_is_listed_can_be_typed(say):
    """What stands in the list of places is what the prompt understands."""
    _, out, _ = say("rehearse", "--seed", "12", "call heating", "--json")
    for place in json.loads(out)["places"]:
        (act,) = acts_of(place["type"], practice_round(12, (Act("call", "heating"),)))
        assert (act.quantity, act.at) == (place["quantity"], place["at"])


def test_the_readings_become_a_job_for_every_other_command(say, tmp_path):
    """``--job`` writes a file that findings, airflow's answer and next-reading take."""
    path = tmp_path / "job.json"
    acts = ["read supply 9", "read return 9", "make ch1", "read supply 9", "read return 9"]
    assert say("rehearse", "--seed", "1", *acts, "--job", path)[0] == 0
    job = load(path)
    assert [trial.after for trial in job.trials] == [(), ("ch1",)]
    code, out, err = say("next-reading", path)
    assert (code, err) == (0, "")
    assert "Enough: stop measuring" in out
    assert say("findings", path)[0] == 0


def test_a_round_goes_on_where_it_was_saved(say, tmp_path):
    """``--save`` keeps it after each act, ``--from`` takes it up, also after a refusal."""
    path = tmp_path / "round.json"
    code, _, err = say("rehearse", "--seed", "1", "read supply 4", "call cooling", "--save", path)
    assert code == 2
    assert err == (
        "call: cooling came; the thermostat calls for it already. Choose another call, or read.\n"
    )
    assert load_round(path) == (1, (Act("read", "supply", "static", 4),))
    code, out, _ = say("rehearse", "--from", path, "--save", path, "again", "done")
    assert code == 0
    assert "What the survey did not say" in out
    assert [act.do for act in load_round(path)[1]] == ["read", "look", "done"]
    code, _, err = say("rehearse", "--from", path, "again")
    assert (code, err) == (
        2,
        "look: one more act came; this round is over. Start another one.\n",
    )


def test_without_a_number_it_is_any_house(say):
    """Two rounds are two houses, most often; the number is said, so that it can be had again."""
    seeds = {json.loads(say("rehearse", "--json")[1])["round"]["seed"] for _ in range(4)}
    assert len(seeds) > 1
    assert all(0 <= seed < 10_000 for seed in seeds)


def test_si_is_shown_where_it_is_asked_for(say):
    """Pascals and litres a second in goal, figures and truth."""
    _, out, _ = say("rehearse", "--seed", "1", "--si", "read supply 9", "hood r1 9", "cannot")
    assert " Pa, stands still" in out
    assert "L/s" in out
    assert "cfm" not in out
    assert "in. w.c." not in out


# --- line by line --------------------------------------------------------------------------------


def test_acts_come_from_a_pipe_too(say, typed):
    """Line by line; blank lines are nothing, what is asked is answered, quit ends it."""
    typed("places", "", "changes", "survey", "table", "read supply 9", "readings", "quit", "done")
    code, out, err = say("rehearse", "--seed", "12")
    assert (code, err) == (0, "")
    text = words(out)
    for said in ("read supply Static in the supply plenum", "ch10", "Return g1", "Tap high"):
        assert said in text
    assert "What you wrote down" in text
    assert "What truly is" not in text


def test_the_first_refusal_of_a_pipe_ends_it(say, typed):
    """As with acts on the command line: exit code 2."""
    typed("look", "done")
    code, out, err = say("rehearse", "--seed", "1")
    assert code == 2
    assert err.startswith("rehearse: 'look' came;")
    assert "What truly is" not in out


def test_at_a_prompt_a_refusal_is_part_of_the_practice(say, typed, tmp_path):
    """The round goes on after it, until it is over."""
    job, kept = tmp_path / "job.json", tmp_path / "round.json"
    typed(
        "help",
        "dance",
        "read supply 9",
        "read return 9",
        "tool",
        f"job {job}",
        f"job {job}",
        f"save {kept}",
        "goal",
        "filter out",
        "done",
        "filter in",
        "done",
        terminal=True,
    )
    code, out, err = say("rehearse", "--seed", "1")
    assert (code, err) == (0, "")
    text = words(out)
    for said in (
        "What was surveyed",
        "look until two figures in a row are the same",
        "'dance' came",
        "odds of meeting the goal",
        "What it would read next:",
        "a file that is there is not written over",
        "Put the filter back first.",
        "Filter out: briefly and never in heat",
        "What truly is",
    ):
        assert said in text
    assert len(load(job).trials[0].readings) == 2
    assert [act.do for act in load_round(kept)[1]][-1] == "done"


def test_a_prompt_that_is_left_keeps_what_it_said(say, typed):
    """End of input is as good as quit."""
    typed("read supply", terminal=True)
    code, out, err = say("rehearse", "--seed", "1")
    assert (code, err) == (0, "")
    assert words(out).endswith("Cooling call. So far $0 for changes, 5 min of measuring.")


# --- bad input -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "where"),
    [
        (["--seed", "x"], "--seed"),
        (["--seed", "-3"], "--seed"),
        (["--seed", "1", "--from", "r.json"], "--seed"),
        (["--from", "nowhere.json"], "nowhere.json"),
        (["--seed", "1", "--save", "no/where.json"], "--save"),
        (["--seed", "1", "--job", "no/where.json"], "--job"),
        (["--seed", "1", "survey"], "--json"),
        (["--seed", "1", "read attic"], "read"),
        (["--seed", "1", "make ch99"], "change"),
    ],
)
def test_bad_input_is_one_error_in_four_fields(say, monkeypatch, tmp_path, arguments, where):
    """Exit code 2, one document, no trace."""
    monkeypatch.chdir(tmp_path)
    code, out, err = say("rehearse", *arguments, "--json")
    assert (code, err) == (2, "")
    error = json.loads(out)["error"]
    assert error["where"] == where
    for field in ("kind", "where", "came", "right", "do"):
        assert error[field].strip(), (field, error)
    assert "Traceback" not in out


def test_a_file_that_is_no_round_is_refused(say, tmp_path):
    """A job file, or a file that is there already."""
    path = tmp_path / "round.json"
    path.write_text("{}", encoding="utf-8")
    code, _, err = say("rehearse", "--from", path)
    assert (code, err) == (
        2,
        'practice round: None came; an object with "format": "inchwater-practice" is wanted. '
        "Choose a file that 'inchwater rehearse --save' or the practice page wrote.\n",
    )
    code, _, err = say("rehearse", "--seed", "1", "--save", path)
    assert (code, err) == (
        2,
        f"--save: {path} came; a file that is there is not written over. Choose another name.\n",
    )
    assert path.read_text(encoding="utf-8") == "{}"
