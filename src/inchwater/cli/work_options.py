"""Work on returns, runs, plenum and unit as it is typed at the prompt: ``--shorten R1=15ft``."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from inchwater.cli import change_words as words
from inchwater.cli import typed as parse

if TYPE_CHECKING:
    from inchwater.survey import Survey

# What an option makes of its text: the kind of change, its targets, what they become.
Made = tuple[str, list[str], dict[str, Any]]


def section(option: str, text: str) -> dict[str, Any]:
    """A diameter or two sides, with a material behind a colon: ``8``, ``20x8:metal``."""
    size, _, material = text.partition(":")
    if words.is_size(size):
        found = dict(words.size(option, size, "duct_side"))
    else:
        found = {"diameter": parse.length(option, size, "in", "duct_diameter")}
    return found | ({"material": material.strip()} if material.strip() else {})


def _cabinet(text: str, survey: Survey, new: Callable[[str], str]) -> Made:
    size, grade = words.parts("--cabinet", text, (2,), "20x25:media-4in-merv11")
    to = {"id": new("f"), "grade": grade, **words.size("--cabinet", size, "face")}
    return "cabinet", [], to


def _enlarge_return(text: str, survey: Survey, new: Callable[[str], str]) -> Made:
    targets, size = words.target("--enlarge-return", text, "g1=18")
    return "enlarge-return", targets, section("--enlarge-return", size)


def _shorten(text: str, survey: Survey, new: Callable[[str], str]) -> Made:
    targets, length = words.target("--shorten", text, "r1=15ft")
    to = {"length": parse.length("--shorten", length, "ft", "duct_length")}
    return "shorten-run", targets, to


def _move(text: str, survey: Survey, new: Callable[[str], str]) -> Made:
    targets, rest = words.target("--move", text, "r1=plenum:15ft")
    place, length = words.parts("--move", rest, (2,), "r1=plenum:15ft")
    to = {"at": place, "length": parse.length("--move", length, "ft", "duct_length")}
    return "move-run", targets, to


def _boot(text: str, survey: Survey, new: Callable[[str], str]) -> Made:
    targets, into = words.target("--boot", text, "r1=boot-straight")
    return "boot", targets, {"into": into}


def _plenum(text: str, survey: Survey, new: Callable[[str], str]) -> Made:
    to: dict[str, Any] = {}
    for part in words.parts("--plenum", text, (1, 2), "20x20:take-off-tapered"):
        if words.is_size(part):
            to |= words.size("--plenum", part, "duct_side")
        else:
            to["into"] = part
    return "plenum", [], to


def _damper(text: str, survey: Survey, new: Callable[[str], str]) -> Made:
    targets, angle = words.target("--damper", text, "r1=30")
    return "damper", targets, {"angle": parse.fact("--damper", angle, "deg", "damper_angle")}


def _insulate(text: str, survey: Survey, new: Callable[[str], str]) -> Made:
    targets, value = words.target("--insulate", text, "r1,r2=8")
    to = {"insulation": parse.fact("--insulate", value, "rvalue", "insulation")}
    return "insulate", targets, to


def _seal(text: str, survey: Survey, new: Callable[[str], str]) -> Made:
    return "seal", words.ids(text), {}


def _remove_bypass(text: str, survey: Survey, new: Callable[[str], str]) -> Made:
    return "remove-bypass", words.ids(text), {}


def _transfer(text: str, survey: Survey, new: Callable[[str], str]) -> Made:
    example = "bedroom=jumper:12x12:8:10ft"
    targets, rest = words.target("--transfer", text, example)
    kind, *sizes = words.parts("--transfer", rest, (1, 2, 3, 4), example)
    gap = kind == "undercut"
    to: dict[str, Any] = {"kind": kind}
    if sizes and gap:
        to["height"] = parse.length("--transfer", sizes[0], "in", "undercut")
    elif sizes:
        to |= words.size("--transfer", sizes[0], "face")
    if len(sizes) > 1:
        to["diameter"] = parse.length("--transfer", sizes[1], "in", "duct_diameter")
    if len(sizes) > 2:
        to["length"] = parse.length("--transfer", sizes[2], "ft", "duct_length")
    return "transfer", targets, to


def _clean(text: str, survey: Survey, new: Callable[[str], str]) -> Made:
    if text.strip() == "wheel":
        return "clean-wheel", [], {}
    from inchwater.survey import coils_of

    coils = [one.id for one in coils_of(survey)] if text.strip() == "coil" else words.ids(text)
    return "clean-coil", coils, {}


def _motor(text: str, survey: Survey, new: Callable[[str], str]) -> Made:
    return "motor", [], {"motor": text.strip()}


Maker = Callable[[str, "Survey", Callable[[str], str]], Made]
MAKERS: Mapping[str, Maker] = {
    "--cabinet": _cabinet,
    "--enlarge-return": _enlarge_return,
    "--shorten": _shorten,
    "--move": _move,
    "--boot": _boot,
    "--plenum": _plenum,
    "--damper": _damper,
    "--insulate": _insulate,
    "--seal": _seal,
    "--remove-bypass": _remove_bypass,
    "--transfer": _transfer,
    "--clean": _clean,
    "--motor": _motor,
}
