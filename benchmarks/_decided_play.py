"""One virtual house from the first visit to the last: offers, work, readings, and what it cost.

The program sees readings only, and hears from those who live there where it is too loud.  An offer
is made step by step: after each one it reads, calibrates and plans what is left, and goes on in the
same visit, of as many changes as one offer may have.  It stops where
leaving the system as it is is what it prefers; what truly is ends nothing.  Where it stopped and
the house has not what is wanted, somebody calls again: that is one more visit, read anew, and the
best of the other offers is made.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from benchmarks._bill import Bill
from benchmarks._referee import COOLING, KEYS, MOST, Referee, done_again, first_trials, wanted
from inchwater import criteria
from inchwater.calibration import Posterior, calibrate
from inchwater.errors import InchwaterError
from inchwater.planning import Frontier, Offer, Proposal, options, price_book
from inchwater.planning.steps import in_steps
from inchwater.planning.wanted import AllTargets
from inchwater.planning.work_records import new_id
from inchwater.rehearsal.after_work import read_after
from inchwater.survey import Change, Job, Survey, WorkRecord

VISITS = 4
_SEED = 7


class Asked(AllTargets):
    """What is wanted in this benchmark, of all that criteria know, in the cooling call."""

    def targets(self, survey: Survey, call: str) -> tuple[criteria.Target, ...]:
        """Airflow, external static, air speeds in ducts and at faces, noise."""
        return tuple(one for one in super().targets(survey, call) if one.key in KEYS)


@dataclass(frozen=True, slots=True)
class Given:
    """An offer of work with its odds, and whether it truly works; visit 1 is before any work."""

    odds: float
    works: bool
    visit: int
    missed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Visit:
    """One visit: what was done, its price [USD], the odds that were given, and whether it works.

    ``keys`` are the steps that were made one after the other, ``a + b | c``; ``odds`` and
    ``expected`` are of the offer that the first of them belongs to.
    """

    keys: str
    price: float
    odds: float
    expected: float
    met: bool
    missed: tuple[str, ...]
    stops: bool


@dataclass
class Played:
    """A house played to its end.

    ``limit`` is whether it was said before work began that nothing is likely to reach, and
    ``reachable`` the odds that were given for it; ``refused`` why there was no answer, empty if
    there was one.
    """

    visits: list[Visit] = field(default_factory=list)
    given: list[Given] = field(default_factory=list)
    limit: bool = False
    reachable: float = float("nan")
    met: bool = False
    gave_up: bool = False
    refused: str = ""

    @property
    def work(self) -> float:
        """What all work cost. [USD]"""
        return sum(one.price for one in self.visits)

    @property
    def money(self) -> float:
        """What work and visits cost until all was met; without end where it never was. [USD]"""
        if not self.met:
            return float("inf")
        return self.work + len(self.visits) * price_book().visit


@dataclass
class _Game:
    """The program's side: its job with all trials so far, and what it makes of them."""

    referee: Referee
    job: Job
    size: int
    done: list[Change] = field(default_factory=list)

    def posterior(self) -> Posterior:
        return calibrate(self.job, _SEED, size=self.size)

    def frontier(self, *, most: int = MOST, on_site: bool = False) -> Frontier:
        """The offers.

        Parameters
        ----------
        most : int
            How many changes at most.
        on_site : bool
            Whether somebody is there: then the trip's least is paid.
        """
        asked = Asked(self.job, (COOLING["call"],), criteria.noisy_room(self.job))
        book = price_book().but(trip=0.0 if on_site else None)
        return options(self.posterior(), book, wanted=asked, most=most, effects=False)

    def make(self, changes: Sequence[Change], bill: Bill) -> None:
        """Do work, and put it on the visit's bill; what turns out not to be there is left."""
        survey = self.job.survey_after(tuple(one.id for one in self.done))
        bill.add(changes, survey)
        for again in done_again(changes, self.done):
            if self.referee.verdict((*self.done, again)) is not None:
                self.done.append(again)
        self.job = replace(self.job, changes=tuple(self.done))

    def read(self, name: str, hoods: bool = True) -> None:
        """Read the system as it stands: statics, filters, airflow by a plate, and by hoods."""
        world = self.referee.house.after(self.done)
        ids = tuple(one.id for one in self.done)
        trial = read_after(world, name, ids, airflow=True, hoods=hoods)
        self.job = replace(self.job, trials=(*self.job.trials, trial))

    def listen(self) -> None:
        """Ask those who live there where it is too loud, and keep what they say."""
        ids = tuple(one.id for one in self.done)
        if ids:
            loud = self.referee.loud(self.done)
            record = WorkRecord(new_id(self.job), "heard", changes=ids, loud=loud)
            self.job = replace(self.job, work=(*self.job.work, record))

    def called(self, number: int) -> None:
        """Somebody calls again after visit ``number``: read all anew, and keep what they say."""
        self.read(f"again-{number}")
        self.listen()
        ids = tuple(one.id for one in self.done)
        record = WorkRecord(new_id(self.job), "called-again", changes=ids)
        self.job = replace(self.job, work=(*self.job.work, record))

    def met(self) -> tuple[bool, tuple[str, ...]]:
        verdict = self.referee.verdict(tuple(self.done))
        return (verdict.met, verdict.missed) if verdict is not None else (False, ("physics",))

    def works(self, offer: Offer, visit: int) -> Given | None:
        verdict = self.referee.verdict((*self.done, *done_again(offer.changes, self.done)))
        if verdict is None:
            return None
        return Given(offer.odds, verdict.met, visit, verdict.missed)


