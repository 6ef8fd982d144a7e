"""``forecast``: what changes would do, before anything is cut."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from inchwater.cli import change_options, frame, options
from inchwater.errors import InputError

if TYPE_CHECKING:
    pass

Words = list[str] | None


def forecast(
    job_path: options.JobPath,
    change: Annotated[
        Words,
        typer.Option(
            metavar="JSON",
            help="""A change in the job file's own form:
            '{"kind": "tighten-run", "targets": ["r1"]}'. May be repeated, like all below.""",
        ),
    ] = None,
    filter_: Annotated[
        Words,
        typer.Option(
            "--filter",
            metavar="F1=20x25:GRADE",
            help="Another filter: its size, its grade or both.",
        ),
    ] = None,
    grille: Annotated[
        Words, typer.Option(metavar="G1=20x30", help="Another return grille, in inches.")
    ] = None,
    add_return: Annotated[
        Words,
        typer.Option(
            metavar="20x20:14:12ft", help="A return more: grille, duct diameter, duct length."
        ),
    ] = None,
    enlarge: Annotated[
        Words, typer.Option(metavar="R1=8", help="A larger duct: its new diameter in inches.")
    ] = None,
    tighten: Annotated[
        Words,
        typer.Option(metavar="R1,R2", help="Slack flex pulled tight; 'all' is every flex run."),
    ] = None,
    add_run: Annotated[
        Words,
        typer.Option(
            metavar="6:20ft:10x6",
            help="A run more: diameter, length, perhaps its register; 6:20ft@T1 leaves trunk T1.",
        ),
    ] = None,
    fitting: Annotated[
        Words, typer.Option(metavar="R1:OLD>NEW", help="One fitting exchanged for another.")
    ] = None,
    register: Annotated[
        Words, typer.Option(metavar="R1=6x12", help="Another supply register, in inches.")
    ] = None,
    tap: Annotated[
        Words,
        typer.Option(
            metavar="T",
            help="Another blower tap in cooling; heating=T is that of the heating call.",
        ),
    ] = None,
    cabinet: Annotated[
        Words,
        typer.Option(
            metavar="20x25:GRADE",
            help="A filter cabinet at the unit in place of all filters that are there.",
        ),
    ] = None,
    enlarge_return: Annotated[
        Words,
        typer.Option(metavar="G1=18", help="A larger duct behind a return grille; or 14x10:metal."),
    ] = None,
    shorten: Annotated[
        Words, typer.Option(metavar="R1=15ft", help="A run cut to a shorter length, pulled tight.")
    ] = None,
    move: Annotated[
        Words,
        typer.Option(
            metavar="R1=plenum:15ft", help="A run moved to the plenum or a trunk; its new length."
        ),
    ] = None,
    boot: Annotated[
        Words, typer.Option(metavar="R1=boot-straight", help="Another boot behind a register.")
    ] = None,
    plenum: Annotated[
        Words,
        typer.Option(
            metavar="20x20:TAKE-OFF", help="Another supply plenum: its size, its take-offs or both."
        ),
    ] = None,
    damper: Annotated[
        Words,
        typer.Option(metavar="R1=30", help="A balancing damper set to degrees from open."),
    ] = None,
    insulate: Annotated[
        Words, typer.Option(metavar="R1,R2=8", help="Insulation around ducts, as R-value.")
    ] = None,
    seal: Annotated[
        Words, typer.Option(metavar="supply,return", help="Joints of one side or both sealed.")
    ] = None,
    remove_bypass: Annotated[
        Words, typer.Option(metavar="B1", help="A bypass taken out and closed.")
    ] = None,
    transfer: Annotated[
        Words,
        typer.Option(
            metavar="ROOM=grille:12x8",
            help="Another way out of a shut room: undercut, grille, or jumper:12x12:8:10ft.",
        ),
    ] = None,
    clean: Annotated[
        Words, typer.Option(metavar="wheel|coil", help="The blower wheel or the coil cleaned.")
    ] = None,
    motor: Annotated[
        Words,
        typer.Option(metavar="KIND", help="Another motor: psc, constant-torque, constant-airflow."),
    ] = None,
    nothing: Annotated[
        bool, typer.Option("--nothing", help="Leave it all as it is, and say what it does now.")
    ] = False,
    pull: Annotated[
        Words,
        typer.Option(
            metavar="R1=open|capped",
            help="A run pulled off its collar for a test, open or capped; never a lasting state.",
        ),
    ] = None,
    condition: Annotated[
        Words, typer.Option(metavar="KEY=VALUE", help="What else is temporary: register:r1=closed.")
    ] = None,
    si: options.Si = False,
    seed: options.Seed = None,
    as_json: options.Json = False,
) -> None:
    """Say what changes would do to both flows, the pressures and each room."""
    from inchwater import survey
    from inchwater.answer import answer, what_if
    from inchwater.answer.possibilities import fitted
    from inchwater.cli import show
    from inchwater.cli.jobs import condition_of, refuse_unread, seed_of

    job = survey.load(job_path)
    refuse_unread(job, "a forecast starts from")
    typed = change_options.Typed(
        change=change or [],
        filter=filter_ or [],
        grille=grille or [],
        add_return=add_return or [],
        enlarge=enlarge or [],
        tighten=tighten or [],
        add_run=add_run or [],
        fitting=fitting or [],
        register=register or [],
        tap=tap or [],
        work={
            "--cabinet": cabinet or [],
            "--enlarge-return": enlarge_return or [],
            "--shorten": shorten or [],
            "--move": move or [],
            "--boot": boot or [],
            "--plenum": plenum or [],
            "--damper": damper or [],
            "--insulate": insulate or [],
            "--seal": seal or [],
            "--remove-bypass": remove_bypass or [],
            "--transfer": transfer or [],
            "--clean": clean or [],
            "--motor": motor or [],
        },
        nothing=nothing,
    )
    changes = change_options.changes_of(job, typed)
    temporary = condition_of(condition or []) | change_options.pulled(job, pull or [])
    if not changes and not temporary:
        raise InputError(
            where="forecast",
            came="no change",
            right="at least one change is wanted",
            do="'inchwater forecast --help' lists them: --tighten all, --enlarge r1=8, --tap 5.",
        )
    number = seed_of(seed)
    # Where the table's boundary is not known, the likeliest possibility stands for all.
    posteriors = fitted(job, number).posteriors
    with frame.named({"condition": "--condition", "filter.grade": "--filter"}):
        after = what_if(job, changes, posteriors[0], condition=temporary or None)
    system = options.system_of(si)
    if as_json:
        frame.document(after.to_dict(system))
        return
    now = answer(job, number, posterior=posteriors)
    show.forecast(frame.console(), now, after, system)
