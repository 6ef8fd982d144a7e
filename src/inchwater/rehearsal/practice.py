"""A practice round: a virtual house of which the technician sees only what was surveyed.

A round is its house's seed and a list of acts; everything else follows from them.  The rules of
measuring hold here too: the filter is out briefly, never in heat, and back before anything else.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal, get_args

from inchwater.errors import InputError, NotPossibleError, UnknownNameError
from inchwater.rehearsal.house import VirtualHouse
from inchwater.rehearsal.practice_display import Display, display
from inchwater.rehearsal.practice_figures import practice
from inchwater.rehearsal.practice_house import plate_of, practice_house, truth, world_after
from inchwater.rehearsal.practice_places import Spot, spots
from inchwater.rehearsal.state import State
from inchwater.rehearsal.visits import COOLING
from inchwater.survey import Change, Job, Quantity, Survey, Trial, filters_of

Do = Literal[
    "read", "look", "call", "filter-out", "filter-in", "change", "take-back", "done", "cannot"
]
DOES: tuple[Do, ...] = get_args(Do)


@dataclass(frozen=True, slots=True)
class Act:
    """One thing that a technician does.

    ``at`` is the place of a reading, the call that is set, or the change that is made or taken
    back; ``quantity`` is what is read; ``looks`` how often the display is looked at.
    """

    do: Do
    at: str = ""
    quantity: Quantity | Literal[""] = ""
    looks: int = 1


@dataclass(frozen=True)
class Terms:
    """What is wanted, and what things cost: given, so that nothing of the model is needed here.

    ``low`` and ``high`` bound the wanted airflow [m3/s]; ``prices`` are by change, work and
    material in them [USD]; ``minutes`` by kind of reading [min]; ``per_minute`` is what a minute of
    measuring costs [USD/min], and ``visit`` one more visit where the goal was missed [USD].
    """

    low: float
    high: float
    prices: Mapping[str, float]
    minutes: Mapping[str, float]
    per_minute: float
    visit: float


@dataclass(frozen=True)
class Taken:
    """A reading that was taken: on which display, with how many looks, and in which state."""

    number: int
    stretch: int
    after: tuple[str, ...]
    condition: Mapping[str, str]
    display: Display
    looks: int
    minutes: float


@dataclass(frozen=True)
class Round:
    """A round as it stands after its acts; :meth:`after` gives the next one.

    ``in_force`` are the changes that stand, in the order in which they were made, ``made`` all that
    ever were; ``money`` is what changes cost so far [USD], ``minutes`` what everything else took
    [min]; ``ended`` is empty, "done" or "cannot".
    """

    seed: int
    terms: Terms
    acts: tuple[Act, ...] = ()
    in_force: tuple[str, ...] = ()
    made: tuple[str, ...] = ()
    money: float = 0.0
    minutes: float = 0.0
    condition: Mapping[str, str] = field(default_factory=lambda: dict(COOLING))
    stretch: int = 1
    taken: tuple[Taken, ...] = ()
    out_minutes: float = 0.0
    ended: Literal["", "done", "cannot"] = ""

    @property
    def house(self) -> VirtualHouse:
        """The house with everything that is known of it."""
        return practice_house(self.seed)

    @property
    def plate(self) -> float:
        """What the unit's plate allows. [Pa]"""
        return plate_of(self.house.job.survey)

    @property
    def survey(self) -> Survey:
        """What was surveyed, with the changes that stand."""
        return self.house.job.survey_after(self.in_force)

    @property
    def truth(self) -> State:
        """What truly is now."""
        return truth(self.seed, self.in_force, self.condition)

    @property
    def out(self) -> bool:
        """Whether a filter is out."""
        return any(value == "out" for value in self.condition.values())

    @property
    def spots(self) -> tuple[Spot, ...]:
        """Where something can be read now."""
        return spots(self.survey, self.truth, self.condition, self.terms.minutes)

    @property
    def current(self) -> Taken | None:
        """The reading whose display is still being looked at."""
        looking = self.acts and self.acts[-1].do in ("read", "look")
        return self.taken[-1] if looking else None

    @property
    def job(self) -> Job:
        """The survey with what was read and changed so far, as the job that a visit would hold."""
        trials: dict[int, Trial] = {}
        for one in self.taken:
            trial = trials.setdefault(
                one.stretch, Trial(f"tr{len(trials) + 1}", one.after, one.condition)
            )
            reading = one.display.written(one.looks, f"rd{one.number}")
            trials[one.stretch] = replace(trial, readings=(*trial.readings, reading))
        changes = self.house.job.changes_by_id
        return replace(
            self.house.job,
            id=f"practice-{self.seed}",
            name=f"Practice house {self.seed} (invented)",
            changes=tuple(changes[id_] for id_ in self.made),
            trials=tuple(trials.values()),
        )

    def change(self, id_: str) -> Change:
        """One of the ten changes; UnknownNameError if the house has no such one."""
        for one in self.house.job.changes:
            if one.id == id_:
                return one
        raise UnknownNameError(
            where="change",
            came=repr(id_),
            right=f"the changes are {', '.join(one.id for one in self.house.job.changes)}",
            do="Choose one of them.",
        )

    def after(self, act: Act) -> Round:
        """The round after one more act; this one is left as it is.

        Raises
        ------
        NotPossibleError
            If it may not be done now; the text says why.
        UnknownNameError, InputError
            If the house has no such place, call or change, or the looks are no number of looks.
        """
        if self.ended:
            raise NotPossibleError(
                where=act.do,
                came="one more act",
                right="this round is over",
                do="Start another one.",
            )
        if not 1 <= act.looks <= practice("looks most"):
            raise InputError(
                where="looks",
                came=f"{act.looks}",
                right=f"one act takes 1 to {practice('looks most'):.0f} looks",
                do="Look again later.",
            )
        return replace(_DO[act.do](self, act), acts=(*self.acts, act))


