"""What the *What if* page can ask: one control per kind of change, its inputs and its cautions.

Nothing here is kept: what is chosen stands in the page's address, so a forecast can be reopened.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.http import QueryDict

from inchwater.app.visits.control_parts import (
    Input,
    field,
    grades,
    label_fields,
    return_choices,
    run_choices,
    which,
)
from inchwater.app.visits.fields import Choice, Field
from inchwater.app.visits.work_controls import INPUTS, NEEDS, WORDS
from inchwater.app.visits.work_controls import TYPED as TYPED_WORK
from inchwater.findings.cautions import ACT_OF_CHANGE, cautions_for
from inchwater.findings.labels import part_label
from inchwater.findings.types import Caution
from inchwater.survey import CALLS, Survey, filters_of, grilles_of
from inchwater.units import System

NOTHING = "nothing"
PULL = "pull-run"
STATE = "state"
# The query says in which units its numbers were typed, or a switch of units would change them.
TYPED_IN = "typed-in"


@dataclass(frozen=True, slots=True)
class Control:
    """One kind of change: its title, inputs, cautions, or what has to be known first.

    ``heading`` is the part of the system under which it stands.
    """

    heading: str
    kind: str
    title: str
    about: str
    inputs: tuple[Input, ...]
    cautions: tuple[Caution, ...]
    on: bool
    blocked: str = ""
    part: str = ""


_ABOUT = "About is good enough."
# What is typed in a control, as fields, so that it is read and refused like any other.
TYPED: dict[str, Field] = {
    field.name: field
    for field in (
        field("filter.size", "Filter size", "Width × height.", "size"),
        field("filter.count", "How many such filters", "Side by side.", "count"),
        *label_fields("filter"),
        field("grille.size", "Grille size", "Width × height.", "size"),
        field("add-return.size", "New grille's size", "Width × height.", "size"),
        field("add-return.diameter", "New return duct", "Across.", "quantity", "length"),
        field("add-return.length", "Its length", _ABOUT, "quantity", "run_length"),
        field("enlarge-run.diameter", "New diameter", "Across.", "quantity", "length"),
        field("add-run.diameter", "New run's diameter", "Across.", "quantity", "length"),
        field("add-run.length", "Its length", _ABOUT, "quantity", "run_length"),
        field("add-run.size", "Its register", "Width × height; noise is told by it.", "size"),
        field("register.size", "New register's size", "Width × height.", "size"),
    )
} | TYPED_WORK

# kind: (title, about, the part of the facts page that makes it possible)
_WORDS: dict[str, tuple[str, str, str]] = {
    NOTHING: ("Nothing", "What it does as it is, and the odds of that.", ""),
    "filter": ("Another filter", "A class, a size or a label; new and clean.", "filter"),
    "grille": ("Another return grille", "All return grilles, or those you choose.", "returns"),
    "add-return": ("An added return", "A grille with its own duct to the unit.", "returns"),
    "enlarge-run": ("A run enlarged", "New duct and fittings, hung tight.", "runs"),
    "tighten-run": ("A run pulled tight", "The same flex, shortened and strapped.", "runs"),
    "add-run": ("An added run", "From the plenum or a trunk to a room.", "runs"),
    "fitting": ("Another fitting", "Exchange one, take one out, or put one in.", "runs"),
    "register": ("Another register", "At the end of a run.", "runs"),
    "tap": ("Another tap", "The blower speed in cooling, or in another call.", "table"),
    **WORDS,
    PULL: (
        "A run pulled, for measuring",
        "A measuring state, never a change and never a proof: watch both flows.",
        "runs",
    ),
    STATE: (
        "Another state, nothing changed",
        "A door or a zone shut, another call, a bypass shut: the same system, as it is then.",
        "doors",
    ),
}  # fmt: skip
# Where each kind of change stands, in the air's order.
_HEADINGS: dict[str, tuple[str, ...]] = {
    "As it is": (NOTHING,),
    "Filters": ("filter", "cabinet"),
    "Return side": ("grille", "add-return", "enlarge-return"),
    "Unit": ("tap", "motor", "clean-wheel", "clean-coil"),
    "Supply side": (
        *("enlarge-run", "shorten-run", "tighten-run", "move-run", "add-run"),
        *("boot", "register", "plenum", "damper"),
    ),
    "Both sides": ("fitting", "seal", "insulate", "remove-bypass"),
    "Rooms": ("transfer",),
    "For measuring": (PULL, STATE),
}
_NEEDS = NEEDS | {
    "filter": "There is no filter to exchange.",
    "grille": "The return is not known yet.",
    "fitting": "What sits on the runs now is not known yet.",
    "tap": "The blower table is not known yet; two cells of each tap are enough.",
    STATE: "No door, zone, bypass or call is known yet that could be in another state.",
}
_ACT = {**ACT_OF_CHANGE, PULL: "pulled-run", STATE: "reading"}


def controls(survey: Survey, query: QueryDict, system: System) -> tuple[Control, ...]:
    """The controls for a system, with what the query chose in them.

    Parameters
    ----------
    survey : Survey
        What is installed: its parts are the choices.
    query : QueryDict
        The page's query.
    system : "ip" or "si"
        Units of what is typed.
    """
    made = []
    for heading, kind in _placed():
        title, about, part = _WORDS[kind]
        inputs = tuple(_filled(one, query, system) for one in _inputs(survey, kind))
        made.append(
            Control(
                heading,
                kind,
                title,
                about,
                inputs,
                cautions_for(survey, _ACT[kind]) if kind in _ACT else (),
                on=any(query.get(one.name) for one in inputs),
                blocked="" if inputs else _why_not(survey, kind),
                part="" if kind == "tighten-run" and run_choices(survey) else part,
            )
        )
    return tuple(made)


def _placed() -> Iterator[tuple[str, str]]:
    """Every kind with its heading, heading by heading."""
    for heading, kinds in _HEADINGS.items():
        yield from ((heading, kind) for kind in kinds)


def _why_not(survey: Survey, kind: str) -> str:
    if kind == "tighten-run" and run_choices(survey):
        return "Only flex can be pulled tight, and no run here is flex."
    return _NEEDS.get(kind, "The runs are not known yet.")


def _filled(one: Input, query: QueryDict, system: System) -> Input:
    field = TYPED.get(one.name)
    return Input(
        one.name,
        one.label,
        one.help,
        field.unit_label(system) if field else "",
        field.input_mode if field else "text",
        one.choices,
        one.many,
        one.empty,
        tuple(query.getlist(one.name)),
        query.get(one.name, ""),
    )


def _inputs(survey: Survey, kind: str) -> list[Input]:
    """The inputs of a kind on this system; none when a fact is missing that it needs."""
    return {
        NOTHING: _nothing,
        "filter": _filter,
        "grille": _grille,
        "add-return": _add_return,
        "enlarge-run": _enlarge_run,
        "tighten-run": _tighten_run,
        "add-run": _add_run,
        "fitting": _fitting,
        "register": _register,
        "tap": _tap,
        **INPUTS,
        PULL: _pull,
        STATE: _state,
    }[kind](survey)


def _typed(name: str) -> Input:
    field = TYPED[name]
    return Input(name, field.label, field.help)


def _nothing(survey: Survey) -> list[Input]:
    choices = (Choice("as-it-is", "Leave all as it is"),)
    return [Input(f"{NOTHING}.at", "Then", choices=choices, many=True)]


def _filter(survey: Survey) -> list[Input]:
    filters = filters_of(survey)
    if not filters:
        return []
    names = ("filter.size", "filter.count", "filter.rated-drop", "filter.rated-airflow")
    inputs = [grades("filter.grade", "as it is"), *map(_typed, names)]
    if len(filters) > 1:
        choices = tuple(Choice(f.id, part_label(f"filter:{f.id}", survey)) for f in filters)
        inputs.append(
            Input("filter.at", "Only these (none chosen: all)", "", choices=choices, many=True)
        )
    return inputs


def _grille(survey: Survey) -> list[Input]:
    if not grilles_of(survey):
        return []
    inputs = [_typed("grille.size"), Input("grille.kind", "Its kind", choices=_terminals("grille"))]
    if len(grilles_of(survey)) > 1:
        choices = return_choices(survey)
        inputs.append(
            Input("grille.at", "Only these (none chosen: all)", choices=choices, many=True)
        )
    return inputs


def _add_return(survey: Survey) -> list[Input]:
    names = ("add-return.size", "add-return.diameter", "add-return.length")
    return [*map(_typed, names), grades("add-return.grade", "no filter in it")]


def _enlarge_run(survey: Survey) -> list[Input]:
    if not run_choices(survey):
        return []
    return [which(survey, "enlarge-run"), _typed("enlarge-run.diameter")]


def _tighten_run(survey: Survey) -> list[Input]:
    if survey.supply is None:
        return []
    flex = {r.id for r in survey.supply.runs if r.duct.material in ("flex", None)}
    choices = tuple(choice for choice in run_choices(survey) if choice.value in flex)
    return [Input("tighten-run.at", "Which", choices=choices, many=True)] if choices else []


def _add_run(survey: Survey) -> list[Input]:
    if survey.supply is None:
        return []
    inputs = [*map(_typed, ("add-run.diameter", "add-run.length", "add-run.size"))]
    inputs.append(Input("add-run.room", "To the room"))
    trunks = tuple(
        Choice(branch.id, f"Trunk {branch.id}")
        for branch, _ in survey.supply.walk()
        if branch.is_trunk
    )
    if trunks:
        inputs.append(Input("add-run.at", "Leaves from", choices=trunks, empty="the plenum"))
    return inputs


def _fitting(survey: Survey) -> list[Input]:
    from inchwater.parts.fittings import FITTINGS

    runs = survey.supply.runs if survey.supply else ()
    described = {run.id for run in runs if run.duct.fittings is not None}
    described |= {one.id for one in survey.returns or () if one.duct.fittings is not None}
    everywhere = (*run_choices(survey), *return_choices(survey))
    places = tuple(choice for choice in everywhere if choice.value in described)
    if not places:
        return []
    kinds = tuple(Choice(key, one.label) for key, one in FITTINGS.items())
    return [
        Input("fitting.at", "Where", choices=places, many=True),
        Input("fitting.from", "Take out", choices=kinds, empty="nothing"),
        Input("fitting.into", "Put in", choices=kinds, empty="nothing"),
    ]


def _register(survey: Survey) -> list[Input]:
    if not run_choices(survey):
        return []
    kinds = Input("register.kind", "Its kind", choices=_terminals("register"))
    return [which(survey, "register"), _typed("register.size"), kinds]


def _tap(survey: Survey) -> list[Input]:
    table = survey.unit.table
    if table is None:
        return []
    choices = tuple(Choice(tap, f"Tap {tap}" if len(tap) <= 3 else tap) for tap in table.taps)
    calls = tuple(Choice(call, call.replace("-low", ", low stage")) for call in CALLS)
    return [
        Input("tap.tap", "Tap", choices=choices),
        Input("tap.call", "In which call", choices=calls, empty="cooling, and where none is set"),
    ]


def _pull(survey: Survey) -> list[Input]:
    if not run_choices(survey):
        return []
    states = (
        Choice("pulled-open", "Pulled off, collar open"),
        Choice("pulled-capped", "Pulled off, collar capped"),
    )
    return [
        Input(f"{PULL}.at", "Which", choices=run_choices(survey), empty="none"),
        Input(f"{PULL}.state", "State", choices=states, empty="not pulled"),
    ]


def state_choices(survey: Survey) -> tuple[Choice, ...]:
    """What can be in another state while nothing is changed; ``key=word`` of a condition."""
    supply = survey.supply
    zones = {branch.zone for branch, _ in supply.walk() if branch.zone} if supply else set()
    doors = [(f"door:{r.id}=shut", f"Door shut: {r.name or r.id}") for r in survey.rooms or ()]
    shut = [(f"zone:{zone}=shut", f"Zone shut: {zone}") for zone in sorted(zones)]
    ways = [(f"bypass:{b.id}=shut", "Bypass shut") for b in survey.bypasses or ()]
    calls = [
        (f"call={call}", f"Call for {call.replace('-low', ', low stage')} (tap {tap})")
        for call, tap in survey.unit.calls.items()
    ]
    return tuple(Choice(value, label) for value, label in (*doors, *shut, *ways, *calls))


def _state(survey: Survey) -> list[Input]:
    choices = state_choices(survey)
    return [Input(f"{STATE}.at", "Then", choices=choices, many=True)] if choices else []


def _terminals(side: str) -> tuple[Choice, ...]:
    from inchwater.parts.terminals import TERMINALS

    found: Iterable[tuple[str, str]] = (
        (key, one.label)
        for key, one in TERMINALS.items()
        if key.startswith(side) and not key.endswith("unknown")
    )
    return tuple(Choice(key, label) for key, label in found)
