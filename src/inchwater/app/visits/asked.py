"""From the *What if* page's query to changes and a condition, with what cannot be said in words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import cast

from django.http import QueryDict

from inchwater.app.visits.asked_form import Form, missing, new_id
from inchwater.app.visits.asked_work import KINDS as WORK
from inchwater.app.visits.controls import NOTHING, PULL, STATE, TYPED, TYPED_IN, state_choices
from inchwater.app.visits.parsing import parse
from inchwater.app.visits.values import Size, Typed, in_system, size_text
from inchwater.errors import InchwaterError, InputError
from inchwater.survey import Change, Survey, apply, filters_of, grilles_of
from inchwater.units import System


@dataclass(frozen=True, slots=True)
class Asked:
    """What a forecast is asked for: changes that last, a temporary condition, and refusals."""

    changes: tuple[Change, ...]
    condition: dict[str, str]
    errors: tuple[InchwaterError, ...]

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to forecast."""
        return not self.changes and not self.condition

    @property
    def measuring(self) -> bool:
        """Whether it is a state for measuring only."""
        return any(key.startswith("run:") for key in self.condition)


def asked(survey: Survey, query: QueryDict, system: System) -> Asked:
    """The changes and the condition of a query.

    A control that cannot be read gives an error of its own and leaves the others standing.

    Parameters
    ----------
    survey : Survey
        What is installed; the changes are tried on it one after the other.
    query : QueryDict
        The page's query.
    system : "ip" or "si"
        Units of what was typed.
    """
    changes: list[Change] = []
    errors: list[InchwaterError] = []
    for kind, make in _KINDS.items():
        try:
            change = make(Form(query, kind, system), survey)
            if change is not None:
                survey = apply(survey, change)
                changes.append(change)
        except InchwaterError as error:
            errors.append(error)
    try:
        condition = _pulled(Form(query, PULL, system), survey)
        condition |= _state(Form(query, STATE, system), survey)
    except InchwaterError as error:
        condition = {}
        errors.append(error)
    return Asked(tuple(changes), condition, tuple(errors))


def translated(query: QueryDict, system: System) -> QueryDict | None:
    """The query in the page's units, where it was typed in the other ones; None if it was not.

    What cannot be read stays as it was typed, and is refused where it stands.
    """
    typed_in = query.get(TYPED_IN)
    if typed_in not in ("ip", "si") or typed_in == system:
        return None
    new = query.copy()
    new[TYPED_IN] = system
    for name, field in TYPED.items():
        text = query.get(name, "").strip()
        if not text:
            continue
        try:
            value = parse(field, text, cast(System, typed_in))
        except InchwaterError:
            continue
        if isinstance(value, Typed):
            new[name] = in_system(value.value, value.unit, field.quantity or "", system)
        elif isinstance(value, Size):
            faces = {side: value.fact(side) for side in ("width", "height")}
            new[name] = size_text(faces, system)
    return new


def _nothing(form: Form, survey: Survey) -> Change | None:
    return form.change((), {}) if form.words("at") else None


def _filter(form: Form, survey: Survey) -> Change | None:
    to = {
        **form.faces(),
        **form.label(),
        "grade": form.word("grade"),
        "count": form.value("count"),
    }
    if not any(to.values()):
        return None
    return form.change(form.words("at") or tuple(f.id for f in filters_of(survey)), to)


def _grille(form: Form, survey: Survey) -> Change | None:
    to = {**form.faces(), "kind": form.word("kind")}
    if not any(to.values()):
        return None
    return form.change(form.words("at") or tuple(r.id for r in grilles_of(survey)), to)


def _add_return(form: Form, survey: Survey) -> Change | None:
    to = {
        **form.faces(),
        "diameter": form.fact("diameter"),
        "length": form.fact("length"),
        "grade": form.word("grade"),
    }
    if not any(to.values()):
        return None
    if "width" not in to:
        raise missing("added return", "no grille", "its grille's size is wanted, such as 14 × 20")
    # New duct of a size that was said hangs as it should.
    material = "flex" if to["diameter"] else None
    return form.change((), {**to, "id": new_id(survey, "g"), "material": material})


def _enlarge_run(form: Form, survey: Survey) -> Change | None:
    runs, diameter = form.words("at"), form.fact("diameter")
    if not runs and diameter is None:
        return None
    if diameter is None:
        raise missing("enlarged run", "no diameter", "the new diameter is wanted")
    if not runs:
        raise missing("enlarged run", "no run", "one run or more is chosen")
    return form.change(runs, {"diameter": diameter})


def _tighten_run(form: Form, survey: Survey) -> Change | None:
    runs = form.words("at")
    return form.change(runs, {}) if runs else None


def _add_run(form: Form, survey: Survey) -> Change | None:
    to = {
        "diameter": form.fact("diameter"),
        "length": form.fact("length"),
        "room": form.word("room"),
        **form.faces(),
    }
    if not any(to.values()):
        return None
    if to["diameter"] is None:
        raise missing("added run", "no diameter", "the new run's diameter is wanted")
    to |= {"id": new_id(survey, "r"), "material": "flex"}
    return form.change(form.words("at"), to)


def _fitting(form: Form, survey: Survey) -> Change | None:
    to = {"from": form.word("from"), "into": form.word("into")}
    places = form.words("at")
    if not any(to.values()):
        return None
    if not places:
        raise missing("fitting", "no place", "the run or return on which it sits is chosen")
    return form.change(places, to)


def _register(form: Form, survey: Survey) -> Change | None:
    to = {**form.faces(), "kind": form.word("kind")}
    if not any(to.values()):
        return None
    runs = form.words("at")
    if not runs:
        raise missing("register", "no run", "the run at whose end it sits is chosen")
    return form.change(runs, to)


def _tap(form: Form, survey: Survey) -> Change | None:
    tap = form.word("tap")
    return form.change((form.word("call") or "unit",), {"tap": tap}) if tap else None


def _pulled(form: Form, survey: Survey) -> dict[str, str]:
    run, state = form.word("at"), form.word("state")
    if not run and not state:
        return {}
    if not run or not state:
        raise missing("pulled run", "half of it", "both the run and its state are chosen")
    runs = {one.id for one in survey.supply.runs} if survey.supply else set()
    if run not in runs or state not in ("pulled-open", "pulled-capped"):
        raise InputError(
            where="pulled run",
            came=f"{run} {state}",
            right="a run of this system is pulled-open or pulled-capped",
            do="Choose both from the lists.",
        )
    return {f"run:{run}": state}


def _state(form: Form, survey: Survey) -> dict[str, str]:
    """The parts that are in another state; of two calls the last one."""
    chosen = form.words("at")
    known = {choice.value for choice in state_choices(survey)}
    for word in chosen:
        if word not in known:
            raise InputError(
                where="another state",
                came=repr(word[:40]),
                right="a door, a zone, a bypass or a call of this system is chosen",
                do="Choose from the list.",
            )
    return {key: state for key, _, state in (word.partition("=") for word in chosen)}


_KINDS: dict[str, Callable[[Form, Survey], Change | None]] = {
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
    **WORK,
}
