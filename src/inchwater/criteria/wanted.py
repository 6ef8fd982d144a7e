"""``targets(survey, wanted, call)``: everything that is wanted of a system in one call.

From presets, from what its makers printed, and from what somebody wishes, in this order of rank
from below; a wish may be stricter than a maker's limit and never looser.
"""

from __future__ import annotations

from dataclasses import replace

from inchwater import units
from inchwater.criteria.bounds import Bounds, Usual, Wished, said_by_others, usual
from inchwater.criteria.exclusive import refuse_exclusive
from inchwater.criteria.limits import criteria
from inchwater.criteria.maker import Maker
from inchwater.criteria.presets import Goal, burns_gas, for_cooling, goal, plate
from inchwater.criteria.target import Target
from inchwater.criteria.targets_parts import of_ducts, of_filters, of_openings
from inchwater.criteria.targets_rooms import of_rooms
from inchwater.errors import InputError, UnknownNameError
from inchwater.survey.facts import How
from inchwater.survey.job import Survey, Targets
from inchwater.survey.unit import CALLS, HEATING_CALLS


def targets(
    survey: Survey, wanted: Targets, call: str = "", noisy: str | None = None
) -> tuple[Target, ...]:
    """What is wanted of a system in one thermostat call.

    Parameters
    ----------
    survey : Survey
        The system after the changes that are looked at: each filter, run, trunk, return and room of
        it has targets of its own.
    wanted : Targets
        The job's: its preset and wishes.
    call : str
        One of ``survey.CALLS``; empty is full cooling.
    noisy : str, optional
        The room in which noise is complained of, empty for all rooms (:func:`noisy_room`): there
        an opening is to come within its guidance or to become clearly softer, elsewhere not to
        become clearly louder.

    Returns
    -------
    tuple of Target
        Airflow and delivered air, external static, filters, ducts, registers and grilles, noise,
        rooms, watts, temperature rise, least air for heat and leaks; each only where this system
        and call have it.

    Raises
    ------
    InputError
        If two of them exclude each other, a wish is looser than what a maker allows, or it is of
        what this call does not have.
    UnknownNameError
        at ``call`` or ``targets.preset`` if there is none of this name.
    """
    if call not in ("", *CALLS):
        raise UnknownNameError(
            where="call", came=repr(call), right=f"the calls are {', '.join(CALLS)}"
        )
    _refuse_misplaced(survey, wanted)
    maker = Maker(survey, wanted, call, Wished(survey, wanted, call), noisy)
    for add in (
        of_the_air,
        of_filters,
        of_ducts,
        of_openings,
        of_rooms,
        of_watts,
        of_heat,
        of_leaks,
    ):
        add(maker)
    found = tuple(maker.found)
    refuse_exclusive(survey, found, call)
    return found


def calls_wanted(survey: Survey, wanted: Targets) -> tuple[str, ...]:
    """The calls in which something is wanted that full cooling alone cannot show.

    Full cooling first; a heating call where a plate or kit limits its air, and every call that a
    wish names, as far as the unit maps it to a tap.
    """
    named = {wish.call for wish in wanted.wishes if wish.call is not None}
    unit = survey.unit
    for call in HEATING_CALLS:
        kit = unit.heat_kit is not None and unit.heat_kit.least_airflow is not None
        if call in unit.rise or (call == "heating" and kit):
            named.add(call)
    return ("cooling", *(c for c in CALLS if c != "cooling" and c in named and c in unit.calls))


def window_of(survey: Survey, wanted: Targets, call: str) -> Goal | None:
    """The airflow window of presets and targets in a call; None where none is for it."""
    return goal(survey, wanted) if for_cooling(survey, call or None) else None


def of_the_air(maker: Maker) -> None:
    """The window, what reaches the rooms of it, and the external static."""
    capacity = maker.survey.unit.capacity.si
    window = window_of(maker.survey, maker.wanted, maker.call)
    preset = None
    if window is not None:
        preset = Usual(window.low, window.high, window.source, window.status)
    others = said_by_others("airflow-per-ton", "airflow", capacity) if window else ()
    air = maker.wished.bounds("airflow", "airflow", preset, others=others)
    if air is not None and window is not None and window.stated:
        air = replace(_both_hold(air, window), stated=True)
    maker.add("airflow", "Airflow through the unit", "airflow", "airflow", air)
    _delivered(maker, air)
    limit, how = plate(maker.survey)
    row = criteria()["tesp"]
    typed = how is not How.TYPICAL
    maker.add(
        "tesp",
        "External static pressure",
        "tesp",
        "pressure",
        maker.wished.bounds(
            "tesp",
            "pressure",
            Usual(None, limit, row.cited, row.status, row.note),
            printed=Usual(None, limit, "the rating plate", str(how)) if typed else None,
            others=() if typed else said_by_others("tesp-typical", "pressure"),
        ),
    )


