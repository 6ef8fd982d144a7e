"""Pieces that returns and supply share: a duct's friction and fittings, a filter, a face, a leak.

Each turns what the survey says, or the typical figure where it says nothing, into components with
named parameters.  A feature that a change renewed gets parameters of its own name and of a
family of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from inchwater.network.build import Bench, assumed, fact_or
from inchwater.network.elements import By, Edge, Friction, Leaf, Local, Parameter, Power, Side
from inchwater.parts import cavities, dampers, ducts, filters, fittings, flex, leaks, terminals
from inchwater.parts.sections import Section
from inchwater.survey import Duct, Fact, Filter, Grille, How, Survey

# Exponents with which an error of a size enters the resistance of what rests on it.
_FRICTION_ON_DIAMETER = 5.0
_LOCAL_ON_DIAMETER = 4.0
_FACE_ON_SIDE = 2.0


@dataclass(frozen=True, slots=True)
class Sized:
    """A duct's section and the sizes that it rests on."""

    section: Section
    sizes: tuple[Fact, ...]

    @property
    def typical(self) -> bool:
        """Whether nobody has measured or seen it."""
        return all(one.how is How.TYPICAL for one in self.sizes)

    def facts(self, exponent: float) -> tuple[tuple[str, How, float], ...]:
        """How each size is known, with its part of an exponent that holds for a diameter."""
        return tuple(("diameter", one.how, exponent / len(self.sizes)) for one in self.sizes)


def sized(duct: Duct, kind: str) -> Sized:
    """The section of a duct; ``kind`` (run, trunk, return) says which typical one stands in."""
    if duct.diameter is None and duct.width is not None and duct.height is not None:
        shape = duct.shape if duct.shape in ("rectangular", "oval") else "rectangular"
        sides = (duct.width, duct.height)
        return Sized(Section(shape, duct.width.si, duct.height.si), sides)
    diameter = fact_or(duct.diameter, f"typical-{kind}-diameter", "m")
    return Sized(Section.round(diameter.si), (diameter,))


def named(base: str, feature: str, renewed: Mapping[str, str]) -> str:
    """Name of a part's parameter: ``run:r1:friction``, with ``@change`` when it was renewed."""
    return anew(f"{base}:{feature}", renewed.get(feature))


def anew(name: str, change: str | None) -> str:
    """A parameter's name, with ``@change`` where a change has put its part in."""
    return name if change is None else f"{name}@{change}"


def family_of(family: str, feature: str, renewed: Mapping[str, str]) -> str:
    """The family of a part's feature; what one change has renewed is one of its own."""
    # New work on ten runs is of one product and one crew: a handbook misses all of it alike.
    return f"{family}@{renewed[feature]}" if feature in renewed else family


def feature_of(key: str, renewed: Mapping[str, str]) -> str:
    """What a fitting's parameter goes by: with the others of its duct, or alone if it is new."""
    alone = f"fitting:{key}"
    return alone if alone in renewed else "fittings"


def scatter(feature: str, own: float) -> tuple[str, float]:
    """Role and sigma of ln of a fitting whose law has the spread ``own``. [-]"""
    if feature == "fittings":
        return "fittings", own
    # What an exchange brings rests on two handbook figures, of the new and of the old.
    return "exchanged", 2.0**0.5 * own


def friction_piece(
    bench: Bench,
    base: str,
    duct: Duct,
    renewed: Mapping[str, str],
    family: str,
    kind: str,
) -> Friction:
    """Friction of a duct; ``kind`` (run, trunk, return) says which typical sizes stand in."""
    size = sized(duct, kind)
    bench.note(base, size.section.beyond())
    length = fact_or(duct.length, f"typical-{kind}-length", "m")
    material = duct.material or ("flex" if kind == "run" else "metal")
    by: By = (
        (
            bench.unknown(
                Parameter(
                    name=named(base, "friction", renewed),
                    role="friction",
                    facts=(*size.facts(_FRICTION_ON_DIAMETER), ("length", length.how, 1.0)),
                    family=family_of(family, "friction", renewed),
                )
            ),
            1.0,
        ),
    )
    diameter = size.section.equivalent_diameter
    compression = None
    typical = 0.0
    along = length.si
    if material == "flex":
        word: str | None = duct.slack
        if duct.sag is not None:
            # What was measured between two hangers says more than a word.
            spacing = fact_or(duct.spacing, "typical-hanger-spacing", "m").si
            word = flex.word_of_sag(duct.sag.si, spacing)
            along *= float(flex.sag_length_factor(duct.sag.si, spacing))
        slack = flex.slack(word)
        typical = slack.compression_median
        bench.note(base, flex.beyond(diameter, typical))
        compression = bench.unknown(
            Parameter(
                name=named(f"{base}:compression", "friction", renewed),
                role="compression",
                shape=(slack.a, slack.b),
                family=family_of(family, "friction", renewed),
            )
        )
    return Friction(
        diameter=diameter,
        length=along,
        roughness=ducts.roughness(material),
        by=by,
        compression=compression,
        typical_compression=typical,
    )


