"""Sizes and other quantities of a survey that cannot be: each fact against its range."""

from __future__ import annotations

from collections.abc import Iterator

from inchwater import units
from inchwater.errors import InchwaterError, InputError
from inchwater.survey.check_areas import duct_words
from inchwater.survey.check_plate import plate_problems, use_problems
from inchwater.survey.ducts import Duct, Grille, Transfer, filled, hangs
from inchwater.survey.facts import Fact
from inchwater.survey.job import Job, Survey
from inchwater.survey.ranges import fact_problem, range_of


def size_problems(job: Job) -> Iterator[InchwaterError]:
    """Every quantity of the survey and the targets that lies outside what it can be."""
    survey = job.survey
    unit = survey.unit
    yield from fact_problem("survey.unit.capacity", unit.capacity, "capacity")
    yield from fact_problem("survey.unit.tesp_rating", unit.tesp_rating, "tesp_rating")
    yield from fact_problem("survey.unit.nominal_volts", unit.nominal_volts, "voltage")
    if unit.heat_kit is not None:
        kit = unit.heat_kit
        yield from fact_problem("survey.unit.heat_kit.power", kit.power, "heat_power")
        yield from _rating("survey.unit.heat_kit", kit.rated_drop, kit.rated_airflow)
        yield from fact_problem("survey.unit.heat_kit.least_airflow", kit.least_airflow, "airflow")
    yield from fact_problem("survey.unit.heat_output", unit.heat_output, "heat_output")
    yield from plate_problems(unit)
    yield from fact_problem("place.altitude", survey.place.altitude, "altitude")
    yield from use_problems(survey)
    yield from part_size_problems(survey)
    low, high = job.targets.airflow_per_capacity_low, job.targets.airflow_per_capacity_high
    yield from fact_problem("targets.airflow_per_capacity_low", low, "airflow_per_capacity")
    yield from fact_problem("targets.airflow_per_capacity_high", high, "airflow_per_capacity")


def part_size_problems(survey: Survey) -> Iterator[InchwaterError]:
    """Sizes of filters, coils, ducts, transfers and leaks that cannot be."""
    for index, one in enumerate(survey.filters or ()):
        where = f"survey.filters[{index}]"
        yield from fact_problem(f"{where}.width", one.width, "face")
        yield from fact_problem(f"{where}.height", one.height, "face")
        yield from _rating(where, one.rated_drop, one.rated_airflow)
        if one.count < 1:
            yield InputError(
                where=f"{where}.count", came=str(one.count), right="a count is 1 or more"
            )
    for index, coil in enumerate(survey.coils or ()):
        yield from _rating(f"survey.coils[{index}]", coil.rated_drop, coil.rated_airflow)
    for index, back in enumerate(survey.returns or ()):
        where = f"survey.returns[{index}]"
        yield from _grille(f"{where}.grille", back.grille)
        yield from _duct(f"{where}.duct", back.duct)
    if survey.supply is not None:
        yield from _duct("survey.supply.run_like", survey.supply.run_like)
        for where, branch in survey.supply.walk_paths():
            yield from _duct(f"survey.supply.{where}.duct", branch.duct)
            if not branch.is_trunk and (branch.duct.sag is None) != (branch.duct.spacing is None):
                hung = filled(branch.duct, survey.supply.run_like)
                yield from _sag(f"survey.supply.{where}.duct", hung)
    for index, bypass in enumerate(survey.bypasses or ()):
        yield from _duct(f"survey.bypasses[{index}].duct", bypass.duct)
    for index, room in enumerate(survey.rooms or ()):
        where = f"survey.rooms[{index}]"
        yield from fact_problem(f"{where}.airflow", room.airflow, "hood_airflow")
        yield from fact_problem(f"{where}.cooling_load", room.cooling_load, "room_load")
        yield from fact_problem(f"{where}.heating_load", room.heating_load, "room_load")
        for number, transfer in enumerate(room.transfers or ()):
            yield from _transfer(f"survey.rooms[{index}].transfers[{number}]", transfer)
    for index, leak in enumerate(survey.leakage):
        where = f"survey.leakage[{index}]"
        yield from fact_problem(f"{where}.airflow", leak.airflow, "leak_airflow")
        yield from fact_problem(f"{where}.pressure", leak.pressure, "leak_pressure")


def _transfer(where: str, one: Transfer) -> Iterator[InchwaterError]:
    below_door = one.kind == "undercut"
    yield from fact_problem(f"{where}.width", one.width, "door_width" if below_door else "face")
    yield from fact_problem(f"{where}.height", one.height, "undercut" if below_door else "face")
    if one.kind == "jumper":
        yield from _duct(f"{where}.duct", one.duct)
    elif one.duct != Duct():
        yield InputError(
            where=f"{where}.duct",
            came=f"a duct in {'an' if below_door else 'a'} {one.kind}",
            right="of the ways out of a room only a jumper has a duct",
            do="Say that it is a jumper, or leave the duct out.",
        )


