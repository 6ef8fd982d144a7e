"""What could be done, for people at a prompt: the limit first, the offers, then the reasons."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inchwater.cli.show import print_rows, print_table, say_cautions, say_first, say_more
from inchwater.quantity import Estimate
from inchwater.units import System

if TYPE_CHECKING:
    from rich.console import Console

    from inchwater.planning import Frontier, Offer


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
