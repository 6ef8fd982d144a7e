"""The return side: openings in parallel, each with grille, filter and whatever carries the air."""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot

from inchwater.errors import PartError
from inchwater.network.build import Bench, assumed
from inchwater.network.elements import Edge, Friction, Leaf, Local, Parameter
from inchwater.network.holes import hole_in_return
from inchwater.network.joints import Joint, tee_piece
from inchwater.network.pieces import (
    blade_pieces,
    face_piece,
    filter_piece,
    fitting_pieces,
    friction_piece,
    leak_leaf,
    lump_piece,
    sized,
)
from inchwater.parts import cavities
from inchwater.survey import Filter, Return, Survey, returns_of
from inchwater.survey.undescribed import typical_return_fittings

_FAMILY = "return"


def compile_returns(bench: Bench, survey: Survey, state: Mapping[str, str]) -> None:
    """Put every return and the return leak on the bench."""
    found = {f.id: f for f in survey.filters or ()}
    returns = returns_of(survey)
    # What nobody has described is spread over the returns that were found; one that a change adds
    # takes nothing off them.
    openings = [one for one in returns if one.kind != "common"]
    count = max(sum("duct" not in one.renewed for one in openings), 1)
    joints: dict[str, Joint] = {}
    for one in returns:
        if one.kind == "common":
            _common(bench, one, returns, joints, ())
    for one in openings:
        filter_ = found.get(one.filter or "")
        out = filter_ is not None and state.get(f"filter:{filter_.id}") == "out"
        joint = None if one.into is None else joints[one.into]
        _compile_return(bench, one, None if out else filter_, count, joint)
    bench.returns.append(leak_leaf(bench, survey, "return", ()))


def _common(
    bench: Bench,
    one: Return,
    returns: tuple[Return, ...],
    joints: dict[str, Joint],
    seen: tuple[str, ...],
) -> Joint:
    """A drop or trunk that other returns lead into, after what it leads into itself."""
    if one.id in joints:
        return joints[one.id]
    if one.id in seen:
        raise PartError(
            where=f"returns.{one.id}.into",
            came=" → ".join((*seen, one.id)),
            right="a return that leads back into itself never reaches the unit",
        )
    above = None
    if one.into is not None:
        next_ = next(other for other in returns if other.id == one.into)
        above = _common(bench, next_, returns, joints, (*seen, one.id))
    index = _duct_edge(bench, one, above, "common")
    path = (*(() if above is None else above.path), index)
    joined = tuple(sized(other.duct, "return").section for other in returns if other.into == one.id)
    joints[one.id] = Joint(path, sized(one.duct, "common").section, joined)
    return joints[one.id]


def _duct_edge(bench: Bench, one: Return, above: Joint | None, kind: str = "return") -> int:
    """The duct of a return whose size is known, or the usual one of a common drop."""
    base = f"return:{one.id}"
    duct = one.duct
    size = sized(duct, kind)
    keys = duct.fittings
    if keys is None:
        keys = typical_return_fittings(duct.material, size.section.shape)
        if kind == "common":
            keys = keys[1:]
    tee, keys = tee_piece(bench, base, keys, size, one.renewed, _FAMILY, above)
    said = duct.fittings is not None
    local = (
        *fitting_pieces(bench, base, keys, size, one.renewed, _FAMILY, described=said),
        *blade_pieces(bench, base, duct, size.section),
    )
    friction = friction_piece(bench, base, duct, one.renewed, _FAMILY, kind)
    return bench.add(Edge(f"{base}:duct", _label(one), "return", (friction,), local, tee=tee))


