"""``options(posterior) -> Frontier``: what could be done, at what cost, and the odds that it works.

Preferred is the offer of least expected total cost: its price, and where it fails another visit
with what is then the best next thing, from all that was solved and as far as the reason tells for
which it fails: what is read after work shows that.
So doing nothing is not cheap by leaving everything undone, and no work is preferred that hardly
ever reaches.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from inchwater import criteria
from inchwater.errors import InchwaterError, NotPossibleError
from inchwater.findings import Caution, cautions_of, told
from inchwater.findings.cautions import ACT_OF_CHANGE
from inchwater.network.elements import Array
from inchwater.planning.called_again import people_said
from inchwater.planning.evaluate import Evaluator
from inchwater.planning.in_the_end import expected_costs
from inchwater.planning.next_reading import money
from inchwater.planning.price_book import Price, PriceBook, price_book
from inchwater.planning.proposals import Proposal, proposals
from inchwater.planning.proposed_balance import balance
from inchwater.planning.search import MOST, SAMPLES, Progress, Search
from inchwater.planning.tried import Tried
from inchwater.planning.wanted import Wanted
from inchwater.planning.wanted_limit import limit_said, standing_of, unknown_said
from inchwater.quantity import Estimate, Said, in_sentence
from inchwater.survey import Change
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.calibration import Posterior
    from inchwater.effects import Effects


# What is said of an offer that was taken before one as good with a faster speed.
_SLOWER = " At the same price the slower speed meets it as often, quieter and with fewer watts."


@dataclass(frozen=True, slots=True)
class Offer:
    """One option: what is done, what it costs, the odds that all that is wanted is met.

    ``expected_cost`` is its price and, where it fails, another visit with what then works [USD];
    ``missed`` are the wanted quantities by the odds that each is missed, the likeliest first [-];
    ``estimates`` the forecasts by name (``airflow``, ``static:supply``, ``flow:r1`` …);
    ``members`` are the single changes that it is made of, as they were proposed;
    ``no_effects`` says why side effects cannot be told; ``standing`` is how it stands against every
    target of every call, None where only some quantities were asked for.
    """

    key: str
    label: str
    changes: tuple[Change, ...]
    price: Price
    odds: float
    expected_cost: float
    missed: tuple[tuple[str, float], ...]
    estimates: dict[str, Estimate]
    effects: Effects | None
    cautions: tuple[Caution, ...]
    questioned: tuple[Said, ...]
    why: Said
    no_effects: Said | None = None
    standing: criteria.Standing | None = None
    members: tuple[Proposal, ...] = ()

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data; money in US dollars, time in minutes."""
        return {
            "key": self.key,
            "label": self.label,
            "changes": [
                {"id": one.id, "kind": one.kind, "targets": list(one.targets)}
                for one in self.changes
            ],
            "price": self.price.to_dict(),
            "odds": self.odds,
            "expected_cost_usd": self.expected_cost,
            "missed": [{"label": label, "odds": odds} for label, odds in self.missed],
            "estimates": {name: one.to_dict(system) for name, one in self.estimates.items()},
            "effects": None if self.effects is None else self.effects.to_dict(system),
            "no_effects": "" if self.no_effects is None else self.no_effects.text(system),
            "cautions": [one.to_dict(system) for one in self.cautions],
            "questioned": [one.text(system) for one in self.questioned],
            "why": self.why.text(system),
            "targets": []
            if self.standing is None
            else [one.to_dict(system) for one in self.standing.held],
        }


@dataclass(frozen=True, slots=True)
class Frontier:
    """The offers by rising price, doing nothing first; no offer is beaten in price and odds.

    ``reachable`` are the odds that any option that was tried meets all that is wanted [-];
    ``limit`` is said first where none is likely to; ``best`` comes nearest then.  ``impossible``
    are proposals that cannot be made here or are forbidden, each with its reason; ``unknown`` says
    what is wanted and cannot be told, and which fact is lacking.
    """

    offers: tuple[Offer, ...]
    preferred: Offer
    best: Offer
    reachable: float
    limit: Said | None
    impossible: tuple[Proposal, ...]
    tried: int
    unknown: tuple[Said, ...] = ()

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """One JSON document; money in US dollars, time in minutes."""
        return {
            "limit": "" if self.limit is None else self.limit.text(system),
            "reachable": self.reachable,
            "preferred": self.preferred.key,
            "best": self.best.key,
            "offers": [one.to_dict(system) for one in self.offers],
            "not_possible": [one.to_dict(system) for one in self.impossible],
            "tried": self.tried,
            "unknown": [one.text(system) for one in self.unknown],
        }


