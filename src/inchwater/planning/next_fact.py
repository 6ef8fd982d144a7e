"""The one next act: the fact or the reading that narrows this answer most for the least time.

What cannot be right is read again first.  Then come the facts without which the answer is a guess,
in an order that is plain and the same for all: what fixes the airflow (two cells of the table, what
its zero includes, the tap, the watts of a blower that holds its airflow), then what parts the
return and the supply side (filter, runs, return).  What is already known is passed over.  With all
of them known, the reading that is worth most per minute follows, or "enough".
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from inchwater import units
from inchwater.findings import Doubt, told
from inchwater.quantity import Said
from inchwater.survey.ducts import Duct
from inchwater.survey.job import Job
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.forecast import Prediction
    from inchwater.planning.next_reading import ReadingValue

# The title of an act that asks for a reading which is there already.
READ_AGAIN = "Read again first"
# The step of a printed blower table's pressure columns.
_COLUMN = units.to_si(0.1, "inwc")


@dataclass(frozen=True, slots=True)
class NextAct:
    """One act: what it is, what it tells, the field it fills, the minutes it takes.

    ``kind`` is ``cells`` (of the blower table), ``fact`` (of the survey), ``reading`` (at a test
    point, which is ``field``) or ``enough``: nothing cheap would change the answer much.
    """

    kind: Literal["cells", "fact", "reading", "enough"]
    title: str
    text: Said
    field: str
    minutes: int

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units."""
        return {
            "kind": self.kind,
            "title": self.title,
            "text": self.text.text(system),
            "field": self.field,
            "minutes": self.minutes,
        }


def next_act(
    job: Job,
    as_found: Prediction,
    doubts: Sequence[Doubt] = (),
    ranked: Sequence[ReadingValue] = (),
) -> NextAct:
    """The next act for this job.

    Parameters
    ----------
    job : Job
        Survey and trials: what is in them is not asked again.
    as_found : Prediction
        The calibrated system; its pressure says which table columns to read.
    doubts : sequence of Doubt
        What cannot be right is read again before anything is added to it.
    ranked : sequence of ReadingValue
        The readings by what they are worth (``next_reading``), for where no fact comes first.
    """
    for doubt in doubts:
        if doubt.field:
            return _again(doubt)
    for act in _ORDER:
        found = act(job, as_found)
        if found is not None:
            return found
    first = ranked[0] if ranked else None
    if first is None or first.kind == "enough":
        return _enough(first)
    how = "" if first.candidate is None else first.candidate.how
    text = told("{how} {settles}", how=how, settles=first.settles.text())
    return NextAct(first.kind, first.title, text, first.field, max(round(first.minutes), 1))


def _enough(found: ReadingValue | None) -> NextAct:
    """Nothing cheap is left; what is best now, where that has been valued."""
    if found is None:
        text: Said = told(
            "No cheap reading or fact would move this answer much. See what a change would do, and "
            "read again after it."
        )
    else:
        text = told(
            "{settles} See what a change would do, and read again after it.",
            settles=found.settles.text(),
        )
    return NextAct("enough", "Enough is known: try a change", text, "", 0)


def _again(doubt: Doubt) -> NextAct:
    """What a doubt asks for: a look at what was said, or the reading once more."""
    text = told("{recheck}", recheck=doubt.recheck)
    if doubt.field == "runs":
        return NextAct("fact", "Look at the runs again", text, "supply", 4)
    if doubt.field.startswith("run:"):
        return NextAct("fact", "Look at that run again", text, doubt.field, 3)
    if doubt.field.startswith("unit."):
        what = "tap" if doubt.field == "unit.tap" else "table"
        return NextAct("fact", f"Look at the {what} again", text, doubt.field, 2)
    return NextAct("reading", READ_AGAIN, text, doubt.field, 2)


