"""The eight usual changes of a system: what a technician would think of first, from its survey.

Until there are priced options, the most useful next reading is the one that tells these apart.
Only what is possible here is among them; sizes and lengths of new work are usual ones, proposed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from statistics import median

from inchwater import units
from inchwater.errors import InchwaterError
from inchwater.findings.labels import counted, inches
from inchwater.parts.fan_laws import known_taps
from inchwater.planning.price_work import is_shallow
from inchwater.survey import (
    Branch,
    Change,
    Fact,
    Grille,
    How,
    Survey,
    apply,
    filters_of,
    grilles_of,
)
from inchwater.survey.ducts import hangs

# New work that nobody has measured up yet: a usual size of it (common practice, no source).
_DEEP = "media-4in-merv11"
_FILTER_FACE = (20.0, 25.0)
_RETURN = {"width": 20.0, "height": 20.0, "diameter": 14.0, "length": 12.0}
_RUN = {"diameter": 7.0, "length": 20.0}
_ENLARGED = 2  # runs that are replaced at once


@dataclass(frozen=True, slots=True)
class Option:
    """Changes made together, and what they are called within a sentence; none is doing nothing."""

    key: str
    label: str
    changes: tuple[Change, ...] = ()


NOTHING = Option("nothing", "leaving it as it is")


def usual_changes(survey: Survey, tap: str | None = None, most: int = 8) -> tuple[Option, ...]:
    """The usual changes that are possible on this system, at most ``most`` of them.

    Parameters
    ----------
    survey : Survey
        What is installed.
    tap : str, optional
        The tap that runs; the survey's own if None.
    most : int
        How many are wanted. [-]

    Returns
    -------
    tuple of Option
        Doing nothing is not among them.
    """
    found = []
    for option in _proposed(survey, tap or survey.unit.tap):
        try:
            after = survey
            for change in option.changes:
                after = apply(after, change)
        except InchwaterError:
            # What cannot be done to this survey is no option of it.
            continue
        found.append(option)
    return tuple(found[:most])


def _proposed(survey: Survey, tap: str | None) -> Iterator[Option]:
    for kind in _KINDS:
        yield from kind(survey, tap)


def _seen(value: float, unit: str = "in") -> Fact:
    return Fact(value, unit, How.SEEN)


def _clean_filter(survey: Survey, tap: str | None) -> Iterator[Option]:
    old = [f for f in survey.filters or () if f.grade is not None and f.condition != "clean"]
    if old:
        changes = tuple(
            Change(f"next-clean-{f.id}", "filter", (f.id,), {"grade": f.grade}) for f in old
        )
        yield Option("clean-filter", "a clean filter of the same class", changes)


def _deep_filter(survey: Survey, tap: str | None) -> Iterator[Option]:
    at_unit = [f for f in filters_of(survey) if f.at == "unit" and is_shallow(f.grade)]
    for one in at_unit[:1]:
        to: dict[str, object] = {"grade": _DEEP}
        if one.width is None or one.height is None:
            to |= dict(zip(("width", "height"), map(_seen, _FILTER_FACE), strict=True))
        change = Change("next-deep", "filter", (one.id,), to)
        yield Option("deep-filter", "a 4-inch filter cabinet", (change,))


def _grille(survey: Survey, tap: str | None) -> Iterator[Option]:
    sized = [
        (one, one.grille.width.si * one.grille.height.si)
        for one in grilles_of(survey)
        if one.grille is not None and one.grille.width is not None and one.grille.height is not None
    ]
    if sized:
        smallest = min(sized, key=lambda pair: pair[1])[0]
        face = smallest.grille or Grille()
        assert face.width is not None
        assert face.height is not None
        wide, high = (units.from_si(side.si, "in") for side in (face.width, face.height))
        to = {"width": _seen(round(wide + 4.0, 1)), "height": _seen(round(high + 5.0, 1))}
        change = Change("next-grille", "grille", (smallest.id,), to)
        yield Option("grille", "a larger return grille", (change,))


def _add_return(survey: Survey, tap: str | None) -> Iterator[Option]:
    to: dict[str, object] = {name: _seen(value) for name, value in _RETURN.items()}
    to["length"] = _seen(_RETURN["length"], "ft")
    to |= {"id": "next-return", "material": "flex"}
    yield Option("add-return", "one return more", (Change("next-return", "add-return", (), to),))


def _tighten(survey: Survey, tap: str | None) -> Iterator[Option]:
    slack = [run for run in _runs(survey) if hangs(run.duct.material) and run.duct.slack != "tight"]
    if slack:
        change = Change("next-tighten", "tighten-run", tuple(run.id for run in slack))
        word = "the slack run" if len(slack) == 1 else f"{counted(len(slack), 'run').lower()}"
        yield Option("tighten", f"{word} pulled tight", (change,))


def _enlarge(survey: Survey, tap: str | None) -> Iterator[Option]:
    sized = [run for run in _runs(survey) if run.duct.diameter is not None]
    if not sized:
        return
    smallest = min(run.duct.diameter.si for run in sized if run.duct.diameter is not None)
    small = [run for run in sized if run.duct.diameter and run.duct.diameter.si <= smallest * 1.001]
    usual = median([run.duct.length.si for run in small if run.duct.length] or [0.0])
    # The longest of them resist most; one of unknown length is taken as a usual one.
    small.sort(key=lambda run: -(run.duct.length.si if run.duct.length else usual))
    chosen = small[:_ENLARGED]
    size = _seen(round(units.from_si(smallest, "in") + 1.0, 1))
    change = Change(
        "next-enlarge", "enlarge-run", tuple(run.id for run in chosen), {"diameter": size}
    )
    named = "the longest run" if len(chosen) == 1 else f"the {len(chosen)} longest runs"
    yield Option("enlarge", f"{named} replaced by {inches(size)} duct", (change,))


def _add_run(survey: Survey, tap: str | None) -> Iterator[Option]:
    if survey.supply is None or not survey.supply.branches:
        return
    to: dict[str, object] = {"id": "next-run", "material": "flex"}
    to |= {"diameter": _seen(_RUN["diameter"]), "length": _seen(_RUN["length"], "ft")}
    change = Change("next-run", "add-run", (survey.supply.id,), to)
    yield Option("add-run", "one supply run more", (change,))


def _taps(survey: Survey, tap: str | None) -> Iterator[Option]:
    table = survey.unit.table
    if table is None or tap is None:
        return
    order = known_taps(table.rows)
    if tap not in order:
        return
    at = order.index(tap)
    for place, word in ((at - 1, "faster"), (at + 1, "slower")):
        if 0 <= place < len(order):
            change = Change(f"next-tap-{word}", "tap", (), {"tap": order[place]})
            yield Option(f"tap-{word}", f"tap {order[place]}, the next {word} one", (change,))


def _runs(survey: Survey) -> tuple[Branch, ...]:
    return () if survey.supply is None else survey.supply.runs


_KINDS: tuple[Callable[[Survey, str | None], Iterator[Option]], ...] = (
    _clean_filter,
    _taps,
    _deep_filter,
    _grille,
    _add_return,
    _tighten,
    _enlarge,
    _add_run,
)
