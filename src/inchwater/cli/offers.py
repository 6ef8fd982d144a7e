"""``options``: what could be done, what it costs, and the odds that it meets all that is wanted."""

from __future__ import annotations

from typing import Annotated

import typer

from inchwater.cli import frame, options

Money = str | None


def offers(
    job_path: options.JobPath,
    rate: Annotated[
        Money, typer.Option(metavar="USD", help="What the firm asks for an hour of one person.")
    ] = None,
    visit: Annotated[
        Money,
        typer.Option(metavar="USD", help="What another visit costs where the work does not reach."),
    ] = None,
    most: Annotated[
        str, typer.Option(metavar="1-4", help="How many changes are combined at most.")
    ] = "4",
    si: options.Si = False,
    seed: options.Seed = None,
    as_json: options.Json = False,
) -> None:
    """Offer changes by price, each with the odds that it meets all that is wanted.

    Preferred is what costs least in the end, failures and return visits counted.
    """
    from inchwater import planning, survey
    from inchwater.answer.possibilities import fitted
    from inchwater.cli import show_offers
    from inchwater.cli.jobs import refuse_unread, seed_of

    job = survey.load(job_path)
    refuse_unread(job, "options start from")
    book = planning.price_book()
    with frame.named({"price_book.rate": "--rate", "price_book.visit": "--visit"}):
        if rate is not None:
            book = book.but(rate=_dollars("--rate", rate))
        if visit is not None:
            book = book.but(visit=_dollars("--visit", visit))
    count = int(frame.one_of("--most", most, ("1", "2", "3", "4")) or most)
    # Where the table's boundary is not known, the likeliest possibility stands for all.
    posterior = fitted(job, seed_of(seed)).posteriors[0]
    system = options.system_of(si)
    with show_offers.searching(None if as_json else frame.console(stderr=True)) as told:
        found = planning.options(posterior, book, most=count, progress=told)
    if as_json:
        frame.document({"job": job.id, **found.to_dict(system)})
    else:
        show_offers.offers(frame.console(), found, system)


def _dollars(option: str, text: str) -> float:
    """An amount of money as it was typed. [USD]"""
    from inchwater.survey import parse_number

    return parse_number(option, text.strip().removeprefix("$"))