def _delivered(maker: Maker, air: Bounds | None) -> None:
    """What reaches the rooms, of what is wanted; of what the unit moves where nothing is."""
    row = criteria()["rooms"]
    preset = Usual(row.low, None, row.cited, row.status, row.note)
    middle = None if air is None else _middle(air)
    share = maker.wished.bounds("delivered", "ratio", preset if middle else None)
    label = "Air that reaches the rooms"
    if share is None or share.low is None:
        return
    if middle is None:
        maker.add(
            "delivered", f"{label}, of what the unit moves", "delivered_share", "ratio", share
        )
        return
    low = Bounds(share.low * middle, None, share.source, share.status, share.note, share.stated)
    maker.add("delivered", label, "delivered", "airflow", low)


def of_leaks(maker: Maker) -> None:
    """The air that a maker asks for when a sensor finds that refrigerant leaks."""
    least = maker.survey.unit.leak_airflow
    if least is None or maker.call not in ("", "cooling"):
        return
    bounds = Bounds(least.si, None, "the unit's own plate or manual", str(least.how), "", False)
    label = "Air when the sensor of leaking refrigerant runs the blower"
    maker.add("leak-air", label, "airflow", "airflow", bounds)


def of_watts(maker: Maker) -> None:
    """Fan watts for the air moved."""
    key = "power-gas" if burns_gas(maker.survey) else "power-other"
    row = criteria()[key]
    maker.add(
        "power",
        row.label,
        "power",
        "power_per_airflow",
        maker.wished.bounds(
            "power",
            "power_per_airflow",
            Usual(None, row.high, row.cited, row.status, row.note),
            others=said_by_others(f"{key}-target", "power_per_airflow"),
        ),
        needed=False,
    )


def of_heat(maker: Maker) -> None:
    """Temperature rise of this heating call, and the air that an electric kit asks for."""
    unit = maker.survey.unit
    if maker.call not in HEATING_CALLS or unit.heat == "none":
        return
    plate_rise = unit.rise.get(maker.call)
    printed = None
    if plate_rise is not None:
        low, high = plate_rise.low, plate_rise.high
        printed = Usual(low.si, high.si, "the rating plate", str(low.how))
    preset = usual("rise") if burns_gas(maker.survey) else None
    rise = maker.wished.bounds("rise", "temperature_rise", preset, printed=printed)
    # Nothing is decided by a usual range: the plate is to be read.
    maker.add(
        "rise",
        "Temperature rise of the air",
        "rise",
        "temperature_rise",
        rise,
        needed=printed is not None,
    )
    kit = unit.heat_kit
    if kit is not None and kit.least_airflow is not None and maker.call == "heating":
        least = kit.least_airflow
        bounds = Bounds(least.si, None, "the heat kit's own table", str(least.how), "", False)
        maker.add("kit-air", "Air through the electric heat kit", "airflow", "airflow", bounds)


def _refuse_misplaced(survey: Survey, wanted: Targets) -> None:
    """Wishes that could never be held against anything: nothing is dropped without a word."""
    for number, wish in enumerate(wanted.wishes):
        where = f"targets.wishes[{number}]"
        checks: tuple[tuple[bool, str, str, str], ...] = (
            (
                wish.key == "rise" and wish.call not in (None, *HEATING_CALLS),
                f"a temperature rise in the {wish.call} call",
                f"it is wished for in one of {', '.join(HEATING_CALLS)}",
                "Name one of these, or none for all of them.",
            ),
            (
                wish.key == "rise" and survey.unit.heat == "none",
                "a temperature rise of a unit that does not heat",
                "what heats is in the survey",
                "Leave the wish out, or say how the unit heats.",
            ),
        )
        for wrong, came, right, do in checks:
            if wrong:
                raise InputError(where=where, came=f"{came},", right=right, do=do)


def _both_hold(air: Bounds, window: Goal) -> Bounds:
    """A wished airflow within a window that was stated for the capacity: the stricter of both."""
    low = window.low if air.low is None else max(air.low, window.low)
    high = window.high if air.high is None else min(air.high, window.high)
    if low > high:
        raise InputError(
            where="targets.wishes",
            came=f"an airflow of {_cfm(air.low)} to {_cfm(air.high)} cfm",
            right="it has something in common with the airflow that is stated for the capacity, "
            f"{_cfm(window.low)} to {_cfm(window.high)} cfm",
            do="Leave one of the two out.",
        )
    return Bounds(low, high, air.source, air.status, air.note, air.stated, air.others)


def _cfm(value: float | None) -> str:
    return "any" if value is None else f"{units.from_si(value, 'cfm'):,.0f}"


def _middle(air: Bounds) -> float | None:
    """The design that an airflow window stands for. [m3/s]"""
    known = [one for one in (air.low, air.high) if one is not None]
    return sum(known) / len(known) if known else None