def played(referee: Referee, size: int, *, to_the_end: bool = True) -> Played:
    """One house played by the program, with ``size`` samples of each calibration.

    Of a house that nothing reaches only what is said before work begins counts: then it is not
    played ``to_the_end``.
    """
    roles = first_trials(referee.house)
    result = Played()
    if roles is None:
        result.refused = "fewer than three trials"
        return result
    game = _Game(referee, wanted(referee.house.with_trials(roles)), size)
    try:
        _play(game, result, to_the_end)
    except InchwaterError as problem:
        result.refused = f"{type(problem).__name__}: {problem.where}"
    result.met = game.met()[0]
    return result


def _play(game: _Game, result: Played, to_the_end: bool) -> None:
    found = game.frontier()
    result.limit, result.reachable = found.limit is not None, found.reachable
    result.given = _truly(game, found, 1)
    offer = found.preferred
    if not to_the_end:
        price, expected = offer.price.value, offer.expected_cost
        result.visits = [
            Visit(offer.key, price, offer.odds, expected, *game.met(), not offer.changes)
        ]
        return
    for number in range(1, VISITS + 1):
        found = _visit(game, result, found, offer, number)
        nothing = result.visits[-1].stops
        if nothing and result.visits[-1].met:
            return
        if nothing and found.limit is not None:
            result.gave_up = True
            return
        offer = found.preferred
        if nothing and number < VISITS:
            # Somebody calls again: it is not what was wanted.
            game.called(number)
            found = game.frontier()
            others = [one for one in found.offers if one.changes]
            if not others:
                result.gave_up = True
                return
            offer = min(others, key=lambda one: one.expected_cost)


def _visit(game: _Game, result: Played, found: Frontier, offer: Offer, number: int) -> Frontier:
    """One visit: the first step of an offer, and then of what is preferred; what is offered after.

    On site only so many changes are offered as the visit may still have.  Whether anything reaches
    is a matter of all that could be done another time.
    """
    left, bill = MOST, Bill()
    keys: list[str] = []
    odds, expected = offer.odds, offer.expected_cost

    def look(when: str, hoods: bool) -> Frontier:
        game.read(f"{when}-{number}-{len(keys)}", hoods=hoods)
        game.listen()
        after = game.frontier(most=left, on_site=True) if left > 0 else game.frontier()
        result.given += _truly(game, after, number + 1)
        return after

    while offer.changes and left > 0:
        step = _first_step(game, offer)
        game.make([change for one in step for change in one.changes], bill)
        keys.append(" + ".join(one.key for one in step))
        left -= len(step)
        if left > 0:
            found = look("after", hoods=False)
        if left <= 0 or not found.preferred.changes:
            found = look("leaving", hoods=True)
        offer = found.preferred
    if keys and left > 0 and found.limit is not None:
        found = game.frontier()
    met, missed = game.met()
    stops = not found.preferred.changes
    result.visits.append(Visit(" | ".join(keys), bill.total, odds, expected, met, missed, stops))
    return found


def _first_step(game: _Game, offer: Offer) -> tuple[Proposal, ...]:
    """What of an offer is done before anything is read again."""
    survey = game.job.survey_after(tuple(one.id for one in game.done))
    first = {change.id for change in in_steps(offer.changes, survey)[0]}
    return tuple(one for one in offer.members if first & {change.id for change in one.changes})


def _truly(game: _Game, found: Frontier, visit: int) -> list[Given]:
    """Every offer of work beside what it truly brings."""
    each = [game.works(one, visit) for one in found.offers if one.changes]
    return [one for one in each if one is not None]