def _rating(where: str, drop: Fact | None, airflow: Fact | None) -> Iterator[InchwaterError]:
    yield from fact_problem(f"{where}.rated_drop", drop, "rated_drop")
    yield from fact_problem(f"{where}.rated_airflow", airflow, "airflow")
    if (drop is None) != (airflow is None):
        missing = "rated_airflow" if airflow is None else "rated_drop"
        yield InputError(
            where=f"{where}.{missing}",
            came="nothing",
            right="a rating is a drop at an airflow, both printed together",
            do="Add the other number of the rating, or leave both out.",
        )


def _grille(where: str, grille: Grille | None) -> Iterator[InchwaterError]:
    if grille is not None:
        yield from fact_problem(f"{where}.width", grille.width, "face")
        yield from fact_problem(f"{where}.height", grille.height, "face")


def _duct(where: str, duct: Duct) -> Iterator[InchwaterError]:
    yield from _section(where, duct)
    key = "flex_diameter" if duct.material == "flex" else "duct_diameter"
    yield from fact_problem(f"{where}.diameter", duct.diameter, key)
    yield from fact_problem(f"{where}.length", duct.length, "duct_length")
    yield from fact_problem(f"{where}.width", duct.width, "duct_side")
    yield from fact_problem(f"{where}.height", duct.height, "duct_side")
    yield from fact_problem(f"{where}.sag", duct.sag, "sag")
    yield from fact_problem(f"{where}.spacing", duct.spacing, "spacing")
    yield from fact_problem(f"{where}.damper", duct.damper, "damper_angle")
    yield from fact_problem(f"{where}.insulation", duct.insulation, "insulation")
    yield from _grille(f"{where}.register", duct.register)
    if duct.slack is not None and not hangs(duct.material):
        yield InputError(
            where=f"{where}.slack",
            came=f"{duct.slack} on {duct.material}",
            right="only flex hangs tight, slack, draped or kinked",
            do="Leave the slack out, or correct the material.",
        )
    for key, fact in (("sag", duct.sag), ("spacing", duct.spacing)):
        if fact is not None and not hangs(duct.material):
            yield InputError(
                where=f"{where}.{key}",
                came=f"a {key} on {duct.material}",
                right="only flex sags between its hangers",
                do=f"Leave the {key} out, or correct the material.",
            )
    yield from _sag(where, duct)


def _sag(where: str, duct: Duct) -> Iterator[InchwaterError]:
    if duct.sag is not None and duct.spacing is not None and duct.spacing.si > 0.0:
        wanted = range_of("sag_of_spacing")
        if not wanted.holds(duct.sag.si / duct.spacing.si):
            yield InputError(
                where=f"{where}.sag",
                came=f"a sag of {_said(duct.sag)} between hangers {_said(duct.spacing)} apart",
                right="flex hangs through by at most half the distance of its hangers",
                do="Check both; a deeper loop is a bend, such as flex-bend-180.",
            )


def _said(fact: Fact) -> str:
    return f"{fact.value:g} {units.unit(fact.unit).label}"


def _section(where: str, duct: Duct) -> Iterator[InchwaterError]:
    """A shape and sizes that do not go together."""
    sides = duct.width is not None or duct.height is not None
    shape = duct.shape
    if duct.diameter is not None and (sides or shape in ("rectangular", "oval")):
        yield InputError(
            where=f"{where}.diameter",
            came=f"a diameter on {'a duct with sides' if shape is None else f'{shape} duct'}",
            right="round duct has a diameter, rectangular and oval duct a width and a height",
            do="Keep the one that was measured.",
        )
    elif sides and shape == "round":
        yield InputError(
            where=f"{where}.{'height' if duct.width is None else 'width'}",
            came="a side on round duct",
            right="round duct has a diameter, rectangular and oval duct a width and a height",
            do="Give its diameter, or correct its shape.",
        )
    if duct.material == "flex" and (sides or shape in ("rectangular", "oval")):
        yield InputError(
            where=f"{where}.material",
            came=f"{'a side on' if shape in (None, 'round') else shape} flex",
            right="flex is round",
            do="Give its diameter, or correct its material.",
        )
    if (
        shape == "oval"
        and duct.width is not None
        and duct.height is not None
        and duct.width.si < duct.height.si
    ):
        yield InputError(
            where=f"{where}.width",
            came=f"an oval less wide than high, {duct_words(duct)},",
            right="the width of a flat oval is the longer of the two, however it lies",
            do="Exchange the two.",
        )
