"""What work costs: minutes, people, access, materials, mark-up and the least that a visit costs.

The figures of ``data/price_book.csv`` are planning figures, to be replaced by a firm's own; the
rate is asked once (``book.but(rate=120.0)``).  Money is in US dollars and time in minutes
throughout ``planning``: neither has an SI unit that anybody would read.

A key is ``<what>:<kind>``, where the kind is that of a change.  A kind that has no minutes has no
price, and is refused; one without people is done by one person, one without material buys nothing.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib import resources
from typing import Any

from inchwater.errors import FormatError, InputError
from inchwater.planning.price_work import Task, all_larger, tasks
from inchwater.survey import Change, Survey


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of a price book with its range, in the unit of the file.

    ``at`` says where such minutes are worked: ``space`` where unit and ducts are, ``room`` inside.
    """

    value: float
    low: float
    high: float
    label: str = ""
    at: str = ""
    source: str = ""
    status: str = "proposed"


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a price [USD] and how long one person is at it [min]."""

    label: str
    low: float
    value: float
    high: float
    minutes: float = 0.0

    def to_dict(self) -> dict[str, Any]:
        """Plain data; money in US dollars, time in minutes."""
        return {
            "label": self.label,
            "low_usd": self.low,
            "usd": self.value,
            "high_usd": self.high,
            "minutes": self.minutes,
        }


@dataclass(frozen=True, slots=True)
class Price:
    """What changes cost together [USD], from ``low`` to ``high``, and of what it is made.

    The range takes the lines' own as independent of each other; the rate and the mark-up, which
    they share, are added to it as one.
    """

    low: float
    value: float
    high: float
    lines: tuple[Line, ...] = ()

    @property
    def minutes(self) -> float:
        """How long one person would be at it. [min]"""
        return sum(line.minutes for line in self.lines)

    def to_dict(self) -> dict[str, Any]:
        """Plain data; money in US dollars, time in minutes."""
        return {
            "low_usd": self.low,
            "usd": self.value,
            "high_usd": self.high,
            "minutes": self.minutes,
            "lines": [line.to_dict() for line in self.lines],
        }


FREE = Price(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class PriceBook:
    """Prices by key, as in ``data/price_book.csv``."""

    figures: Mapping[str, Figure]

    def __post_init__(self) -> None:
        for key, figure in self.figures.items():
            for name in ("value", "low", "high"):
                _check(key, getattr(figure, name))
            if not figure.low <= figure.value <= figure.high:
                raise InputError(
                    where=f"price_book.{key}",
                    came=f"{figure.value:g} between {figure.low:g} and {figure.high:g}",
                    right="the low figure is at most the value, and the high one at least that",
                    do="Correct the three figures.",
                )

    @property
    def rate(self) -> float:
        """What an hour of one person costs. [USD/h]"""
        return self._figure("rate").value

    @property
    def visit(self) -> float:
        """What another visit costs, where what was done does not reach. [USD]"""
        return self._figure("visit").value

    def at_last(self, survey: Survey) -> float:
        """What it costs where nothing that was tried reaches: new ducts. [USD]

        The planning figure is of no house in particular: new ducts cost no less here than a larger
        one for each that there is.  A firm's own figure stands as it is.
        """
        figure = self._figure("replace")
        if figure != price_book().figures["replace"]:
            return figure.value
        return max(figure.value, self.price(all_larger(survey), survey).value)

    @property
    def trip(self) -> float:
        """The least that a visit with work costs. [USD]"""
        return self._figure("trip").value

    def usual(self, key: str) -> float:
        """One figure's value, in the unit of the file."""
        return self._figure(key).value

    def but(
        self,
        *,
        rate: float | None = None,
        visit: float | None = None,
        trip: float | None = None,
        markup: float | None = None,
        figures: Mapping[str, float | Figure] | None = None,
    ) -> PriceBook:
        """This book with some figures replaced; a figure that is stated has no range.

        Parameters
        ----------
        rate, visit, trip, markup : float, optional
            The firm's own. [USD/h, USD, USD, -]
        figures : mapping, optional
            Others by their key: ``{"material:grille": 80.0}``.

        Raises
        ------
        InputError
            If one is negative or no number, or a rate is zero; names the key.
        """
        named = {"rate": rate, "visit": visit, "trip": trip, "markup": markup}
        given: dict[str, float | Figure] = {k: v for k, v in named.items() if v is not None}
        given |= figures or {}
        made = dict(self.figures)
        for key, stated in given.items():
            if isinstance(stated, Figure):
                made[key] = stated
                continue
            _check(key, stated)
            old = made.get(key, Figure(stated, stated, stated))
            made[key] = replace(old, value=stated, low=stated, high=stated, source="stated")
        return PriceBook(made)

    def price(self, changes: Sequence[Change], survey: Survey) -> Price:
        """What a set of changes costs on this system; nothing to do costs nothing.

        Parameters
        ----------
        changes : sequence of Change
            All of one visit: getting ready is counted once, and the trip's least for all together.
        survey : Survey
            As found, before any of them.

        Raises
        ------
        InputError
            If the book has no price for a kind of change; names the key that is missing.
        """
        if not changes:
            return FREE
        lines, shared = [], 0.0
        where = _space(survey)
        for change in changes:
            for task in tasks(change, survey, self.usual):
                line, labour = self._line(task, where)
                lines.append(line)
                shared += labour
        ready = self.ready(changes, survey)
        if ready is not None:
            lines.append(ready)
            shared += ready.value
        return self._summed(lines, shared)

    def ready(self, changes: Sequence[Change], survey: Survey) -> Line | None:
        """Getting the place ready where unit and ducts are; None where nothing is worked there."""
        key = f"ready:{_space(survey)}"
        kinds = {task.kind for one in changes for task in tasks(one, survey, self.usual)}
        at = {self._figure(f"minutes:{kind}").at for kind in kinds}
        if key not in self.figures or "space" not in at:
            return None
        found = self.figures[key]
        money = self.rate / 60.0
        return Line(
            found.label, found.low * money, found.value * money, found.high * money, found.value
        )

    def apart(self, changes: Sequence[Change], survey: Survey) -> tuple[float, float]:
        """Work by itself, and getting the place ready for it, the trip's least aside. [USD]"""
        line = self.ready(changes, survey)
        ready = 0.0 if line is None else line.value
        return self.but(trip=0.0).price(changes, survey).value - ready, ready

    def _line(self, task: Task, where: str) -> tuple[Line, float]:
        """The line of one piece of work, and what of it is labour at the rate [USD]."""
        minutes = self._figure(f"minutes:{task.kind}")
        people = self.figures.get(f"people:{task.kind}", Figure(1.0, 1.0, 1.0))
        each = self.figures.get(f"per-length:{task.kind}", Figure(0.0, 0.0, 0.0))
        plain = Figure(1.0, 1.0, 1.0)
        access = self.figures.get(f"access:{where}", plain) if minutes.at == "space" else plain
        bought = self.figures.get(f"material:{task.kind}", Figure(0.0, 0.0, 0.0))
        duct = self._figure("duct") if task.area else Figure(0.0, 0.0, 0.0)
        markup = 1.0 + self._figure("markup").value
        by_time = each.value * task.length
        labour = (minutes.value + by_time) * people.value * access.value * self.rate / 60.0
        labour *= task.count
        material = (bought.value + duct.value * task.area) * markup * task.count
        value = labour + material
        # How long it takes, by how many, in which place and for what goods: each by itself.
        share = minutes.value / max(minutes.value + by_time, 1e-9)
        off = [(labour * share, minutes), (labour * (1.0 - share), each), (labour, people)]
        off += [(labour, access), (bought.value * markup * task.count, bought)]
        off += [(duct.value * task.area * markup * task.count, duct)]
        down, up = (
            math.sqrt(sum((money * _share(figure, side)) ** 2 for money, figure in off))
            for side in ("low", "high")
        )
        line = Line(
            label=task.label or minutes.label,
            low=max(value - down, 0.0),
            value=value,
            high=value + up,
            minutes=labour / self.rate * 60.0,
        )
        return line, labour

    def _summed(self, lines: list[Line], labour: float) -> Price:
        value = sum(line.value for line in lines)
        rate, markup = self._figure("rate"), self._figure("markup")
        bought = value - labour
        down, up = (
            math.sqrt(
                sum((line.value - getattr(line, name)) ** 2 for line in lines)
                + (labour * (getattr(rate, name) / rate.value - 1.0)) ** 2
                + (bought * (getattr(markup, name) - markup.value) / (1.0 + markup.value)) ** 2
            )
            for name in ("low", "high")
        )
        least = self._figure("trip")
        if value < least.value:
            missing = least.value - value
            lines = [*lines, Line(least.label, missing, missing, missing)]
        return Price(
            low=max(value - down, least.low),
            value=max(value, least.value),
            high=max(value + up, least.value, least.low),
            lines=tuple(lines),
        )

    def _figure(self, key: str) -> Figure:
        try:
            return self.figures[key]
        except KeyError:
            kind = key.partition(":")[2]
            raise InputError(
                where=f"price_book.{key}",
                came="no figure",
                right=f"{kind} has a price where its {key.partition(':')[0]} are known"
                if kind
                else "every price book has this figure",
                do=f"Add a row {key} to the price book.",
            ) from None


