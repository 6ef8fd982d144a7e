"""One typed line about the runs."""

from __future__ import annotations

import pytest

from inchwater.errors import InputError
from inchwater.survey import (
    Branch,
    Duct,
    Fact,
    Grille,
    How,
    RunGroup,
    Supply,
    parse_runs,
    supply_of,
)
from tests.survey.houses import fact


def about(value: float, unit: str) -> Fact:
    """A length that somebody only estimated."""
    return Fact(value, unit, How.STATED)


def sides(
    width: float, height: float, shape: str = "rectangular", unit: str = "in", **more
) -> Duct:
    """A duct of two sides."""
    return Duct(shape=shape, width=fact(width, unit), height=fact(height, unit), **more)


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
        (
            "three 8x12 metal 15 ft",
            [RunGroup(3, sides(8, 12, material="metal", length=fact(15, "ft")))],
        ),
        ("two 3-1/4 x 10 stacks", [RunGroup(2, sides(3.25, 10))]),
        ("two 3¼ × 10 in stacks", [RunGroup(2, sides(3.25, 10))]),
        ("2 6x10 oval, 12 ft", [RunGroup(2, sides(10, 6, "oval", length=fact(12, "ft")))]),
        ("one 200 x 100 mm flat oval", [RunGroup(1, sides(200, 100, "oval", "mm"))]),
        (
            "a 14 in by 8 in lined trunk".replace(" trunk", ""),
            [RunGroup(1, sides(14, 8, material="lined"))],
        ),
        ("four 8-inch spiral, 30 ft", [RunGroup(4, Duct("metal", fact(8, "in"), fact(30, "ft")))]),
        ("two 6-inch spiral steel", [RunGroup(2, Duct("metal", fact(6, "in")))]),
        ("two 6-inch lined sheet metal", [RunGroup(2, Duct("lined", fact(6, "in")))]),
        ("5 4-inch PVC pipes, 18 ft", [RunGroup(5, Duct("pvc", fact(4, "in"), fact(18, "ft")))]),
        (
            "six 6-inch flex, about 4 in sag, hangers every 5 ft",
            [RunGroup(6, Duct("flex", fact(6, "in"), sag=about(4, "in"), spacing=fact(5, "ft")))],
        ),
        (
            "six 6½-inch flex sagging 2-1/2 in and hangers 4 ft apart; one 8-inch",
            [
                RunGroup(
                    6, Duct("flex", fact(6.5, "in"), sag=fact(2.5, "in"), spacing=fact(4, "ft"))
                ),
                RunGroup(1, Duct(None, fact(8, "in"))),
            ],
        ),
        (
            "six 6-inch 20 ft metal, dampers half shut",
            [RunGroup(6, Duct("metal", fact(6, "in"), fact(20, "ft"), damper=about(45, "deg")))],
        ),
        (
            "six 6-inch and dampers at 30°",
            [RunGroup(6, Duct(None, fact(6, "in"), damper=fact(30, "deg")))],
        ),
        ("six, dampers three-quarters closed", [RunGroup(6, Duct(damper=about(67.5, "deg")))]),
        ("six, dampers three quarters open", [RunGroup(6, Duct(damper=about(22.5, "deg")))]),
        ("six, damper a quarter shut", [RunGroup(6, Duct(damper=about(22.5, "deg")))]),
        ("six, dampers open", [RunGroup(6, Duct(damper=fact(0, "deg")))]),
        ("six, dampers shut", [RunGroup(6, Duct(damper=fact(90, "deg")))]),
        (
            "seven 6-inch flex 25 ft, registers 10x4",
            [
                RunGroup(
                    7,
                    Duct(
                        "flex",
                        fact(6, "in"),
                        fact(25, "ft"),
                        register=Grille(fact(10, "in"), fact(4, "in")),
                    ),
                )
            ],
        ),
        (
            "two 8x4 duct board with 10x6 registers",
            [
                RunGroup(
                    2,
                    sides(
                        8,
                        4,
                        material="ductboard",
                        register=Grille(fact(10, "in"), fact(6, "in")),
                    ),
                )
            ],
        ),
        ("7 x 8x12", [RunGroup(7, sides(8, 12))]),
        ("two rectangular metal", [RunGroup(2, Duct("metal", shape="rectangular"))]),
        ("two round 6-inch", [RunGroup(2, Duct(None, fact(6, "in")))]),
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
            "Runs: 'flexy' came; this was not understood. Say how many, the diameter or the sides, "
            "the length, tight, slack, draped, kinked or the sag, how far the dampers are shut, "
            "and flex, metal, PVC, lined or duct board.",
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
        (
            "two 8x12 flex",
            "Runs: 8 x 12 flex came; flex is round. "
            "Type its diameter, or metal, duct board or lined.",
        ),
        (
            "two 8x12 8-inch",
            "Runs: 8 x 12 and 8 in came; a group has one size, a diameter or two sides. "
            "Make two groups, with ';' between them.",
        ),
        (
            "two round 8x12",
            "Runs: 8 x 12 and round came; a group has one size, a diameter or two sides. "
            "Make two groups, with ';' between them.",
        ),
        (
            "two 8x12 and one 10x6 4x10",
            "Runs: 10x6 and 4x10 came; a group has one size, a diameter or two sides. "
            "Make two groups, with ';' between them.",
        ),
        (
            "two oval 6-inch",
            "Runs: oval and 6 in came; oval duct has two sides. Type both, such as 8 x 12.",
        ),
        (
            "3-1/4 x 10 metal",
            "Runs: '3.25 x 10 metal' came; how many runs is not said. "
            "Start with the number, such as 'seven' or 7.",
        ),
        (
            "two 200x100",
            "Runs: 200 in came. The sides of ducts run from 2 to 60 in. "
            "200 mm is 7.87. Use 7.87, or type the unit.",
        ),
        (
            "two 6-inch pvc, 4 in sag",
            "Runs: a sag on pvc came; only flex hangs tight, slack, draped or kinked. "
            "Leave one of the two words out.",
        ),
        (
            "two 6-inch flex, 4 in sag, sags 2 in",
            "Runs: 4 in sag and sags 2 in came; a group has one sag. "
            "Make two groups, with ';' between them.",
        ),
        (
            "two 6-inch dampers at 100°",
            "Runs: 100 ° came; damper blades run from 0 to 90 °. Check the number and its unit.",
        ),
        (
            "two 6-inch damper open, damper shut",
            "Runs: damper open and damper shut came; the dampers of one group stand alike. "
            "Make two groups, with ';' between them.",
        ),
        (
            "two pvc metal",
            "Runs: pvc and metal came; runs of one group are of one material. "
            "Make two groups, with ';' between them.",
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
