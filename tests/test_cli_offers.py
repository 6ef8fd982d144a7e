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


def test_a_terminal_is_told_how_far_the_search_is():
    """The first answer by its name, then how much was tried; no terminal is told nothing."""
    from io import StringIO

    from rich.console import Console

    from inchwater.calibration import calibrate
    from inchwater.cli.show_offers import searching
    from inchwater.planning import options

    posterior = calibrate(demos()["b"], 1, size=100)
    text = StringIO()
    out = Console(file=text, force_terminal=True, width=80, highlight=False)
    with searching(out) as told:
        options(posterior, most=2, size=50, effects=False, progress=told)
    said = " ".join(text.getvalue().split())
    assert said.count("First answer") == 1
    assert "Combinations are being tried." in said
    assert "Trying combinations" in said
    for plain in (None, Console(file=StringIO(), force_terminal=False)):
        with searching(plain) as told:
            assert told is None


def test_what_cannot_be_told_is_said(say, tmp_path):
    """A run without its register: the fact that is lacking, at the prompt and in JSON."""
    found = demos()["a"]
    runs = tuple(
        replace(b, duct=replace(b.duct, register=None)) if not b.branches else b
        for b in found.survey.supply.branches
    )
    supply = replace(
        found.survey.supply,
        branches=runs,
        run_like=replace(found.survey.supply.run_like, register=None),
    )
    path = tmp_path / "bare.json"
    survey.save(replace(found, survey=replace(found.survey, supply=supply)), path)
    code, out, err = say("options", path, "--most", "1")
    assert (code, err) == (0, "")
    assert "Cannot be told: " in out
    assert "The face of the register is not in the survey." in " ".join(out.split())


def test_targets_that_exclude_each_other_are_refused_with_both(say, tmp_path):
    """A kit that needs more air than somebody wishes in heating: both bounds, and what to do."""
    found = demos()["a"]
    unit = replace(
        found.survey.unit,
        heat_kit=survey.HeatKit(least_airflow=survey.Fact(1500.0, "cfm", survey.How.SEEN)),
        calls={**found.survey.unit.calls, "heating": found.survey.unit.tap},
    )
    low, high = (survey.Fact(cfm, "cfm", survey.How.STATED) for cfm in (800.0, 900.0))
    wish = survey.Wish("airflow", low=low, high=high, call="heating")
    path = tmp_path / "torn.json"
    survey.save(
        replace(
            found,
            survey=replace(found.survey, unit=unit),
            targets=replace(found.targets, wishes=(wish,)),
        ),
        path,
    )
    code, out, err = say("options", path, "--most", "1")
    assert (code, out) == (2, "")
    text = " ".join(err.split())
    assert text.startswith("targets: air through the electric heat kit of at least 1,500 cfm")
    assert text.endswith("no airflow meets both. Change one of the two.")
