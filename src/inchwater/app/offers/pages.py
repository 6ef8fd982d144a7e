"""What the options page shows: each offer with its tables, and how far a search is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from inchwater import reports
from inchwater.planning import money
from inchwater.reports import Table
from inchwater.reports.tables import Row
from inchwater.survey import Survey
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.planning import Frontier, Offer, Progress, Proposal

# Of what is missed, the likeliest few say enough.
_MISSED = 4


@dataclass(frozen=True, slots=True)
class ShownOffer:
    """One offer as the page shows it; ``price`` and ``odds`` are texts."""

    number: int
    offer: Offer
    preferred: bool
    title: str
    price: str
    odds: str
    in_the_end: str
    missed: tuple[str, ...]
    work: Table | None
    readings: Table
    effects: tuple[Table, ...]
    not_told: tuple[str, ...]
    assumed: tuple[str, ...]

    @property
    def of_what(self) -> str:
        """What tells its tables from those of the other offers, to who cannot see."""
        return f", option {self.number}"


def offers_shown(found: Frontier, survey: Survey, system: System) -> list[ShownOffer]:
    """The offers by price, doing nothing first."""
    return [_shown(found, k, survey, system) for k in range(len(found.offers))]


def _shown(found: Frontier, k: int, survey: Survey, system: System) -> ShownOffer:
    one = found.offers[k]
    effects = one.effects
    return ShownOffer(
        number=k + 1,
        offer=one,
        preferred=one is found.preferred,
        title=f"{one.label[:1].upper()}{one.label[1:]}",
        price=reports.price_said(one).capitalize(),
        odds=odds_text(one.odds),
        in_the_end=money(one.expected_cost),
        missed=tuple(
            f"{label}, in {100.0 * odds:.0f} of 100" for label, odds in one.missed[:_MISSED]
        ),
        work=reports.price_table(one) if one.price.lines else None,
        readings=reports.offer_readings_table(found, one, survey, system),
        effects=reports.offer_effects_tables(one, system),
        not_told=tuple(
            dict.fromkeys(
                f"{e.label}: {e.unknown.text(system)}"
                for e in (effects.unknown if effects else ())
                if e.unknown is not None
            )
        ),
        assumed=tuple(said.text(system) for said in (effects.assumed if effects else ())),
    )


def odds_text(odds: float) -> str:
    """Odds as people count them: ``in 83 of 100 cases``."""
    return f"in {100.0 * odds:.0f} of 100 cases"


def first_answer(progress: Progress) -> Table:
    """What a search has found so far, by price, as a table."""
    rows = [
        Row(
            f"first-{number}",
            f"{one.label[:1].upper()}{one.label[1:]}",
            (money(one.cost), f"{100.0 * one.odds:.0f}"),
        )
        for number, one in enumerate(progress.tried)
    ]
    return Table("So far, by price", ("What is done", "Price", "in 100"), tuple(rows))


def left_out(found: Frontier, system: System) -> list[tuple[str, str, str]]:
    """What is not offered: the change, whether it is forbidden or impossible, and why."""
    return [_why(one, system) for one in found.impossible if one.forbidden or one.impossible]


def _why(one: Proposal, system: System) -> tuple[str, str, str]:
    said = one.forbidden or one.impossible
    word = "forbidden" if one.forbidden else "not possible here"
    title = f"{one.label[:1].upper()}{one.label[1:]}"
    return title, word, "" if said is None else said.text(system)
