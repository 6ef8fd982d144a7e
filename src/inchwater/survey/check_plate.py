"""What a plate says of heat, what surrounds the ducts, and a year's use: what of it cannot be."""

from __future__ import annotations

from collections.abc import Iterator

from inchwater import units
from inchwater.errors import InchwaterError, InputError, UnknownNameError
from inchwater.survey.facts import Fact
from inchwater.survey.job import Survey
from inchwater.survey.ranges import fact_problem, range_of
from inchwater.survey.unit import CALLS, HEATING_CALLS, Unit


def plate_problems(unit: Unit) -> Iterator[InchwaterError]:
    """A low stage above the full one, ranges of rise that are none, shares that cannot be."""
    yield from fact_problem("survey.unit.heat_output_low", unit.heat_output_low, "heat_output")
    yield from fact_problem("survey.unit.sensible_share", unit.sensible_share, "sensible_share")
    yield from fact_problem("survey.unit.leak_airflow", unit.leak_airflow, "airflow")
    low, full = unit.heat_output_low, unit.heat_output
    if low is not None and full is not None and not low.si < full.si:
        yield InputError(
            where="survey.unit.heat_output_low",
            came=f"{_said(low)} beside {_said(full)} in the full stage",
            right="a low stage gives less heat than the full one",
            do="Check both on the plate.",
        )
    for call, rise in unit.rise.items():
        where = f"survey.unit.rise.{call}"
        if call not in HEATING_CALLS:
            yield UnknownNameError(
                where=where, came=repr(call), right=f"the calls are {', '.join(HEATING_CALLS)}"
            )
            continue
        wrong = [
            *fact_problem(f"{where}.low", rise.low, "temperature_rise"),
            *fact_problem(f"{where}.high", rise.high, "temperature_rise"),
        ]
        yield from wrong
        if not wrong and not rise.low.si < rise.high.si:
            yield InputError(
                where=where,
                came=f"{_said(rise.low)} to {_said(rise.high)}",
                right="a plate allows a rise from a lower to a higher figure",
                do="Check both on the plate.",
            )


def use_problems(survey: Survey) -> Iterator[InchwaterError]:
    """Temperatures around the ducts, hours, energy and price that cannot be."""
    place, use = survey.place, survey.use
    wrong = [
        *fact_problem("place.duct_air", place.duct_air, "duct_air"),
        *fact_problem("place.duct_dew_point", place.duct_dew_point, "duct_air"),
    ]
    yield from wrong
    air, dew = place.duct_air, place.duct_dew_point
    if not wrong and air is not None and dew is not None and dew.si > air.si:
        yield InputError(
            where="place.duct_dew_point",
            came=_said(dew),
            right=f"it is no higher than the air's temperature, {_said(air)}",
            do="Check both.",
        )
    wrong = []
    for name, facts, key in (("hours", use.hours, "running"), ("energy", use.energy, "energy")):
        for call, fact in facts.items():
            where = f"survey.use.{name}.{call}"
            if call not in CALLS:
                wrong.append(
                    UnknownNameError(
                        where=where, came=repr(call), right=f"the calls are {', '.join(CALLS)}"
                    )
                )
            wrong += fact_problem(where, fact, key)
    yield from wrong
    year = range_of("running").high
    together = 0.0 if wrong else sum(fact.si for fact in use.hours.values())
    if together > year:
        yield InputError(
            where="survey.use.hours",
            came=f"{units.from_si(together, 'h'):,.0f} h in all calls together",
            right=f"a year has at most {units.from_si(year, 'h'):,.0f} h",
            do="Check the hours of each call.",
        )
    yield from fact_problem("survey.use.price", use.price, "price_of_energy")


def _said(fact: Fact) -> str:
    return f"{fact.value:g} {units.unit(fact.unit).label}"
