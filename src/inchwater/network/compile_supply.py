"""The supply side: a tree from the plenum over trunks to runs, each ending in a register."""

from __future__ import annotations

from collections.abc import Mapping

from inchwater.errors import PartError
from inchwater.network.build import Bench, assumed
from inchwater.network.compile_branch import Limb, pieces_of
from inchwater.network.elements import Edge, Leaf
from inchwater.network.joints import Joint, remaining
from inchwater.network.pieces import leak_leaf, lump_piece, sized
from inchwater.survey import Branch, Duct, Survey, filled


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
            duct = _duct(branch, supply.run_like)
            _compile_branch(bench, branch, duct, supply.run_like, None, 1.0, state)
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
    duct: Duct,
    like: Duct,
    above: Joint | None,
    left: float,
    state: Mapping[str, str],
) -> None:
    """One branch with its whole duct, and all below it.

    ``left`` is what of the trunk's air still passes it. [-]
    """
    if not _carries(branch, state):
        return
    first = len(bench.edges)
    bench.take(pieces_of(Limb.of(bench, branch, duct, above, left, state)))
    if not branch.is_trunk:
        return
    ducts = [_duct(below, like) for below in branch.branches]
    both = list(zip(branch.branches, ducts, strict=True))
    joint = Joint(
        path=(*(() if above is None else above.path), first),
        section=sized(duct, "trunk").section,
        branches=tuple(sized(its, below.kind).section for below, its in both),
    )
    for (below, its), share in zip(both, remaining(branch.branches, joint), strict=True):
        _compile_branch(bench, below, its, like, joint, share, state)


def _carries(branch: Branch, state: Mapping[str, str]) -> bool:
    """Whether any run of a branch is open: a trunk whose runs are all capped carries no air."""
    if not branch.is_trunk:
        return state.get(f"run:{branch.id}") != "pulled-capped"
    return any(_carries(below, state) for below in branch.branches)


def _duct(branch: Branch, like: Duct) -> Duct:
    """A branch's whole duct; a run is as all runs are where nobody said."""
    return branch.duct if branch.is_trunk else filled(branch.duct, like)
