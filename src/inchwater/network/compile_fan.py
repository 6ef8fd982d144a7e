"""The blower in a condition: which tap runs, what moves its table, what the table's zero holds.

The zero of external static may already hold filter, coil or heater.  What it holds is subtracted as
the clean drop that the table's maker tested, so that dirt and water still count; what it holds and
this unit does not have is subtracted too, because the blower is spared it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot, log, sqrt
from typing import Any

from inchwater.errors import InputError, NotPossibleError
from inchwater.network.build import Bench, NewMotor, assumed
from inchwater.network.compile_unit import boundary, table_references
from inchwater.network.elements import By, Fan, Parameter
from inchwater.network.pieces import named
from inchwater.parts import blowers, coefficients, fan_laws
from inchwater.parts.table_noise import table_noise
from inchwater.survey import BlowerTable, How, Survey, Unit

# The stage of a call whose tap a lower stage cannot be above.
_STAGE_ABOVE = {"cooling-low": "cooling", "heating-low": "heating"}
_CERTAIN = (How.MEASURED, How.SEEN)
_HOLDS = "constant-airflow"


@dataclass(frozen=True, slots=True)
class Running:
    """What may run: curves from most air to least, their taps, the printed ones they are made of.

    ``place`` names the parameter between several curves; ``own`` the tap whose own deviation
    counts; ``sigma_ln`` how far a filled or a doubtful tap may lie from its curve [-]; ``said``
    what was assumed of it, None where nothing had to be.
    """

    curves: tuple[blowers.TapCurve, ...]
    taps: tuple[str, ...]
    printed: tuple[str, ...]
    place: Parameter | None = None
    own: str | None = None
    sigma_ln: float = 0.0
    said: str | None = None


def tap_in_force(unit: Unit, state: Mapping[str, str]) -> str | None:
    """The tap that runs in a condition; None if nobody knows."""
    if "tap" in state:
        return state["tap"]
    call = state.get("call")
    if call is not None and call in unit.calls:
        return unit.calls[call]
    if call in _STAGE_ABOVE and (unit.table is None or len(unit.table.taps) > 1):
        # The tap of the stage above is no news of the one below; see ``running``.
        return None
    if unit.tap is not None:
        return unit.tap
    if unit.table is not None and len(unit.table.taps) == 1:
        return unit.table.taps[0]
    return None


def tap_how(unit: Unit, state: Mapping[str, str]) -> How:
    """How the tap in force is known: a condition's own is seen, a call's as ``calls_how`` says."""
    call = state.get("call")
    if "tap" not in state and call is not None and call in unit.calls:
        return unit.calls_how.get(call, How.SEEN)
    return How.SEEN


def running(unit: Unit, table: BlowerTable, state: Mapping[str, str]) -> Running:
    """The curves of a table that may run in a condition.

    One where the tap is known; a tap that was only told or is only usual lies somewhere between
    its neighbours; where nobody knows it, anywhere in the table, below its upper stage's tap if
    that is known.  A tap that the table lacks is filled by :func:`parts.fan_laws.fill_tap`.

    Raises
    ------
    UnknownNameError
        If the tap is not in the table and nothing is known of it.
    """
    tap = tap_in_force(unit, state)
    order = fan_laws.known_taps(table.rows)
    if tap is None:
        return _anywhere(unit, table, state.get("call", ""))
    how = tap_how(unit, state)
    if tap in order:
        if how in _CERTAIN:
            return Running((blowers.tap_curve(table.rows, tap),), (tap,), (tap,), own=tap)
        return _near(table, order, tap, how, state.get("call", ""))
    holds = unit.motor in (None, _HOLDS)
    filled = fan_laws.fill_tap(table.rows, tap, holds)
    sigma = filled.sigma_ln if how in _CERTAIN else hypot(filled.sigma_ln, _doubt(how))
    if len(filled.curves) == 1:
        return Running(filled.curves, (tap,), filled.taps, None, tap, sigma, filled.said)
    place = Parameter(f"unit:tap-place:{tap}", "tap-near")
    return Running(filled.curves, filled.taps, filled.taps, place, tap, sigma, filled.said)


def _anywhere(unit: Unit, table: BlowerTable, call: str) -> Running:
    """Any tap of the table; for a low stage none that is faster than its upper stage's."""
    found = fan_laws.curves_of(table.rows)
    taps = tuple(found)
    above = _STAGE_ABOVE.get(call)
    highest = None if above is None else unit.calls.get(above, unit.tap)
    if highest in taps[:-1]:
        taps = taps[taps.index(str(highest)) :]
    printed = tuple(tap for tap in fan_laws.known_taps(table.rows) if tap in taps) or taps
    # Other calls than the usual one may run on another tap, nobody knows which either.
    name = "unit:tap" if call in ("", "cooling") else f"unit:tap-of:{call}"
    place = Parameter(name, "tap-place") if len(taps) > 1 else None
    return Running(tuple(found[tap] for tap in taps), taps, printed, place)


