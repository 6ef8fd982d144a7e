"""What is wanted, at the prompt: the odds of all of it, each by itself, and what excludes what."""

from __future__ import annotations

import json

import pytest

from inchwater.rehearsal import demos
from inchwater.survey import Fact, How, Targets, Wish, save


@pytest.fixture
def kept(tmp_path):
    """A function that keeps demo B with wishes, and gives its path."""
    from dataclasses import replace

    def keep(*wishes):
        path = tmp_path / "job.json"
        save(replace(demos()["b"], targets=Targets(wishes=wishes)), path)
        return str(path)

    return keep


def stated(value, unit):
    return Fact(value, unit, How.STATED)


def test_a_forecast_names_which_targets_are_met_with_their_odds(say, kept):
    """As JSON: all at once and each alone, with bounds, source and the figures of others."""
    path = kept(Wish("run-velocity", high=stated(480.0, "fpm"), part="r1"))
    code, out, _ = say("forecast", path, "--nothing", "--json")
    assert code == 0
    wanted = json.loads(out)["wanted"]
    by_key = {(one["key"], one["subject"]): one for one in wanted["targets"]}
    window = by_key["airflow", ""]
    assert (window["low"], window["high"], window["unit"]) == (
        pytest.approx(1050),
        pytest.approx(1350),
        "cfm",
    )
    assert window["verdict"] == "not met"
    wish = by_key["run-velocity", "r1"]
    assert wish["stated"]
    assert wish["source"] == "stated for this job"
    assert any("up to 700 fpm" in other for other in wish["others"])
    odds = [one["odds"] for one in wanted["targets"] if one["needed"] and one["odds"] is not None]
    assert 0.0 <= wanted["odds"] <= min(odds)


def test_a_forecast_says_how_often_all_of_it_is_met(say, kept):
    """In one sentence, with what is missed most."""
    code, out, _ = say("forecast", kept(), "--nothing")
    assert code == 0
    text = " ".join(out.split())
    assert "All that is wanted is met in 0 of 100 cases; missed most: " in text
    assert "external static pressure (in 100)" in text


def test_wishes_that_exclude_each_other_are_told_with_both(say, kept):
    """The sentence names the wish, and no trace of the program is shown."""
    code, out, err = say("forecast", kept(Wish("tesp", high=stated(0.9, "inwc"))), "--nothing")
    assert code != 0
    text = " ".join((out + err).split())
    assert "the rating plate allows up to 0.50 in. w.c." in text
    assert "Traceback" not in text
