"""Every single change that makes sense on a system, priced, with what speaks against it.

Sizes of new work that nobody has measured up are usual ones (common practice, no source).  What is
not possible here is among them too, with its reason, so that nobody wonders where it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import zip_longest
from typing import Any

from inchwater.errors import InchwaterError
from inchwater.findings import Caution, cautions_of
from inchwater.findings.cautions import ACT_OF_CHANGE
from inchwater.planning.price_book import FREE, Price, PriceBook, price_book
from inchwater.planning.proposed import MADE, Idea, other_speeds
from inchwater.planning.proposed_all import AT_ONCE
from inchwater.planning.proposed_more import MORE
from inchwater.planning.work_limits import against
from inchwater.quantity import Said, said
from inchwater.survey import KEYS, Change, Survey, apply
from inchwater.units import System

MOST = 40


@dataclass(frozen=True, slots=True)
class Proposal:
    """One candidate change with its price and all that speaks for or against making it.

    ``changes`` are made together and in this order; ``replaces`` names the features that they make
    new, two proposals that share one exclude each other.  ``impossible`` says why it cannot be done
    here, ``forbidden`` which limit of trade or code forbids it, ``questioned`` what has to be
    settled first.
    """

    key: str
    label: str
    changes: tuple[Change, ...] = ()
    price: Price = FREE
    cautions: tuple[Caution, ...] = ()
    forbidden: Said | None = None
    questioned: tuple[Said, ...] = ()
    impossible: Said | None = None
    replaces: frozenset[str] = field(default_factory=frozenset)

    @property
    def minutes(self) -> float:
        """How long one person would be at it. [min]"""
        return self.price.minutes

    @property
    def possible(self) -> bool:
        """Whether it may be offered: it can be done here, and nothing forbids it."""
        return self.impossible is None and self.forbidden is None

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data; money in US dollars, time in minutes."""

        def text(one: Said | None) -> str:
            return "" if one is None else one.text(system)

        return {
            "key": self.key,
            "label": self.label,
            "price": self.price.to_dict(),
            "minutes": self.minutes,
            "impossible": text(self.impossible),
            "forbidden": text(self.forbidden),
            "questioned": [text(one) for one in self.questioned],
            "cautions": [one.to_dict(system) for one in self.cautions],
        }


NOTHING = Proposal("nothing", "leaving it as it is")


def proposals(
    survey: Survey,
    book: PriceBook | None = None,
    *,
    state: Mapping[str, str] | None = None,
    calls: Sequence[str] = (),
    most: int = MOST,
) -> tuple[Proposal, ...]:
    """All single changes that make sense on this system; doing nothing is the first of them.

    Parameters
    ----------
    survey : Survey
        As it stands.
    book : PriceBook, optional
        Prices; the planning figures that ship if None.
    state : mapping, optional
        The condition that the changes are for: its call says whose speed may change.
    calls : sequence of str
        Other calls whose speed may change as well.
    most : int
        How many that are possible, doing nothing beside them; of each kind the most promising
        first. [-]

    Returns
    -------
    tuple of Proposal
        Those that are possible, then those that are not, with their reasons.

    Raises
    ------
    InputError
        If the book has no price for a kind of change.
    """
    prices = book or price_book()
    kept: list[Proposal] = []
    left: list[Proposal] = []
    ways = [(make, dict(state or {})) for make in (*MADE, *MORE, *AT_ONCE)]
    first = (state or {}).get("call", "cooling")
    ways += [(other_speeds, {"call": call}) for call in calls if call != first]
    for idea in _mixed([list(make(survey, in_state)) for make, in_state in ways]):
        if not all(change.kind in KEYS for change in idea.changes):
            continue  # no job could hold such a change
        one = proposal(idea, survey, prices)
        (kept if one.possible else left).append(one)
    return (NOTHING, *kept[:most], *left)


def _mixed(by_kind: Sequence[Sequence[Idea]]) -> Iterator[Idea]:
    """The first of each kind, then the second of each, so that a cut leaves something of all."""
    for row in zip_longest(*by_kind):
        yield from (idea for idea in row if idea is not None)


def proposal(idea: Idea, survey: Survey, book: PriceBook) -> Proposal:
    """An idea priced on a survey, with all that speaks against it."""
    impossible = said("{why}", why=idea.impossible) if idea.impossible else None
    if impossible is None:
        try:
            after = survey
            for change in idea.changes:
                after = apply(after, change)
        except InchwaterError as error:
            impossible = said("{why}.", why=_sentence(error))
    forbidden, questioned = against(idea.changes, survey)
    acts = tuple(
        dict.fromkeys(ACT_OF_CHANGE[c.kind] for c in idea.changes if c.kind in ACT_OF_CHANGE)
    )
    return Proposal(
        key=idea.key,
        label=idea.label,
        changes=idea.changes,
        price=FREE if impossible else book.price(idea.changes, survey),
        cautions=cautions_of(survey, acts),
        forbidden=forbidden,
        questioned=questioned,
        impossible=impossible,
        replaces=frozenset(idea.replaces),
    )


def _sentence(error: InchwaterError) -> str:
    right = error.right.removesuffix(".")
    return f"{right[:1].upper()}{right[1:]}"
