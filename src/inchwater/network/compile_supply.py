"""The supply side: a tree from the plenum over trunks to runs, each ending in a register."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import pi

from inchwater.errors import PartError
from inchwater.network.build import Bench, assumed
from inchwater.network.elements import Edge, Leaf, Local, Parameter
from inchwater.network.holes import hole_in_run, hole_in_trunk
from inchwater.network.joints import Joint, remaining, tee_piece
from inchwater.network.pieces import (
    Sized,
    as_found,
    blade_pieces,
    damper_piece,
    face_piece,
    fitting_pieces,
    friction_piece,
    leak_leaf,
    lump_piece,
    sized,
)
from inchwater.parts import dampers, fittings
from inchwater.parts.sections import Section
from inchwater.survey import Branch, Duct, Grille, Survey, filled
from inchwater.survey.undescribed import typical_fittings

_FAMILY = "supply"
_ALONG = 3  # branches from which on they do not all leave a trunk at its end


def compile_supply(bench: Bench, survey: Survey, state: Mapping[str, str]) -> None:
    """Put trunks, runs, registers and the supply leak on the bench."""
    supply = survey.supply
    if supply is None or not supply.branches:
        law = lump_piece(
            bench, "supply:lump", "supply-lump", bench.field_drop("supply"), bench.field_flow
        )
        index = bench.add(
            Edge(
                "supply",
                "Supply side",
                "supply",
                power=(law,),
                guidance=assumed("guidance-duct"),
            )
        )
        bench.supply.append(Leaf("supply", "run", (index,)))
    else:
        for branch in supply.branches:
            _compile_branch(bench, branch, supply.run_like, None, 1.0, state)
        if not any(leaf.kind in ("run", "pulled") for leaf in bench.supply):
            raise PartError(
                where="supply.branches",
                came="every run shut or capped",
                right="at least one run has to carry air",
                do="Open a run: a blower against a closed system tells nothing.",
            )
    bench.supply.append(leak_leaf(bench, survey, "supply", ()))


def _compile_branch(
    bench: Bench,
    branch: Branch,
    like: Duct,
    above: Joint | None,
    left: float,
    state: Mapping[str, str],
) -> None:
    """One branch and all below it; ``left`` is what of the trunk's air still passes it. [-]"""
    if not _carries(branch, state):
        return
    kind, duct = _duct(branch, like)
    base = f"{kind}:{branch.id}"
    size = sized(duct, kind)
    keys, said = duct.fittings, duct.fittings is not None
    if keys is None:
        shape = size.section.shape
        keys = typical_fittings(branch.is_trunk, duct.material, shape, above is not None)
    if duct.damper is not None:
        # The blade whose angle is known is the damper among the fittings.
        keys = tuple(key for key in keys if fittings.fitting(key).group != "damper")
    tee, keys = tee_piece(bench, base, keys, size, branch.renewed, _FAMILY, above, left)
    on_duct = tuple(key for key in keys if fittings.fitting(key).group != "boot")
    boots = tuple(key for key in keys if fittings.fitting(key).group == "boot")
    path = () if above is None else above.path
    other = None if above is None else above.section
    if state.get(f"run:{branch.id}") == "pulled-open":
        # The collar stays on the plenum or trunk; what hung on it does not.
        collar = on_duct[:1] if tee is None else ()
        local = fitting_pieces(bench, base, collar, size, branch.renewed, _FAMILY, other, said)
        spill = Local(assumed("open-collar"), size.section.area)
        index = bench.add(Edge(base, _label(branch), "supply", local=(*local, spill), tee=tee))
        bench.supply.append(Leaf(branch.id, "pulled", (*path, index), branch.room))
        return
    friction = friction_piece(bench, base, duct, branch.renewed, _FAMILY, kind)
    fitted = fitting_pieces(bench, base, on_duct, size, branch.renewed, _FAMILY, other, said)
    if len(branch.branches) >= _ALONG:
        # Take-offs stand along such a trunk, so that little of its air passes all of it.
        along = bench.unknown(Parameter(f"{base}:along", "trunk-along"))
        friction = replace(friction, by=(*friction.by, (along, 1.0)))
    if not branch.is_trunk:
        odd = as_found(bench, base, "as-hung", "friction", branch.renewed)
        friction = replace(friction, by=(*friction.by, *odd))
        fitted = tuple(replace(one, by=(*one.by, *odd)) for one in fitted)
    index = bench.add(
        Edge(
            base,
            _label(branch),
            "supply",
            friction=(friction,),
            local=(*fitted, *_dampers(bench, base, branch, duct, size, state)),
            tee=tee,
        )
    )
    path = (*path, index)
    if branch.is_trunk:
        hole_in_trunk(bench, branch, path, size)
        joint = Joint(path, size.section, tuple(_section(one, like) for one in branch.branches))
        for at, below in enumerate(branch.branches):
            _compile_branch(bench, below, like, joint, remaining(branch.branches, joint, at), state)
        return
    hole_in_run(bench, branch, path, size, on_duct, other)
    register = duct.register or Grille()
    # A register that was changed sits on the boot that was made for the one before it.
    found = register.before or register
    locals_ = [
        *fitting_pieces(bench, base, boots, size, branch.renewed, _FAMILY, _face(found), said)
    ]
    ends_open = bool(keys) and fittings.fitting(keys[-1]).group == "exit"
    if duct.register is not None or not ends_open:
        face = face_piece(bench, base, register, branch.renewed, _FAMILY, "register")
        odd = as_found(bench, f"register:{branch.id}", "as-left", "register", branch.renewed)
        locals_.append(replace(face, by=(*face.by, *odd)))
    if state.get(f"register:{branch.id}") == "closed":
        shut = bench.unknown(Parameter(f"register:{branch.id}:closed", "closed-register"))
        # The assumption is on a round run's velocity pressure.
        area = pi / 4.0 * size.section.equivalent_diameter**2
        locals_.append(Local(assumed("closed-register"), area, ((shut, 1.0),)))
    end = bench.add(
        Edge(f"register:{branch.id}", _label(branch, "Register"), "supply", local=tuple(locals_))
    )
    behind = bench.shut_room(branch.room)
    bench.supply.append(Leaf(branch.id, "run", (*path, end), branch.room, behind))