def options(
    posterior: Posterior,
    book: PriceBook | None = None,
    *,
    wanted: Wanted | None = None,
    singles: Sequence[Proposal] | None = None,
    most: int = MOST,
    size: int = SAMPLES,
    effects: bool = True,
    progress: Callable[[Progress], None] | None = None,
) -> Frontier:
    """What could be done to a system, at every price that buys better odds.

    Parameters
    ----------
    posterior : Posterior
        The calibrated job.
    book : PriceBook, optional
        Prices; the planning figures that ship if None.  ``price_book().but(rate=120.0)`` is theirs
        at a firm's own rate.
    wanted : Wanted, optional
        What is wanted; all of ``criteria.targets`` in every call in which it shows if None.
    singles : sequence of Proposal, optional
        The changes to choose among; all that make sense here if None.
    most : int
        How many of them are combined at most. [-]
    size : int
        Samples that it is computed on. [-]
    effects : bool
        Whether side effects are told of each offer.
    progress : function of Progress, optional
        Called with the frontier of single changes, and again as combinations are solved.

    Returns
    -------
    Frontier
        Doing nothing is the first of its offers.

    Raises
    ------
    OutsideTableError
        If the system as found works more than 0.1 in. w.c. outside its blower's table.
    InputError
        If the book has no price for a kind of change.
    NotPossibleError
        If nothing can be done here: every change is impossible or forbidden.
    """
    costs = book or price_book()
    evaluator = Evaluator.of(people_said(posterior, wanted), size, wanted)
    if singles is None:
        singles = proposals(evaluator.survey, costs, state=evaluator.state, calls=evaluator.calls)
        dampers = balance(evaluator, costs)
        singles = singles if dampers is None else (*singles, dampers)
    possible = tuple(one for one in singles if one.possible and one.changes)
    refused = tuple(one for one in singles if not one.possible)
    if not possible:
        raise _nothing(refused)
    search = Search(evaluator, possible, costs, most, progress)
    tried = search.run()
    refused = (*refused, *_left_out(search))
    if not search.singles:
        raise _nothing(refused)
    kept = search.offered()
    best = max(tried, key=lambda one: (one.odds, one.score, -one.cost))
    if len(kept) == 1 and best.score > kept[0].score:
        # None of them reaches, or by less than counts: what comes nearest is offered beside
        # doing nothing.
        kept = [*kept, best]
    at_last = costs.at_last(evaluator.survey)
    expected = expected_costs(kept, tried, costs, at_last)
    reachable = float(np.any([one.outcome.met for one in tried], axis=0).mean())
    made = _Maker(evaluator, costs, at_last, kept, expected, effects)
    offers = tuple(made.offer(k) for k in range(len(kept)))
    keys = [one.keys for one in kept]
    nearest = offers[keys.index(best.keys)] if best.keys in keys else offers[-1]
    return Frontier(
        offers=offers,
        preferred=offers[made.preferred],
        best=nearest,
        reachable=reachable,
        limit=limit_said(evaluator, tried, reachable, nearest),
        unknown=unknown_said(evaluator),
        impossible=refused,
        tried=len(tried),
    )


def _nothing(refused: Sequence[Proposal]) -> NotPossibleError:
    why = [one.forbidden or one.impossible for one in refused]
    first = next((one.text() for one in why if one is not None), "no change is known for it")
    return NotPossibleError(
        where="options",
        came="no change that can be made here",
        right=f"at least one is wanted to choose among; the first that was left out: {first}",
        do="Add the returns, the filters and the runs, one line each; or settle what forbids them.",
    )


def _left_out(search: Search) -> tuple[Proposal, ...]:
    """Singles that could not be solved, each with its reason."""
    found = []
    for key, one in search.left_out.items():
        keys = frozenset([key])
        why = search.evaluator.refused.get(keys)
        below = keys in search.evaluator.forbidden
        found.append(
            replace(one, forbidden=why if below else None, impossible=None if below else why)
        )
    return tuple(found)


