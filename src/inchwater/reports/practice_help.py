"""What Inchwater itself makes of a practice round's readings: the same job, the same ten changes.

It knows what the technician knows, and nothing of the house's truth.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from inchwater.errors import NotPossibleError
from inchwater.planning import Option, ReadingValue, next_reading, usual_prices
from inchwater.planning.next_reading import expected_costs
from inchwater.quantity import Estimate, Said
from inchwater.rehearsal.practice import Round
from inchwater.rehearsal.practice_figures import practice
from inchwater.reports.practice_words import change_said

if TYPE_CHECKING:
    from inchwater.planning.information import Decision

# The seed of its random numbers: the same readings, the same help.
SEED = 1
# So many single changes are also weighed together, those that come nearest to the goal.
_TOGETHER = 5


@dataclass(frozen=True, slots=True)
class Choice:
    """A set of changes, its price [USD], and the odds that the goal is met with it [-]."""

    changes: tuple[str, ...]
    label: str
    price: float
    odds: float


@dataclass(frozen=True)
class Help:
    """Its answer, what it thinks of the changes, and the reading that it would take next.

    ``choices`` begin with leaving it as it stands; each later one costs more and has better odds.
    """

    sentence: Said
    airflow: Estimate
    tesp: Estimate
    choices: tuple[Choice, ...]
    next: ReadingValue


def practice_help(now: Round) -> Help:
    """What the tool would say to the readings of a round so far.

    Raises
    ------
    NotPossibleError
        If nothing was read yet.
    InchwaterError
        What the model cannot answer, in its own words.
    """
    from inchwater.answer import answer
    from inchwater.answer.possibilities import fitted

    if not now.taken:
        raise NotPossibleError(
            where="help",
            came="no reading",
            right="it begins with the readings of one state at least",
            do="Read the static at the return and in the supply plenum first.",
        )
    job = now.job
    posterior = fitted(job, SEED).posteriors[0]
    found = answer(job, SEED, posterior=posterior)
    prices = usual_prices()
    left = int(practice("changes most")) - len(now.in_force)
    singles = _singles(now) if left else ()
    first, keys = expected_costs(posterior, prices, singles)
    options = (*singles, *_together(singles, first, keys, left))
    decision, keys = expected_costs(posterior, prices, options)
    return Help(
        sentence=found.sentence,
        airflow=found.airflow,
        tesp=found.tesp,
        choices=_frontier(options, decision, keys),
        next=next_reading(posterior, prices=prices)[0],
    )


def _singles(now: Round) -> tuple[Option, ...]:
    """Each of the ten changes that does not stand yet."""
    survey = now.house.job.survey
    return tuple(
        Option(one.id, f"{one.id}: {change_said(one, survey)}", (one,))
        for one in now.house.job.changes
        if one.id not in now.in_force
    )


def _together(
    singles: Sequence[Option], decision: Decision, keys: Sequence[str], most: int
) -> Iterator[Option]:
    """The most promising changes, two and three at once as far as they may stand."""
    losses = decision.losses(decision.brings).mean(axis=0)
    known = {option.key: option for option in singles}
    good = [key for _, key in sorted(zip(losses, keys, strict=True)) if key in known][:_TOGETHER]
    # In the order of their numbers, as a technician would make them.
    near = [option for option in singles if option.key in good]
    for size in range(2, most + 1):
        for some in combinations(near, size):
            yield Option(
                "+".join(one.key for one in some),
                "; ".join(one.label for one in some),
                tuple(change for one in some for change in one.changes),
            )


def _frontier(
    options: Sequence[Option], decision: Decision, keys: Sequence[str]
) -> tuple[Choice, ...]:
    """The sets that no cheaper one has as good odds as, the cheapest first."""
    known = {option.key: option for option in options}
    met = 1.0 - decision.missed(decision.brings).mean(axis=0)
    found: list[Choice] = []
    for price, odds, key in sorted(
        zip(decision.prices, met, keys, strict=True), key=lambda one: (one[0], -one[1])
    ):
        option = known.get(key)
        ids = tuple(change.id for change in option.changes) if option else ()
        label = option.label if option else "Leave it as it stands"
        if not found or odds > found[-1].odds + 0.005:
            found.append(Choice(ids, label, float(price), float(odds)))
    return tuple(found)