def _carries(branch: Branch, state: Mapping[str, str]) -> bool:
    """Whether any run of a branch is open: a trunk whose runs are all capped carries no air."""
    if not branch.is_trunk:
        return state.get(f"run:{branch.id}") != "pulled-capped"
    return any(_carries(below, state) for below in branch.branches)


def _dampers(
    bench: Bench, base: str, branch: Branch, duct: Duct, size: Sized, state: Mapping[str, str]
) -> tuple[Local, ...]:
    """Losses of a balancing damper at its angle, and of a zone's damper as the condition has it."""
    found = blade_pieces(bench, base, duct, size.section)
    if branch.zone is None:
        return found
    angle = dampers.SHUT if state.get(f"zone:{branch.zone}") == "shut" else dampers.OPEN
    return (*found, damper_piece(bench, f"{base}:zone", "zone", angle, size.section.area))


def _duct(branch: Branch, like: Duct) -> tuple[str, Duct]:
    """What a branch is (trunk, run), and its duct; a run is as all runs are where nobody said."""
    if branch.is_trunk:
        return "trunk", branch.duct
    return "run", filled(branch.duct, like)


def _section(branch: Branch, like: Duct) -> Section:
    kind, duct = _duct(branch, like)
    return sized(duct, kind).section


def _face(register: Grille) -> Section | None:
    """The register's face where both its sides are known: what a boot widens into."""
    if register.width is None or register.height is None:
        return None
    return Section("rectangular", register.width.si, register.height.si)


def _label(branch: Branch, what: str = "") -> str:
    noun = what or ("Trunk" if branch.is_trunk else "Run")
    return f"{noun} {branch.id}" + (f", {branch.room}" if branch.room else "")
