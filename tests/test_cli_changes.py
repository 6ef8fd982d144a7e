"""Work on returns, runs, plenum and unit, as it is typed at the prompt."""

from __future__ import annotations

import json

import pytest

from inchwater.cli.change_options import Typed, changes_of
from inchwater.errors import InchwaterError
from inchwater.survey import Change, Fact, How
from tests.survey.houses import job
from tests.survey.test_more_changes import full


def stated(value: float, unit: str) -> Fact:
    """A fact that somebody typed."""
    return Fact(value, unit, How.STATED)


CASES = [
    ("--enlarge-return", "g1=18", "enlarge-return", ("g1",), {"diameter": stated(18.0, "in")}),
    (
        "--enlarge-return",
        "g1=14x10:metal",
        "enlarge-return",
        ("g1",),
        {"width": stated(14.0, "in"), "height": stated(10.0, "in"), "material": "metal"},
    ),
    ("--shorten", "r1, r2=15ft", "shorten-run", ("r1", "r2"), {"length": stated(180.0, "in")}),
    (
        "--move",
        "r1=plenum:15",
        "move-run",
        ("r1",),
        {"at": "plenum", "length": stated(180.0, "in")},
    ),
    ("--boot", "r1=boot-straight", "boot", ("r1",), {"into": "boot-straight"}),
    ("--plenum", "take-off-tapered", "plenum", (), {"into": "take-off-tapered"}),
    (
        "--plenum",
        "20x22:take-off-tapered",
        "plenum",
        (),
        {
            "width": stated(20.0, "in"),
            "height": stated(22.0, "in"),
            "into": "take-off-tapered",
        },
    ),
    ("--damper", "r1=30", "damper", ("r1",), {"angle": stated(30.0, "deg")}),
    ("--insulate", "r1,g1=8", "insulate", ("r1", "g1"), {"insulation": stated(8.0, "rvalue")}),
    ("--seal", "supply,return", "seal", ("supply", "return"), {}),
    ("--remove-bypass", "b1", "remove-bypass", ("b1",), {}),
    ("--transfer", "bed=grille", "transfer", ("bed",), {"kind": "grille"}),
    (
        "--transfer",
        "bed=undercut:1.5",
        "transfer",
        ("bed",),
        {"kind": "undercut", "height": stated(1.5, "in")},
    ),
    (
        "--transfer",
        "bed=jumper:12x10:8:10ft",
        "transfer",
        ("bed",),
        {
            "kind": "jumper",
            "width": stated(12.0, "in"),
            "height": stated(10.0, "in"),
            "diameter": stated(8.0, "in"),
            "length": stated(120.0, "in"),
        },
    ),
    ("--clean", "wheel", "clean-wheel", (), {}),
    ("--clean", "coil", "clean-coil", ("c1",), {}),
    ("--motor", "constant-torque", "motor", (), {"motor": "constant-torque"}),
]


@pytest.mark.parametrize(("option", "text", "kind", "targets", "to"), CASES)
def test_what_is_typed_becomes_a_change(option, text, kind, targets, to):
    """Sizes are inches, lengths feet, angles degrees, unless a unit is typed with them."""
    made = changes_of(job(full()), Typed(work={option: [text]}))
    assert made == (Change("ch1", kind, targets, to),)


def test_a_cabinet_gets_an_id_that_no_part_has():
    """The filter of the cabinet is a new part."""
    (made,) = changes_of(job(full()), Typed(work={"--cabinet": ["20x25:media-4in-merv11"]}))
    assert (made.kind, made.to["id"], made.to["grade"]) == ("cabinet", "f2", "media-4in-merv11")


def test_a_tap_is_set_for_any_call():
    """Behind an equals sign stands the tap of that call; without one it is cooling's."""
    taps = [change.targets for change in changes_of(job(full()), Typed(tap=["3", "heating=2"]))]
    assert taps == [("unit",), ("heating",)]


def test_an_enlarged_trunk_may_have_sides():
    """``t1=20x8`` is a rectangular trunk."""
    (made,) = changes_of(job(full()), Typed(enlarge=["t1=20x8"]))
    assert made.to == {"width": stated(20.0, "in"), "height": stated(8.0, "in")}


@pytest.mark.parametrize(
    ("option", "text", "said"),
    [
        (
            "--shorten",
            "r1",
            "--shorten: 'r1' came; it reads like r1=15ft. Type it like that; 'inchwater forecast "
            "--help' has all of them.",
        ),
        (
            "--damper",
            "r1=120",
            "--damper: 120 ° came; damper blades run from 0 to 90 °.",
        ),
        (
            "--seal",
            "attic",
            "--seal: 'attic' came; seal can be done to supply, return.",
        ),
        (
            "--transfer",
            "bed=hole",
            "--transfer: 'hole' came; kind is one of undercut, grille, jumper.",
        ),
    ],
)
def test_what_cannot_be_read_or_done_names_its_option(option, text, said):
    """The option stands where a path of the job would."""
    with pytest.raises(InchwaterError) as caught:
        changes_of(job(full()), Typed(work={option: [text]}))
    assert str(caught.value).startswith(said)


def test_doing_nothing_is_the_forecast_as_found(say, tmp_path):
    """``--nothing`` answers with the system as it is, and without cautions."""
    path = tmp_path / "b.json"
    say("demo", "b", "--save", path)
    code, out, _ = say("forecast", path, "--nothing", "--json")
    after = json.loads(out)
    assert code == 0
    assert after["cautions"] == []
    assert after["airflow_change"]["value"] == 0.0