def begin(seed: int, terms: Terms, acts: Sequence[Act] = ()) -> Round:
    """A round of a house, after these acts."""
    now = Round(seed, terms)
    for act in acts:
        now = now.after(act)
    return now


# --- acts ----------------------------------------------------------------------------------------


def _read(now: Round, act: Act) -> Round:
    spot = next(
        (one for one in now.spots if (one.quantity, one.at) == (act.quantity, act.at)), None
    )
    if spot is None:
        raise UnknownNameError(
            where="read",
            came=f"{act.quantity} at {act.at}",
            right="nothing of that kind can be read there as the house stands",
            do="Choose one of the places that are listed.",
        )
    before = any(
        (one.display.reading.quantity, one.display.reading.at) == (act.quantity, act.at)
        for one in now.taken
    )
    minutes = (spot.again if before else spot.minutes) + (act.looks - 1) * practice("minutes look")
    number = len(now.acts) + 1
    shown = display(
        world_after(now.seed, now.in_force),
        now.truth,
        spot.quantity,
        spot.at,
        call=now.condition["call"],
        stretch=now.stretch,
        number=number,
    )
    taken = Taken(number, now.stretch, now.in_force, now.condition, shown, act.looks, minutes)
    return replace(_passed(now, minutes), taken=(*now.taken, taken))


def _look(now: Round, act: Act) -> Round:
    last = now.current
    if last is None:
        raise NotPossibleError(
            where="look",
            came="no display",
            right="one looks again at a reading that was begun just before",
            do="Read something first.",
        )
    minutes = act.looks * practice("minutes look")
    looked = replace(last, looks=last.looks + act.looks, minutes=last.minutes + minutes)
    return replace(_passed(now, minutes), taken=(*now.taken[:-1], looked))


def _passed(now: Round, minutes: float) -> Round:
    """The round with minutes gone; without a filter only a few may go."""
    out = now.out_minutes + minutes if now.out else 0.0
    if out > practice("filter out most"):
        raise NotPossibleError(
            where="read",
            came=f"{out:.0f} minutes without a filter",
            right=f"it is out for {practice('filter out most'):.0f} minutes at most",
            do="Put the filter back first.",
        )
    return replace(now, minutes=now.minutes + minutes, out_minutes=out)


