"""What a query asks of returns, runs, plenum and unit, as changes."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from inchwater.app.visits.asked_form import Form, missing, new_id
from inchwater.survey import Change, Fact, How, Survey

_RUN = "one run or more is chosen"


def _cabinet(form: Form, survey: Survey) -> Change | None:
    to = {**form.faces(), **form.label(), "grade": form.word("grade")}
    if not any(to.values()):
        return None
    if "width" not in to or not to["grade"]:
        raise missing("filter cabinet", "half of it", "both its class and its size are wanted")
    return form.change((), {**to, "id": new_id(survey, "f")})


def _enlarge_return(form: Form, survey: Survey) -> Change | None:
    returns, diameter = form.words("at"), form.fact("diameter")
    if not returns and diameter is None:
        return None
    if diameter is None:
        raise missing("larger return duct", "no diameter", "the new diameter is wanted")
    if not returns:
        raise missing("larger return duct", "no return", "one return or more is chosen")
    return form.change(returns, {"diameter": diameter})


def _shorten_run(form: Form, survey: Survey) -> Change | None:
    runs, length = form.words("at"), form.fact("length")
    if not runs and length is None:
        return None
    if length is None:
        raise missing("shortened run", "no length", "its new length is wanted")
    if not runs:
        raise missing("shortened run", "no run", _RUN)
    return form.change(runs, {"length": length})


def _move_run(form: Form, survey: Survey) -> Change | None:
    run, place, length = form.word("at"), form.word("to"), form.fact("length")
    if not run and not place and length is None:
        return None
    if not run or not place or length is None:
        right = "the run, where it goes and its new length are wanted"
        raise missing("moved run", "part of it", right)
    return form.change((run,), {"at": place, "length": length})


def _boot(form: Form, survey: Survey) -> Change | None:
    runs, into = form.words("at"), form.word("into")
    if not runs and not into:
        return None
    if not into:
        raise missing("boot", "no kind", "the kind of boot is chosen")
    if not runs:
        raise missing("boot", "no run", _RUN)
    return form.change(runs, {"into": into})


def _plenum(form: Form, survey: Survey) -> Change | None:
    to = {**form.faces(), "into": form.word("into")}
    return form.change((), to) if any(to.values()) else None


def _damper(form: Form, survey: Survey) -> Change | None:
    ducts, angle = form.words("at"), form.fact("angle")
    if not ducts and angle is None:
        return None
    if angle is None:
        raise missing("damper", "no angle", "the angle of its blade is wanted, 0° is open")
    if not ducts:
        raise missing("damper", "no duct", "one duct or more is chosen")
    return form.change(ducts, {"angle": angle})


def _insulate(form: Form, survey: Survey) -> Change | None:
    ducts, value = form.words("at"), form.word("insulation")
    if not ducts and not value:
        return None
    if not ducts or not value:
        raise missing("insulation", "half of it", "both ducts and R-value are chosen")
    if not value.isascii() or not value.isdigit():
        raise missing("insulation", repr(value[:40]), "an R-value of the list is chosen")
    return form.change(ducts, {"insulation": Fact(float(value), "rvalue", How.STATED)})


def _transfer(form: Form, survey: Survey) -> Change | None:
    rooms, kind = form.words("at"), form.word("kind")
    if not rooms and not kind:
        return None
    if not rooms or not kind:
        raise missing("way out of a room", "half of it", "both room and kind are chosen")
    to = {
        **form.faces(),
        "kind": kind,
        "diameter": form.fact("diameter"),
        "length": form.fact("length"),
    }
    return form.change(rooms, to)


def _of_parts(form: Form, survey: Survey) -> Change | None:
    """A change that needs nothing but the parts it is done to."""
    parts = form.words("at")
    return form.change(parts, {}) if parts else None


def _motor(form: Form, survey: Survey) -> Change | None:
    motor = form.word("motor")
    return form.change((), {"motor": motor}) if motor else None


KINDS: Mapping[str, Callable[[Form, Survey], Change | None]] = {
    "cabinet": _cabinet,
    "enlarge-return": _enlarge_return,
    "shorten-run": _shorten_run,
    "move-run": _move_run,
    "boot": _boot,
    "plenum": _plenum,
    "damper": _damper,
    "seal": _of_parts,
    "remove-bypass": _of_parts,
    "transfer": _transfer,
    "clean-wheel": _of_parts,
    "clean-coil": _of_parts,
    "motor": _motor,
    "insulate": _insulate,
}
