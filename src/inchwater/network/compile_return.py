"""The return side: openings in parallel, each with grille, filter and whatever carries the air."""

from __future__ import annotations

from collections.abc import Mapping

from inchwater.network.build import Bench, assumed, fact_or
from inchwater.network.elements import Edge, Leaf, Local
from inchwater.network.pieces import (
    face_piece,
    filter_piece,
    fitting_pieces,
    friction_piece,
    leak_leaf,
    lump_piece,
)
from inchwater.parts import fittings
from inchwater.survey import Filter, Return, Survey, returns_of

# Returns that are made of the building itself, whose spread is wider than a duct's.
_CAVITIES = ("panned", "platform")
_FAMILY = "return"


def compile_returns(bench: Bench, survey: Survey, state: Mapping[str, str]) -> None:
    """Put every return and the return leak on the bench."""
    found = {f.id: f for f in survey.filters or ()}
    returns = returns_of(survey)
    # What nobody has described is spread over the returns that were found; one that a change adds
    # takes nothing off them.
    count = sum("duct" not in one.renewed for one in returns)
    for one in returns:
        filter_ = found.get(one.filter or "")
        out = filter_ is not None and state.get(f"filter:{filter_.id}") == "out"
        _compile_return(bench, one, None if out else filter_, max(count, 1))
    bench.returns.append(leak_leaf(bench, "return", ()))


def _compile_return(bench: Bench, one: Return, filter_: Filter | None, count: int) -> None:
    path = []
    base = f"return:{one.id}"
    duct = one.duct
    known = one.grille is not None and (one.grille.width is not None)
    if one.kind not in ("open", *_CAVITIES) and duct.diameter is not None:
        friction = friction_piece(bench, base, duct, one.renewed, _FAMILY, "return")
        keys = duct.fittings
        if keys is None:
            keys = fittings.typical_return_fittings(duct.material)
        locals_ = fitting_pieces(bench, base, keys, duct.diameter, one.renewed, _FAMILY)
        path.append(
            bench.add(
                Edge(f"{base}:duct", _label(one), "return", friction=(friction,), local=locals_)
            )
        )
    elif one.kind != "open":
        # A described grille is a part of its own, the rest of the side is what remains.
        part = assumed("share-duct-of-return") if known else 1.0
        role = "return-cavity" if one.kind in _CAVITIES else "return-lump"
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
    if not path:
        # An open return without a grille still has its entry.
        diameter = fact_or(duct.diameter, "typical-trunk-diameter", "m")
        entry = Local(assumed("return-entry"), 0.785 * diameter.si**2)
        path.append(bench.add(Edge(f"{base}:duct", _label(one), "return", local=(entry,))))
    bench.returns.append(Leaf(one.id, "return", tuple(path)))


def _label(one: Return) -> str:
    words = {
        "panned": "Panned return",
        "platform": "Platform return",
        "open": "Open return",
        "ducted": "Return duct",
        None: "Return side",
    }
    return words[one.kind]