def _cells(job: Job, as_found: Prediction) -> NextAct | None:
    if job.survey.unit.table is not None:
        return None
    tesp = float(np.median(as_found.solution.tesp))
    # A reading on a column still needs a second one, and the one below keeps it inside.
    below = max(math.floor(tesp / _COLUMN + 1e-9), 1) * _COLUMN
    tap = job.survey.unit.tap
    where = f"tap {tap}" if tap else "the tap in use"
    return NextAct(
        "cells",
        "Two cells of the blower table",
        told(
            "From the unit's blower table, on {where}, type the airflow at {low:bare} and at "
            "{high}: they stand on each side of your reading.",
            where=where,
            low=(below, "pressure"),
            high=(below + _COLUMN, "pressure"),
        ),
        "unit.table",
        2,
    )


def _includes(job: Job, as_found: Prediction) -> NextAct | None:
    table = job.survey.unit.table
    if table is None or table.includes is not None:
        return None
    return NextAct(
        "fact",
        "What the table already includes",
        told(
            "Read the note above or below the table: were filter, coil (dry or wet) and heater in "
            "the unit when it was measured? Until then there is one answer for each possibility."
        ),
        "unit.table.includes",
        1,
    )


def _tap(job: Job, as_found: Prediction) -> NextAct | None:
    unit = job.survey.unit
    several = unit.table is not None and len(unit.table.taps) > 1
    known = unit.tap or unit.calls or any("tap" in t.condition for t in job.trials)
    if not several or known:
        return None
    return NextAct(
        "fact",
        "The tap in use",
        told(
            "Which speed is in use at the call that you read: the lead's colour or number on the "
            "board, or the setting of the switches. Power off first."
        ),
        "unit.tap",
        3,
    )


def _watts(job: Job, as_found: Prediction) -> NextAct | None:
    unit = job.survey.unit
    if unit.motor != "constant-airflow" or _has(job, "unit", "power"):
        return None
    table = unit.table
    if table is None or all(row.power is None for row in table.rows):
        return None
    return NextAct(
        "reading",
        "Watts of the blower",
        told(
            "This blower holds its airflow whatever the pressure, so statics cannot show what it "
            "moves. Its watts against the table can."
        ),
        "unit",
        5,
    )


def _filter(job: Job, as_found: Prediction) -> NextAct | None:
    filters = job.survey.filters
    if filters is not None and all(
        (f.grade and f.width and f.height) or f.rated_drop for f in filters
    ):
        return None
    return NextAct(
        "fact",
        "The filter: size and class",
        told(
            "Width, height, thickness and class are printed on its edge. They tell how much of the "
            "return side's {p} the filter takes.",
            p=(_magnitude(as_found, "return"), "pressure"),
        ),
        "filters",
        2,
    )


def _sized(duct: Duct) -> bool:
    return duct.diameter is not None or (duct.width is not None and duct.height is not None)


def _runs(job: Job, as_found: Prediction) -> NextAct | None:
    supply = job.survey.supply
    if supply is not None and supply.runs and all(_sized(run.duct) for run in supply.runs):
        return None
    return NextAct(
        "fact",
        "The supply runs, in one line",
        told(
            "How many there are, their size and length, and how they hang: seven 6-inch, about "
            "25 ft, slack flex is enough. It tells what the supply side's {p} is made of.",
            p=(_magnitude(as_found, "supply"), "pressure"),
        ),
        "supply",
        4,
    )


def _returns(job: Job, as_found: Prediction) -> NextAct | None:
    returns = job.survey.returns
    if returns and all(one.kind and one.grille and one.grille.width for one in returns):
        return None
    return NextAct(
        "fact",
        "The return: grille and duct",
        told(
            "How many return grilles, their size, and what carries the air from there: a duct, a "
            "panned joist, a platform."
        ),
        "returns",
        3,
    )


_ORDER: tuple[Callable[[Job, Prediction], NextAct | None], ...] = (
    _cells,
    _includes,
    _tap,
    _watts,
    _filter,
    _runs,
    _returns,
)


def _has(job: Job, at: str, quantity: str) -> bool:
    return any(
        r.at == at and r.quantity == quantity for trial in job.trials for r in trial.in_force
    )


def _magnitude(as_found: Prediction, at: str) -> float:
    return abs(float(np.median(as_found.solution.reads[at])))
