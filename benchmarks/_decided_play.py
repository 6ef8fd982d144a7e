"""One virtual house from the first visit to the last: offers, work, readings, and what it cost.

The program sees readings only.  It stops where leaving the system as it is is what it prefers; what
truly is ends nothing.  Where it stopped and the house has not what is wanted, somebody calls again:
that is one more visit, read anew, and the best of the other offers is made.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from benchmarks._houses import usual_trials
from benchmarks._referee import COOLING, KEYS, MOST, Referee, done_again, wanted
from inchwater import criteria
from inchwater.calibration import Posterior, calibrate
from inchwater.errors import InchwaterError
from inchwater.planning import Frontier, Offer, options, price_book
from inchwater.planning.evaluate import Evaluator
from inchwater.planning.wanted import AllTargets
from inchwater.rehearsal.after_work import read_after
from inchwater.survey import Change, Job, Survey

VISITS = 4
_SEED = 7
_FEWEST = 20  # samples that a decision may rest on


class Asked(AllTargets):
    """What is wanted in this benchmark, of all that criteria know, in the cooling call."""

    def targets(self, survey: Survey, call: str) -> tuple[criteria.Target, ...]:
        """Airflow, external static, air speeds in ducts and at faces, noise."""
        return tuple(one for one in super().targets(survey, call) if one.key in KEYS)


class Unheard(Asked):
    """The same without noise: of what nobody hears somebody who calls says nothing."""

    def targets(self, survey: Survey, call: str) -> tuple[criteria.Target, ...]:
        """All but noise."""
        return tuple(one for one in super().targets(survey, call) if one.key != "noise")


@dataclass(frozen=True, slots=True)
class Given:
    """An offer of work with its odds, and whether it truly works."""

    odds: float
    works: bool
    visit: int
    missed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Visit:
    """One visit: what was done, its price [USD], the odds that were given, and whether it works."""

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

    def frontier(self, called: bool = False) -> Frontier:
        """The offers; ``called`` is whether somebody has called again: not all can be met."""
        asked = Asked(self.job, (COOLING["call"],), criteria.noisy_room(self.job))
        posterior = self.posterior()
        if called:
            # Who lives there hears noise and would say so: then it is something else.
            verdict = self.referee.verdict(tuple(self.done))
            heard = verdict is not None and verdict.loud
            short = asked if heard else Unheard(self.job, asked.calls, asked.noisy)
            posterior = _not_met(posterior, short)
        return options(posterior, wanted=asked, most=MOST, effects=False)

    def make(self, changes: Sequence[Change]) -> None:
        """Do work; what turns out on site not to be there is left."""
        for again in done_again(changes, self.done):
            if self.referee.verdict((*self.done, again)) is not None:
                self.done.append(again)
        self.job = replace(self.job, changes=tuple(self.done))

    def read(self, name: str) -> None:
        """Read the system as it stands: statics, filters, airflow by plate and hoods."""
        world = self.referee.house.after(self.done)
        ids = tuple(one.id for one in self.done)
        trial = read_after(world, name, ids, airflow=True)
        self.job = replace(self.job, trials=(*self.job.trials, trial))

    def complain(self) -> None:
        """Say where it is too loud, which somebody who lives there hears."""
        verdict = self.referee.verdict(tuple(self.done))
        survey = self.job.survey_after(tuple(one.id for one in self.done))
        rooms = [room_of(survey, one) for one in (() if verdict is None else verdict.loud)]
        room = next((one for one in rooms if one is not None), None)
        if room is not None:
            self.job = replace(self.job, complaint="It is too loud.", complaint_room=room)

    def met(self) -> tuple[bool, tuple[str, ...]]:
        verdict = self.referee.verdict(tuple(self.done))
        return (verdict.met, verdict.missed) if verdict is not None else (False, ("physics",))

    def works(self, offer: Offer) -> Given | None:
        verdict = self.referee.verdict((*self.done, *done_again(offer.changes, self.done)))
        if verdict is None:
            return None
        return Given(offer.odds, verdict.met, 0, verdict.missed)


def room_of(survey: Survey, opening: str) -> str | None:
    """The room of ``register:<run>`` or ``grille:<return>``; None where nobody has named it."""
    word, _, id_ = opening.partition(":")
    if word == "grille":
        return next((one.room for one in survey.returns or () if one.id == id_), None)
    runs = () if survey.supply is None else survey.supply.runs
    return next((one.room for one in runs if one.id == id_), None)


def _not_met(posterior: Posterior, asked: Asked) -> Posterior:
    """What is known once it is known that the system as it stands does not meet all of it.

    Where hardly a sample falls short nothing is learnt: then it is the model that is wrong.
    """
    evaluator = Evaluator.of(posterior, posterior.size, asked)
    short = ~evaluator.outcome(()).met
    if short.sum() < _FEWEST:
        return posterior
    weights = short / short.sum()
    return replace(evaluator.posterior, weights=weights, effective_size=float(short.sum()))


def played(referee: Referee, size: int) -> Played:
    """One house played by the program, with ``size`` samples of each calibration."""
    roles = usual_trials(referee.house, 3)
    result = Played()
    if roles is None:
        result.refused = "fewer than three trials"
        return result
    game = _Game(referee, wanted(referee.house.with_trials(roles)), size)
    try:
        _play(game, result)
    except InchwaterError as problem:
        result.refused = f"{type(problem).__name__}: {problem.where}"
    result.met = game.met()[0]
    return result


def _play(game: _Game, result: Played) -> None:
    found = game.frontier()
    result.limit, result.reachable = found.limit is not None, found.reachable
    offer = found.preferred
    for number in range(1, VISITS + 1):
        result.given += [replace(one, visit=number) for one in _truly(game, found)]
        game.make(offer.changes)
        met, missed = game.met()
        visit = Visit(
            offer.key, offer.price.value, offer.odds, offer.expected_cost, met, missed, False
        )
        result.visits.append(visit)
        if offer.changes:
            game.read(f"after-{number}")
            found = game.frontier()
        nothing = not found.preferred.changes
        result.visits[-1] = replace(visit, stops=nothing)
        if nothing and met:
            return
        if nothing and found.limit is not None:
            result.gave_up = True
            return
        offer = found.preferred
        if nothing and number < VISITS:
            # Somebody calls again: it is not what was wanted.
            game.read(f"again-{number}")
            game.complain()
            found = game.frontier(called=True)
            others = [one for one in found.offers if one.changes]
            if not others:
                result.gave_up = True
                return
            offer = min(others, key=lambda one: one.expected_cost)


def _truly(game: _Game, found: Frontier) -> list[Given]:
    """Every offer of work beside what it truly brings."""
    each = [game.works(one) for one in found.offers if one.changes]
    return [one for one in each if one is not None]
