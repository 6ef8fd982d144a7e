"""One branch of the supply by itself: its duct, its fittings and what it ends in.

Of hundreds of variants of a house nearly all branches are the same, so the pieces of one are kept
and taken again where a branch comes that is like it in all that they rest on.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from math import pi
from typing import NamedTuple

from inchwater.air import Air
from inchwater.network.build import Aside, Bench, assumed
from inchwater.network.elements import Edge, Leaf, Local, Parameter
from inchwater.network.holes import hole_in_run, hole_in_trunk
from inchwater.network.joints import Joint, tee_piece
from inchwater.network.pieces import (
    Sized,
    as_found,
    blade_pieces,
    damper_piece,
    face_piece,
    fitting_pieces,
    friction_piece,
    sized,
)
from inchwater.parts import dampers, fittings
from inchwater.parts.sections import Section
from inchwater.survey import Branch, Duct, Grille
from inchwater.survey.undescribed import typical_fittings

_FAMILY = "supply"
_ALONG = 3  # branches from which on they do not all leave a trunk at its end
# Branches whose pieces are kept, a few kilobytes each: those of some hundred variants.
_KEPT = 2048


class Limb(NamedTuple):
    """One branch without those below it, in its place: all that its pieces rest on.

    ``duct`` is its whole duct; ``below`` how many branches leave it; ``left`` what of the trunk's
    air still passes it [-]; ``first`` the number of its first edge; ``behind`` the shut room that
    it ends in; ``run_is``, ``register_is`` and ``zone_is`` the condition's words.
    """

    id: str
    room: str | None
    zone: str | None
    duct: Duct
    renewed: tuple[tuple[str, str], ...]
    below: int
    above: Joint | None
    left: float
    first: int
    behind: str | None
    run_is: str | None
    register_is: str | None
    zone_is: str | None
    air: Air
    capacity: float
    unit_kind: str

    @classmethod
    def of(
        cls,
        bench: Bench,
        branch: Branch,
        duct: Duct,
        above: Joint | None,
        left: float,
        state: Mapping[str, str],
    ) -> Limb:
        """A branch with its whole duct, as it comes next on a bench in a condition."""
        return cls(
            id=branch.id,
            room=branch.room,
            zone=branch.zone,
            duct=duct,
            renewed=tuple(branch.renewed.items()),
            below=len(branch.branches),
            above=above,
            left=left,
            first=len(bench.edges),
            behind=bench.shut_room(branch.room),
            run_is=state.get(f"run:{branch.id}"),
            register_is=state.get(f"register:{branch.id}"),
            zone_is=state.get(f"zone:{branch.zone}"),
            air=bench.air,
            capacity=bench.capacity,
            unit_kind=bench.unit_kind,
        )

    @property
    def is_trunk(self) -> bool:
        """Whether other branches leave from it."""
        return self.below > 0

    @property
    def kind(self) -> str:
        """What it is: trunk or run."""
        return "trunk" if self.is_trunk else "run"

    def label(self, what: str = "") -> str:
        """As answers name it, or its part ``what``."""
        named = f"{what or self.kind.capitalize()} {self.id}"
        return f"{named}, {self.room}" if self.room else named


@lru_cache(maxsize=_KEPT)
def pieces_of(limb: Limb) -> Aside:
    """The edges, ends, holes and parameters of a branch, put together once; see :class:`Aside`.

    Raises
    ------
    PartError
        If a part has a size that it cannot have.
    """
    bench = Aside(limb.air, limb.capacity, limb.unit_kind, first=limb.first)
    _put_together(bench, limb)
    return bench


def _put_together(bench: Bench, limb: Limb) -> None:
    """Put a branch on a bench of its own."""
    duct, above, renewed = limb.duct, limb.above, dict(limb.renewed)
    base = f"{limb.kind}:{limb.id}"
    size = sized(duct, limb.kind)
    keys, said = duct.fittings, duct.fittings is not None
    if keys is None:
        shape = size.section.shape
        keys = typical_fittings(limb.is_trunk, duct.material, shape, above is not None)
    if duct.damper is not None:
        # The blade whose angle is known is the damper among the fittings.
        keys = tuple(key for key in keys if fittings.fitting(key).group != "damper")
    tee, keys = tee_piece(bench, base, keys, size, renewed, _FAMILY, above, limb.left)
    on_duct = tuple(key for key in keys if fittings.fitting(key).group != "boot")
    boots = tuple(key for key in keys if fittings.fitting(key).group == "boot")
    path = () if above is None else above.path
    other = None if above is None else above.section
    if limb.run_is == "pulled-open":
        # The collar stays on the plenum or trunk; what hung on it does not.
        collar = on_duct[:1] if tee is None else ()
        local = fitting_pieces(bench, base, collar, size, renewed, _FAMILY, other, said)
        spill = Local(assumed("open-collar"), size.section.area)
        index = bench.add(Edge(base, limb.label(), "supply", local=(*local, spill), tee=tee))
        bench.supply.append(Leaf(limb.id, "pulled", (*path, index), limb.room))
        return
    friction = friction_piece(bench, base, duct, renewed, _FAMILY, limb.kind)
    fitted = fitting_pieces(bench, base, on_duct, size, renewed, _FAMILY, other, said)
    if limb.below >= _ALONG:
        # Take-offs stand along such a trunk, so that little of its air passes all of it.
        along = bench.unknown(Parameter(f"{base}:along", "trunk-along"))
        friction = replace(friction, by=(*friction.by, (along, 1.0)))
    if not limb.is_trunk:
        odd = as_found(bench, base, "as-hung", "friction", renewed)
        friction = replace(friction, by=(*friction.by, *odd))
        fitted = tuple(replace(one, by=(*one.by, *odd)) for one in fitted)
    index = bench.add(
        Edge(
            base,
            limb.label(),
            "supply",
            friction=(friction,),
            local=(*fitted, *_dampers(bench, base, limb, size)),
            tee=tee,
        )
    )
    path = (*path, index)
    if limb.is_trunk:
        hole_in_trunk(bench, limb.id, renewed, path, size)
        return
    hole_in_run(bench, limb.id, renewed, path, size, on_duct, other)
    register = duct.register or Grille()
    # A register that was changed sits on the boot that was made for the one before it.
    found = register.before or register
    locals_ = [*fitting_pieces(bench, base, boots, size, renewed, _FAMILY, _face(found), said)]
    ends_open = bool(keys) and fittings.fitting(keys[-1]).group == "exit"
    if duct.register is not None or not ends_open:
        face = face_piece(bench, base, register, renewed, _FAMILY, "register")
        odd = as_found(bench, f"register:{limb.id}", "as-left", "register", renewed)
        locals_.append(replace(face, by=(*face.by, *odd)))
    if limb.register_is == "closed":
        shut = bench.unknown(Parameter(f"register:{limb.id}:closed", "closed-register"))
        # The assumption is on a round run's velocity pressure.
        area = pi / 4.0 * size.section.equivalent_diameter**2
        locals_.append(Local(assumed("closed-register"), area, ((shut, 1.0),)))
    end = bench.add(
        Edge(f"register:{limb.id}", limb.label("Register"), "supply", local=tuple(locals_))
    )
    bench.supply.append(Leaf(limb.id, "run", (*path, end), limb.room, limb.behind))


def _dampers(bench: Bench, base: str, limb: Limb, size: Sized) -> tuple[Local, ...]:
    """Losses of a balancing damper at its angle, and of a zone's damper as the condition has it."""
    found = blade_pieces(bench, base, limb.duct, size.section)
    if limb.zone is None:
        return found
    angle = dampers.SHUT if limb.zone_is == "shut" else dampers.OPEN
    return (*found, damper_piece(bench, f"{base}:zone", "zone", angle, size.section.area))


def _face(register: Grille) -> Section | None:
    """The register's face where both its sides are known: what a boot widens into."""
    if register.width is None or register.height is None:
        return None
    return Section("rectangular", register.width.si, register.height.si)
