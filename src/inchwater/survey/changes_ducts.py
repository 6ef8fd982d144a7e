"""What changes of ducts make of a survey: returns, runs, boots, the plenum, dampers, insulation."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from inchwater.errors import InputError, NotPossibleError
from inchwater.survey.change_keys import (
    check_some,
    known_part,
    known_supply,
    known_targets,
)
from inchwater.survey.change_work import (
    brought,
    check_section,
    check_sides,
    described,
    is_boot,
    is_damper,
    is_take_off,
    on_branches,
    replaced,
)
from inchwater.survey.ducts import Branch, Duct, Return, Supply, filled, hangs, walked
from inchwater.survey.job import Change, Survey


def enlarge_return(survey: Survey, change: Change) -> Survey:
    """A larger duct behind the grille, or a larger common drop; the grille stays.

    What was a cavity of the building becomes a duct.
    """
    returns = known_part(survey.returns, change, "survey.returns", "returns")
    targets = known_targets(survey, change)
    check_section(change)

    def enlarge(one: Return) -> Return:
        if one.kind == "open":
            raise NotPossibleError(
                where=f"changes.{change.id}.targets",
                came=f"{one.id}, an open return,",
                right="an open return has no duct that could be larger",
                do="Choose a larger grille for it, or add a return.",
            )
        grille = one.grille
        if one.kind != "common" and (grille is None or None in (grille.width, grille.height)):
            raise InputError(
                where=f"changes.{change.id}.targets",
                came=f"{one.id}, whose grille has no size yet,",
                right="what its duct takes can be told apart from its grille only by that size",
                do=f"Add the size of the grille of {one.id} first.",
            )
        material = change.to.get("material", one.duct.material)
        check_sides(change, material or "metal")
        new = replaced(one.duct, change.to, material)
        if "slack" not in change.to and material is None:
            new = replace(new, slack=None)
        return replace(
            one,
            kind=one.kind if one.kind == "common" else "ducted",
            duct=replace(
                new,
                length=change.to.get("length", one.duct.length),
                fittings=change.to.get("fittings", one.duct.fittings),
            ),
            renewed={**one.renewed, **dict.fromkeys(("friction", "fittings"), change.id)},
        )

    return replace(
        survey, returns=tuple(enlarge(one) if one.id in targets else one for one in returns)
    )


def shorten_run(survey: Survey, change: Change) -> Survey:
    """Surplus length taken out; what is flex is pulled tight as it is hung again."""

    def shorten(_: Branch, duct: Duct) -> tuple[Duct, tuple[str, ...]]:
        old = duct.fittings or ()
        fittings = change.to.get("fittings", duct.fittings)
        features = () if fittings is None else brought(old, fittings)
        new = replace(duct, length=change.to["length"], fittings=fittings)
        if not hangs(duct.material):
            # The pieces of a rigid run that stay are the ones that were there.
            return new, features
        return replace(new, slack=change.to.get("slack", "tight"), sag=None), (
            "friction",
            *features,
        )

    return on_branches(survey, change, shorten)


def move_run(survey: Survey, change: Change) -> Survey:
    """A run that leaves from another place: new take-off, hung again; boot and register stay."""
    supply = known_supply(survey, change)
    targets = known_targets(survey, change)
    if len(targets) > 1:
        raise InputError(
            where=f"changes.{change.id}.targets",
            came=", ".join(targets),
            right="each run has a length and a take-off of its own",
            do="Make one change for each run that moves.",
        )
    (id_,) = targets
    above = {branch.id: path for branch, path in supply.walk()}
    run = next(branch for branch, _ in supply.walk() if branch.id == id_)
    now = above[id_][-1] if above[id_] else supply.id
    place = change.to["at"]
    trunks = {branch.id: branch for branch, _ in supply.walk() if branch.is_trunk}
    places = [one for one in (supply.id, *trunks) if one != now]
    if place not in places:
        raise NotPossibleError(
            where=f"changes.{change.id}.to.at",
            came=repr(place),
            right=f"{id_} leaves from {now}, and can move to {', '.join(places) or 'nowhere else'}",
        )
    if now in trunks and len(trunks[now].branches) == 1:
        raise NotPossibleError(
            where=f"changes.{change.id}.targets",
            came=f"{id_}, the only run of {now},",
            right="a trunk without runs carries no air",
            do=f"Enlarge {now} instead, or enlarge the run.",
        )
    moved = _moved(run, filled(run.duct, supply.run_like), change, place in trunks, now in trunks)

    def both(branch: Branch) -> Branch:
        kept = tuple(one for one in branch.branches if one.id != id_)
        return replace(branch, branches=(*kept, moved) if branch.id == place else kept)

    branches = walked(tuple(one for one in supply.branches if one.id != id_), both)
    if place == supply.id:
        branches = (*branches, moved)
    return replace(survey, supply=replace(supply, branches=branches))


def _moved(run: Branch, duct: Duct, change: Change, on_trunk: bool, was_on_trunk: bool) -> Branch:
    old = described(run, duct, was_on_trunk)
    usual = "trunk-take-off-90" if on_trunk else "take-off-straight"
    take_off = change.to.get("into", usual)
    fittings = change.to.get("fittings")
    if fittings is None:
        fittings = (take_off, *(key for key in old if not is_take_off(key)))
    elif not any(is_take_off(key) for key in fittings):
        fittings = (take_off, *fittings)
    first = next(key for key in fittings if is_take_off(key))
    new = replace(duct, length=change.to["length"], fittings=fittings)
    features = ["friction", f"fitting:{first}", *brought(old, fittings)]
    if hangs(duct.material):
        new = replace(new, slack=change.to.get("slack", "tight"), sag=None)
    renewed = {**run.renewed, **dict.fromkeys(features, change.id)}
    return replace(run, duct=new, renewed=renewed)


def boot(survey: Survey, change: Change) -> Survey:
    """Another boot behind the register, made for the register that is there now."""
    supply = known_supply(survey, change)
    on_trunk = {branch.id: bool(path) for branch, path in supply.walk()}
    into = change.to["into"]
    if not is_boot(into):
        raise InputError(
            where=f"changes.{change.id}.to.into",
            came=repr(into),
            right="it is no boot",
            do="Choose one of the boots, or exchange a fitting.",
        )

    def renew(branch: Branch, duct: Duct) -> tuple[Duct, tuple[str, ...]]:
        known = described(branch, duct, on_trunk[branch.id])
        kept = (key for key in known if not is_boot(key))
        register = None if duct.register is None else replace(duct.register, before=None)
        return replace(duct, fittings=(*kept, into), register=register), (f"fitting:{into}",)

    return on_branches(survey, change, renew)


def plenum(survey: Survey, change: Change) -> Survey:
    """Another supply plenum: its section, and the take-offs that leave it."""
    supply = known_supply(survey, change)
    known_targets(survey, replace(change, targets=change.targets or (supply.id,)))
    check_some(change)
    sides = [key for key in ("width", "height") if key in change.to]
    if len(sides) == 1:
        missing = "height" if sides == ["width"] else "width"
        raise InputError(
            where=f"changes.{change.id}.to.{missing}",
            came="nothing",
            right="a plenum has width and height",
        )
    into = change.to.get("into")
    if into is not None and not is_take_off(into):
        raise InputError(
            where=f"changes.{change.id}.to.into",
            came=repr(into),
            right="it is no take-off",
            do="Choose one of the take-offs.",
        )
    branches = tuple(_on_new_plenum(one, supply, into, change.id) for one in supply.branches)
    section = supply.section
    if sides:
        section = Duct(
            change.to.get("material"), width=change.to["width"], height=change.to["height"]
        )
    return replace(
        survey,
        supply=replace(
            supply,
            branches=branches,
            section=section,
            renewed={**supply.renewed, "plenum": change.id},
        ),
    )


def _on_new_plenum(branch: Branch, supply: Supply, into: str | None, id_: str) -> Branch:
    """A branch on its new collar; the one of its old kind where none is named."""
    duct = branch.duct if branch.is_trunk else filled(branch.duct, supply.run_like)
    keys = described(branch, duct, on_trunk=False)
    old = next((key for key in keys if is_take_off(key)), None)
    if into is None and old is None:
        # What is not known to have a take-off keeps its way out of the plenum.
        return branch
    new = into or old
    rest = keys if old is None else (*keys[: keys.index(old)], *keys[keys.index(old) + 1 :])
    return replace(
        branch,
        duct=replace(duct, fittings=(str(new), *rest)),
        renewed={**branch.renewed, f"fitting:{new}": id_},
    )


def damper(survey: Survey, change: Change) -> Survey:
    """The blade of a balancing damper set to another angle; one is put in where none is known."""
    targets = known_targets(survey, change)
    angle = change.to["angle"]

    def set_(duct: Duct) -> Duct:
        keys = duct.fittings
        if keys is not None:
            # The blade whose angle is known is the damper among the fittings.
            keys = tuple(key for key in keys if not is_damper(key))
        return replace(duct, damper=angle, fittings=keys)

    def in_return(one: Return) -> Return:
        if one.id not in targets:
            return one
        known = (one.duct.diameter, one.duct.width, one.duct.length, one.duct.fittings)
        if all(fact is None for fact in known):
            raise InputError(
                where=f"changes.{change.id}.targets",
                came=f"{one.id}, whose duct has no size yet,",
                right="what a damper takes goes by the duct that it stands in",
                do=f"Add the size of the duct of {one.id} first.",
            )
        return replace(one, duct=set_(one.duct))

    if survey.returns is not None:
        survey = replace(survey, returns=tuple(map(in_return, survey.returns)))
    if survey.bypasses is not None:
        bypasses = tuple(
            replace(one, duct=replace(one.duct, damper=angle)) if one.id in targets else one
            for one in survey.bypasses
        )
        survey = replace(survey, bypasses=bypasses)
    return _on_supply(survey, change, targets, set_)


def insulate(survey: Survey, change: Change) -> Survey:
    """Insulation around ducts; the air in them feels nothing of it."""
    targets = known_targets(survey, change)
    to = change.to

    def wrap(duct: Duct) -> Duct:
        return replace(duct, insulation=to["insulation"], jacket=to.get("jacket", duct.jacket))

    if survey.returns is not None:
        returns = tuple(
            replace(one, duct=wrap(one.duct)) if one.id in targets else one
            for one in survey.returns
        )
        survey = replace(survey, returns=returns)
    return _on_supply(survey, change, targets, wrap)


def _on_supply(
    survey: Survey, change: Change, targets: tuple[str, ...], do: Callable[[Duct], Duct]
) -> Survey:
    """What is done to the targets that are branches of the supply, if there are any."""
    branches = () if survey.supply is None else tuple(b.id for b, _ in survey.supply.walk())
    own = tuple(id_ for id_ in targets if id_ in branches)
    if not own:
        return survey
    return on_branches(survey, replace(change, targets=own), lambda _, duct: (do(duct), ()))
