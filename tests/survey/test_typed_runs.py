"""One typed line about the runs."""

from __future__ import annotations

import pytest

from inchwater.errors import InputError
from inchwater.survey import Branch, Duct, Fact, How, RunGroup, Supply, parse_runs, supply_of
from tests.survey.houses import fact


def about(value: float, unit: str) -> Fact:
    """A length that somebody only estimated."""
    return Fact(value, unit, How.STATED)


@pytest.mark.parametrize(
    ("typed", "groups"),
    [
        (
            "seven 6-inch, about 25 ft, slack flex",
            [RunGroup(7, Duct("flex", fact(6, "in"), about(25, "ft"), "slack"))],
        ),
        (
            "four 6-inch 20 ft tight flex and two 8-inch 15 ft metal",
            [
                RunGroup(4, Duct("flex", fact(6, "in"), fact(20, "ft"), "tight")),
                RunGroup(2, Duct("metal", fact(8, "in"), fact(15, "ft"))),
            ],
        ),
        ("7 x 6\" 25'", [RunGroup(7, Duct(None, fact(6, "in"), fact(25, "ft")))]),
        ("7×6-inch, 25ft, flex", [RunGroup(7, Duct("flex", fact(6, "in"), fact(25, "ft")))]),
        ("7 6 in 8 m draped", [RunGroup(7, Duct(None, fact(6, "in"), fact(8, "m"), "draped"))]),
        (
            "7 runs of 6 inch flex, each about 25 feet long",
            [RunGroup(7, Duct("flex", fact(6, "in"), about(25, "ft")))],
        ),
        (
            "3 150 mm sheet metal; 2 200 mm duct board",
            [
                RunGroup(3, Duct("metal", fact(150, "mm"))),
                RunGroup(2, Duct("ductboard", fact(200, "mm"))),
            ],
        ),
        ("Twelve", [RunGroup(12, Duct())]),
        ("a kinked 5-inch run", [RunGroup(1, Duct(None, fact(5, "in"), None, "kinked"))]),
        ("six 6½-inch".replace("½", ".5"), [RunGroup(6, Duct(None, fact(6.5, "in")))]),
        (
            "one 6″ 20′ tight plus one 8″ 10′ slack",
            [
                RunGroup(1, Duct(None, fact(6, "in"), fact(20, "ft"), "tight")),
                RunGroup(1, Duct(None, fact(8, "in"), fact(10, "ft"), "slack")),
            ],
        ),
    ],
)
def test_a_line_as_a_technician_says_it(typed, groups):
    """Number, diameter, length, how it hangs, material, in any order behind the number."""
    assert list(parse_runs(typed)) == groups


@pytest.mark.parametrize(
    ("typed", "text"),
    [
        (
            "",
            "Runs: nothing came; a line such as 'seven 6-inch, about 25 ft, slack flex' is wanted.",
        ),
        (
            "and",
            "Runs: 'and' came; a line such as 'seven 6-inch, about 25 ft, slack flex' is wanted.",
        ),
        (
            "6-inch 25 ft",
            "Runs: '6-inch 25 ft' came; how many runs is not said. "
            "Start with the number, such as 'seven' or 7.",
        ),
        (
            "zwei 6-inch",
            "Runs: 'zwei 6-inch' came; how many runs is not said. "
            "Start with the number, such as 'seven' or 7.",
        ),
        (
            "seven flexy 6-inch",
            "Runs: 'flexy' came; this was not understood. Say how many, the diameter, the length, "
            "tight, slack, draped or kinked, and flex, metal or duct board.",
        ),
        (
            "seven 25",
            "Runs: '25' came; this was not understood. Say whether 25 is inches or feet.",
        ),
        (
            "six slack 6-inch runs of 16–34 ft",
            "Runs: '16-34 ft' came; one number for each group is wanted. "
            "Give the middle with 'about', or one group for each length.",
        ),
        (
            "seven 6-inch 8-inch",
            "Runs: 6-inch and 8-inch came; a group has one diameter. "
            "Make two groups, with ';' between them.",
        ),
        (
            "seven tight slack 6-inch",
            "Runs: tight and slack came; runs of one group hang alike. "
            "Make two groups, with ';' between them.",
        ),
        (
            "seven flex metal",
            "Runs: metal and flex came; runs of one group are of one material. "
            "Make two groups, with ';' between them.",
        ),
        (
            "5 slack metal 6 in",
            "Runs: slack metal came; only flex hangs tight, slack, draped or kinked. "
            "Leave one of the two words out.",
        ),
        ("0 6-inch", "Runs: 0 runs came; a group has 1 to 60 runs."),
        ("100 6-inch", "Runs: 100 runs came; a group has 1 to 60 runs."),
        (
            "40 6-inch; 40 8-inch",
            "Runs: 80 runs came; one unit feeds at most 60. Check the number of runs.",
        ),
        (
            "seven 0-inch",
            "Runs: 0 in came; ducts run from 3.1 to 43 in. Check the number and its unit.",
        ),
        (
            "seven 30-inch flex",
            "Runs: 30 in came; flex ducts run from 3.1 to 22 in. Check the number and its unit.",
        ),
        (
            "seven 6-inch 900 ft",
            "Runs: 900 ft came; pieces of duct run from 0.33 to 200 ft. "
            "Check the number and its unit.",
        ),
    ],
)
def test_what_was_not_understood_is_named(typed, text):
    """No word is passed over, and each error says what to write instead."""
    with pytest.raises(InputError) as caught:
        parse_runs(typed)
    assert str(caught.value) == text


def test_equal_runs_are_ids_and_one_description():
    """Seven equal runs are seven ids and one ``run_like``."""
    supply = supply_of(parse_runs("seven 6-inch, about 25 ft, slack flex"))
    assert supply == Supply(
        run_like=Duct("flex", fact(6, "in"), about(25, "ft"), "slack"),
        branches=tuple(Branch(f"r{n}") for n in range(1, 8)),
    )


def test_what_groups_share_is_written_once_and_what_they_do_not_is_kept_apart():
    """Each run of each group comes out as it was said."""
    groups = parse_runs("two 6-inch 20 ft tight flex and one 8-inch 15 ft flex")
    supply = supply_of(groups, prefix="run-")
    assert supply.run_like == Duct("flex")
    assert [branch.id for branch in supply.branches] == ["run-1", "run-2", "run-3"]
    assert [run.duct for run in supply.runs] == [groups[0].duct, groups[0].duct, groups[1].duct]
