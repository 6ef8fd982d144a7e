"""What became of houses that were decided on: figures and tables of ``benchmarks.decisions``."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from benchmarks._decided_play import VISITS, Given, Played
from benchmarks._promises import Promise
from benchmarks._referee import Cheapest
from benchmarks._rule_of_thumb import Outcome
from benchmarks._tables import Table
from inchwater.planning import price_book

Array = NDArray[np.float64]
CLASSES = ("reachable", "unreachable", "met")
PROMISED = {
    "cost_ratio": Promise(high=1.10),
    "cost_ratio_p90": Promise(high=1.6),
    "reached_rate": Promise(low=0.95),
    "told_unreachable_rate": Promise(low=0.95),
    "told_wrongly_rate": Promise(high=0.05),
    "true_rate_at_90": Promise(0.85, 0.95),
    "rule_of_thumb_margin": Promise(low=1.0),
}
# Beaten are those who are so much dearer in the mean, or reach so much fewer.
DEARER, FEWER = 0.30, 0.25
BINS = (0.0, 0.05, 0.15, 0.25, 0.35, 0.45, 0.55, 0.65, 0.75, 0.85, 0.95, 1.0)
_DRAWS = 2000
# Odds below which the limit might be said. [-]
_BELOW = (0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7)


@dataclass(frozen=True, slots=True)
class Decided:
    """One house: its class, the cheapest that works, what it came to, and by the rule of thumb."""

    house: str
    kind: str
    tags: Mapping[str, str]
    cheapest: Cheapest | None
    steady: Cheapest | None
    played: Played
    rule: Outcome

    @property
    def least(self) -> float:
        """The cheapest that truly works with its visit. [USD]"""
        return price_book().visit + (self.cheapest.price if self.cheapest else float("nan"))

    @property
    def ratio(self) -> float:
        """All money until truly met over the least; without end where it never was. [-]"""
        return self.played.money / self.least

    @property
    def steady_ratio(self) -> float:
        """As :attr:`ratio`, over the cheapest that does not work by luck. [-]"""
        price = self.steady.price if self.steady else float("nan")
        return self.played.money / (price_book().visit + price)

    @property
    def rule_ratio(self) -> float:
        """As :attr:`ratio`, of the rule of thumb. [-]"""
        return self.rule.money / self.least


def result_of(found: Sequence[Decided], looked: Mapping[str, int]) -> dict[str, float]:
    """The figures that count; not a number where no house of the class was played.

    Parameters
    ----------
    looked : mapping
        How many houses of each class there were among those that were looked at.
    """
    reach = [one for one in found if one.kind == "reachable"]
    none = [one for one in found if one.kind == "unreachable"]
    there = [one for one in found if one.kind == "met"]
    steady = [one for one in reach if one.steady is not None]
    by_steady = np.array([one.steady_ratio for one in steady])
    ratios = np.array([one.ratio for one in reach])
    rules = np.array([one.rule_ratio for one in reach])
    both = np.isfinite(ratios) & np.isfinite(rules)
    reached, by_rule = _share(reach, _reached), _share(reach, lambda one: one.rule.met)
    dearer = float(rules[both].mean() / ratios[both].mean() - 1.0) if both.any() else np.nan
    given, weights, houses = _given(found, looked)
    at_90 = _rate(given, weights, houses, 0.85, 0.95)
    margins = [(reached - by_rule) / FEWER, dearer / DEARER]
    return {
        "cost_ratio": _quantile(ratios, 0.5),
        "cost_ratio_p90": _quantile(ratios, 0.9),
        "reached_rate": reached,
        "told_unreachable_rate": _share(none, lambda one: one.played.limit),
        "told_wrongly_rate": _share(reach, lambda one: one.played.limit),
        "true_rate_at_90": at_90[0],
        "true_rate_at_90_low": at_90[1],
        "true_rate_at_90_high": at_90[2],
        "rule_of_thumb_cost_ratio": _quantile(rules, 0.5),
        "rule_of_thumb_reached_rate": by_rule,
        "rule_of_thumb_dearer": dearer,
        "rule_of_thumb_margin": float(np.nanmax(margins)) if reach else np.nan,
        "steady": len(steady),
        "steady_cost_ratio": _quantile(by_steady, 0.5),
        "steady_cost_ratio_p90": _quantile(by_steady, 0.9),
        "steady_reached_rate": _share(steady, _reached),
        "steady_told_wrongly_rate": _share(steady, lambda one: one.played.limit),
        "left_alone_rate": _share(there, lambda one: one.played.work == 0.0),
        "reachable": len(reach),
        "unreachable": len(none),
        "already_met": len(there),
    }


def _reached(one: Decided) -> bool:
    return one.played.met


def _share(of: Sequence[Decided], holds: Callable[[Decided], bool]) -> float:
    return float(np.mean([holds(one) for one in of])) if of else float("nan")


def _quantile(values: Array, share: float) -> float:
    """Of values some of which are without end: the one at that place, no mean of two."""
    if not len(values):
        return float("nan")
    return float(np.quantile(values, share, method="higher"))


# --- reliability ----------------------------------------------------------------------------------


def _given(
    found: Sequence[Decided], looked: Mapping[str, int], first: bool = True
) -> tuple[list[Given], Array, list[int]]:
    """Offers of work, the weight of each, and the number of its house.

    Classes were played in other shares than houses have: a house counts for as many as it stands
    for among those that were looked at.
    """
    played = Counter(one.kind for one in found)
    given: list[Given] = []
    weights: list[float] = []
    houses: list[int] = []
    for number, one in enumerate(found):
        # Of houses in order as found nobody counted how often they come.
        if not looked.get(one.kind):
            continue
        some = [g for g in one.played.given if (g.visit == 1) == first]
        given += some
        weights += [looked[one.kind] / played[one.kind]] * len(some)
        houses += [number] * len(some)
    return given, np.array(weights), houses


def _rate(
    given: Sequence[Given], weights: Array, houses: Sequence[int], low: float, high: float
) -> tuple[float, float, float]:
    """Share of the offers with such odds that truly work; 5 % and 95 % by drawing houses again."""
    rows = [k for k, one in enumerate(given) if low <= one.odds < high]
    if not rows:
        return float("nan"), float("nan"), float("nan")
    ids = sorted({houses[k] for k in rows})
    at = {house: n for n, house in enumerate(ids)}
    sums = np.zeros((2, len(ids)))
    for k in rows:
        sums[0, at[houses[k]]] += weights[k] * given[k].works
        sums[1, at[houses[k]]] += weights[k]
    rng = np.random.default_rng(1)
    drawn = sums[:, rng.integers(len(ids), size=(_DRAWS, len(ids)))].sum(axis=2)
    ends = np.quantile(drawn[0] / drawn[1], [0.05, 0.95])
    return float(sums[0].sum() / sums[1].sum()), float(ends[0]), float(ends[1])


def _reliability(found: Sequence[Decided], looked: Mapping[str, int], first: bool) -> Table:
    given, weights, houses = _given(found, looked, first)
    rows = []
    for low, high in pairwise(BINS):
        top = high if high < 1.0 else 1.0 + 1e-9
        some = [k for k, one in enumerate(given) if low <= one.odds < top]
        if not some:
            continue
        share, least, most = _rate(given, weights, houses, low, top)
        mean = float(np.average([given[k].odds for k in some], weights=weights[some]))
        rows.append(
            (
                f"{100 * low:.0f}–{100 * high:.0f}",
                str(len(some)),
                str(len({houses[k] for k in some})),
                f"{100 * mean:.0f}",
                f"{100 * share:.0f} ({100 * least:.0f}–{100 * most:.0f})",
            )
        )
    when = "of the first visit" if first else "of later visits"
    note = (
        "Houses count as often as their class comes; ranges are 5 to 95 %, houses drawn again."
        if first
        else "There only where the first work did not reach, which the odds do not know."
    )
    return Table(
        f"Whether odds hold: offers {when}",
        ("given as [%]", "offers", "houses", "mean odds [%]", "truly work [%]"),
        rows,
        note,
    )


# --- tables ---------------------------------------------------------------------------------------


def tables_of(found: Sequence[Decided], looked: Mapping[str, int]) -> list[Table]:
    """All tables."""
    reach = [one for one in found if one.kind == "reachable"]
    return [
        _money(reach),
        _luck(reach),
        _reliability(found, looked, True),
        _reliability(found, looked, False),
        _told(found, looked),
        _limits(found),
        _failed(reach),
        _corners(reach),
    ]


def _money(reach: Sequence[Decided]) -> Table:
    """The program beside the rule of thumb, where something reaches."""
    rows = []
    sides: tuple[tuple[str, Callable[[Decided], tuple[bool, float, float, int]]], ...] = (
        (
            "the program",
            lambda one: (one.played.met, one.ratio, one.played.money, len(one.played.visits)),
        ),
        (
            "the rule of thumb",
            lambda one: (one.rule.met, one.rule_ratio, one.rule.money, one.rule.visits),
        ),
    )
    for name, of in sides:
        each = [of(one) for one in reach]
        if not each:
            continue
        ratios = np.array([one[1] for one in each])
        ended = [one for one in each if one[0]]
        rows.append(
            (
                name,
                f"{100 * len(ended) / len(each):.0f}%",
                *(_said(_quantile(ratios, share)) for share in (0.25, 0.5, 0.75, 0.9)),
                f"${np.mean([one[2] for one in ended]):,.0f}" if ended else "-",
                f"{np.mean([one[3] for one in each]):.1f}",
            )
        )
    least = np.mean([one.least for one in reach]) if reach else float("nan")
    return Table(
        "All money until truly met, over the cheapest that works",
        ("who", "reached", "25 %", "median", "75 %", "90 %", "money where reached", "visits"),
        rows,
        f"The cheapest that works costs ${least:,.0f} in the mean, its visit included.",
    )


def _luck(reach: Sequence[Decided]) -> Table:
    """Houses in which only work that happens to turn out well reaches, and the others."""
    rows = []
    groups = (
        ("work that works half the time or more", [one for one in reach if one.steady]),
        ("only work that turns out well by luck", [one for one in reach if not one.steady]),
    )
    for name, of in groups:
        ratios = np.array([one.steady_ratio if one.steady else one.ratio for one in of])
        rows.append(
            (
                name,
                str(len(of)),
                f"{100 * _share(of, _reached):.0f}%" if of else "-",
                _said(_quantile(ratios, 0.5)) if of else "-",
                _said(_quantile(ratios, 0.9)) if of else "-",
                f"{100 * _share(of, lambda one: one.played.limit):.0f}%" if of else "-",
                f"{100 * _share(of, lambda one: one.rule.met):.0f}%" if of else "-",
            )
        )
    return Table(
        "How much of it is luck: the same work done ten times over",
        ("what reaches", "houses", "reached", "median", "90 %", "limit said", "rule of thumb"),
        rows,
        "Ratios of the first line are over the cheapest work that works half the time or more.",
    )


def _said(value: float) -> str:
    return f"{value:.2f}" if np.isfinite(value) else "never"


def _told(found: Sequence[Decided], looked: Mapping[str, int]) -> Table:
    rows = []
    for kind in CLASSES:
        of = [one for one in found if one.kind == kind]
        if not of:
            continue
        odds = np.array([one.played.reachable for one in of])
        low, middle, high = np.nanquantile(odds, [0.1, 0.5, 0.9])
        rows.append(
            (
                kind,
                str(looked.get(kind, 0)),
                str(len(of)),
                f"{100 * _share(of, lambda one: one.played.limit):.0f}%",
                f"{100 * low:.0f} / {100 * middle:.0f} / {100 * high:.0f}",
                f"{100 * _share(of, lambda one: one.played.work == 0.0):.0f}%",
                str(sum(bool(one.played.refused) for one in of)),
            )
        )
    return Table(
        "What was said before work began",
        (
            "class",
            "looked at",
            "played",
            "limit said",
            "odds that anything reaches: 10 / 50 / 90 % [%]",
            "nothing preferred",
            "no answer",
        ),
        rows,
    )


def _limits(found: Sequence[Decided]) -> Table:
    """What would be said if the limit were said below other odds."""
    groups = (
        [one for one in found if one.kind == "unreachable"],
        [one for one in found if one.kind == "reachable"],
        [one for one in found if one.steady is not None],
    )
    rows = []
    for below in _BELOW:
        shares = [_share(of, lambda one, b=below: one.played.reachable < b) for of in groups]
        rows.append((f"{100 * below:.0f}", *(f"{100 * one:.0f}%" for one in shares)))
    return Table(
        "If the limit were said where the odds that anything reaches are below",
        ("odds [%]", "of unreachable", "of reachable", "of those not by luck"),
        rows,
    )


def _failed(reach: Sequence[Decided]) -> Table:
    """What the first choice truly missed, where it did not reach."""
    first = [one.played.visits[0] for one in reach if one.played.visits]
    short = [one for one in first if not one.met]
    counted = Counter(key for one in short for key in one.missed)
    rows = [
        (key, str(count), f"{100 * count / max(len(short), 1):.0f}%")
        for key, count in counted.most_common()
    ]
    stops = sum(one.stops for one in short)
    return Table(
        "What the first choice truly missed, where it fell short",
        ("of what is wanted", "houses", "of those that fell short"),
        rows,
        f"{len(short)} of {len(first)} fell short; in {stops} of them the program would have "
        f"stopped. A game has at most {VISITS} visits.",
    )


def _corners(reach: Sequence[Decided]) -> Table:
    rows = []
    for tag in ("motor", "layout", "capacity", "filter"):
        for word in sorted({one.tags.get(tag, "") for one in reach}):
            of = [one for one in reach if one.tags.get(tag, "") == word]
            ratios = np.array([one.ratio for one in of])
            rows.append(
                (
                    f"{tag}: {word}",
                    str(len(of)),
                    f"{100 * _share(of, _reached):.0f}%",
                    _said(_quantile(ratios, 0.5)),
                    f"{100 * _share(of, lambda one: one.played.limit):.0f}%",
                    f"{100 * _share(of, lambda one: one.rule.met):.0f}%",
                )
            )
    return Table(
        "By kind of house, where something reaches",
        (
            "houses",
            "number",
            "reached",
            "cost ratio",
            "limit said wrongly",
            "rule of thumb reached",
        ),
        rows,
    )
