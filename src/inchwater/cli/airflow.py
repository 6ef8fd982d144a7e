"""``airflow``: three numbers in, an honest answer out; every other option narrows it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from inchwater.cli import frame, options, typed
from inchwater.errors import DoubtError, InchwaterError, InputError

if TYPE_CHECKING:
    from inchwater.survey import BlowerTable, Filter, Job, Supply

KINDS = ("air-handler", "furnace", "packaged")
MOTORS = ("psc", "constant-torque", "constant-airflow")
SUPPLY_AT = ("before-coil", "after-coil")
_T = TypeVar("_T")
_PLACEHOLDER = 25.0
# The option behind each place in the job that these options fill.
_OPTIONS = {
    "supply_at": "--supply-at",
    "filter.grade": "--filter",
    "place.altitude": "--altitude-ft",
    "survey.filters": "--filter",
    "survey.supply": "--runs",
    "survey.unit.capacity": "--capacity",
    "survey.unit.motor": "--motor",
    "survey.unit.table": "--table",
    "survey.unit.table.includes": "--table-includes",
    "survey.unit.tap": "--tap",
    "table": "--table",
}
INCLUDED = ("filter", "coil-dry", "coil-wet", "heater")


def airflow(
    return_static: Annotated[
        str,
        typer.Option(metavar="X", help="Return static, between filter and blower; needs no sign."),
    ],
    supply_static: Annotated[
        str, typer.Option(metavar="Y", help="Supply static, after the unit; needs no sign.")
    ],
    capacity: Annotated[
        str, typer.Option(metavar="TONS", help="Nominal cooling capacity in tons.")
    ],
    table: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE.csv",
            help="Blower table: tap,tesp_inwc,airflow_cfm and, if printed, power_w,speed_rpm.",
        ),
    ] = None,
    tap: Annotated[
        str | None, typer.Option(metavar="T", help="The blower tap in use, as the table names it.")
    ] = None,
    unit: Annotated[
        str, typer.Option(help="Kind of unit: air-handler, furnace or packaged.")
    ] = "air-handler",
    motor: Annotated[
        str | None,
        typer.Option(help="Blower motor: psc, constant-torque or constant-airflow."),
    ] = None,
    supply_at: Annotated[
        str | None,
        typer.Option(help="Where the supply static was read: before-coil or after-coil."),
    ] = None,
    table_includes: Annotated[
        str | None,
        typer.Option(
            metavar="LIST",
            help="What the table's zero of pressure holds: filter, coil-dry, coil-wet, heater, "
            "or none. Left out, each possibility is answered.",
        ),
    ] = None,
    altitude_ft: Annotated[
        str | None, typer.Option(metavar="FT", help="Altitude of the site in feet.")
    ] = None,
    volts: Annotated[
        str | None, typer.Option(metavar="V", help="Voltage at the unit while it runs.")
    ] = None,
    watts: Annotated[
        str | None, typer.Option(metavar="W", help="Power that the blower takes.")
    ] = None,
    filter_: Annotated[
        str | None,
        typer.Option(
            "--filter",
            metavar="20x25:GRADE",
            help="The filter at the unit: size and, if known, grade, as in 20x25:pleat-1in-merv8.",
        ),
    ] = None,
    runs: Annotated[
        str | None,
        typer.Option(
            metavar="WORDS", help="The supply runs: 'seven 6-inch, about 25 ft, slack flex'."
        ),
    ] = None,
    save: Annotated[
        Path | None,
        typer.Option(metavar="JOB", help="Keep what was typed as a job file, also when in doubt."),
    ] = None,
    pressure_unit: options.PressureUnit = "inwc",
    keep: options.Keep = False,
    tree: options.Tree = False,
    si: options.Si = False,
    seed: options.Seed = None,
    as_json: options.Json = False,
) -> None:
    """Say how much air the blower moves and the rooms get, from two pressures and the capacity."""
    form = _Form(keep)
    job = form.job(
        return_static=return_static,
        supply_static=supply_static,
        capacity=capacity,
        table=table,
        tap=tap,
        unit=unit,
        motor=motor,
        supply_at=supply_at,
        table_includes=table_includes,
        altitude_ft=altitude_ft,
        volts=volts,
        watts=watts,
        filter_=filter_,
        runs=runs,
        pressure_unit=pressure_unit,
    )
    if save is not None and job is not None:
        _save(job, save)
    if form.wrong:
        raise _kept(form.wrong[0], save if job is not None else None)
    assert job is not None, "a form without a fault makes a job"

    from inchwater.answer import answer
    from inchwater.cli import show
    from inchwater.cli.jobs import seed_of

    with frame.named(_OPTIONS):
        found = answer(job, seed_of(seed))
    system = options.system_of(si)
    if as_json:
        frame.document(found.to_dict(system))
        return
    out = frame.console()
    show.short_answer(out, found, system)
    if tree:
        show.tree(out, found, system)
    if save is not None:
        out.print(f"Saved in {save}. 'inchwater findings {save}' says why.")


class _Form:
    """What was typed, field by field: a field that is wrong is noted, and the rest goes on.

    So ``--save`` can keep everything that could be read, and the first fault is still the one that
    is told.
    """

    def __init__(self, keep: bool) -> None:
        self.keep = keep
        self.wrong: list[InchwaterError] = []

    def field(self, parse: Callable[[bool], _T]) -> _T | None:
        """The value of one field; a doubtful one is kept as typed and noted."""
        try:
            return parse(self.keep)
        except DoubtError as doubt:
            self.wrong.append(doubt)
            try:
                return parse(True)
            except InchwaterError:
                return None
        except InchwaterError as error:
            error.where = frame.option_of(error.where, _OPTIONS)
            self.wrong.append(error)
            return None

    def job(
        self,
        *,
        return_static: str,
        supply_static: str,
        capacity: str,
        table: Path | None,
        tap: str | None,
        unit: str,
        motor: str | None,
        supply_at: str | None,
        table_includes: str | None,
        altitude_ft: str | None,
        volts: str | None,
        watts: str | None,
        filter_: str | None,
        runs: str | None,
        pressure_unit: str,
    ) -> Job | None:
        """The job of what could be read; None without kind of unit and capacity."""
        from inchwater import survey
        from inchwater.survey import typed as parse

        in_unit = self.field(lambda _: typed.pressure_unit(pressure_unit)) or "inwc"
        statics = {
            side: self.field(
                lambda keep, side=side, text=text: parse.parse_static(  # type: ignore[misc]
                    f"{side.capitalize()} static", text, in_unit, side, keep
                )
            )
            for side, text in (("return", return_static), ("supply", supply_static))
        }
        size = self.field(lambda _: parse.parse_capacity("Capacity", capacity))
        altitude = volt = watt = None
        if altitude_ft is not None:
            altitude = self.field(lambda _: parse.parse_altitude("Altitude", altitude_ft))
        if volts is not None:
            volt = self.field(lambda _: parse.parse_volts("Volts", volts))
        if watts is not None:
            watt = self.field(lambda _: parse.parse_watts("Watts", watts))
        kind = self.field(lambda _: frame.one_of("--unit", unit, KINDS))
        where = self.field(lambda _: frame.one_of("--supply-at", supply_at, SUPPLY_AT))
        family = self.field(lambda _: frame.one_of("--motor", motor, MOTORS))
        printed = self.field(lambda _: _table(table, table_includes))
        wanted = self.field(lambda _: _tap(tap, table)) if printed or table is None else None
        cleaned = None if filter_ is None else self.field(lambda _: _filter(filter_))
        supply = None if runs is None else self.field(lambda _: _supply(runs))
        if size is None or kind is None:
            return None
        job = self.field(
            lambda _: survey.minimal_job(
                capacity=size,
                # A static that could not be read is taken out again below.
                return_static=statics["return"] or _PLACEHOLDER,
                supply_static=statics["supply"] or _PLACEHOLDER,
                kind=kind,  # type: ignore[arg-type]
                supply_at=where,  # type: ignore[arg-type]
                motor=family,  # type: ignore[arg-type]
                table=printed,
                tap=wanted,
                altitude=altitude,
                volts=volt,
                watts=watt,
                filters=None if cleaned is None else (cleaned,),
                supply=supply,
                typed={
                    side: one
                    for side, one in self.as_typed(
                        return_static, supply_static, in_unit, volts, watts
                    ).items()
                    # What stands in for a static that could not be read was not typed.
                    if statics.get(side, 0.0) is not None
                },
                taken=typed.now(),
            )
        )
        unread = [side for side, value in statics.items() if value is None]
        return None if job is None else _without(job, {f"rd-{side}" for side in unread})

    @staticmethod
    def as_typed(
        return_static: str,
        supply_static: str,
        unit: str,
        volts: str | None,
        watts: str | None,
    ) -> dict[str, tuple[str, str]]:
        """What was typed, and in which unit, by the reading that it became."""
        shown = {}
        for side, text in (("return", return_static), ("supply", supply_static)):
            shown[side] = (text.strip(), typed.unit_of(text, unit))
        for name, measured, in_unit in (("volts", volts, "v"), ("watts", watts, "w")):
            if measured is not None:
                shown[name] = (measured.strip(), in_unit)
        return shown


def _without(job: Job, ids: set[str]) -> Job:
    """The job without readings that could not be read."""
    trial = job.trials[0]
    readings = tuple(one for one in trial.readings if one.id not in ids)
    return replace(job, trials=(replace(trial, readings=readings), *job.trials[1:]))


def _save(job: Job, path: Path) -> None:
    from inchwater import survey

    if path.exists():
        raise InputError(
            where="--save",
            came=str(path),
            right="a job file that is there is not written over",
            do="Choose another name, or add to it: 'inchwater reading JOB'.",
        )
    frame.new_file("--save", path)
    survey.save(job, path)


def _kept(error: InchwaterError, saved: Path | None) -> InchwaterError:
    """The error, and where everything else that was typed has been kept."""
    if saved is not None:
        error.do = (
            f"{error.do.rstrip()} The rest is kept in {saved}; "
            f"'inchwater reading {saved}' adds what is right."
        ).strip()
    return error


def _table(path: Path | None, includes: str | None) -> BlowerTable | None:
    if path is None:
        if includes is not None:
            raise InputError(
                where="--table-includes",
                came=repr(includes),
                right="it says what a table holds, and no table was given",
                do="Add --table FILE.csv, or leave it out.",
            )
        return None
    from inchwater.survey.table_file import read_table

    known = None if includes is None else _includes(includes)
    return read_table(path, includes=known)


def _filter(text: str) -> Filter:
    from inchwater.survey import Fact, Filter, How
    from inchwater.survey.typed import parse_size

    size, _, grade = text.partition(":")
    faces = parse_size("--filter", size)
    if len(faces) < 2:
        raise InputError(
            where="--filter",
            came=repr(size),
            right="a filter has a width and a height",
            do="Type it like 20x25, or 20x25:pleat-1in-merv8.",
        )
    width, height = (Fact.of(face, "length", How.SEEN) for face in faces[:2])
    return Filter("f1", grade=grade.strip() or None, width=width, height=height)


def _supply(text: str) -> Supply:
    from inchwater.survey.typed_runs import parse_runs, supply_of

    return supply_of(parse_runs(text, "--runs"))


def _includes(text: str) -> frozenset[str]:
    words = [word.strip() for word in text.split(",") if word.strip()]
    if words == ["none"]:
        return frozenset()
    wrong = [word for word in words if word not in INCLUDED]
    if wrong or not words:
        raise InputError(
            where="--table-includes",
            came=repr(wrong[0]) if wrong else "nothing",
            right=f"it is a list of {', '.join(INCLUDED)}, or none",
            do="See the table's heading or notes; leave it out if they do not say.",
        )
    return frozenset(words)


def _tap(tap: str | None, table: Path | None) -> str | None:
    if tap is not None and table is None:
        raise InputError(
            where="--tap",
            came=repr(tap),
            right="a tap is a row of a blower table, and no table was given",
            do="Add --table FILE.csv with two cells of that tap around the reading.",
        )
    return tap
