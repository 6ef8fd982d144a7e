"""Pieces that returns and supply share: a duct's friction and fittings, a filter, a face, a leak.

Each turns what the survey says, or the typical figure where it says nothing, into components with
named parameters.  A feature that a change renewed gets parameters of its own name and leaves the
family of those that were hung before.
"""

from __future__ import annotations

from collections.abc import Mapping

from inchwater.network.build import Bench, assumed, fact_or, round_area
from inchwater.network.elements import By, Edge, Friction, Leaf, Local, Parameter, Power, Side
from inchwater.parts import ducts, filters, fittings, flex, leaks, terminals
from inchwater.survey import Duct, Fact, Filter, Grille, How

# Exponent with which an error of a size enters the resistance of what rests on it.
_FRICTION_ON_DIAMETER = 5.0
_LOCAL_ON_DIAMETER = 4.0
_FACE_ON_SIDE = 2.0


def named(base: str, feature: str, renewed: Mapping[str, str]) -> str:
    """Name of a part's parameter: ``run:r1:friction``, with ``@change`` when it was renewed."""
    change = renewed.get(feature)
    return f"{base}:{feature}" if change is None else f"{base}:{feature}@{change}"


def _family(family: str, feature: str, renewed: Mapping[str, str]) -> str | None:
    return None if feature in renewed else family


def friction_piece(
    bench: Bench,
    base: str,
    duct: Duct,
    renewed: Mapping[str, str],
    family: str,
    kind: str,
) -> Friction:
    """Friction of a duct; ``kind`` (run, trunk, return) says which typical sizes stand in."""
    diameter = fact_or(duct.diameter, f"typical-{kind}-diameter", "m")
    length = fact_or(duct.length, f"typical-{kind}-length", "m")
    material = duct.material or ("flex" if kind == "run" else "metal")
    by: By = (
        (
            bench.unknown(
                Parameter(
                    name=named(base, "friction", renewed),
                    role="friction",
                    facts=(
                        ("diameter", diameter.how, _FRICTION_ON_DIAMETER),
                        ("length", length.how, 1.0),
                    ),
                    family=_family(family, "friction", renewed),
                )
            ),
            1.0,
        ),
    )
    compression = None
    typical = 0.0
    if material == "flex":
        slack = flex.slack(duct.slack)
        typical = slack.compression_median
        compression = bench.unknown(
            Parameter(
                name=named(f"{base}:compression", "friction", renewed),
                role="compression",
                shape=(slack.a, slack.b),
                family=_family(family, "friction", renewed),
            )
        )
    return Friction(
        diameter=diameter.si,
        length=length.si,
        roughness=ducts.roughness(material),
        by=by,
        compression=compression,
        typical_compression=typical,
    )


def fitting_pieces(
    bench: Bench,
    base: str,
    keys: tuple[str, ...],
    diameter: Fact,
    renewed: Mapping[str, str],
    family: str,
) -> tuple[Local, ...]:
    """Local losses of the fittings of a duct, on its own velocity pressure.

    Boots scatter much wider than sheet metal, so they have a parameter of their own.
    """
    area = round_area(diameter)
    groups: dict[str, list[fittings.Fitting]] = {}
    for key in keys:
        groups.setdefault("boot" if key.startswith("boot") else "fittings", []).append(
            fittings.fitting(key)
        )
    pieces = []
    for group, members in groups.items():
        total = sum(m.loss_coefficient for m in members)
        if total == 0.0:
            continue
        # Independent authors' spread of the members, relative to their sum.
        own = sum((m.sigma_ln * m.loss_coefficient) ** 2 for m in members) ** 0.5 / abs(total)
        middle = sum(m.median * m.loss_coefficient for m in members) / total
        parameter = Parameter(
            name=named(base, "fittings", renewed) + (":boot" if group == "boot" else ""),
            role="terminal" if group == "boot" else "fittings",
            sigma=own,
            median=middle,
            facts=(("diameter", diameter.how, _LOCAL_ON_DIAMETER),),
            family=_family(family, "fittings", renewed),
        )
        pieces.append(Local(total, area, ((bench.unknown(parameter), 1.0),)))
    return tuple(pieces)


