"""``inchwater options``: the limit, the offers, their prices at the firm's rate, bad input."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from inchwater import survey
from inchwater.rehearsal import demos


@pytest.fixture
def job(tmp_path):
    path = tmp_path / "job.json"
    survey.save(demos()["b"], path)
    return path


def few(*arguments):
    """Two changes at most, which is quick."""
    return (*arguments, "--most", "2")


def test_the_offers_are_a_list_by_price(say, job):
    """The table in the order of price, what each does below it, the preferred marked."""
    code, out, err = say(*few("options", job))
    assert (code, err) == (0, "")
    text = " ".join(out.split())
    assert "What could be done, by price" in text
    assert "1. Leaving it as it is." in text
    assert text.count("preferred") == 1
    assert "Then to expect:" in text


def test_json_has_the_offers_with_prices_odds_and_reasons(say, job):
    """One document: prices rise, the preferred and the best are among the offers."""
    code, out, err = say(*few("options", job, "--json"))
    assert (code, err) == (0, "")
    document = json.loads(out)
    assert document["job"] == "demo-b"
    prices = [one["price"]["usd"] for one in document["offers"]]
    assert prices == sorted(prices)
    assert prices[0] == 0.0
    keys = [one["key"] for one in document["offers"]]
    assert document["preferred"] in keys
    assert document["best"] in keys
    for one in document["offers"]:
        assert 0.0 <= one["odds"] <= 1.0
        assert one["why"]
        assert one["estimates"]["airflow"]["unit"] == "cfm"
    assert any(one["impossible"] for one in document["not_possible"])
    assert json.loads(say(*few("options", job, "--json"))[1]) == document


def test_the_firm_s_rate_moves_the_prices(say, job):
    """At twice the rate the last offer's like is dearer; the dollar sign may be typed."""

    def prices(*arguments):
        document = json.loads(say(*few("options", job, "--json", *arguments))[1])
        return {
            one["key"]: one["price"]["usd"] for one in document["offers"] + document["not_possible"]
        }

    usual, twice = prices(), prices("--rate", "$200")
    both = [key for key in usual if key in twice and usual[key] > 0.0]
    assert both
    assert all(twice[key] > usual[key] for key in both)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (
            ("--rate", "-5"),
            "--rate: -5 came; a price is a number, above zero. Correct it, or leave it out for "
            "the planning figure.",
        ),
        (
            ("--rate", "0"),
            "--rate: 0 came; an hour of work costs more than nothing. Type the firm's rate in US "
            "dollars an hour, or leave it out.",
        ),
        (
            ("--visit", "-1"),
            "--visit: -1 came; a price is a number, zero or more. Correct it, or leave it out for "
            "the planning figure.",
        ),
    ],
)
def test_a_price_that_cannot_be_is_refused(say, job, arguments, said):
    """In the option's own name."""
    code, out, err = say("options", job, *arguments)
    assert (code, out) == (2, "")
    assert " ".join(err.split()) == said


@pytest.mark.parametrize("arguments", [("--rate", "a lot"), ("--visit", ""), ("--most", "9")])
def test_words_and_other_counts_are_refused_in_four_fields(say, job, arguments):
    """As every command."""
    code, out, _ = say("options", job, *arguments, "--json")
    assert code == 2
    error = json.loads(out)["error"]
    assert error["where"] == arguments[0]
    assert all(error[field].strip() for field in ("kind", "where", "came", "right", "do"))


def test_a_job_without_readings_is_refused(say, tmp_path):
    """There has to be something to start from."""
    path = tmp_path / "bare.json"
    survey.save(replace(demos()["a"], trials=()), path)
    code, out, err = say("options", path)
    assert (code, out) == (2, "")
    assert err.startswith(
        "job file: no reading came; options start from the readings of at least one trial."
    )
