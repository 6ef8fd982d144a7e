"""``reading`` and ``findings``: what is added to a job file, and what it then says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import count
from typing import TYPE_CHECKING, Annotated

import typer

from inchwater.cli import frame, options, typed
from inchwater.errors import InputError, UnknownNameError

if TYPE_CHECKING:
    from inchwater.survey import Job, Reading, Trial


def reading(
    job_path: options.JobPath,
    at: Annotated[
        str | None,
        typer.Option(
            help="Test point: return, before-filter, before-coil, supply, unit; or a part: "
            "run:ID, trunk:ID, return:ID, filter:ID, coil:ID, register:ID, grille:ID."
        ),
    ] = None,
    static: Annotated[
        str | None, typer.Option(metavar="X", help="Static pressure in in. w.c.; needs no sign.")
    ] = None,
    watts: Annotated[str | None, typer.Option(metavar="W", help="Power of the blower.")] = None,
    volts: Annotated[str | None, typer.Option(metavar="V", help="Voltage under load.")] = None,
    airflow: Annotated[
        str | None,
        typer.Option(metavar="Q", help="Airflow in cfm: at the unit, or a hood at register:ID."),
    ] = None,
    drop: Annotated[
        str | None,
        typer.Option(metavar="X", help="Drop in in. w.c. across filter:ID or coil:ID."),
    ] = None,
    rise: Annotated[
        str | None,
        typer.Option(
            metavar="T", help="Temperature rise in °F, supply less return, in a heating call."
        ),
    ] = None,
    speed: Annotated[
        str | None, typer.Option(metavar="N", help="Shaft speed of the blower in rpm.")
    ] = None,
    trial: Annotated[
        str | None,
        typer.Option(metavar="ID|new", help="Trial that it belongs to; without it the last one."),
    ] = None,
    condition: Annotated[
        list[str] | None,
        typer.Option(
            metavar="KEY=VALUE",
            help="What is temporary in a new trial: filter:f1=out, door:den=shut, call=heating.",
        ),
    ] = None,
    after: Annotated[
        str | None,
        typer.Option(metavar="CH1,CH2", help="Changes of the job in force in a new trial."),
    ] = None,
    corrects: Annotated[
        str | None, typer.Option(metavar="ID", help="The reading that this one replaces.")
    ] = None,
    pressure_unit: options.PressureUnit = "inwc",
    keep: options.Keep = False,
    as_json: options.Json = False,
) -> None:
    """Add a reading to a job file; nothing that is in it is ever overwritten."""
    from inchwater import survey

    job = survey.load(job_path)
    given = {
        name: text
        for name, text in (
            ("static", static),
            ("watts", watts),
            ("volts", volts),
            ("airflow", airflow),
            ("drop", drop),
            ("rise", rise),
            ("speed", speed),
        )
        if text is not None
    }
    if not given:
        raise InputError(
            where="reading",
            came="no value",
            right="one of --static, --watts, --volts, --airflow, --drop, --rise, --speed is wanted",
            do="Type what was read: --at return --static 0.29.",
        )
    old = _corrected(job, corrects)
    target, job = _trial(job, trial, condition or [], after, old)
    added: list[Reading] = []
    for name, text in given.items():
        place = at or (old.at if old else None) or _usual_place(name)
        one = typed.reading(
            id_=_new_reading_id(job, added),
            name=name,
            at=_place(place, name),
            text=text,
            unit=pressure_unit,
            keep=keep,
            corrects=old.id if old else None,
        )
        added.append(one)
    job = _with_readings(job, target, added)
    with frame.named(_options(job, target, list(given))):
        survey.check(job)
    survey.save(job, job_path)
    if as_json:
        written = survey.job_to_dict(job)["trials"]
        frame.document(
            {
                "job": str(job_path),
                "trial": target,
                "added": [one.id for one in added],
                "readings": next(t for t in written if t["id"] == target)["readings"],
            }
        )
        return
    out = frame.console()
    for one in added:
        what = f", in place of {one.corrects}" if one.corrects else ""
        out.print(f"{one.id}: {one.typed} at {one.at} in trial {target}{what}.")
    out.print(f"'inchwater findings {job_path}' says what it changes.")


def findings(
    job_path: options.JobPath,
    tree: options.Tree = False,
    si: options.Si = False,
    seed: options.Seed = None,
    as_json: options.Json = False,
) -> None:
    """Say why the system moves the air that it does, what limits it and what to read next."""
    from inchwater import survey

    show_findings(survey.load(job_path), tree=tree, si=si, seed=seed, as_json=as_json)


def show_findings(job: Job, *, tree: bool, si: bool, seed: str | None, as_json: bool) -> None:
    """Answer a job and print all that the answer holds."""
    from inchwater.answer import answer
    from inchwater.cli import show

    found = answer(job, seed_of(seed))
    system = options.system_of(si)
    if as_json:
        frame.document(found.to_dict(system))
    else:
        show.findings(frame.console(), found, system)
        if tree:
            show.tree(frame.console(), found, system)


def seed_of(text: str | None) -> int:
    """The seed of an answer's random numbers; without one always the same.

    Raises
    ------
    InputError
        If it is no whole number from 0 up.
    """
    if text is None:
        return options.SEED
    if not text.isdecimal() or len(text) > 15:
        raise InputError(
            where="--seed",
            came=repr(text),
            right="a whole number from 0 up is wanted",
            do="Leave it out, or type one such as 7.",
        )
    return int(text)


def condition_of(words: Sequence[str]) -> dict[str, str]:
    """A condition from ``key=value`` words."""
    found = {}
    for word in words:
        key, equals, value = word.partition("=")
        if not (equals and key.strip() and value.strip()):
            raise InputError(
                where="--condition",
                came=repr(word),
                right="a condition is key=value",
                do="Type it like filter:f1=out, run:r1=pulled-capped, door:den=shut, zone:up=shut, "
                "bypass:b1=shut, call=heating, coil=dry or tap=3.",
            )
        found[key.strip()] = value.strip()
    return found


def refuse_unread(job: Job, what: str) -> None:
    """Refuse a job without a reading, for ``what`` begins with those of at least one trial."""
    if not any(trial.in_force for trial in job.trials):
        raise InputError(
            where="job file",
            came="no reading",
            right=f"{what} the readings of at least one trial",
            do="Add one: 'inchwater reading JOB --at return --static 0.29'.",
        )


def _corrected(job: Job, id_: str | None) -> Reading | None:
    if id_ is None:
        return None
    for trial in job.trials:
        for one in trial.in_force:
            if one.id == id_:
                return one
    there = [one.id for trial in job.trials for one in trial.in_force]
    raise UnknownNameError(
        where="--corrects",
        came=repr(id_),
        right=f"the readings in force are {', '.join(there) or 'none'}",
        do="Name one of them; a corrected reading is corrected through the one that replaced it.",
    )


def _trial(
    job: Job,
    named: str | None,
    condition: Sequence[str],
    after: str | None,
    old: Reading | None,
) -> tuple[str, Job]:
    """The id of the trial that a reading goes to, and the job, with that trial made if new."""
    from inchwater.survey import Trial

    if old is not None:
        home = next(t.id for t in job.trials if old in t.readings)
        if named not in (None, home):
            raise InputError(
                where="--trial",
                came=repr(named),
                right=f"{old.id} belongs to trial {home}, so what corrects it does too",
                do="Leave --trial out.",
            )
        named = home
    ids = [trial.id for trial in job.trials]
    if named is None and ids and not condition and after is None:
        return ids[-1], job
    if named in ids:
        if condition or after is not None:
            raise InputError(
                where="--condition",
                came=f"for trial {named}",
                right="a trial that has begun keeps its condition and its changes",
                do="Use --trial new.",
            )
        return str(named), job
    if named in (None, "new"):
        # The second trial is tr2, whatever the first is called.
        named = next(f"tr{n}" for n in count(len(ids) + 1) if f"tr{n}" not in ids)
        made = Trial(
            named,
            after=tuple(part.strip() for part in (after or "").split(",") if part.strip()),
            condition=condition_of(condition),
        )
        return named, replace(job, trials=(*job.trials, made))
    raise UnknownNameError(
        where="--trial",
        came=repr(named),
        right=f"trials are {', '.join((*ids, 'new'))}",
        do="Name one of them, or type --trial new.",
    )


def _options(job: Job, trial: str, given: Sequence[str]) -> dict[str, str]:
    """The option behind each place in the job that a reading fills, the newest readings last."""
    index = next(n for n, one in enumerate(job.trials) if one.id == trial)
    where = f"trials[{index}]"
    names = {f"{where}.condition": "--condition", f"{where}.after": "--after"}
    first = len(job.trials[index].readings) - len(given)
    for number, name in enumerate(given, start=first):
        names[f"{where}.readings[{number}]"] = f"--{name}"
        names[f"{where}.readings[{number}].at"] = "--at"
        names[f"{where}.readings[{number}].corrects"] = "--corrects"
    return names


def _usual_place(name: str) -> str | None:
    """Where a quantity is read if nobody says: what has one place only, at the unit."""
    return None if name in ("static", "drop") else "unit"


def _place(place: str | None, name: str) -> str:
    from inchwater.survey import READ_AT, TEST_POINTS, place_of

    if place is None and name == "drop":
        raise InputError(
            where="--at",
            came="nothing",
            right="a drop needs the part that it was read across: filter:<id> or coil:<id>",
            do="Add it: --at filter:f1.",
        )
    if place is None or (name == "static" and place == "unit"):
        raise InputError(
            where="--at",
            came="nothing" if place is None else f"static at {place}",
            right=f"a static pressure needs its test point: {', '.join(TEST_POINTS[:-1])}",
            do="Add it: --at return.",
        )
    kinds = {kind for found in READ_AT.values() for kind in found}
    if place_of(place)[0] in kinds:
        return place
    return str(frame.one_of("--at", place, TEST_POINTS))


def _new_reading_id(job: Job, added: Sequence[Reading]) -> str:
    known = {one.id for trial in job.trials for one in trial.readings} | {one.id for one in added}
    return next(f"rd{n}" for n in count(1) if f"rd{n}" not in known)


def _with_readings(job: Job, id_: str, added: Sequence[Reading]) -> Job:
    def grown(trial: Trial) -> Trial:
        if trial.id != id_:
            return trial
        return replace(trial, readings=(*trial.readings, *added))

    return replace(job, trials=tuple(grown(trial) for trial in job.trials))
