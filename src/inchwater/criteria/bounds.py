"""From what a preset says, what a maker allows and what somebody wishes to one pair of bounds.

A wish outranks a preset.  What a maker has printed and somebody has typed in outranks both: a wish
may be stricter than it, never looser.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from inchwater import units
from inchwater.criteria.judge import OtherSaid, bounds_text
from inchwater.criteria.limits import bound, cited, other_figures, read_rows
from inchwater.criteria.presets import STATED
from inchwater.errors import InputError
from inchwater.survey.facts import Fact
from inchwater.survey.job import Survey, Targets, Wish

# Bounds that meet within this share are not called exclusive: typed numbers are rounded. [-]
_ROUNDED = 1e-3


@dataclass(frozen=True, slots=True)
class Usual:
    """Bounds that stand where nobody wishes others [SI], and who says so."""

    low: float | None
    high: float | None
    source: str
    status: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Bounds:
    """The bounds that hold [SI], who says so, and the figures of other sources."""

    low: float | None
    high: float | None
    source: str
    status: str
    note: str
    stated: bool
    others: tuple[OtherSaid, ...] = ()


@dataclass(frozen=True)
class Wished:
    """The wishes of a job as they hold in one thermostat call."""

    survey: Survey
    wanted: Targets
    call: str

    def get(self, key: str, part: str | None = None) -> tuple[str, Wish] | None:
        """The wish for a key and part with its path: this part before all, this call before all."""
        ranked = [
            (wish.part is None, wish.call is None, number, wish)
            for number, wish in enumerate(self.wanted.wishes)
            if wish.key == key
            and wish.part in (None, part)
            and wish.call in (None, self.call or "cooling")
        ]
        if not ranked:
            return None
        *_, number, wish = min(ranked, key=lambda one: one[:3])
        return f"targets.wishes[{number}]", wish

    def bounds(
        self,
        key: str,
        kind: str,
        usual: Usual | None,
        part: str | None = None,
        *,
        printed: Usual | None = None,
        others: tuple[OtherSaid, ...] = (),
    ) -> Bounds | None:
        """The bounds that hold for a key and part; None where there are none.

        Parameters
        ----------
        usual : Usual or None
            A preset's.
        printed : Usual, optional
            What a maker printed: it stands in for ``usual``, and no wish may be looser.

        Raises
        ------
        InputError
            At the wish, if it is looser than the maker's limit, or leaves nothing.
        """
        found = self.get(key, part)
        stands = printed or usual
        if found is None:
            if stands is None:
                return None
            return Bounds(
                stands.low, stands.high, stands.source, stands.status, stands.note, False, others
            )
        where, wish = found
        low = stands.low if wish.low is None and stands is not None else _si(wish.low)
        high = stands.high if wish.high is None and stands is not None else _si(wish.high)
        if printed is not None:
            _not_looser(where, key, kind, (low, high), printed)
        _not_exclusive(where, kind, low, high)
        if stands is not None:
            # What the wish replaces is still said.
            others = (
                OtherSaid(stands.low, stands.high, kind, stands.source, stands.status),
                *others,
            )
        how = next(one.how for one in (wish.low, wish.high) if one is not None)
        return Bounds(low, high, STATED, str(how), "", True, others)


@cache
def usual(key: str) -> Usual:
    """The bounds of a row of ``targets.csv``."""
    for row in read_rows("targets.csv"):
        if row["key"] == key:
            return Usual(
                bound(row["low"], row["unit"]),
                bound(row["high"], row["unit"]),
                cited(row["source"], row["place"]),
                row["status"],
                row["note"],
            )
    raise KeyError(key)  # a slip of ours: no key of this comes from a person


def figure(key: str) -> float:
    """The one bound of a row of ``targets.csv`` that has one alone. [SI]"""
    found = usual(key)
    (only,) = (one for one in (found.low, found.high) if one is not None)
    return only


@cache
def said_by_others(key: str, kind: str, scale: float = 1.0) -> tuple[OtherSaid, ...]:
    """What other sources say of a key, times ``scale`` (a capacity, an airflow)."""
    return tuple(
        OtherSaid(
            _times(o.low, scale), _times(o.high, scale), kind, cited(o.source, o.place), o.status
        )
        for o in other_figures(key)
    )


def _ends(bounds: tuple[float | None, float | None]) -> tuple[float, float]:
    """Bounds with infinity where there is none."""
    low, high = bounds
    return (-float("inf") if low is None else low), (float("inf") if high is None else high)


def _si(fact: Fact | None) -> float | None:
    return None if fact is None else fact.si


def _times(value: float | None, scale: float) -> float | None:
    return None if value is None else value * scale


def _not_looser(
    where: str, key: str, kind: str, asked: tuple[float | None, float | None], maker: Usual
) -> None:
    (low, high), (least, most) = _ends(asked), _ends((maker.low, maker.high))
    if low >= least * (1.0 - _ROUNDED) and high <= most * (1.0 + _ROUNDED):
        return
    raise InputError(
        where=where,
        came=f"{key} {_both(asked, kind)}",
        right=f"{maker.source} allows {_both((maker.low, maker.high), kind)}, and a wish may be "
        "stricter than that, not looser",
        do="Wish for what it allows; or correct it in the survey, if it was read wrong.",
    )


def _not_exclusive(where: str, kind: str, low: float | None, high: float | None) -> None:
    if low is not None and high is not None and not low < high:
        unit = units.SHOWN[kind]["ip"][0]
        label = units.UNITS[unit].label
        raise InputError(
            where=where,
            came=f"at least {units.shown(low, kind, 'ip')[1]} {label}",
            right=f"at most {units.shown(high, kind, 'ip')[1]} {label} is wanted as well, which "
            "leaves nothing",
            do="Give both bounds, the lower one first.",
        )


def _both(bounds: tuple[float | None, float | None], kind: str) -> str:
    return bounds_text(*bounds, kind, "ip")
