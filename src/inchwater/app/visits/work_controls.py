"""What the *What if* page can ask of returns, runs, plenum and unit beside the first changes."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from inchwater.app.visits.control_parts import (
    Input,
    duct_choices,
    field,
    grades,
    label_fields,
    return_choices,
    run_choices,
    which,
)
from inchwater.app.visits.fields import Choice, Field
from inchwater.survey import Survey, filters_of, targets_of

_ABOUT = "About is good enough."
TYPED: dict[str, Field] = {
    one.name: one
    for one in (
        field("cabinet.size", "Filter size", "Width × height.", "size"),
        *label_fields("cabinet"),
        field("enlarge-return.diameter", "New diameter", "Across.", "quantity", "length"),
        field("shorten-run.length", "Its new length", _ABOUT, "quantity", "run_length"),
        field("move-run.length", "Its new length", _ABOUT, "quantity", "run_length"),
        field("plenum.size", "Its size", "Width × height.", "size"),
        field("damper.angle", "Angle of the blade", "From open.", "quantity", "angle"),
        field("transfer.size", "Size of its grilles", "Width × height.", "size"),
        field("transfer.diameter", "Jumper's diameter", "Across.", "quantity", "length"),
        field("transfer.length", "Jumper's length", _ABOUT, "quantity", "run_length"),
    )
}

# kind: (title, about, the part of the facts page that makes it possible)
WORDS: dict[str, tuple[str, str, str]] = {
    "cabinet": ("A filter cabinet", "At the unit, in place of all filters there are.", "filter"),
    "enlarge-return": ("A larger return duct", "Behind the same grille.", "returns"),
    "shorten-run": ("A run shortened", "Surplus cut out, hung again.", "runs"),
    "move-run": ("A run moved", "To the plenum or to another trunk.", "runs"),
    "boot": ("Another boot", "Behind the register of a run.", "runs"),
    "plenum": ("Another supply plenum", "New take-offs on all that leaves it.", "runs"),
    "damper": ("A balancing damper", "Set, or put in where there is none.", "runs"),
    "seal": ("Ducts sealed", "Joints of a side, with mastic.", "returns"),
    "remove-bypass": ("A bypass taken out", "And its openings closed.", "doors"),
    "transfer": ("A way out of a room", "For air when the door is shut.", "doors"),
    "clean-wheel": ("The blower wheel cleaned", "Both sides of its blades.", "unit"),
    "clean-coil": ("The coil cleaned", "The side that the air meets first.", "coil"),
    "motor": ("Another blower motor", "On the same wheel; its usual curve stands in.", "unit"),
    "insulate": ("Ducts insulated", "The air in them feels nothing of it.", "runs"),
}
NEEDS = {
    "cabinet": "There is no filter to exchange.",
    "enlarge-return": "The return and the size of its grille are not known yet.",
    "move-run": "There is no trunk: every run leaves the plenum.",
    "remove-bypass": "No bypass is known.",
    "transfer": "No room with a door is known yet.",
    "clean-coil": "There is no coil.",
}
_SIDES = (Choice("supply", "Supply"), Choice("return", "Return"))
_MOTORS = (
    Choice("psc", "Permanent split capacitor (PSC)"),
    Choice("constant-torque", "Constant torque"),
    Choice("constant-airflow", "Constant airflow"),
)
_WAYS = (
    Choice("grille", "Transfer grille"),
    Choice("jumper", "Jumper duct"),
)
_R_VALUES = tuple(Choice(value, f"R-{value}") for value in ("4", "6", "8", "12"))


def _typed(name: str) -> Input:
    return Input(name, TYPED[name].label, TYPED[name].help)


def _cabinet(survey: Survey) -> list[Input]:
    if not filters_of(survey):
        return []
    names = ("cabinet.size", "cabinet.rated-drop", "cabinet.rated-airflow")
    return [grades("cabinet.grade", "choose one"), *map(_typed, names)]


def _enlarge_return(survey: Survey) -> list[Input]:
    sized = {
        one.id
        for one in survey.returns or ()
        if one.kind != "open"
        and one.grille is not None
        and None not in (one.grille.width, one.grille.height)
    }
    choices = tuple(choice for choice in return_choices(survey) if choice.value in sized)
    if not choices:
        return []
    which_ = Input("enlarge-return.at", "Which", choices=choices, many=True)
    return [which_, _typed("enlarge-return.diameter")]


def _shorten(survey: Survey) -> list[Input]:
    return _of_runs(survey, "shorten-run", _typed("shorten-run.length"))


def _of_runs(survey: Survey, kind: str, *more: Input) -> list[Input]:
    return [which(survey, kind), *more] if run_choices(survey) else []


def _move(survey: Survey) -> list[Input]:
    places = targets_of(survey, "add-run")
    if len(places) < 2 or survey.supply is None:
        return []
    trunks = tuple(
        Choice(id_, "The plenum" if id_ == survey.supply.id else f"Trunk {id_}") for id_ in places
    )
    return [
        Input("move-run.at", "Which", choices=run_choices(survey), empty="none"),
        Input("move-run.to", "To", choices=trunks, empty="choose one"),
        _typed("move-run.length"),
    ]


def _fittings(*starts: str) -> tuple[Choice, ...]:
    from inchwater.parts.fittings import FITTINGS

    return tuple(Choice(key, one.label) for key, one in FITTINGS.items() if key.startswith(starts))


def _boot(survey: Survey) -> list[Input]:
    kinds = Input("boot.into", "Its kind", choices=_fittings("boot"), empty="choose one")
    return _of_runs(survey, "boot", kinds)


def _plenum(survey: Survey) -> list[Input]:
    if not run_choices(survey):
        return []
    kinds = Input("plenum.into", "Its take-offs", choices=_fittings("take-off"))
    return [_typed("plenum.size"), kinds]


def _damper(survey: Survey) -> list[Input]:
    choices = duct_choices(survey)
    if not choices:
        return []
    return [Input("damper.at", "Which", choices=choices, many=True), _typed("damper.angle")]


def _seal(survey: Survey) -> list[Input]:
    return [Input("seal.at", "Which side", choices=_SIDES, many=True)]


def _remove_bypass(survey: Survey) -> list[Input]:
    choices = tuple(
        Choice(one.id, f"Bypass {i}") for i, one in enumerate(survey.bypasses or (), start=1)
    )
    return [Input("remove-bypass.at", "Which", choices=choices, many=True)] if choices else []


def _transfer(survey: Survey) -> list[Input]:
    choices = tuple(Choice(one.id, one.name or one.id) for one in survey.rooms or ())
    if not choices:
        return []
    return [
        Input("transfer.at", "Which room", choices=choices, many=True),
        Input("transfer.kind", "Its kind", choices=_WAYS, empty="choose one"),
        *map(_typed, ("transfer.size", "transfer.diameter", "transfer.length")),
    ]


def _yes(kind: str, label: str) -> list[Input]:
    return [Input(f"{kind}.at", "Do it", choices=(Choice("unit", label),), many=True)]


def _wheel(survey: Survey) -> list[Input]:
    return _yes("clean-wheel", "The wheel is cleaned")


def _coil(survey: Survey) -> list[Input]:
    choices = tuple(Choice(id_, "The coil is cleaned") for id_ in targets_of(survey, "clean-coil"))
    return [Input("clean-coil.at", "Do it", choices=choices, many=True)] if choices else []


def _motor(survey: Survey) -> list[Input]:
    return [Input("motor.motor", "Its kind", choices=_MOTORS)]


def _insulate(survey: Survey) -> list[Input]:
    choices = duct_choices(survey)
    if not choices:
        return []
    value = Input("insulate.insulation", "To", choices=_R_VALUES, empty="choose one")
    return [Input("insulate.at", "Which", choices=choices, many=True), value]


INPUTS: Mapping[str, Callable[[Survey], list[Input]]] = {
    "cabinet": _cabinet,
    "enlarge-return": _enlarge_return,
    "shorten-run": _shorten,
    "move-run": _move,
    "boot": _boot,
    "plenum": _plenum,
    "damper": _damper,
    "seal": _seal,
    "remove-bypass": _remove_bypass,
    "transfer": _transfer,
    "clean-wheel": _wheel,
    "clean-coil": _coil,
    "motor": _motor,
    "insulate": _insulate,
}