def _near(table: BlowerTable, order: tuple[str, ...], tap: str, how: How, call: str) -> Running:
    """A tap that was only told, or is only usual: part of the way to each neighbour."""
    reach = _reach(how)
    said = f"Tap {tap} is only {how}; a neighbouring one may run."
    own = blowers.tap_curve(table.rows, tap)
    if len(order) == 1:
        return Running((own,), (tap,), (tap,), None, tap, _doubt(how), said)
    at = order.index(tap)
    curves, taps = [own], [tap]
    for neighbour in order[max(at - 1, 0) : at + 2]:
        if neighbour == tap:
            continue
        curve = blowers.tap_curve(table.rows, neighbour)
        index = 0 if order.index(neighbour) < at else len(curves)
        curves.insert(index, fan_laws.between(own, curve, reach, neighbour))
        taps.insert(index, neighbour)
    place = Parameter(f"unit:tap-place:{call}:{tap}:{how}", "tap-near")
    return Running(tuple(curves), tuple(taps), tuple(taps), place, tap, 0.0, said)


def _reach(how: How) -> float:
    """How far towards its neighbours a tap may lie, in taps. [-]"""
    return coefficients.value("blowers", f"reach {how}")


def _doubt(how: How) -> float:
    """Sigma of ln of a doubtful tap whose neighbours are not known. [-]"""
    # An even spread over the reach to both sides, in steps of the usual distance of two taps.
    return _reach(how) * abs(log(coefficients.value("blowers", "tap step"))) / sqrt(3.0)


def tap_note(survey: Survey, state: Mapping[str, str]) -> str | None:
    """What is assumed of the tap in force, as a sentence; None where its row is in the table."""
    table = survey.unit.table
    return None if table is None else running(survey.unit, table, state).said


def compile_fan(
    bench: Bench,
    survey: Survey,
    state: Mapping[str, str],
    includes: frozenset[str] | None,
    thinner: float = 1.0,
) -> Fan:
    """The blower in a condition; ``thinner`` as in :class:`temper.Thinner`, in its wheel. [-]

    Raises
    ------
    NotPossibleError
        For twinned units, and at a fan whose wheel or coil stops the diagnosis.
    UnknownNameError
        If the tap is not in the table and cannot be filled from it.
    """
    unit = survey.unit
    new = unit.renewed.get("motor")
    if new is not None:
        # The old motor's unknowns say nothing of the new one's.
        bench = NewMotor.of(bench, new)
    if unit.count != 1:
        raise NotPossibleError(
            where="survey.unit.count",
            came=f"{unit.count} units on one duct system",
            right="two blowers on one duct cannot be told apart by these readings",
            do="Read each unit with its twin off and its own dampers shut, as a job of its own.",
        )
    held = boundary(survey, includes)
    references = table_references(bench, survey, state, held)
    if unit.table is None:
        now = Running((blowers.generic_curve(unit.motor, unit.capacity.si),), ("",), ("",))
        bench.note("blower", blowers.generic_beyond(unit.capacity.si))
    else:
        now = running(unit, unit.table, state)
        bench.note("blower", now.said)
    level = _level(bench, unit, now, state)
    dense = bench.air.density_ratio / thinner
    return Fan(
        curves=now.curves,
        taps=now.taps,
        level=level,
        tap_by=None if now.place is None else bench.unknown(now.place),
        references=references,
        entry=1.0 / float(blowers.density_ratio_entry(1.0, dense, unit.motor)),
        volume=1.0 / thinner,
        includes=held,
        has_table=unit.table is not None,
        power_by=_power_by(bench, unit, now, state),
        beyond_by=bench.unknown(Parameter("unit:beyond", "beyond")),
        rated=assumed("rated-tesp"),
        **_lean(bench, unit),
    )


def _lean(bench: Bench, unit: Unit) -> dict[str, Any]:
    """How this unit's curves may lie to the printed ones, beside their level."""
    if unit.motor != _HOLDS:
        sigma = coefficients.value("blowers", f"slant {unit.motor or 'unknown'}")
        return {"slant_by": bench.unknown(Parameter("unit:slant", "slant", sigma=sigma))}
    # A flat curve has no slope to multiply; and what its motor can give sets where it lets go.
    exponent = coefficients.value("blowers", "reach wheel exponent")
    reach = (
        (bench.unknown(Parameter("unit:reach", "reach")), 1.0),
        (bench.unknown(_wheel(unit)), exponent),
    )
    return {"tilt_by": bench.unknown(Parameter("unit:tilt", "tilt")), "reach_by": reach}


