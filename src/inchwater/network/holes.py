"""Holes for a static tip in single ducts: a trunk before its first take-off, a run, a return.

A hole in a plenum sees what all runs see; a hole in one duct sees that duct alone, and the velocity
pressure of its own section.  Its parameters exist only where somebody reads there.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from inchwater.network.build import Bench, assumed
from inchwater.network.elements import Array, Hole, Local, Parameter, product
from inchwater.network.newton import prepared
from inchwater.network.pieces import Sized, anew, named, sized
from inchwater.network.resistances import quadratic_of
from inchwater.parts import cavities, fittings
from inchwater.parts.sections import Section
from inchwater.survey import Return

if TYPE_CHECKING:
    from inchwater.network.results import Solution

# A velocity pressure goes with the fourth power of the diameter.
_ON_DIAMETER = 4.0


def hole_in_trunk(
    bench: Bench, id_: str, renewed: Mapping[str, str], path: tuple[int, ...], size: Sized
) -> None:
    """A hole in a trunk, just before its first take-off: all of its own drop lies before it."""
    name = _name(f"trunk:{id_}", renewed)
    bench.holes[f"trunk:{id_}"] = Hole(
        name,
        "supply",
        path,
        path[-1],
        size.section.area,
        assumed("hole-jet-trunk"),
        size.facts(_ON_DIAMETER),
    )


def hole_in_run(
    bench: Bench,
    id_: str,
    renewed: Mapping[str, str],
    path: tuple[int, ...],
    size: Sized,
    keys: tuple[str, ...],
    other: Section | None,
) -> None:
    """A hole in a run just after its take-off: of its own drop only the take-off lies before it.

    Parameters
    ----------
    keys : tuple of str
        Fittings on the run's own velocity pressure, its tee and boots apart.
    other : Section, optional
        The trunk's section.
    """
    base = f"run:{id_}"
    offs = [key for key in keys if fittings.fitting(key).group == "take-off"]
    coefficient = sum(fittings.loss(key, size.section, other).coefficient for key in offs)
    by = ((named(base, "fittings", renewed), 1.0),)
    bench.holes[base] = Hole(
        _name(base, renewed),
        "supply",
        path[:-1],
        path[-1],
        size.section.area,
        assumed("hole-jet-run"),
        size.facts(_ON_DIAMETER),
        (Local(coefficient, size.section.area, by),) if coefficient else (),
        after_tee=True,
    )


def _name(base: str, renewed: Mapping[str, str]) -> str:
    """A hole's name; a duct that a change replaced has another hole than the one before it."""
    replaced = {"friction", "fittings"} <= set(renewed)
    return f"{base}@{renewed['friction']}" if replaced else base


def hole_in_return(bench: Bench, one: Return, passed: tuple[int, ...], behind: str | None) -> None:
    """A hole behind the grille, and the filter in it, of a return; before its duct."""
    base = f"return:{one.id}"
    sizes = sized(one.duct, "return")
    area, facts = sizes.section.area, sizes.facts(_ON_DIAMETER)
    if one.kind == "open":
        # Behind the grille lies the plenum itself.
        area, facts = bench.design_flow / assumed("port-velocity-return"), ()
    elif one.kind in cavities.CAVITIES:
        width, height = (None if s is None else s.si for s in (one.duct.width, one.duct.height))
        area = cavities.cavity_section(str(one.kind), width, height).area
    # A duct that a change has put in has another hole than the one before it.
    new = one.renewed.get("friction", one.renewed.get("duct"))
    bench.holes[base] = Hole(
        anew(base, new),
        "return",
        passed,
        passed[-1],
        area,
        assumed("hole-jet-return"),
        facts,
        behind=behind,
    )


def parameters_of(hole: Hole) -> tuple[Parameter, ...]:
    """The unknowns of one hole: its velocity pressure, and the place's own error."""
    return (
        Parameter(hole.velocity_by, "hole-velocity", facts=hole.sizes),
        Parameter(hole.offset_by, "hole-offset", sigma=hole.jet),
    )


def pressures(solution: Solution, hole: Hole) -> tuple[Array, Array]:
    """Total and mean velocity pressure at a hole (sample,), (sample,). [Pa]"""
    network = solution.network
    flow = solution.edge_flow[:, hole.edge]
    velocity = 0.5 * network.density(hole.side) * (flow / hole.area) ** 2
    lost = solution.edge_drop[:, list(hole.passed)].sum(axis=1)
    if hole.side == "return":
        room = 0.0 if hole.behind is None else solution.room[hole.behind]
        return np.asarray(room - lost), velocity
    own = _at_tee(solution, hole.edge) if hole.after_tee else np.zeros(solution.size)
    for local in hole.local:
        quadratic = quadratic_of(local, network, hole.side)
        factor = product(local.by, solution.values, solution.size)
        own = own + quadratic * factor * flow * abs(flow)
    if solution.set_to is not None:
        own = own * solution.set_to.scale[:, hole.edge]
    return np.asarray(solution.supply - lost - own), velocity


def _at_tee(solution: Solution, edge: int) -> Array:
    """What a branch loses where it leaves its trunk (sample,), 0 where there is no tee. [Pa]

    The law of ``kernel_laws.tee_at``, which tests hold it to, in arrays.
    """
    network = solution.network
    tee = network.edges[edge].tee
    if tee is None:
        return np.zeros(solution.size)
    p = prepared(network)
    curve = p.tee_curve[p.tee_row[edge]]
    factor = product(tee.by, solution.values, solution.size)
    flow = solution.edge_flow[:, edge]
    common = solution.edge_flow[:, p.above[edge]]
    common = np.where(common == 0.0, 1e-300, common)
    ratio = flow / common
    place = np.clip(ratio, 0.0, 1.0) * len(curve)
    piece = np.minimum(place.astype(int), len(curve) - 1)
    u = place - piece
    a, b, c, d = curve[piece].T
    value = tee.anchor + factor * (a + u * (b + u * (c + u * d)) - tee.anchor)
    end = tee.anchor + factor * (curve[-1].sum() - tee.anchor)
    loss = np.where(
        ratio > 1.0,
        np.sign(common) * end * flow**2,
        abs(common) * value * common,
    )
    # Where air comes back through a leg it loses the curve's end on its own flow.
    loss = np.where(ratio < 0.0, loss - np.sign(common) * abs(end) * flow**2, loss)
    dense = network.density(network.edges[edge].side)
    return np.asarray(0.5 * dense / tee.area**2 * loss)
