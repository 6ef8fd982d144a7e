"""What changes, minutes and misses cost: the figures of ``data/next_reading.csv``, or one's own.

Money is in US dollars and time in minutes throughout ``planning``: neither has an SI unit that
anybody would read.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

from inchwater.errors import InputError
from inchwater.planning.price_book import price_book
from inchwater.planning.price_work import takes_cabinet
from inchwater.planning.rows import read_rows
from inchwater.survey import Change, Survey, filters_of


@dataclass(frozen=True, slots=True)
class Prices:
    """Prices of changes [USD], minutes of readings [min], losses [USD], labour [USD/h].

    ``changes`` is by kind of change (``filter-cabinet`` for a filter at the unit that takes another
    one); ``minutes`` by kind of reading.  A goal that is missed costs another ``visit`` and, in
    proportion to how far off the system ends, ``unmet``: whole at ``far_airflow`` of the window's
    nearer bound, or ``far_pressure`` of the plate [-].  ``wheel`` : the odds that a wheel nobody
    has seen is clean, dusty or caked [-].
    """

    changes: Mapping[str, float]
    minutes: Mapping[str, float]
    visit: float
    unmet: float
    far_airflow: float
    far_pressure: float
    labour: float
    wheel: Mapping[str, float]
    most: int

    @property
    def per_minute(self) -> float:
        """What a minute of work costs. [USD/min]"""
        return self.labour / 60.0

    def of_changes(self, changes: tuple[Change, ...], survey: Survey) -> float:
        """What a set of changes costs on this system. [USD]

        Parameters
        ----------
        changes : tuple of Change
            Work on several runs costs as many times the price of one.
        survey : Survey
            As found: a filter at the unit that is deeper than the one there takes a cabinet.
        """
        return sum(self._of_change(change, survey) for change in changes)

    def _of_change(self, change: Change, survey: Survey) -> float:
        count = max(len(change.targets), 1)
        if change.kind in ("tap", "add-run", "add-return"):
            count = 1
        price = self._known(change.kind) * count
        if change.kind == "filter":
            price += sum(
                self._known("filter-cabinet")
                for old in filters_of(survey)
                if old.id in change.targets and takes_cabinet(change, old)
            )
        return price

    def _known(self, kind: str) -> float:
        if kind not in self.changes:
            raise InputError(
                where=f"prices.{kind}",
                came="no price",
                right=f"there are prices for {', '.join(self.changes)}",
                do="Give this kind of change a price as well.",
            )
        return self.changes[kind]

    def but(
        self,
        *,
        changes: Mapping[str, float] | None = None,
        minutes: Mapping[str, float] | None = None,
        **more: float,
    ) -> Prices:
        """These figures with some of them replaced; what is not named stays."""
        return replace(
            self,
            changes={**self.changes, **(changes or {})},
            minutes={**self.minutes, **(minutes or {})},
            **more,  # type: ignore[arg-type]
        )


@cache
def usual_prices() -> Prices:
    """The figures that ship: consumer price guides and estimates, each with its source."""
    rows = {row["key"]: float(row["value"]) for row in read_rows("next_reading")}

    def group(name: str) -> dict[str, float]:
        return {k.partition(":")[2]: v for k, v in rows.items() if k.startswith(f"{name}:")}

    return Prices(
        changes=group("price"),
        minutes=group("minutes"),
        visit=rows["loss:visit"],
        unmet=rows["loss:unmet"],
        far_airflow=rows["far:airflow"],
        far_pressure=rows["far:pressure"],
        labour=price_book().rate,
        wheel={k.removeprefix("wheel-"): v for k, v in group("odds").items()},
        most=int(rows["most:changes"]),
    )