def _call(now: Round, act: Act) -> Round:
    calls = tuple(now.survey.unit.calls)
    if act.at not in calls:
        raise UnknownNameError(
            where="call",
            came=repr(act.at),
            right=f"this thermostat calls for {', '.join(calls)}",
            do="Choose one of them.",
        )
    _filter_back_first(now, "call", f"the thermostat set to {act.at}")
    if act.at == now.condition["call"]:
        raise NotPossibleError(
            where="call",
            came=act.at,
            right="the thermostat calls for it already",
            do="Choose another call, or read.",
        )
    wet = act.at.startswith("cooling")
    condition = {"call": act.at, "coil": "wet" if wet else "dry"}
    return _other_state(now, condition, practice("minutes call"))


def _filter_out(now: Round, act: Act) -> Round:
    ids = [one.id for one in filters_of(now.survey)]
    call = now.condition["call"]
    iced = any(coil.condition == "iced" for coil in now.survey.coils or ())
    wrong = ""
    if now.out or not ids:
        wrong = "there is no filter in"
    elif call.startswith("heating"):
        wrong = "the filter stays in while the heat is on"
    elif iced:
        wrong = "the filter stays in while there is ice on the coil"
    if wrong:
        raise NotPossibleError(
            where="filter",
            came="filter out",
            right=wrong,
            do="Read the drop across it, with a hole each side.",
        )
    condition = {**now.condition, **{f"filter:{id_}": "out" for id_ in ids}}
    return _other_state(now, condition, practice("minutes filter"))


def _filter_in(now: Round, act: Act) -> Round:
    if not now.out:
        raise NotPossibleError(
            where="filter",
            came="filter in",
            right="the filter is in",
            do="Go on with what you wanted to do.",
        )
    condition = {key: value for key, value in now.condition.items() if value != "out"}
    return _other_state(now, condition, practice("minutes filter"))


def _other_state(now: Round, condition: Mapping[str, str], minutes: float) -> Round:
    return replace(
        now,
        condition=dict(condition),
        minutes=now.minutes + minutes,
        stretch=now.stretch + 1,
        out_minutes=0.0,
    )


def _change(now: Round, act: Act) -> Round:
    change = now.change(act.at)
    _filter_back_first(now, "change", f"change {change.id}")
    if change.id in now.in_force:
        raise NotPossibleError(
            where="change",
            came=change.id,
            right="it is made already",
            do="Choose another one, or take it back.",
        )
    most = int(practice("changes most"))
    if len(now.in_force) >= most:
        raise NotPossibleError(
            where="change",
            came=f"one more beside {', '.join(now.in_force)}",
            right=f"the owner agrees to {most} changes at once",
            do="Take one of them back first, or say that you are done.",
        )
    ids = (*now.in_force, change.id)
    # Refused before it is paid, should the survey not bear it.
    now.house.job.survey_after(ids)
    made = now.made if change.id in now.made else (*now.made, change.id)
    after = _other_state(now, now.condition, 0.0)
    return replace(after, in_force=ids, made=made, money=now.money + now.terms.prices[change.id])


def _take_back(now: Round, act: Act) -> Round:
    change = now.change(act.at)
    _filter_back_first(now, "take back", f"change {change.id}")
    if change.id not in now.in_force:
        raise NotPossibleError(
            where="take back",
            came=change.id,
            right=f"what stands is {', '.join(now.in_force) or 'the house as found'}",
            do="Choose a change that stands.",
        )
    ids = tuple(id_ for id_ in now.in_force if id_ != change.id)
    now.house.job.survey_after(ids)
    return replace(_other_state(now, now.condition, practice("minutes take-back")), in_force=ids)


def _end(now: Round, act: Act) -> Round:
    _filter_back_first(now, act.do, "the end of the visit")
    return replace(now, ended="done" if act.do == "done" else "cannot")


def _filter_back_first(now: Round, where: str, came: str) -> None:
    if now.out:
        raise NotPossibleError(
            where=where,
            came=came,
            right="nothing is done without a filter but a few readings",
            do="Put the filter back first.",
        )


_DO: Mapping[Do, Callable[[Round, Act], Round]] = {
    "read": _read,
    "look": _look,
    "call": _call,
    "filter-out": _filter_out,
    "filter-in": _filter_in,
    "change": _change,
    "take-back": _take_back,
    "done": _end,
    "cannot": _end,
}