@dataclass(frozen=True)
class _Maker:
    """Makes offers of options that were tried, with their forecasts."""

    evaluator: Evaluator
    book: PriceBook
    at_last: float
    kept: Sequence[Tried]
    expected: Array
    effects: bool

    @property
    def preferred(self) -> int:
        """The number of the option that costs least in the end."""
        return int(np.argmin(self.expected))

    def offer(self, number: int) -> Offer:
        one = self.kept[number]
        call = self.evaluator.wanted.calls[0]
        found = self.evaluator.forecasts(one.changes, call)
        now, then = found.now, found.then
        estimates = {name: then.estimate(name) for name in ("airflow", "delivered", "tesp")}
        estimates |= {f"static:{at}": then.estimate(f"static:{at}") for at in then.solution.reads}
        estimates |= {f"flow:{run}": then.estimate(f"flow:{run}") for run in then.solution.flow}
        acts = tuple(
            dict.fromkeys(ACT_OF_CHANGE[c.kind] for c in one.changes if c.kind in ACT_OF_CHANGE)
        )
        effects, no_effects = None, None
        if self.effects and one.changes:
            from inchwater.effects import side_effects

            try:
                effects = side_effects(now, then, self.evaluator.posterior.job)
            except InchwaterError as error:
                # A law that does not reach this far leaves the offer without side effects.
                right = error.right.removesuffix(".")
                no_effects = told("Side effects cannot be told here: {why}.", why=right)
        missed = zip(one.outcome.asked, (one.outcome.off > 0.0).mean(axis=0), strict=True)
        return Offer(
            key=" + ".join(sorted(one.keys)) or "nothing",
            label=one.label,
            changes=one.changes,
            price=self.book.price(one.changes, self.evaluator.survey),
            odds=one.odds,
            expected_cost=float(self.expected[number]),
            missed=tuple(
                sorted(((a.label, float(m)) for a, m in missed if m > 0.0), key=lambda row: -row[1])
            ),
            estimates=estimates,
            effects=effects,
            cautions=cautions_of(self.evaluator.survey, acts),
            questioned=tuple(_unlike(one)),
            why=self._why(number, then.estimate("airflow")),
            no_effects=no_effects,
            standing=standing_of(self.evaluator, one.changes),
            members=one.members,
        )

    def _why(self, number: int, airflow: Estimate) -> Said:
        """In one sentence why it is among the offers."""
        one = self.kept[number]
        before = self.kept[number - 1] if number else None
        odds = f"{100.0 * one.odds:.0f}"
        if before is None:
            return self._why_nothing(odds)
        more = money(max(one.cost - before.cost, 0.0))
        slower = _SLOWER if one.slower else ""
        if one.odds <= before.odds:
            return told(
                "Nothing that was tried comes nearer, at {more} more: {airflow}, and all that is "
                "wanted in {odds} cases of 100." + slower,
                more=more,
                airflow=airflow,
                odds=odds,
            )
        if self.preferred == number:
            return told(
                "It costs least in the end, failures and return visits counted: {airflow}, and "
                "all that is wanted in {odds} cases of 100." + slower,
                airflow=airflow,
                odds=odds,
            )
        return told(
            "For {more} more than the one before it raises the odds from {before} to {odds} in "
            "100, with {airflow}." + slower,
            more=more,
            before=f"{100.0 * before.odds:.0f}",
            odds=odds,
            airflow=airflow,
        )

    def _why_nothing(self, odds: str) -> Said:
        """Of leaving it as it is; where only giving up costs less, what would be likeliest."""
        text = "As it is, all that is wanted is met in {odds} cases of 100."
        likeliest = max(self.kept, key=lambda one: one.odds)
        gives_up = self.preferred == 0 and self.expected[0] >= self.at_last
        if not gives_up or likeliest is self.kept[0]:
            return told(text, odds=odds)
        return told(
            text + " No work that was tried costs less in the end than giving up, which is counted "
            "as new ducts for {last}. Likeliest to reach, in {most} of 100 and for {price}, is "
            "{what}.",
            odds=odds,
            last=money(self.at_last),
            what=in_sentence(likeliest.label),
            most=f"{100.0 * likeliest.odds:.0f}",
            price=money(likeliest.cost),
        )


def _unlike(one: Tried) -> list[Said]:
    """What questions its members, each sentence once."""
    by_text = {said.text(): said for member in one.members for said in member.questioned}
    return list(by_text.values())
