"""What stands at the unit: filters in its slot, the coil, electric heat, and the test points.

Also what of it the blower table's zero of external static may already hold.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import log
from typing import Literal

from inchwater.network.build import Bench, assumed
from inchwater.network.elements import By, Edge, Parameter, Port, Power, Side
from inchwater.network.pieces import anew, filter_piece, named
from inchwater.parts import coils, heaters
from inchwater.parts.laws import PowerLaw
from inchwater.survey import Coil, Filter, HeatKit, Survey, coils_of, filters_of

# The likeliest contents of a table's zero, by kind of unit, and what else is printed.
POSSIBLE: Mapping[str, tuple[frozenset[str], ...]] = {
    "air-handler": (
        frozenset({"coil-dry"}),
        frozenset({"coil-dry", "filter"}),
        frozenset({"coil-wet"}),
    ),
    "furnace": (frozenset(), frozenset({"filter"})),
    "packaged": (frozenset({"coil-dry", "filter"}), frozenset({"coil-dry"})),
}


# The filter that a maker's table was tested with, where none stands in the unit: a clean panel.
_TESTED = "fiberglass-1in"


def compile_filters(bench: Bench, survey: Survey, state: Mapping[str, str]) -> None:
    """Put the filters of the unit's own slot on the bench, in the air's order."""
    held = _unit_filters(survey)
    for one in held:
        if state.get(f"filter:{one.id}") == "out":
            continue
        law, _ = filter_piece(bench, one, 1.0)
        bench.unit_filter.append(
            bench.add(
                Edge(
                    f"filter:{one.id}",
                    "Filter",
                    "unit",
                    power=(law,),
                    guidance=assumed("guidance-filter"),
                )
            )
        )


def _unit_filters(survey: Survey) -> tuple[Filter, ...]:
    return tuple(f for f in filters_of(survey) if f.at == "unit")


def unit_coil(survey: Survey) -> Coil | None:
    """The coil that the air passes, None if there is known to be none."""
    return next(iter(coils_of(survey)), None)


def compile_coil(bench: Bench, survey: Survey, state: Mapping[str, str]) -> None:
    """Put the coil on the bench, wet or dry as the condition says."""
    coil = unit_coil(survey)
    if coil is None:
        return
    found, _ = _coil_laws(bench, coil, survey, state)
    bench.coil_outside = not coil.inside_unit
    bench.coil.append(
        bench.add(
            Edge(
                f"coil:{coil.id}",
                "Coil",
                "unit" if coil.inside_unit else "supply",
                power=(found,),
                guidance=assumed("guidance-coil"),
            )
        )
    )


def _coil_laws(
    bench: Bench, coil: Coil, survey: Survey, state: Mapping[str, str]
) -> tuple[Power, dict[str, Power]]:
    """Drop of the coil as found, and of the clean one dry and wet."""
    capacity = survey.unit.capacity.si
    laws = {}
    sigma = 0.0
    for state_word, wet in (("coil-dry", False), ("coil-wet", True)):
        if coil.rated_drop is not None and coil.rated_airflow is not None:
            law, sigma = coils.coil_law_from_rating(
                coil.rated_drop.si, coil.rated_airflow.si, wet, coil.rated_wet
            )
        else:
            law, sigma = coils.coil_law(capacity, wet)
        laws[state_word] = law
    base = f"coil:{coil.id}"
    clean: By = ((bench.unknown(Parameter(base, "coil", sigma=sigma)), 1.0),)
    middle, doubt = coils.condition_factor(coil.condition)
    dirt = bench.unknown(
        Parameter(
            named(base, "condition", coil.renewed),
            "coil-condition",
            sigma=doubt,
            median=middle,
        )
    )
    wetting = laws["coil-wet"].coefficient / laws["coil-dry"].coefficient
    by: By = (*clean, (dirt, 1.0))
    word = wetness(state)
    if word is None:
        # Somewhere between dry and wet: dry * wetting**w, w from 0 to 1.
        by = (*by, (bench.unknown(_wetting(base, float(wetting))), 1.0))
        found = Power.of(laws["coil-dry"], by)
    else:
        found = Power.of(laws[f"coil-{word}"], by)
    return found, {name: Power.of(law, clean) for name, law in laws.items()}


def _wetting(base: str, wetting: float) -> Parameter:
    # As wide as an even spread from dry to wet on the logarithm, whose sigma is 1/sqrt(12).
    return Parameter(
        f"{base}:wetness",
        "coil-wetness",
        sigma=abs(log(wetting)) / 12.0**0.5,
        median=wetting**0.5,
    )


def wetness(state: Mapping[str, str]) -> str | None:
    """``wet`` or ``dry`` as the condition says or its call implies; None if neither does."""
    if "coil" in state:
        return state["coil"]
    call = state.get("call")
    if call is None:
        return None
    return "wet" if call in ("cooling", "cooling-low") else "dry"


def boundary(survey: Survey, includes: frozenset[str] | None) -> frozenset[str]:
    """What the table's zero holds: as surveyed, as given, or the likeliest of this kind."""
    table = survey.unit.table
    if table is not None and table.includes is not None:
        return table.includes
    return possible_boundaries(survey)[0] if includes is None else includes