def _share(figure: Figure, side: str) -> float:
    """How far one end of a figure's range lies from its value, as a share of the value. [-]"""
    end = figure.low if side == "low" else figure.high
    return abs(end / figure.value - 1.0) if figure.value else 0.0


def _space(survey: Survey) -> str:
    return survey.place.space or "unknown"


def _check(key: str, stated: object) -> None:
    """Refuse what no price can be: negative, no number, a rate of zero."""
    least = "above zero" if key == "rate" else "zero or more"
    number = isinstance(stated, int | float) and not isinstance(stated, bool)
    if not number or not math.isfinite(float(str(stated))) or float(str(stated)) < 0.0:
        raise InputError(
            where=f"price_book.{key}",
            came=f"{stated:g}" if number else repr(stated),
            right=f"a price is a number, {least}",
            do="Correct it, or leave it out for the planning figure.",
        )
    if key == "rate" and stated == 0.0:
        raise InputError(
            where="price_book.rate",
            came="0",
            right="an hour of work costs more than nothing",
            do="Type the firm's rate in US dollars an hour, or leave it out.",
        )


# --- the book that ships --------------------------------------------------------------------------


@cache
def price_book() -> PriceBook:
    """The planning figures that ship, each with its source and status."""
    text = resources.files("inchwater.planning.data").joinpath("price_book.csv").read_text("utf-8")
    return PriceBook(dict(_read(text, "price_book.csv")))


