"""``step``: an accepted option carried out step by step, with what is reported kept in the job."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from inchwater.cli import frame, options
from inchwater.errors import InputError

if TYPE_CHECKING:
    from inchwater.calibration import Posterior
    from inchwater.planning import Expected, Judged, PriceBook
    from inchwater.survey import Job

Words = list[str] | None


def step(
    job_path: options.JobPath,
    accept: Annotated[
        str | None,
        typer.Option(
            metavar="N|CH1,CH2",
            help="Agree on the N-th offer of 'inchwater options JOB', or on changes of the job.",
        ),
    ] = None,
    gate: Annotated[
        Words,
        typer.Option(
            metavar="KEY=RESULT",
            help="A result at a gate: spillage=ok, co-flue=40, rise:heating=52, co-room=referred. "
            "May be repeated.",
        ),
    ] = None,
    done: Annotated[
        str | None,
        typer.Option(metavar="N|next", help="Report a step done: its number, or 'next'."),
    ] = None,
    take_back: Annotated[
        str | None,
        typer.Option(metavar="N|last", help="Report a step taken back: its number, or 'last'."),
    ] = None,
    read: Annotated[
        Words,
        typer.Option(
            metavar="AT=VALUE",
            help="What was read after the last step: return=0.31, filter:f1=0.12, unit=410. "
            "May be repeated.",
        ),
    ] = None,
    undo: Annotated[
        Words,
        typer.Option(
            metavar="KEY", help="What was set for measuring is put back: filter:f1, run:r2."
        ),
    ] = None,
    heard: Annotated[
        str | None,
        typer.Option(
            metavar="WHERE",
            help="What who lives here finds too loud after a step: register:r1,grille:g1; "
            "somewhere; or nothing.",
        ),
    ] = None,
    called_again: Annotated[
        bool,
        typer.Option(
            "--called-again",
            help="Somebody called because as it stands it does not do what is wanted.",
        ),
    ] = False,
    stop: Annotated[
        str | None,
        typer.Option(metavar="WHY", help="No more work: target-met, customer or other."),
    ] = None,
    by: Annotated[
        str | None, typer.Option(metavar="WHO", help="Who found, did or took it over.")
    ] = None,
    note: Annotated[str | None, typer.Option(metavar="WORDS", help="Anything more.")] = None,
    system_id: Annotated[
        str | None,
        typer.Option(
            "--system", metavar="ID", help="The system that this is of; another one is refused."
        ),
    ] = None,
    rate: Annotated[
        str | None, typer.Option(metavar="USD", help="What the firm asks for an hour.")
    ] = None,
    pressure_unit: options.PressureUnit = "inwc",
    keep: options.Keep = False,
    si: options.Si = False,
    seed: options.Seed = None,
    as_json: options.Json = False,
) -> None:
    """Carry out an accepted option step by step: what to do next, what to expect, what is open.

    Without any act it shows where the work stands. What is refused leaves the file as it is.
    """
    from inchwater import planning, survey
    from inchwater.cli import show_step, step_acts
    from inchwater.cli.jobs import refuse_unread, seed_of

    job = survey.load(job_path)
    _refuse_other(job, system_id)
    refuse_unread(job, "steps start from")
    number = seed_of(seed)
    system = options.system_of(si)
    book = _book(rate)
    before = job
    acts = step_acts.Acts(by, note, keep, pressure_unit)
    if accept is not None:
        job = acts.accept(job, accept, lambda one: _offers(one, number, book))
    for word in gate or ():
        job = acts.gate(job, word)
    if done is not None:
        job = acts.done(job, done)
    if take_back is not None:
        job = acts.take_back(job, take_back)
    judged: tuple[tuple[Expected, Judged], ...] = ()
    if read:
        of, wanted = planning.expected_after_last(job, lambda one: _posterior(one, number))
        job, judged = acts.read(job, read, wanted, of)
    if heard is not None:
        job = acts.heard(job, heard)
    if called_again:
        job = acts.called_again(job)
    for key in undo or ():
        job = acts.undo(job, key)
    if stop is not None:
        job = acts.stop(job, stop)
    posterior = _posterior(job, number)
    now = planning.work_now(posterior, book)
    if job != before:
        survey.save(job, job_path)
    added = [record.id for record in job.work[len(before.work) :]]
    if as_json:
        frame.document(
            {
                "job": job.id,
                "added": added,
                "judged": [
                    {"at": one.at, "quantity": one.quantity, **said.to_dict(system)}
                    for one, said in judged
                ],
                **now.to_dict(system),
            }
        )
        return
    show_step.stands(frame.console(), now, judged, job.work[len(before.work) :], system)


def _posterior(job: Job, seed: int) -> Posterior:
    from inchwater.answer.possibilities import fitted

    # Where the table's boundary is not known, the likeliest possibility stands for all.
    return fitted(job, seed).posteriors[0]


def _offers(job: Job, seed: int, book: PriceBook) -> tuple[object, ...]:
    from inchwater import planning

    return planning.options(_posterior(job, seed), book, effects=False).offers


def _book(rate: str | None) -> PriceBook:
    from inchwater import planning
    from inchwater.survey import parse_number

    book = planning.price_book()
    if rate is None:
        return book
    with frame.named({"price_book.rate": "--rate"}):
        return book.but(rate=parse_number("--rate", rate.strip().removeprefix("$")))


def _refuse_other(job: Job, system: str | None) -> None:
    if system is not None and system != job.system:
        raise InputError(
            where="--system",
            came=repr(system),
            right=f"this job is of {f'system {job.system}' if job.system else 'no named system'}",
            do="Report it at the job of its own system; nothing was changed here.",
        )