def possible_boundaries(survey: Survey) -> tuple[frozenset[str], ...]:
    """What the zero of a table of this kind of unit may hold, the likeliest first.

    Where there is electric heat, its kit may have been in the unit or not: a furnace that heats by
    it was tested with it, an air handler usually without.
    """
    plain = POSSIBLE[survey.unit.kind]
    if survey.unit.heat_kit is None and survey.unit.heat != "electric":
        return plain
    heated = tuple(each | {"heater"} for each in plain if "coil-wet" not in each)
    return (*heated, *plain) if survey.unit.kind == "furnace" else (*plain, *heated)


def table_references(
    bench: Bench, survey: Survey, state: Mapping[str, str], held: frozenset[str]
) -> tuple[Power, ...]:
    """The clean drops that the table's zero holds, of what is in this unit and of what is not."""
    found: list[Power] = []
    if "filter" in held:
        # The maker tested one filter, whatever is in the slot now: about the one that was found
        # there, before any change; with an empty slot a usual one.
        own = next(iter(_unit_filters(survey)), Filter("in-table", grade=_TESTED))
        if own.before is None and "filter" in own.renewed:
            # A cabinet that a change has put where nothing stood was not the maker's.
            own = Filter("in-table", grade=_TESTED)
        found.append(filter_piece(bench, own.before or own, 1.0)[1])
    coil = unit_coil(survey)
    for word in ("coil-dry", "coil-wet"):
        if word in held and coil is not None:
            found.append(_coil_laws(bench, coil, survey, state)[1][word])
        elif word in held:
            law, sigma = coils.coil_law(survey.unit.capacity.si, word == "coil-wet")
            found.append(_named(bench, "coil:in-table", "coil", law, sigma))
    if "heater" in held:
        kit = heat_kit(survey, held)
        name = "heater" if kit is not None else "heater:in-table"
        found.append(_heater_law(bench, kit or HeatKit(), survey.unit.capacity.si, name))
    return tuple(found)


def heat_kit(survey: Survey, held: frozenset[str]) -> HeatKit | None:
    """The electric heat that the air passes; None if there is none, or nobody spoke of any.

    A table that holds a heater speaks of one, unless the unit is known to heat by something else.
    """
    unit = survey.unit
    if unit.heat_kit is not None:
        return unit.heat_kit
    spoken = "heater" in held and unit.heat in (None, "heat-pump")
    return HeatKit() if unit.heat == "electric" or spoken else None


def compile_heater(bench: Bench, survey: Survey, includes: frozenset[str] | None) -> None:
    """Put the elements of electric heat on the bench, hot or not: the air passes them always."""
    kit = heat_kit(survey, boundary(survey, includes))
    if kit is None:
        return
    capacity = survey.unit.capacity.si
    law = _heater_law(bench, kit, capacity, "heater")
    if kit.power is not None:
        bench.note("heater", heaters.beyond(kit.power.si, capacity))
    bench.heater.append(bench.add(Edge("heater", "Electric heat", "unit", power=(law,))))


def _heater_law(bench: Bench, kit: HeatKit, capacity: float, name: str) -> Power:
    if kit.rated_drop is not None and kit.rated_airflow is not None:
        law, sigma = heaters.heater_law_from_rating(kit.rated_drop.si, kit.rated_airflow.si)
    else:
        law, sigma = heaters.heater_law(None if kit.power is None else kit.power.si, capacity)
    return _named(bench, name, "heater", law, sigma)


def _named(bench: Bench, name: str, role: str, law: PowerLaw, sigma: float) -> Power:
    return Power.of(law, ((bench.unknown(Parameter(name, role, sigma=sigma)), 1.0),))


def ports(bench: Bench, survey: Survey) -> dict[str, Port]:
    """The test points of the system with their typical sections and own errors.

    A plenum that a change has put in is drilled anew, and its section is known.
    """
    result = {}
    points: tuple[tuple[str, Literal["return", "supply"]], ...] = (
        ("before-filter", "return"),
        ("return", "return"),
        ("before-coil", "supply"),
        ("supply", "supply"),
    )
    for point, side in points:
        if point == "before-coil" and not (bench.coil and bench.coil_outside):
            continue
        new = survey.supply.renewed.get("plenum") if survey.supply and point == "supply" else None
        base, area = f"port:{point}", bench.design_flow / assumed(f"port-velocity-{side}")
        name = anew(f"{base}:velocity", new)
        known = None if new is None else _in_new_plenum(name, survey, area)
        velocity = bench.unknown(known or Parameter(name, "port-velocity"))
        offset = bench.unknown(Parameter(anew(f"{base}:offset", new), f"port-offset-{side}"))
        # Before a cased coil the air is as it came.
        air: Side = "unit" if point == "before-coil" else side
        result[point] = Port(area, bench.design_flow, velocity, offset, air)
    return result


def _in_new_plenum(name: str, survey: Survey, usual: float) -> Parameter | None:
    """What multiplies the velocity pressure in a plenum whose sides a change gives.

    The blower's own outlet, of the ``usual`` section [m2], is what it was.
    """
    if survey.supply is None:
        return None
    width, height = survey.supply.section.width, survey.supply.section.height
    if width is None or height is None:
        return None
    # A velocity pressure goes with the square of each side.
    facts = (("face", width.how, 2.0), ("face", height.how, 2.0))
    ratio = usual / (width.si * height.si)
    return Parameter(name, "hole-velocity", median=ratio**2, facts=facts)