def face_piece(
    bench: Bench,
    base: str,
    grille: Grille,
    renewed: Mapping[str, str],
    family: str,
    which: str,
) -> Local:
    """Loss of a register or return grille on its gross face velocity."""
    feature = "register" if which == "register" else "grille"
    terminal = (
        terminals.register(grille.kind) if which == "register" else terminals.grille(grille.kind)
    )
    width = fact_or(grille.width, f"typical-{which}-width", "m")
    height = fact_or(grille.height, f"typical-{which}-height", "m")
    parameter = Parameter(
        name=named(base, feature, renewed),
        role="terminal" if which == "register" else "grille",
        sigma=terminal.sigma_ln,
        median=1.0,
        facts=(("face", width.how, _FACE_ON_SIDE), ("face", height.how, _FACE_ON_SIDE)),
        family=_family(family, feature, renewed),
    )
    return Local(
        terminal.loss_coefficient, width.si * height.si, ((bench.unknown(parameter), 1.0),)
    )


def filter_piece(bench: Bench, given: Filter, share: float) -> tuple[Power, Power]:
    """Drop of a filter as found, and clean as the table's maker tested it.

    ``share`` is the part of the unit's air that passes it, for a filter nobody has described. [-]
    """
    base = f"filter:{given.id}"
    if given.rated_drop is not None and given.rated_airflow is not None:
        law, sigma = filters.filter_law_from_rating(
            given.rated_drop.si, given.rated_airflow.si, filters.grade(given.grade).exponent
        )
        product = Parameter(named(base, "filter", given.renewed), "filter", sigma=sigma)
    elif given.grade is not None or (given.width is not None and given.height is not None):
        width, height = _face(bench, given, share)
        law, sigma = filters.filter_law(width.si, height.si, given.grade, given.count)
        product = Parameter(
            named(base, "filter", given.renewed),
            "filter",
            sigma=sigma,
            facts=(
                ("face", width.how, float(law.exponent)),
                ("face", height.how, float(law.exponent)),
            ),
        )
    else:
        exponent = assumed("exponent-filter")
        drop, flow = assumed("filter-drop-found"), share * bench.field_flow
        name = bench.unknown(Parameter(named(base, "filter", given.renewed), "filter-lump"))
        found = Power(drop / flow**exponent, exponent, ((name, 1.0),))
        # The field's mean drop is of used filters; clean ones hold about two thirds of it.
        middle, _ = filters.condition_factor(None)
        return found, Power(found.coefficient / middle, exponent, found.by)
    clean: By = ((bench.unknown(product), 1.0),)
    middle, sigma = filters.condition_factor(given.condition)
    condition = Parameter(
        named(f"{base}:condition", "filter", given.renewed),
        "filter-condition",
        sigma=sigma,
        median=middle,
    )
    found = Power.of(law, (*clean, (bench.unknown(condition), 1.0)))
    return found, Power.of(law, clean)


def _face(bench: Bench, given: Filter, share: float) -> tuple[Fact, Fact]:
    """Width and height of a filter; the usual ones for its airflow where nobody measured."""
    if given.width is not None and given.height is not None:
        return given.width, given.height
    area = share * bench.design_flow / assumed("typical-filter-velocity") / given.count
    side = Fact(float(area**0.5), "m", How.TYPICAL)
    return side, side


def lump_piece(bench: Bench, name: str, role: str, drop: float, flow: float) -> Power:
    """A duct side that nobody has described: ``drop`` [Pa] at ``flow`` [m3/s]."""
    exponent = assumed("exponent-lump")
    by: By = ((bench.unknown(Parameter(name, role)), 1.0),)
    return Power(drop / flow**exponent, exponent, by)


def leak_leaf(bench: Bench, side: Side, path: tuple[int, ...]) -> Leaf:
    """A side's leakage: a share of the field's airflow at the usual effective pressure.

    A leak of unknown place sees half of the plenum's pressure (ASHRAE 152 convention, memory).
    """
    exponent = leaks.exponent()
    unit_leak = float(
        leaks.leak_coefficient(
            assumed(f"leak-fraction-{side}"),
            bench.field_flow,
            assumed(f"leak-pressure-{side}"),
            exponent,
        )
    )
    name = bench.unknown(Parameter(f"{side}:leak", f"leak-{side}"))
    law = Power(
        1.0 / assumed("leak-place") / unit_leak ** (1.0 / exponent),
        1.0 / exponent,
        ((name, -1.0 / exponent),),
    )
    index = bench.add(Edge(f"{side}:leak", f"{side} duct leakage", side, power=(law,)))
    return Leaf(f"{side}-leak", "leak", (*path, index))
