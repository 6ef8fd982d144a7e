"""The supply side: a tree from the plenum over trunks to runs, each ending in a register."""

from __future__ import annotations

from collections.abc import Mapping

from inchwater.errors import PartError
from inchwater.network.build import Bench, assumed, fact_or, round_area
from inchwater.network.elements import Edge, Leaf, Local, Parameter
from inchwater.network.pieces import (
    face_piece,
    fitting_pieces,
    friction_piece,
    leak_leaf,
    lump_piece,
)
from inchwater.parts import fittings
from inchwater.survey import Branch, Duct, Grille, Survey, filled

_FAMILY = "supply"


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
            _compile_branch(bench, branch, supply.run_like, (), state)
        if not any(leaf.kind in ("run", "pulled") for leaf in bench.supply):
            raise PartError(
                where="supply.branches",
                came="every run shut or capped",
                right="at least one run has to carry air",
                do="Open a run: a blower against a closed system tells nothing.",
            )
    bench.supply.append(leak_leaf(bench, "supply", ()))


def _compile_branch(
    bench: Bench, branch: Branch, like: Duct, above: tuple[int, ...], state: Mapping[str, str]
) -> None:
    duct = branch.duct if branch.is_trunk else filled(branch.duct, like)
    kind = "trunk" if branch.is_trunk else "run"
    base = f"{kind}:{branch.id}"
    diameter = fact_or(duct.diameter, f"typical-{kind}-diameter", "m")
    pulled = state.get(f"run:{branch.id}")
    keys = duct.fittings
    if keys is None:
        keys = _typical_fittings(branch, duct, bool(above))
    take_off = tuple(key for key in keys if not key.startswith("boot"))
    boots = tuple(key for key in keys if key.startswith("boot"))
    if pulled == "pulled-capped":
        return
    if pulled == "pulled-open":
        # The collar stays on the plenum or trunk; what hung on it does not.
        collar = fitting_pieces(bench, base, take_off[:1], diameter, branch.renewed, _FAMILY)
        spill = Local(assumed("open-collar"), round_area(diameter))
        index = bench.add(Edge(base, _label(branch), "supply", local=(*collar, spill)))
        bench.supply.append(Leaf(branch.id, "pulled", (*above, index), branch.room))
        return
    index = bench.add(
        Edge(
            base,
            _label(branch),
            "supply",
            friction=(friction_piece(bench, base, duct, branch.renewed, _FAMILY, kind),),
            local=fitting_pieces(bench, base, take_off, diameter, branch.renewed, _FAMILY),
        )
    )
    if branch.is_trunk:
        for below in branch.branches:
            _compile_branch(bench, below, like, (*above, index), state)
        return
    locals_ = [
        *fitting_pieces(bench, base, boots, diameter, branch.renewed, _FAMILY),
        face_piece(bench, base, duct.register or Grille(), branch.renewed, _FAMILY, "register"),
    ]
    if state.get(f"register:{branch.id}") == "closed":
        shut = bench.unknown(Parameter(f"register:{branch.id}:closed", "closed-register"))
        locals_.append(Local(assumed("closed-register"), round_area(diameter), ((shut, 1.0),)))
    end = bench.add(
        Edge(f"register:{branch.id}", _label(branch, "Register"), "supply", local=tuple(locals_))
    )
    bench.supply.append(Leaf(branch.id, "run", (*above, index, end), branch.room))


def _typical_fittings(branch: Branch, duct: Duct, on_trunk: bool) -> tuple[str, ...]:
    if branch.is_trunk:
        return ("take-off-straight",)
    first, *rest = fittings.typical_run_fittings(duct.material)
    return ("trunk-take-off-90" if on_trunk else first, *rest)


def _label(branch: Branch, what: str = "") -> str:
    noun = what or ("Trunk" if branch.is_trunk else "Run")
    return f"{noun} {branch.id}" + (f", {branch.room}" if branch.room else "")
