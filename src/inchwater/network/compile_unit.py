"""What stands at the unit: filters in its slot, the coil, the blower, and the test points.

The blower table's zero of external static may already hold filter, coil or heater; what it holds
is subtracted as the clean drop that the table's maker tested, so that dirt and water still count.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import log

from inchwater.errors import InputError, NotPossibleError, UnknownNameError
from inchwater.network.build import Bench, assumed
from inchwater.network.elements import By, Edge, Fan, Parameter, Port, Power
from inchwater.network.pieces import filter_piece
from inchwater.parts import blowers, coils
from inchwater.survey import Coil, Filter, Survey, Unit, filters_of

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
    """The coil that the air passes, None if there is known to be none.

    An air handler or packaged unit holds its own; a furnace with a cooling capacity is taken to
    have a cased coil until somebody says that it has none.
    """
    if survey.coils is not None:
        return survey.coils[0] if survey.coils else None
    return Coil(id="coil", inside_unit=survey.unit.kind != "furnace")


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
        Parameter(f"{base}:condition", "coil-condition", sigma=doubt, median=middle)
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
    return "wet" if call == "cooling" else "dry"


def tap_in_force(unit: Unit, state: Mapping[str, str]) -> str | None:
    """The tap that runs in a condition; None if nobody knows."""
    if "tap" in state:
        return state["tap"]
    call = state.get("call")
    if call is not None and call in unit.calls:
        return unit.calls[call]
    if unit.tap is not None:
        return unit.tap
    if unit.table is not None and len(unit.table.taps) == 1:
        return unit.table.taps[0]
    return None


def boundary(survey: Survey, includes: frozenset[str] | None) -> frozenset[str]:
    """What the table's zero holds: as surveyed, as given, or the likeliest of this kind."""
    table = survey.unit.table
    if table is not None and table.includes is not None:
        return table.includes
    return POSSIBLE[survey.unit.kind][0] if includes is None else includes


def compile_fan(
    bench: Bench, survey: Survey, state: Mapping[str, str], includes: frozenset[str] | None
) -> Fan:
    """The blower in a condition.

    Raises
    ------
    NotPossibleError
        For twinned units, and at a fan whose wheel or coil stops the diagnosis.
    UnknownNameError
        If the tap is not in the table.
    """
    unit = survey.unit
    if unit.count != 1:
        raise NotPossibleError(
            where="survey.unit.count",
            came=f"{unit.count} units on one duct system",
            right="two blowers on one duct cannot be told apart by these readings",
            do="Read each unit with its twin off and its own dampers shut, as a job of its own.",
        )
    held = boundary(survey, includes)
    references = []
    if "filter" in held:
        references += [filter_piece(bench, one, 1.0)[1] for one in _unit_filters(survey)]
    coil = unit_coil(survey)
    for word in ("coil-dry", "coil-wet"):
        if word in held and coil is not None:
            references.append(_coil_laws(bench, coil, survey, state)[1][word])
    level: list[tuple[str, float]] = []
    tap_by = None
    if unit.table is None:
        curves: tuple[blowers.TapCurve, ...] = (
            blowers.generic_curve(unit.motor, unit.capacity.si),
        )
        taps: tuple[str, ...] = ("",)
    else:
        tap = tap_in_force(unit, state)
        if tap is not None and tap not in unit.table.taps:
            raise UnknownNameError(
                where="tap",
                came=repr(tap),
                right=f"the table has taps {', '.join(unit.table.taps)}",
            )
        taps = unit.table.taps if tap is None else (tap,)
        curves = tuple(blowers.tap_curve(unit.table.rows, one) for one in taps)
        if tap is None:
            tap_by = bench.unknown(Parameter("unit:tap", "tap-place"))
        else:
            level.append((bench.unknown(Parameter(f"unit:tap:{tap}", "tap")), 1.0))
    sigma = blowers.sigma_ln(unit.motor, generic=unit.table is None)
    name = "unit:level" if unit.table is not None else "unit:level:untabled"
    level.append((bench.unknown(Parameter(name, "level", sigma=sigma)), 1.0))
    middle, doubt = blowers.wheel_factor(unit.wheel)
    level.append((bench.unknown(Parameter("unit:wheel", "wheel", sigma=doubt, median=middle)), 1.0))
    if "volts" in state:
        measured = _volts(state)
        if unit.nominal_volts is not None:
            nominal = unit.nominal_volts.si
        else:
            # Furnaces run on the lower, air handlers on the higher of the two usual supplies.
            low, high = assumed("nominal-volts-low"), assumed("nominal-volts-high")
            nominal = low if measured < (low * high) ** 0.5 else high
        factor, spread = blowers.voltage_factor(unit.motor, measured, nominal)
        volts = Parameter(
            f"unit:volts:{state['volts']}", "voltage", sigma=float(spread), median=float(factor)
        )
        level.append((bench.unknown(volts), 1.0))
    return Fan(
        curves=curves,
        taps=taps,
        level=tuple(level),
        tap_by=tap_by,
        references=tuple(references),
        entry=1.0 / float(blowers.density_ratio_entry(1.0, bench.air.density_ratio, unit.motor)),
        includes=held,
        has_table=unit.table is not None,
        power_by=((bench.unknown(Parameter("unit:power", "power")), 1.0),),
        beyond_by=bench.unknown(Parameter("unit:beyond", "beyond")),
    )


def _volts(state: Mapping[str, str]) -> float:
    try:
        return float(state["volts"])
    except ValueError:
        raise InputError(
            where="volts", came=repr(state["volts"]), right="a number of volts under load"
        ) from None


def ports(bench: Bench) -> dict[str, Port]:
    """The test points of the system with their typical sections and own errors."""
    result = {}
    for point, side in (
        ("before-filter", "return"),
        ("return", "return"),
        ("before-coil", "supply"),
        ("supply", "supply"),
    ):
        if point == "before-coil" and not (bench.coil and bench.coil_outside):
            continue
        velocity = bench.unknown(Parameter(f"port:{point}:velocity", "port-velocity"))
        offset = bench.unknown(Parameter(f"port:{point}:offset", f"port-offset-{side}"))
        area = bench.design_flow / assumed(f"port-velocity-{side}")
        result[point] = Port(area, bench.design_flow, velocity, offset)
    return result
