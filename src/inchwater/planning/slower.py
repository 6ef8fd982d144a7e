"""The slowest speed that meets all as often at the same price: quieter, and fewer watts.

After better ducts a blower often has more than is needed.  For every offer the slower speeds of
its calls are tried as well, and of those that are as good for as little the slowest is given.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from inchwater.parts.coefficients import table
from inchwater.parts.fan_laws import known_taps
from inchwater.planning.proposals import Proposal
from inchwater.planning.tried import Tried
from inchwater.survey import Survey

_DATA = "inchwater.planning.data"
# Odds that a slower speed may have less: a step of them is within what the samples tell. [-]
_AS_OFTEN = 0.005


@dataclass(frozen=True)
class Speeds:
    """The taps of a blower, the fastest first, and which runs in each call as found."""

    order: tuple[str, ...]
    running: Mapping[str, str]
    singles: Mapping[tuple[str, str], Proposal]

    @classmethod
    def of(
        cls,
        survey: Survey,
        state: Mapping[str, str],
        calls: Sequence[str],
        offered: Sequence[Proposal],
    ) -> Speeds:
        """Of a system; ``offered`` are the single changes that may be made, speeds among them."""
        unit = survey.unit
        order = () if unit.table is None else tuple(known_taps(unit.table.rows))
        running = {}
        for number, call in enumerate(calls):
            set_ = state.get("tap") if number == 0 else None
            tap = set_ or unit.calls.get(call) or unit.tap
            if tap in order:
                running[call] = tap
        singles = {}
        for one in offered:
            if (found := speed_of(one)) is not None:
                singles[found] = one
        return cls(order, running, singles)

    def slowness(self, one: Tried) -> int:
        """How many steps below the fastest all calls run together."""
        taps = {**self.running, **self._set(one)}
        return sum(self.order.index(tap) for tap in taps.values() if tap in self.order)

    def slower(self, one: Tried, most: int) -> Iterator[tuple[Proposal, ...]]:
        """The same work with a slower speed in one of the calls, the next slower ones first."""
        taps = {**self.running, **self._set(one)}
        for call, now in taps.items():
            if now not in self.order or any("motor" in m.replaces for m in one.members):
                continue
            rest = tuple(m for m in one.members if not m.key.startswith(f"tap:{call}:"))
            for tap in self.order[self.order.index(now) + 1 :]:
                single = self.singles.get((call, tap))
                if single is not None and len(rest) < most:
                    yield (*rest, single)

    def _set(self, one: Tried) -> dict[str, str]:
        return dict(found for member in one.members if (found := speed_of(member)) is not None)


def speed_of(one: Proposal) -> tuple[str, str] | None:
    """The call and the tap that a change sets; None where it is no speed."""
    kind, _, rest = one.key.partition(":")
    if kind != "tap":
        return None
    call, _, tap = rest.partition(":")
    return call, tap


def slowest(kept: Sequence[Tried], tried: Sequence[Tried], speeds: Speeds) -> list[Tried]:
    """The offers, each exchanged for one as good at the same price that runs slower."""
    same = table("search", _DATA)["same_price"].value
    found = []
    for one in kept:
        if not one.members:
            found.append(one)
            continue
        alike = [
            other
            for other in tried
            if other.members
            and other.cost <= one.cost + same
            and other.odds >= one.odds - _AS_OFTEN
            and _without_speeds(other) == _without_speeds(one)
        ]
        best = max(alike, key=lambda other: (speeds.slowness(other), other.odds, -other.cost))
        slower = speeds.slowness(best) > speeds.slowness(one)
        found.append(replace(best, slower=True) if slower else one)
    return found


def _without_speeds(one: Tried) -> frozenset[str]:
    return frozenset(member.key for member in one.members if speed_of(member) is None)
