"""What a change makes of a survey: ``apply(survey, change) -> Survey``, one function per kind.

A change that lasts replaces parts; each replaced feature is noted in the part's ``renewed`` with
the change's id, so that calibration gives new work its own multiplier and keeps the old one's for
everything that was left alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from inchwater.errors import InputError, UnknownNameError
from inchwater.survey import changes_ducts as in_ducts
from inchwater.survey import changes_unit as at_unit
from inchwater.survey.change_keys import (
    KEYS,
    check_keys,
    check_rating,
    check_some,
    known_part,
    known_supply,
    known_targets,
    new_id,
)
from inchwater.survey.change_work import (
    check_section,
    check_sides,
    exchanged,
    new_duct,
    on_branches,
    replaced,
    with_grille,
)
from inchwater.survey.ducts import Branch, Duct, Grille, Return, hangs, walked
from inchwater.survey.job import Change, Survey
from inchwater.survey.taps import can_run
from inchwater.survey.undescribed import filters_of, returns_of
from inchwater.survey.unit import Filter


def apply(survey: Survey, change: Change) -> Survey:
    """The survey with one change made; the given survey is left as it is.

    Parameters
    ----------
    survey : Survey
        What is installed before the change.
    change : Change
        Its kind, the ids of the parts it is done to, and what they become.

    Returns
    -------
    Survey
        What is installed afterwards; replaced features carry the change's id in ``renewed``.

    Raises
    ------
    UnknownNameError
        If the kind, a target, a tap or a fitting does not exist; the text lists those that do.
    InputError
        If a value is missing or cannot be, or if the part is not known yet: the text says which
        fact to add first.
    """
    if change.kind not in _KINDS:
        raise UnknownNameError(
            where=f"changes.{change.id}.kind",
            came=repr(change.kind),
            right=f"kinds of change are {', '.join(KEYS)}",
        )
    check_keys(change)
    return _KINDS[change.kind](survey, change)


# --- the kinds ---------------------------------------------------------------------------------


def _filter(survey: Survey, change: Change) -> Survey:
    filters = filters_of(survey)
    targets = known_targets(survey, change)
    to = change.to
    check_rating(change, holds_filter=True)
    sized = "width" in to or "height" in to
    other = sized or "grade" in to

    def renew(old: Filter) -> Filter:
        return replace(
            old,
            grade=to.get("grade", old.grade),
            width=to.get("width", old.width),
            height=to.get("height", old.height),
            count=to.get("count", old.count),
            # A printed rating belongs to the filter that was taken out.
            rated_drop=to.get("rated_drop", None if other else old.rated_drop),
            rated_airflow=to.get("rated_airflow", None if other else old.rated_airflow),
            condition="clean",
            renewed={**old.renewed, "filter": change.id},
            before=old.before or old,
        )

    renewed = tuple(renew(one) if one.id in targets else one for one in filters)
    returns = survey.returns
    if sized and returns is not None:
        # A filter in a grille fills it, so another size of filter is another grille.
        at_grille = {f.id: f for f in renewed if f.id in targets and f.at == "grille"}
        returns = tuple(
            with_grille(one, change, at_grille[one.filter].width, at_grille[one.filter].height)
            if one.filter in at_grille
            else one
            for one in returns
        )
    return replace(survey, filters=renewed, returns=returns)


def _grille(survey: Survey, change: Change) -> Survey:
    returns = known_part(survey.returns, change, "survey.returns", "returns")
    targets = known_targets(survey, change)
    check_some(change)
    to = change.to
    renewed = tuple(
        with_grille(one, change, to.get("width"), to.get("height"), to.get("kind"))
        if one.id in targets
        else one
        for one in returns
    )
    filters = survey.filters
    inside = {one.filter for one in returns if one.id in targets and one.filter}
    check_rating(change, holds_filter=bool(inside) and ("width" in to or "height" in to))
    if filters is not None and ("width" in to or "height" in to):
        # The filter of a filter grille has the grille's size, so it is a new one too.
        filters = tuple(
            replace(
                f,
                width=to.get("width", f.width),
                height=to.get("height", f.height),
                rated_drop=to.get("rated_drop"),
                rated_airflow=to.get("rated_airflow"),
                condition="clean",
                renewed={**f.renewed, "filter": change.id},
            )
            if f.id in inside and f.at == "grille"
            else f
            for f in filters
        )
    return replace(survey, returns=renewed, filters=filters)


def _add_return(survey: Survey, change: Change) -> Survey:
    returns = returns_of(survey)
    to = change.to
    id_ = new_id(survey, change)
    filters = survey.filters
    filter_id = None
    check_rating(change, holds_filter="grade" in to)
    if "grade" in to:
        filter_id = f"{id_}-filter"
        added = Filter(
            id=filter_id,
            at="grille",
            grade=to["grade"],
            width=to["width"],
            height=to["height"],
            rated_drop=to.get("rated_drop"),
            rated_airflow=to.get("rated_airflow"),
            condition="clean",
            renewed={"filter": change.id},
        )
        filters = (*filters_of(survey), added)
    new = Return(
        id=id_,
        kind="ducted",
        grille=Grille(to["width"], to["height"], to.get("kind")),
        filter=filter_id,
        duct=new_duct(to),
        renewed=dict.fromkeys(("grille", "duct", "fittings"), change.id),
    )
    return replace(survey, returns=(*returns, new), filters=filters)


def _enlarge_run(survey: Survey, change: Change) -> Survey:
    to = change.to

    check_section(change)

    def enlarge(branch: Branch, duct: Duct) -> tuple[Duct, tuple[str, ...]]:
        material = to.get("material", duct.material)
        check_sides(change, material)
        # A new run has a boot made for the register that is there now.
        register = None if duct.register is None else replace(duct.register, before=None)
        new = replace(replaced(duct, to, material), register=register)
        features = ("friction", "fittings")
        return new, features if branch.is_trunk else (*features, "register")

    return on_branches(survey, change, enlarge)


def _tighten_run(survey: Survey, change: Change) -> Survey:
    def tighten(branch: Branch, duct: Duct) -> tuple[Duct, tuple[str, ...]]:
        if not hangs(duct.material):
            raise InputError(
                where=f"changes.{change.id}.targets",
                came=f"{branch.id}, a run of {duct.material},",
                right="only flex can be pulled tight",
                do="Leave this run out, or correct its material in the survey.",
            )
        return replace(duct, slack="tight", sag=None), ("friction",)

    return on_branches(survey, change, tighten)


def _add_run(survey: Survey, change: Change) -> Survey:
    supply = known_supply(survey, change)
    id_ = new_id(survey, change)
    target = known_targets(survey, replace(change, targets=change.targets or (supply.id,)))
    if len(target) > 1:
        raise InputError(
            where=f"changes.{change.id}.targets",
            came=", ".join(target),
            right="a run leaves from one place",
            do="Make one change for each added run.",
        )
    to = change.to
    register = Grille(to.get("width"), to.get("height"), to.get("kind"))
    new = Branch(
        id=id_,
        duct=replace(new_duct(to), register=None if register == Grille() else register),
        room=to.get("room"),
        renewed=dict.fromkeys(("friction", "fittings", "register"), change.id),
    )
    if supply.id in target:
        return replace(survey, supply=replace(supply, branches=(*supply.branches, new)))
    branches = walked(
        supply.branches,
        lambda b: replace(b, branches=(*b.branches, new)) if b.id in target else b,
    )
    return replace(survey, supply=replace(supply, branches=branches))


def _fitting(survey: Survey, change: Change) -> Survey:
    targets = known_targets(survey, change)
    check_some(change)
    # Only what is put in is new; the fittings beside it stay as they were made.
    new = (f"fitting:{change.to['into']}",) if "into" in change.to else ()

    def exchange(id_: str, duct: Duct) -> Duct:
        return replace(duct, fittings=exchanged(change, id_, duct.fittings))

    returns = tuple(
        replace(
            one,
            duct=exchange(one.id, one.duct),
            renewed={**one.renewed, **dict.fromkeys(new, change.id)},
        )
        if one.id in targets
        else one
        for one in survey.returns or ()
    )
    survey = replace(survey, returns=None if survey.returns is None else returns)
    on_supply = tuple(id_ for id_ in targets if id_ not in {one.id for one in returns})
    if not on_supply:
        return survey
    return on_branches(
        survey,
        replace(change, targets=on_supply),
        lambda branch, duct: (exchange(branch.id, duct), new),
    )


def _register(survey: Survey, change: Change) -> Survey:
    check_some(change)

    def renew(_: Branch, duct: Duct) -> tuple[Duct, tuple[str, ...]]:
        old = duct.register or Grille()
        new = replace(old, **change.to, before=old.before or old)
        return replace(duct, register=new), ("register",)

    return on_branches(survey, change, renew)


def _tap(survey: Survey, change: Change) -> Survey:
    unit, tap = survey.unit, change.to["tap"]
    where = f"changes.{change.id}.to.tap"
    if unit.table is None:
        raise InputError(
            where=where,
            came=repr(tap),
            right="without a blower table the taps of this unit are not known",
            do="Add two cells of the table for this tap first, around the reading.",
        )
    if not can_run(unit, tap):
        raise UnknownNameError(
            where=where, came=repr(tap), right=f"the table has taps {', '.join(unit.table.taps)}"
        )
    named = known_targets(survey, replace(change, targets=change.targets or ("unit",)))
    calls = dict(unit.calls)
    for call in named:
        if call != "unit":
            calls[call] = tap
        elif "cooling" in calls:
            calls["cooling"] = tap
    # Whoever sets a call's tap sees it; what was only told of it before is past.
    told = {"cooling" if call == "unit" else call for call in named}
    how = {call: known for call, known in unit.calls_how.items() if call not in told}
    # What runs in another call says nothing of the tap in force, known or not.
    in_force = tap if "unit" in named or "cooling" in named else unit.tap
    return replace(survey, unit=replace(unit, tap=in_force, calls=calls, calls_how=how))


_KINDS: Mapping[str, Callable[[Survey, Change], Survey]] = {
    "filter": _filter,
    "grille": _grille,
    "add-return": _add_return,
    "enlarge-run": _enlarge_run,
    "tighten-run": _tighten_run,
    "add-run": _add_run,
    "fitting": _fitting,
    "register": _register,
    "tap": _tap,
    "cabinet": at_unit.cabinet,
    "enlarge-return": in_ducts.enlarge_return,
    "shorten-run": in_ducts.shorten_run,
    "move-run": in_ducts.move_run,
    "boot": in_ducts.boot,
    "plenum": in_ducts.plenum,
    "damper": in_ducts.damper,
    "insulate": in_ducts.insulate,
    "seal": at_unit.seal,
    "remove-bypass": at_unit.remove_bypass,
    "transfer": at_unit.transfer,
    "clean-wheel": at_unit.clean_wheel,
    "clean-coil": at_unit.clean_coil,
    "motor": at_unit.motor,
    "nothing": at_unit.nothing,
}
