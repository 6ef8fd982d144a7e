"""Properties of changes: a change leaves a survey right, or says why it cannot be made."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from inchwater.errors import InchwaterError
from inchwater.survey import (
    KEYS,
    Change,
    Job,
    Survey,
    apply,
    job_from_dict,
    job_to_dict,
    problems,
    targets_of,
)
from inchwater.survey.change_doubts import change_doubts
from inchwater.survey.check_fittings import where_fittings_sit
from tests.properties.jobs import facts, jobs, tables, words

SITS = where_fittings_sit()
TAKE_OFFS = st.sampled_from(sorted(key for key, where in SITS.items() if where == "plenum"))
BOOTS = st.sampled_from(sorted(key for key, where in SITS.items() if where == "boot"))
RIGID = st.sampled_from(["metal", "ductboard", "lined"])
many = settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
        HealthCheck.filter_too_much,
    ],
)


def some(**keys):
    """A mapping with these keys, each of which may be left out."""
    return st.fixed_dictionaries({}, optional=keys)


def all_of(optional=None, /, **keys):
    """A mapping with all of these keys."""
    return st.fixed_dictionaries(keys, optional=optional or {})


SECTION = all_of(diameter=facts("flex_diameter")) | all_of(
    width=facts("duct_side"), height=facts("duct_side"), material=RIGID
)
FACE = {"width": facts("face"), "height": facts("face")}
RATED = all_of(rated_drop=facts("rated_drop"), rated_airflow=facts("airflow"))


def to_of(kind: str, survey: Survey):
    """What a change of a kind may say, sizes in their ranges."""
    table = survey.unit.table
    at = [] if survey.supply is None else list(targets_of(survey, "add-run"))
    return {
        "filter": some(grade=words, count=st.integers(1, 3), **FACE),
        "grille": some(kind=words, **FACE),
        "add-return": all_of({"grade": words}, id=st.just("new-return"), **FACE),
        "enlarge-run": SECTION,
        "tighten-run": st.just({}),
        "add-run": all_of({"length": facts("duct_length")}, id=st.just("new-run")),
        "fitting": some(into=st.just("elbow-90-gored")),
        "register": some(kind=words, **FACE),
        "tap": all_of(tap=st.sampled_from(table.taps) if table else words),
        "cabinet": all_of(id=st.just("new-cabinet"), grade=words, **FACE)
        | st.tuples(all_of(id=st.just("new-cabinet"), grade=words, **FACE), RATED).map(
            lambda both: both[0] | both[1]
        ),
        "enlarge-return": SECTION,
        "shorten-run": all_of(length=facts("duct_length")),
        "move-run": all_of(at=st.sampled_from(at or ["plenum"]), length=facts("duct_length")),
        "boot": all_of(into=BOOTS),
        "plenum": some(into=TAKE_OFFS)
        | all_of(width=facts("duct_side"), height=facts("duct_side")),
        "damper": all_of(angle=facts("damper_angle", most=1.4)),
        "insulate": all_of(
            {"jacket": st.sampled_from(["foil", "plain"])}, insulation=facts("insulation")
        ),
        "seal": st.just({})
        | all_of(airflow=facts("leak_airflow"), pressure=facts("leak_pressure")),
        "remove-bypass": st.just({}),
        "transfer": st.sampled_from(["grille", "jumper"]).flatmap(
            lambda word: some(**FACE).map(lambda to: {"kind": word, **to})
        )
        | some(width=facts("door_width"), height=facts("undercut")).map(
            lambda to: {"kind": "undercut", **to}
        ),
        "clean-wheel": st.just({}),
        "clean-coil": st.just({}),
        "motor": all_of(motor=st.sampled_from(["psc", "constant-torque"]))
        | tables().map(lambda new: {"motor": "psc", "table": new, "tap": new.taps[0]}),
        "nothing": st.just({}),
    }[kind]


@st.composite
def made(draw, survey: Survey, id_: str = "x", kinds: tuple[str, ...] = tuple(KEYS)):
    """A change of any of the kinds, done to parts that this survey has."""
    possible = [kind for kind in kinds if _can(survey, kind)]
    assume(possible)
    kind = draw(st.sampled_from(possible))
    there = targets_of(survey, kind)
    least = 0 if kind in ("add-return", "add-run", "nothing") else 1
    most = {"add-return": 0, "nothing": 0, "add-run": 1, "move-run": 1}.get(kind, len(there))
    targets = st.lists(st.sampled_from(there), min_size=least, max_size=most, unique=True)
    chosen = draw(targets) if there and most else []
    return Change(id_, kind, tuple(chosen), draw(to_of(kind, survey)))


def _can(survey: Survey, kind: str) -> bool:
    return kind in ("add-return", "nothing") or bool(targets_of(survey, kind))


def done(survey: Survey, change: Change) -> Survey:
    """The survey after a change; what is not possible on it is no case of the property."""
    try:
        return apply(survey, change)
    except InchwaterError:
        assume(False)
        raise


@many
@given(st.data())
def test_a_change_leaves_the_survey_right(data):
    """What passes every check before passes every check after, and the doubts can be asked."""
    survey = data.draw(jobs()).survey
    change = data.draw(made(survey))
    after = done(survey, change)
    assert problems(Job("after", after)) == ()
    change_doubts(survey, (change,))


@many
@given(st.data())
def test_a_change_comes_back_from_its_file(data):
    """Job → document → text → job is the same change, whatever its kind."""
    survey = data.draw(jobs()).survey
    change = data.draw(made(survey))
    done(survey, change)
    job = Job("j", survey, changes=(change,))
    again = job_from_dict(json.loads(json.dumps(job_to_dict(job), allow_nan=False)))
    assert again == job
    assert apply(again.survey, again.changes[0]) == apply(survey, change)


def parts(survey: Survey) -> dict[Any, Any]:
    """Every part by what it is called; a branch without what is below it, and where it hangs."""
    found: dict[Any, Any] = {
        ("unit", f.name): getattr(survey.unit, f.name) for f in fields(survey.unit)
    }
    for name in ("filters", "coils", "returns", "bypasses", "rooms"):
        found[name] = getattr(survey, name) is None
        for one in getattr(survey, name) or ():
            found[name, one.id] = one
    found.update({("leak", one.side): one for one in survey.leakage})
    if survey.supply is not None:
        found["supply"] = replace(survey.supply, branches=())
        for branch, path in survey.supply.walk():
            found["branch", branch.id] = (replace(branch, branches=()), path)
    return found


def touched(before: Survey, after: Survey) -> set[Any]:
    """What differs between two surveys."""
    one, other = parts(before), parts(after)
    return {key for key in one.keys() | other.keys() if one.get(key) != other.get(key)}


@many
@given(st.data())
def test_independent_changes_can_be_made_in_either_order(data):
    """Two changes that touch nothing in common give the same survey."""
    survey = data.draw(jobs()).survey
    first, second = data.draw(made(survey, "a")), data.draw(made(survey, "b"))
    one, other = done(survey, first), done(survey, second)
    # What is added stands after what was there: two parts of one list have an order.
    assume(not {first.kind, second.kind} & {"add-return", "add-run", "cabinet", "move-run"})
    assume(not touched(survey, one) & touched(survey, other))
    assert done(one, second) == done(other, first)


@pytest.mark.parametrize("kind", KEYS)
def test_every_kind_is_tried(kind):
    """No kind is left out of what the properties draw from."""
    from tests.survey.test_more_changes import full

    assert to_of(kind, full()) is not None


@many
@given(st.data())
def test_a_change_touches_no_other_runs(data):
    """Work on one run leaves every other run, return and filter as it is, to the last bit."""
    survey = data.draw(jobs()).survey
    kinds = ("shorten-run", "boot", "tighten-run", "register", "insulate", "damper")
    change = data.draw(made(survey, kinds=kinds))
    after = done(survey, change)
    ids = {key[1] for key in touched(survey, after) if isinstance(key, tuple)}
    assert ids <= set(change.targets)
