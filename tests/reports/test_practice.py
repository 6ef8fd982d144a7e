"""What a practice round is said in: every house, every change and every hidden thing in words."""

from __future__ import annotations

import re

import pytest

from inchwater.criteria import goal
from inchwater.errors import NotPossibleError
from inchwater.planning import next_reading, usual_prices
from inchwater.rehearsal.practice import Act, Round
from inchwater.rehearsal.practice_hidden import Hidden, hidden
from inchwater.rehearsal.practice_score import score
from inchwater.reports import practice as said
from inchwater.reports import practice_words as words
from inchwater.reports.practice import practice_round
from inchwater.reports.practice_help import practice_help
from inchwater.survey import Change

READ = (Act("read", "supply", "static", 9), Act("read", "return", "static", 9))


@pytest.fixture(scope="module")
def rounds() -> list[Round]:
    """Forty houses, nothing done yet."""
    return [practice_round(seed) for seed in range(40)]


def whole(text: str) -> None:
    """Fail if a text has a hole in it, or says what only a program says."""
    assert text.strip()
    assert not re.search(r"[{}]|None|Fact\(|  ", text), text


def test_every_part_place_and_change_of_every_house_is_said(rounds: list[Round]) -> None:
    """No hole in any text; no two places of a house are called the same."""
    for now in rounds:
        survey = now.survey
        for line in said.survey_lines(survey):
            whole(line.part)
            whole(line.words)
        places = [words.spot_said(spot.quantity, spot.at, survey) for spot in now.spots]
        assert len(set(places)) == len(places)
        changes = [words.change_said(one, survey) for one in now.house.job.changes]
        assert len(set(changes)) == len(changes) == 10
        for text in (*places, *changes, said.goal_said(now).text("si"), said.rules_said(now)):
            whole(text)
        assert {words.group_of(spot) for spot in now.spots} <= set(words.GROUPS)
        for title in words.GROUPS:
            assert words.cautions_of_group(title, survey)
        for one in now.house.job.changes:
            assert words.cautions_of_change(one, survey)
        assert words.cautions_of_filter(survey)[0].id == "filter-out"


def test_everything_hidden_is_said_once_for_each_kind(rounds: list[Round]) -> None:
    """Rooms and sizes stand in it; filters of two true classes are two sentences."""
    for now in rounds:
        found = hidden(now.seed)
        told = words.hidden_said(found, now.house.job.survey)
        kinds = {(one.kind, one.word if one.kind == "grade" else "") for one in found}
        assert len(told) == len(kinds)
        for one in told:
            whole(one.text("ip"))


def test_what_is_off_is_said_with_its_side() -> None:
    """More or less, of table and of voltage; the share without its sign."""
    survey = practice_round(1).survey
    told = words.hidden_said(
        (
            Hidden("blower", "unit", 0.9),
            Hidden("volts", "unit", 0.05),
            Hidden("boot", "r1", 2.5),
            Hidden("boot", "r3", 3.0),
        ),
        survey,
    )
    runs = (words.spot_said("static", f"run:{id_}", survey) for id_ in ("r1", "r3"))
    rooms = [run.partition(" to ")[2] for run in runs]
    assert [one.text() for one in told] == [
        "The blower moves 10 % less air than its printed table says.",
        "The unit gets 5 % more voltage than its nominal one.",
        f"Boot badly joined: {rooms[0]} and {rooms[1]}, up to 3.0 times the resistance "
        "of a good one.",
    ]


def test_a_kind_of_change_that_is_new_here_is_said_by_its_name() -> None:
    """A house of another version may offer more than the ten kinds that have sentences."""
    assert words.change_said(Change("x", "seal-returns"), practice_round(1).survey) == (
        "Seal returns"
    )


def test_the_terms_are_those_of_the_tool(rounds: list[Round]) -> None:
    """The same window, the same prices and minutes as the planning of the next reading."""
    prices = usual_prices()
    for now in rounds[:10]:
        job = now.house.job
        wanted = goal(job.survey, job.targets)
        assert (now.terms.low, now.terms.high) == (wanted.low, wanted.high)
        assert now.terms.per_minute == prices.per_minute
        for one in job.changes:
            assert now.terms.prices[one.id] == prices.of_changes((one,), job.survey) > 0.0


def test_a_reading_is_said_in_both_systems() -> None:
    """As the display shows it, or converted; every look of it."""
    now = practice_round(1, READ)
    taken = now.taken[0]
    assert words.figure_said(taken, "ip") == f"{taken.display.shown(9)} in. w.c."
    figures, label = words.figures_said(taken, "si")
    assert (len(figures), label) == (9, "Pa")
    assert abs(float(figures[-1]) - abs(taken.display.reading.value)) <= 0.5
    table = said.readings_table(now, "si")
    assert [row.cells[1] for row in table.rows] == ["9", "9"]


def test_most_houses_can_be_fixed_and_few_need_nothing(rounds: list[Round]) -> None:
    """A round is worth playing: what docs/practice.md says of the houses holds about."""
    fixes = [score(now.after(Act("cannot"))).cheapest for now in rounds]
    assert 0.15 < sum(fix is None for fix in fixes) / len(fixes) < 0.55
    assert sum(fix is not None and not fix.changes for fix in fixes) / len(fixes) < 0.2
    assert {len(fix.changes) for fix in fixes if fix} >= {1, 2, 3}


@pytest.mark.parametrize("end", ["done", "cannot"])
def test_the_score_is_said_in_money_and_in_truth(rounds: list[Round], end: str) -> None:
    """The lines add up, the verdict is one sentence or two, and the table has the truth."""
    for now in rounds[:12]:
        over = now.after(READ[0]).after(Act(end))  # type: ignore[arg-type]
        result = score(over)
        lines = {line.part: line.words for line in said.score_lines(result, over)}
        assert lines["In all"].startswith("$")
        assert ("One more visit" in " ".join(lines)) == (result.miss > 0.0)
        for text in (
            said.verdict_said(result),
            said.cheapest_said(result, over),
            said.met_said(result).text(),
        ):
            whole(text)
        columns = said.truth_table(result, over, "ip").columns
        assert ("Cheapest" in columns) == (result.cheapest is not None)


def test_the_help_is_the_tool_s_own() -> None:
    """Its sentence, odds that rise with the price, never more than may stand, its next reading."""
    from inchwater.answer import answer
    from inchwater.answer.possibilities import fitted

    now = practice_round(3, READ)
    found = practice_help(now)
    assert found.sentence == answer(now.job, 1).sentence
    assert found.choices[0].changes == ()
    for cheaper, dearer in zip(found.choices, found.choices[1:], strict=False):
        assert dearer.price >= cheaper.price
        assert dearer.odds > cheaper.odds
        assert len(dearer.changes) <= 3
    assert found.next.title == next_reading(fitted(now.job, 1).posteriors[0])[0].title
    full = practice_round(3, (*READ, *(Act("change", id_) for id_ in ("ch1", "ch4", "ch7"))))
    assert [one.changes for one in practice_help(full).choices] == [()]


def test_help_begins_with_a_reading() -> None:
    """Without one it says which to take first."""
    with pytest.raises(NotPossibleError) as refused:
        practice_help(practice_round(1))
    assert str(refused.value) == (
        "help: no reading came; it begins with the readings of one state at least. "
        "Read the static at the return and in the supply plenum first."
    )