def book_from_csv(text: str, name: str = "price book") -> PriceBook:
    """The shipped book with a firm's own figures in place of those that its file names.

    Parameters
    ----------
    text : str
        CSV with the columns key and value, and low and high where there is a range.
    name : str
        What the file is called in an error.

    Raises
    ------
    FormatError, InputError
        If a column is missing or a figure is negative or none; names the line or the key.
    """
    return price_book().but(figures=dict(_read(text, name)))


def _read(text: str, name: str) -> Iterator[tuple[str, Figure]]:
    reader = csv.DictReader(text.splitlines())
    missing = [column for column in ("key", "value") if column not in (reader.fieldnames or ())]
    if missing:
        raise FormatError(
            where=name,
            came=f"a header without {', '.join(missing)}",
            right="the columns key and value are needed",
        )
    for row in reader:
        try:
            value = float(row["value"])
            low, high = (float(row.get(side) or value) for side in ("low", "high"))
        except (TypeError, ValueError):
            raise FormatError(
                where=f"{name}, line {reader.line_num}",
                came=repr(row.get("value")),
                right="a price is a number, zero or more",
            ) from None
        yield (
            row["key"],
            Figure(
                value,
                low,
                high,
                label=row.get("label") or "",
                at=row.get("at") or "",
                source=row.get("source") or "",
                status=row.get("status") or "stated",
            ),
        )