def _cavity_edge(bench: Bench, one: Return) -> int:
    """A return made of the building itself, of which somebody has seen a size."""
    base = f"return:{one.id}"
    duct = one.duct
    usual = cavities.cavity(str(one.kind))
    width, height = (None if side is None else side.si for side in (duct.width, duct.height))
    section = cavities.cavity_section(str(one.kind), width, height)
    length = usual.length if duct.length is None else duct.length.si
    bench.note(base, cavities.beyond(str(one.kind), length))
    # A side that nobody measured is a doubt of its own: the drop goes with its square.
    sides = {"width": duct.width, "height": duct.height}
    doubt = [2.0 * usual.size_sigma_ln[key] for key, size in sides.items() if size is None]
    sigma = hypot(usual.sigma_ln, *doubt)
    name = bench.unknown(Parameter(f"{base}:cavity", "return-cavity", sigma=sigma, median=1.0))
    friction = Friction(section.equivalent_diameter, length, usual.roughness, ((name, 1.0),))
    local = (
        Local(usual.loss_coefficient, section.area, ((name, 1.0),)),
        *blade_pieces(bench, base, duct, section),
    )
    return bench.add(Edge(f"{base}:duct", _label(one), "return", (friction,), local))


def _compile_return(
    bench: Bench, one: Return, filter_: Filter | None, count: int, above: Joint | None
) -> None:
    path = [] if above is None else list(above.path)
    own = len(path)
    base = f"return:{one.id}"
    duct = one.duct
    # Half a size is none.
    known = one.grille is not None and None not in (one.grille.width, one.grille.height)
    cavity = one.kind in cavities.CAVITIES
    sides = duct.width is not None and duct.height is not None
    # Whatever somebody has seen of a duct counts; its usual diameter stands in where that is not.
    seen = (duct.diameter, duct.length, duct.fittings, duct.damper, duct.slack, duct.sag)
    measured = sides or any(one is not None for one in seen)
    if cavity and (duct.width or duct.height or duct.length or duct.damper):
        path.append(_cavity_edge(bench, one))
    elif one.kind != "open" and not cavity and measured:
        path.append(_duct_edge(bench, one, above))
    elif one.kind != "open":
        # A described grille is a part of its own, the rest of the side is what remains.
        part = assumed("share-duct-of-return") if known else 1.0
        if above is not None:
            # The drop that it leads into has a part of its own.
            part *= assumed("share-before-common")
        role = "return-cavity" if cavity else "return-lump"
        law = lump_piece(
            bench,
            f"{base}:lump" + (f"@{one.renewed['duct']}" if "duct" in one.renewed else ""),
            role,
            part * bench.field_drop("return"),
            bench.field_flow / count,
        )
        path.append(
            bench.add(
                Edge(
                    f"{base}:duct",
                    _label(one),
                    "return",
                    power=(law,),
                    guidance=assumed("guidance-duct"),
                )
            )
        )
    first = len(path)
    if filter_ is not None:
        law, _ = filter_piece(bench, filter_, 1.0 / count)
        path.append(
            bench.add(
                Edge(
                    f"filter:{filter_.id}",
                    "Filter",
                    "return",
                    power=(law,),
                    guidance=assumed("guidance-filter"),
                )
            )
        )
    if known and one.grille is not None:
        face = face_piece(bench, base, one.grille, one.renewed, _FAMILY, "grille")
        path.append(bench.add(Edge(f"{base}:grille", "Return grille", "return", local=(face,))))
    if len(path) == own:
        # An open return without a grille still has its entry.
        entry = Local(assumed("return-entry"), sized(duct, "trunk").section.area)
        path.append(bench.add(Edge(f"{base}:duct", _label(one), "return", local=(entry,))))
    behind = bench.shut_room(one.room)
    if known:
        hole_in_return(bench, one, tuple(path[first:]), behind)
    bench.returns.append(Leaf(one.id, "return", tuple(path), one.room, behind))


def _label(one: Return) -> str:
    words = {
        "panned": "Panned return",
        "stud": "Wall cavity return",
        "platform": "Platform return",
        "open": "Open return",
        "ducted": "Return duct",
        "common": "Common return",
        None: "Return side",
    }
    return words[one.kind]
