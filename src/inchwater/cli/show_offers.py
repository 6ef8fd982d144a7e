"""What could be done, for people at a prompt: the limit first, the offers, then the reasons."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from inchwater.cli.show import print_rows, print_table, say_cautions, say_first, say_more
from inchwater.planning import money
from inchwater.quantity import Estimate
from inchwater.units import System

if TYPE_CHECKING:
    from rich.console import Console

    from inchwater.planning import Frontier, Offer, Progress

# How many of what an offer may miss are named.
_NAMED = 3


@contextmanager
def searching(out: Console | None) -> Iterator[Callable[[Progress], None] | None]:
    """Tells at a terminal how far a search is, and the first answer; elsewhere nothing.

    Yields
    ------
    function of Progress, or None
        What a search calls.
    """
    if out is None or not out.is_terminal:
        yield None
        return
    from rich.progress import BarColumn, TextColumn
    from rich.progress import Progress as Bar

    words = TextColumn("{task.description}"), BarColumn(), TextColumn("{task.completed:.0f} tried")
    with Bar(*words, console=out, transient=True) as bar:
        task = bar.add_task("Trying single changes")

        def told(now: Progress) -> None:
            if bar.tasks[task].total is None or not bar.tasks[task].completed:
                bar.console.print(_first(now))
            bar.update(task, completed=now.done, total=now.most, description="Trying combinations")

        yield told


def _first(now: Progress) -> str:
    """The first answer of a search, named as such."""
    best = max(now.tried, key=lambda one: one.odds)
    if not best.members:
        return "First answer: no single change raises the odds. Combinations are being tried."
    return (
        f"First answer, of single changes alone: {best.members[0].label} for {money(best.cost)}, "
        f"all that is wanted in {100.0 * best.odds:.0f} cases of 100. Combinations are being tried."
    )


def offers(out: Console, found: Frontier, system: System) -> None:
    """The limit if there is one, the preferred offer, all of them, and what is not possible."""
    from inchwater.reports import offers_table

    best = found.preferred
    if found.limit is not None:
        say_first(out, found.limit.text(system))
    else:
        say_first(out, f"{best.label[:1].upper()}{best.label[1:]}.")
    say_more(out, best.why.text(system))
    print_table(out, offers_table(found, system))
    for number, one in enumerate(found.offers, 1):
        say_more(out, f"{number}. {one.label[:1].upper()}{one.label[1:]}.", below=False)
    out.print()
    if found.limit is None and best.missed:
        missed = "; ".join(f"{label}, in {100.0 * m:.0f}" for label, m in best.missed[:_NAMED])
        say_more(out, f"What it may miss, of 100 cases: {missed}.")
    for said in found.unknown:
        say_more(out, f"Cannot be told: {said.text(system)}")
    _changed(out, best, system)
    for said in best.questioned:
        say_more(out, f"To settle first: {said.text(system)}")
    say_cautions(out, best.cautions)
    for left in found.impossible:
        why = left.forbidden or left.impossible
        if why is not None:
            word = "Forbidden" if left.forbidden else "Not possible here"
            say_more(out, f"{word}, {left.label}: {why.text(system)}")


def _changed(out: Console, offer: Offer, system: System) -> None:
    """What the offer is expected to show at each test point and in each room."""
    words = [
        f"{name.partition(':')[2]} {_with_range(one, system)}"
        for name, one in offer.estimates.items()
        if ":" in name
    ]
    if words:
        say_more(out, f"Then to expect: {'; '.join(words)}.")
    rows = [
        (one.label, _with_range(one.now, system), _with_range(one.then, system))
        for one in (() if offer.effects is None else offer.effects.known)
        if one.now is not None and one.then is not None
    ]
    if rows:
        print_rows(out, "Side effects", ("Effect", "Now", "Then"), rows)
    if offer.no_effects is not None:
        say_more(out, offer.no_effects.text(system))


def _with_range(one: Estimate, system: System) -> str:
    return f"{one.text(system)} ({one.range_text(system)}) {one.label(system)}".strip()
