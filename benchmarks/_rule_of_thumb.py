"""The routine of the trade: the largest restriction first by handbook sizes, measure, repeat.

It has the same prices, the same list of what can be done, the same readings, and ends where the
same referee says so.  What it knows of physics are printed figures: allowances for filter, supply
and return, the friction chart, face velocities, and the blower's table at the static that is read.
In one visit it does one thing after the other until its readings say that airflow and static are
within bounds; a visit holds as many as one of our options may.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from benchmarks._bill import Bill
from benchmarks._referee import COOLING, MOST, TARGETS, Referee, done_again, first_trials
from inchwater import criteria, units
from inchwater.criteria.bounds import figure
from inchwater.errors import InchwaterError
from inchwater.planning import Proposal, price_book, proposals
from inchwater.planning.proposed import branches_of
from inchwater.rehearsal.after_work import read_after
from inchwater.rehearsal.state import inlet_point, outlet_point
from inchwater.survey import Branch, Change, Fact, Return, Survey, Trial, apply

VISITS = 4
# Each fitting as so many feet of duct, and how many times a slack duct takes what the chart says
# (common practice, no source).
_FITTING_FEET = 15.0
_SLACK = {"slack": 1.5, "draped": 2.0, "kinked": 3.0}
# Friction chart of round ducts: in. w.c. for 100 ft = 0.109136 cfm^1.9 / in^5.02 (equation printed
# for the chart in handbooks of air conditioning; memory).
_CHART = (0.109136, 1.9, 5.02)
_FRICTION = 0.08  # that returns are sized by (common practice, no source) [in. w.c. for 100 ft]
_ALLOWED = ("filter", "return", "grille", "supply")


@dataclass
class Routine:
    """One house in the hands of somebody with a gauge and a handbook."""

    referee: Referee
    survey: Survey
    trial: Trial
    drops: dict[str, float]
    flow: float | None = None
    registers: dict[str, float] = field(default_factory=dict)
    loud: tuple[str, ...] = ()
    done: list[Change] = field(default_factory=list)
    keys: list[str] = field(default_factory=list)
    bills: list[Bill] = field(default_factory=list)  # one for each visit

    # --- what it reads

    def read(self, name: str) -> None:
        world = self.referee.house.after(self.done)
        self.trial = read_after(world, name, (), airflow=True)
        self.drops = {one.at: one.value for one in self.trial.readings if one.quantity == "drop"}
        found = [one.value for one in self.trial.readings if one.at == "unit"]
        self.flow = found[0] if found else None
        at = ((r.at.partition(":"), r.value) for r in self.trial.readings)
        self.registers = {id_: value for (kind, _, id_), value in at if kind == "register"}

    def listen(self) -> None:
        """Ask those who live there which openings are too loud."""
        self.loud = self.referee.loud(self.done)

    def static(self, point: str) -> float:
        found = [r.value for r in self.trial.readings if r.quantity == "static" and r.at == point]
        return abs(found[0]) if found else 0.0

    @property
    def tesp(self) -> float:
        world = self.referee.house.after(())
        return self.static(outlet_point(world)) + self.static(inlet_point(world))

    @property
    def airflow(self) -> float | None:
        """As read, or by the blower's table at the static that was read. [m3/s]"""
        if self.flow is not None:
            return self.flow
        unit = self.survey.unit
        tap = unit.calls.get("cooling") or unit.tap
        rows = () if unit.table is None else unit.table.rows
        cells = sorted((r.tesp, r.airflow) for r in rows if r.tap == tap and r.airflow is not None)
        if not cells:
            return None
        return float(np.interp(self.tesp, [c[0] for c in cells], [c[1] for c in cells]))

    @property
    def design(self) -> float:
        return criteria.goal(self.survey, TARGETS).middle

    @property
    def plate(self) -> float:
        return criteria.plate(self.survey)[0]

    @property
    def moved(self) -> bool:
        """Whether its readings say that airflow and static are within bounds."""
        goal = criteria.goal(self.survey, TARGETS)
        flow = self.airflow
        return self.tesp <= self.plate and (flow is None or goal.low <= flow <= goal.high)

    @property
    def satisfied(self) -> bool:
        """Whether airflow, static and air speeds are within bounds, as far as it can tell."""
        return self.moved and not self.too_fast() and not self.loud

    def too_fast(self) -> list[tuple[float, tuple[str, ...]]]:
        """What is faster than its bound by how much, and what is done about it, the worst first."""
        total = self.airflow or self.design
        found: list[tuple[float, tuple[str, ...]]] = []
        supply = self.survey.supply
        sized = {b.id: b for b in branches_of(self.survey) if b.duct.diameter is not None}
        if supply is not None:
            flows = _shares([b for b in sized.values() if not b.is_trunk], total) | self.registers
            for branch, _ in supply.walk():
                duct = sized[branch.id].duct if branch.id in sized else branch.duct
                flow = sum(flows.get(id_, 0.0) for id_ in _runs_of(branch))
                bound = _usual("trunk-velocity" if branch.is_trunk else "run-velocity")
                if duct.diameter is not None:
                    over = _speed(flow, duct.diameter) / bound
                    found.append((over, (f"enlarge:{branch.id}:",)))
        backs = [b for b in self.survey.returns or () if b.duct.diameter and b.kind == "ducted"]
        shares = _shares(backs, total)
        for back in backs:
            assert back.duct.diameter is not None
            over = _speed(shares[back.id], back.duct.diameter) / _usual("return-velocity")
            found.append((over, (f"return-duct:{back.id}", "return:")))
            face = _face(back)
            if face is not None and back.filter is None:
                over = units.from_si(shares[back.id] / face, "fpm") / _usual("grille-velocity")
                found.append((over, (f"grille:{back.id}:", "return:")))
        return sorted((one for one in found if one[0] > 1.0), key=lambda one: -one[0])

    # --- what it does

    def sides(self) -> list[Callable[[Sequence[Proposal]], Iterator[Proposal]]]:
        """Filter, return and supply, the one that takes most beyond its allowance first."""
        allowed = {kind: _allowance(kind) for kind in _ALLOWED}
        if any(f.at == "unit" for f in self.survey.filters or ()):
            back = self.static("before-filter")
            filter_ = max(self.static("return") - back, 0.0)
        else:
            filter_ = float(np.mean(list(self.drops.values()) or [0.0]))
            back = max(self.static("return") - filter_, 0.0)
        over = [
            (filter_ - allowed["filter"], self._filters),
            (back - allowed["return"] - allowed["grille"], self._returns),
            (self.static("supply") - allowed["supply"], self._supply),
        ]
        return [side for _, side in sorted(over, key=lambda one: -one[0])]

    def next(self) -> Proposal | None:
        """What it would do next, None if nothing is left."""
        made = proposals(self.survey, price_book(), state=dict(COOLING))
        possible = [p for p in made if p.possible and p.changes and p.key not in self.keys]
        flow = self.airflow
        goal = criteria.goal(self.survey, TARGETS)
        if self.tesp <= self.plate and flow is not None and not goal.low <= flow <= goal.high:
            word = "faster" if flow < goal.low else "slower"
            taps = [p for p in possible if p.key.startswith("tap:") and word in p.label]
            if taps:
                return taps[0]
        elif self.moved:
            for start in self._starts():
                found = [p for p in possible if p.key.startswith(start)]
                if found:
                    return found[-1]
        for side in self.sides():
            for one in side(possible):
                return one
        return None

    def _starts(self) -> Iterator[str]:
        """How keys begin of what is done about noise that is complained of, then about speeds."""
        for name in self.loud:
            kind, _, id_ = name.partition(":")
            yield f"{'register' if kind == 'register' else 'grille'}:{id_}"
        for _, starts in self.too_fast():
            yield from starts

    def _filters(self, possible: Sequence[Proposal]) -> Iterator[Proposal]:
        """A clean one, then the deepest or largest that can be had."""
        for start in ("clean:", "deep-", "cabinet", "filter-grille:", "low-drop:"):
            found = [p for p in possible if p.key.startswith(start)]
            yield from reversed(found) if start == "filter-grille:" else found

    def _returns(self, possible: Sequence[Proposal]) -> Iterator[Proposal]:
        """The grille or duct that is smallest for its share of the air; then one more return."""
        backs = [b for b in self.survey.returns or () if b.kind not in ("open", "common")]
        share = self.design / max(len(backs), 1)
        ranked: list[tuple[float, str]] = []
        for back in backs:
            fast = _usual("filter-face" if back.filter else "grille-velocity")
            face = _face(back)
            if face is not None:
                over = units.from_si(share / face, "fpm") / fast
                ranked.append((over, f"grille:{back.id}:"))
                ranked.append((over, f"filter-grille:{back.filter}:"))
            if back.duct.diameter is not None:
                over = _chart(share, back.duct.diameter) / _FRICTION
                ranked.append((over, f"return-duct:{back.id}"))
        for over, start in sorted(ranked, key=lambda one: -one[0]):
            if over > 1.0:
                yield from [p for p in possible if p.key.startswith(start)][::-1]
        yield from [p for p in possible if p.key.startswith("return:")][::-1]

    def _supply(self, possible: Sequence[Proposal]) -> Iterator[Proposal]:
        """The run or trunk that takes most by the chart: pulled tight, else larger."""
        supply = self.survey.supply
        if supply is None:
            return
        under = {b.id: len(_runs_of(b)) for b, _ in supply.walk()}
        total = max(len(supply.runs), 1)

        def takes(branch: Branch) -> float:
            flow = self.design * under[branch.id] / total
            return _drop(flow, branch) if branch.duct.diameter is not None else 0.0

        for branch in sorted(branches_of(self.survey), key=takes, reverse=True):
            if branch.duct.slack in _SLACK:
                yield from (p for p in possible if p.key == f"tighten:{branch.id}")
            larger = [p for p in possible if p.key.startswith(f"enlarge:{branch.id}:")]
            yield from reversed(larger)
        yield from (p for p in possible if p.key == "add-run")
        yield from (p for p in possible if p.key.startswith(("fitting:", "register:")))

    def make(self, proposal: Proposal) -> None:
        """Do it; what turns out on site not to be there is left."""
        self.keys.append(proposal.key)
        changes = done_again(proposal.changes, self.done)
        if self.referee.verdict((*self.done, *changes)) is None:
            return
        self.bills[-1].add(changes, self.survey)
        self.done += changes
        for change in changes:
            self.survey = apply(self.survey, change)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the routine came to: whether it truly ended there, its money [USD], what it did."""

    met: bool
    money: float
    keys: tuple[str, ...]
    visits: int


def by_rule(referee: Referee) -> Outcome:
    """A house in the hands of the routine, from the same readings as the program."""
    roles = first_trials(referee.house)
    if roles is None:
        return Outcome(False, float("inf"), (), 0)
    first, drop, _, *more = referee.house.with_trials(roles).trials
    flow = next((r.value for t in more for r in t.readings if r.at == "unit"), None)
    readings = (*first.readings, *(r for r in drop.readings if r.at != "return"))
    drops = {r.at: r.value for r in drop.readings if r.quantity == "drop"}
    routine = Routine(
        referee, referee.house.job.survey, replace(first, readings=readings), drops, flow
    )
    try:
        _run(routine)
    except InchwaterError:
        return Outcome(False, float("inf"), tuple(routine.keys), len(routine.bills))
    met = routine.referee.verdict(tuple(routine.done))
    ended = met is not None and met.met
    money = sum(bill.total + price_book().visit for bill in routine.bills)
    visits = len(routine.bills)
    return Outcome(ended, money if ended else float("inf"), tuple(routine.keys), visits)


def _run(routine: Routine) -> None:
    number = 0
    for _ in range(VISITS):
        routine.bills.append(Bill())
        for _ in range(MOST):
            chosen = routine.next()
            if chosen is None:
                return
            number += 1
            routine.make(chosen)
            routine.read(f"after-{number}")
            routine.listen()
            if routine.satisfied:
                break
        verdict = routine.referee.verdict(tuple(routine.done))
        if verdict is not None and verdict.met:
            return
        # Somebody calls again.
        routine.read(f"again-{number}")
        routine.listen()


def _usual(key: str) -> float:
    """An air speed that grilles and ducts are sized by, as the criteria have it. [fpm]"""
    if key == "filter-face":
        high = criteria.criteria()[key].high
        assert high is not None  # it has an upper bound alone
    else:
        high = figure(key)
    return units.from_si(high, "fpm")


def _allowance(kind: str) -> float:
    found = criteria.guidance(kind)
    return 0.0 if found is None else found.drop


def _runs_of(branch: Branch) -> list[str]:
    """The runs that a branch feeds, itself if it is one."""
    if not branch.branches:
        return [branch.id]
    return [id_ for one in branch.branches for id_ in _runs_of(one)]


def _shares(parts: Sequence[Branch] | Sequence[Return], total: float) -> dict[str, float]:
    """Air that ducts share by their diameters, as the chart has it at one friction. [m3/s]"""
    power = _CHART[2] / _CHART[1]
    wide = {p.id: p.duct.diameter.si**power for p in parts if p.duct.diameter is not None}
    return {id_: total * one / sum(wide.values()) for id_, one in wide.items()}


def _speed(flow: float, diameter: Fact) -> float:
    """In a round duct. [fpm]"""
    return units.from_si(flow / (np.pi / 4.0 * diameter.si**2), "fpm")


def _face(back: Return) -> float | None:
    grille = back.grille
    if grille is None or grille.width is None or grille.height is None:
        return None
    return grille.width.si * grille.height.si


def _chart(flow: float, diameter: Fact) -> float:
    """Friction of 100 ft by the chart. [in. w.c.]"""
    factor, up, down = _CHART
    return float(
        factor * units.from_si(flow, "cfm") ** up / units.from_si(diameter.si, "in") ** down
    )


def _drop(flow: float, branch: Branch) -> float:
    """What a branch takes by the chart, its fittings as lengths of duct. [in. w.c.]"""
    duct = branch.duct
    assert duct.diameter is not None
    feet = 20.0 if duct.length is None else units.from_si(duct.length.si, "ft")
    feet += _FITTING_FEET * len(duct.fittings or ())
    return _chart(flow, duct.diameter) * feet / 100.0 * _SLACK.get(duct.slack or "", 1.0)