def fitting_pieces(
    bench: Bench,
    base: str,
    keys: tuple[str, ...],
    size: Sized,
    renewed: Mapping[str, str],
    family: str,
    other: Section | None = None,
    described: bool = True,
) -> tuple[Local, ...]:
    """Local losses of the fittings of a duct, on its own velocity pressure.

    Boots scatter much wider than sheet metal, so they have a parameter of their own.  ``other`` is
    the section next to it where there is one: a trunk's for a take-off, the register's for a boot.
    Of fittings that nobody described it is not said that they do not suit the duct.
    """
    groups: dict[tuple[str, str], list[fittings.Loss]] = {}
    for key in keys:
        kind = fittings.fitting(key).group
        group = "boot" if kind == "boot" else "fittings"
        # A change of section stands between two ducts of which the survey knows one.
        loss = fittings.loss(key, size.section, other if kind in ("take-off", "boot") else None)
        bench.note(base, loss.beyond if described else None)
        groups.setdefault((group, feature_of(key, renewed)), []).append(loss)
    pieces = []
    for (group, feature), members in groups.items():
        total = sum(m.coefficient for m in members)
        if total == 0.0:
            continue
        # Independent authors' spread of the members, relative to their sum.
        own = sum((m.sigma_ln * m.coefficient) ** 2 for m in members) ** 0.5 / abs(total)
        middle = sum(m.median * m.coefficient for m in members) / total
        role, own = ("terminal", own) if group == "boot" else scatter(feature, own)
        parameter = Parameter(
            name=named(base, feature, renewed) + (":boot" if group == "boot" else ""),
            role=role,
            sigma=own,
            median=middle,
            facts=size.facts(_LOCAL_ON_DIAMETER),
            family=family_of(family, feature, renewed),
        )
        pieces.append(Local(total, size.section.area, ((bench.unknown(parameter), 1.0),)))
    return tuple(pieces)


def as_found(bench: Bench, base: str, role: str, feature: str, renewed: Mapping[str, str]) -> By:
    """How one part differs from what is said of it; nothing once its feature is new work."""
    if feature in renewed:
        return ()
    return ((bench.unknown(Parameter(f"{base}:{role}", role)), 1.0),)


def blade_pieces(bench: Bench, base: str, duct: Duct, section: Section) -> tuple[Local, ...]:
    """Loss of the damper whose angle is known, of the kind usual in such a section; or none."""
    if duct.damper is None:
        return ()
    kind = dampers.usual_kind(section.shape)
    return (damper_piece(bench, base, kind, duct.damper.si, section.area),)


def damper_piece(bench: Bench, base: str, kind: str | None, angle: float, area: float) -> Local:
    """Loss of a damper whose blade stands at an angle from open [rad], in a duct of ``area``."""
    loss, sigma = dampers.damper_loss(kind, angle)
    bench.note(base, dampers.beyond(kind, angle))
    # A blade at another angle is another resistance; where it stands is part of the name.
    name = f"{base}:damper:{angle:.3g}"
    parameter = Parameter(name, "fittings", sigma=float(sigma), median=1.0)
    return Local(float(loss), area, ((bench.unknown(parameter), 1.0),))


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
        family=family_of(family, feature, renewed),
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


def leak_leaf(bench: Bench, survey: Survey, side: Side, path: tuple[int, ...]) -> Leaf:
    """A side's leakage: tested, by how it was sealed, or a usual share of the field's airflow.

    A leak of unknown place sees half of the plenum's pressure (ASHRAE 152 convention, memory).
    """
    known = next((one for one in survey.leakage if one.side == side), None)
    exponent = leaks.exponent()
    name, middle, sigma = f"{side}:leak", 1.0, None
    sealed: By = ()
    while known is not None and known.before is not None:
        change = known.renewed["leak"]
        if known.airflow is not None:
            # A test says what the leak is now, whatever it was.
            name = f"{side}:leak@{change}"
            break
        left, spread = leaks.left_when_sealed()
        share = Parameter(f"{side}:leak-left@{change}", f"leak-{side}", spread, left)
        sealed = (*sealed, (bench.unknown(share), -1.0 / exponent))
        known = known.before
    if known is not None and known.airflow is not None:
        pressure = assumed("leak-test-pressure") if known.pressure is None else known.pressure.si
        # Where a test found no leak at all, what it could not see is left.
        seen = max(known.airflow.si, assumed("leak-least"))
        unit_leak = float(leaks.measured_coefficient(seen, pressure))
        bench.note(name, leaks.beyond(pressure))
        sigma = leaks.measured_sigma_ln()
    else:
        fraction = assumed(f"leak-fraction-{side}")
        if known is not None and known.sealing is not None:
            fraction, sigma = leaks.sealing(known.sealing)
        elif side == "return":
            middle, sigma = _leaky_cavities(survey)
        unit_leak = float(
            leaks.leak_coefficient(
                fraction, bench.field_flow, assumed(f"leak-pressure-{side}"), exponent
            )
        )
    parameter = Parameter(name, f"leak-{side}", sigma=sigma, median=middle)
    law = Power(
        1.0 / assumed("leak-place") / unit_leak ** (1.0 / exponent),
        1.0 / exponent,
        ((bench.unknown(parameter), -1.0 / exponent), *sealed),
    )
    index = bench.add(Edge(f"{side}:leak", f"{side} duct leakage", side, power=(law,)))
    return Leaf(f"{side}-leak", "leak", (*path, index))


def _leaky_cavities(survey: Survey) -> tuple[float, float | None]:
    """How many times an ordinary return's leak the returns have that are made of the building."""
    found = [
        cavities.cavity(str(one.kind))
        for one in survey.returns or ()
        if one.kind in cavities.CAVITIES
    ]
    if not found:
        return 1.0, None
    share = len(found) / len(survey.returns or ())
    ratio = sum(one.leak_ratio for one in found) / len(found)
    return 1.0 + share * (ratio - 1.0), max(one.leak_sigma_ln for one in found)
