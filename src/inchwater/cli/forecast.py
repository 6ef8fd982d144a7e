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
            metavar="6:20ft", help="A run more: diameter, length; 6:20ft@T1 leaves from trunk T1."
        ),
    ] = None,
    fitting: Annotated[
        Words, typer.Option(metavar="R1:OLD>NEW", help="One fitting exchanged for another.")
    ] = None,
    register: Annotated[
        Words, typer.Option(metavar="R1=6x12", help="Another supply register, in inches.")
    ] = None,
    tap: Annotated[str | None, typer.Option(metavar="T", help="Another blower tap.")] = None,
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
        tap=[tap] if tap is not None else [],
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