def _wheel(unit: Unit) -> Parameter:
    middle, doubt = blowers.wheel_factor(unit.wheel)
    name = named("unit", "wheel", unit.renewed)
    return Parameter(name, "wheel", sigma=doubt, median=middle)


def _level(bench: Bench, unit: Unit, now: Running, state: Mapping[str, str]) -> By:
    """What moves the flow of the curves: each parameter once, with its exponent."""
    found = []
    if now.own is not None:
        found.append(Parameter(f"unit:tap:{now.own}", "tap"))
    sigma = blowers.sigma_ln(unit.motor, generic=unit.table is None)
    name = "unit:level" if unit.table is not None else "unit:level:untabled"
    found.append(Parameter(name, "level", sigma=sigma))
    if unit.motor != _HOLDS:
        # A motor that holds its airflow holds it with a dusty wheel too, but not as far.
        found.append(_wheel(unit))
    if "volts" in state:
        measured, nominal = _volts(unit, state)
        bench.note("blower", blowers.voltage_beyond(unit.motor, measured, nominal))
        along, name = _along(unit, now)
        factor, spread = blowers.voltage_factor(unit.motor, measured, nominal, along)
        name = f"unit:volts:{state['volts']}{name}"
        found.append(Parameter(name, "voltage", sigma=float(spread), median=float(factor)))
    if now.sigma_ln > 0.0:
        found.append(Parameter(f"unit:tap-missing:{now.own}", "tap-missing", sigma=now.sigma_ln))
    if unit.table is not None:
        rounding = max(table_noise(unit.table.rows, tap).airflow for tap in now.printed)
        if rounding > 0.0:
            name = f"unit:rounding:{'+'.join(now.printed)}"
            found.append(Parameter(name, "table-rounding", sigma=rounding))
    return tuple((bench.unknown(one), 1.0) for one in found)


def _power_by(bench: Bench, unit: Unit, now: Running, state: Mapping[str, str]) -> By:
    """What moves the watts.

    A motor that holds its airflow works for it: where it moves more than its table, it takes more,
    which is how watts show what statics cannot.
    """
    by = [(bench.unknown(Parameter("unit:power", "power")), 1.0)]
    if unit.table is None or any(curve.power(0.0) is None for curve in now.curves):
        return tuple(by)
    if unit.motor == _HOLDS:
        exponent = blowers.watts_exponent(unit.table.rows)
        by.append((bench.called("unit:level"), exponent))
        if now.own is not None:
            by.append((bench.called(f"unit:tap:{now.own}"), exponent))
    if "volts" in state:
        factor, spread = blowers.voltage_power_factor(unit.motor, *_volts(unit, state))
        name = f"unit:volts-power:{state['volts']}"
        volts = Parameter(name, "voltage", sigma=float(spread), median=float(factor))
        by.append((bench.unknown(volts), 1.0))
    if now.sigma_ln > 0.0:
        sigma = coefficients.value("blowers", "fan law sigma_ln watts")
        filled = Parameter(f"unit:tap-missing-watts:{now.own}", "tap-missing", sigma=sigma)
        by.append((bench.unknown(filled), 1.0))
    rounding = max(table_noise(unit.table.rows, tap).power or 0.0 for tap in now.printed)
    if rounding > 0.0:
        name = f"unit:rounding-watts:{'+'.join(now.printed)}"
        by.append((bench.unknown(Parameter(name, "table-rounding", sigma=rounding)), 1.0))
    return tuple(by)


def _along(unit: Unit, now: Running) -> tuple[float, str]:
    """Where the tap stands from the fastest (0) to the slowest (1), and a name's end for it."""
    if unit.table is None:
        return 0.0, ""
    order = fan_laws.known_taps(unit.table.rows)
    places = [order.index(tap) for tap in now.printed if tap in order]
    if len(order) < 2 or not places:
        return 0.0, ""
    if now.own in order:
        places = [order.index(str(now.own))]
    along = sum(places) / len(places) / (len(order) - 1)
    return along, "" if along == 0.0 else f":{'+'.join(now.printed)}"


def _volts(unit: Unit, state: Mapping[str, str]) -> tuple[float, float]:
    """Voltage under load as the condition has it, and that of the table. [V]"""
    try:
        measured = float(state["volts"])
    except ValueError:
        raise InputError(
            where="volts", came=repr(state["volts"]), right="a number of volts under load"
        ) from None
    if unit.nominal_volts is not None:
        return measured, unit.nominal_volts.si
    # Furnaces run on the lower, air handlers on the higher of the two usual supplies.
    low, high = assumed("nominal-volts-low"), assumed("nominal-volts-high")
    return measured, low if measured < (low * high) ** 0.5 else high
