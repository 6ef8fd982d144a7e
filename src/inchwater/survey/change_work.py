"""What the kinds of change share: new duct, exchanged fittings, ducts of branches made anew."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from inchwater.errors import InputError, UnknownNameError
from inchwater.survey.change_keys import known_supply, known_targets
from inchwater.survey.check_fittings import where_fittings_sit
from inchwater.survey.ducts import (
    Branch,
    Duct,
    Grille,
    Material,
    Return,
    filled,
    hangs,
    shape_of,
    walked,
)
from inchwater.survey.facts import Fact
from inchwater.survey.job import Change, Survey
from inchwater.survey.undescribed import typical_fittings


def on_branches(
    survey: Survey,
    change: Change,
    do: Callable[[Branch, Duct], tuple[Duct, tuple[str, ...]]],
) -> Survey:
    """Give each target the duct that ``do`` makes of it, and note which features are new.

    ``do`` gets the branch and its whole duct, and returns the new duct with the features that it
    renews.
    """
    supply = known_supply(survey, change)
    targets = known_targets(survey, change)

    def renew(branch: Branch) -> Branch:
        if branch.id not in targets:
            return branch
        # ``run_like`` describes runs only; a changed run needs a description of its own.
        duct = branch.duct if branch.is_trunk else filled(branch.duct, supply.run_like)
        new, features = do(branch, duct)
        return replace(
            branch, duct=new, renewed={**branch.renewed, **dict.fromkeys(features, change.id)}
        )

    return replace(survey, supply=replace(supply, branches=walked(supply.branches, renew)))


def with_grille(
    old: Return, change: Change, width: Fact | None, height: Fact | None, kind: str | None = None
) -> Return:
    """The return with another grille; what is None stays as it was."""
    grille = old.grille or Grille()
    return replace(
        old,
        grille=Grille(width or grille.width, height or grille.height, kind or grille.kind),
        renewed={**old.renewed, "grille": change.id},
    )


def new_duct(to: Mapping[str, Any]) -> Duct:
    """Duct of an added part, as the change says; new flex hangs tight."""
    material = to.get("material")
    return Duct(
        material=material,
        diameter=to.get("diameter"),
        length=to.get("length"),
        slack=to.get("slack", "tight" if hangs(material) else None),
        fittings=tuple(to["fittings"]) if "fittings" in to else None,
    )


def exchanged(change: Change, id_: str, fittings: tuple[str, ...] | None) -> tuple[str, ...]:
    """The fittings of a duct with one exchanged, put in or taken out.

    Raises
    ------
    InputError, UnknownNameError
        If they are not known, or the one to take out is not among them.
    """
    if fittings is None:
        raise InputError(
            where=f"changes.{change.id}.targets",
            came=f"{id_}, whose fittings are not known,",
            right="a fitting can be exchanged where the fittings are known",
            do=f"Add the fittings of {id_} first.",
        )
    old, new = change.to.get("from"), change.to.get("into")
    if old is None:
        return (*fittings, str(new))
    if old not in fittings:
        raise UnknownNameError(
            where=f"changes.{change.id}.to.from",
            came=repr(old),
            right=f"{id_} has {', '.join(fittings) if fittings else 'no fittings'}",
        )
    at = fittings.index(old)
    return (*fittings[:at], *(() if new is None else (str(new),)), *fittings[at + 1 :])


def replaced(old: Duct, to: Mapping[str, Any], material: Material | None) -> Duct:
    """A duct put in an old one's place: its new section, hung as it should be.

    Length, fittings, damper and what is around it stay, unless the change says otherwise.
    """
    round_ = "diameter" in to
    return replace(
        old,
        shape="round" if round_ and old.shape is not None else None,
        diameter=to.get("diameter"),
        width=None if round_ else to.get("width"),
        height=None if round_ else to.get("height"),
        material=material,
        # New work hangs as it should; how the old duct hung says nothing of it.
        slack=to.get("slack", "tight" if hangs(material) else None),
        sag=None,
        spacing=old.spacing if hangs(material) else None,
    )


def check_section(change: Change) -> None:
    """Refuse a duct that is neither round nor has both its sides.

    Raises
    ------
    InputError
        Names the key that lacks or is one too many.
    """
    sides = [key for key in ("width", "height") if key in change.to]
    where = f"changes.{change.id}.to"
    if "diameter" in change.to and sides:
        raise InputError(
            where=f"{where}.{sides[0]}",
            came="a diameter and a side",
            right="a duct is round, or it has width and height",
            do="Leave one of them out.",
        )
    if "diameter" not in change.to and len(sides) < 2:
        raise InputError(
            where=f"{where}.{'height' if sides == ['width'] else 'width' if sides else 'diameter'}",
            came="nothing",
            right=f"{change.kind} needs diameter, or width and height",
        )


def check_sides(change: Change, material: str | None) -> None:
    """Refuse flex with sides.

    Raises
    ------
    InputError
        Says what to name.
    """
    if "width" in change.to and hangs(material):
        raise InputError(
            where=f"changes.{change.id}.to.material",
            came="flex" if material == "flex" else "nothing",
            right="flex is round, and this duct has sides",
            do="Say what it is made of: metal, ductboard, lined or pvc.",
        )


def described(branch: Branch, duct: Duct, on_trunk: bool) -> tuple[str, ...]:
    """The fittings of a branch, or the usual ones where nobody has said."""
    if duct.fittings is not None:
        return duct.fittings
    return typical_fittings(branch.is_trunk, duct.material, shape_of(duct), on_trunk)


def brought(old: tuple[str, ...], new: tuple[str, ...]) -> tuple[str, ...]:
    """The features that fittings bring which were not there before, each once."""
    more = Counter(new) - Counter(old)
    return tuple(f"fitting:{key}" for key in more)


def is_take_off(key: str) -> bool:
    """Whether a fitting stands where air leaves a plenum or trunk."""
    return where_fittings_sit().get(key) in ("plenum", "trunk", "take-off")


def is_boot(key: str) -> bool:
    """Whether a fitting stands between a run and its register."""
    return where_fittings_sit().get(key) == "boot"


def is_damper(key: str) -> bool:
    """Whether a fitting is a balancing damper."""
    return key.startswith("damper")
