"""What could be done to a system, part by part: ideas that are priced and tried elsewhere.

Within a kind the most promising come first: ducts by their length over the fifth power of their
diameter, which their friction goes by at the same air.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from statistics import median

from inchwater import units
from inchwater.findings.labels import inches
from inchwater.parts.fan_laws import known_taps
from inchwater.parts.filters import GRADES
from inchwater.planning.filter_labels import wanted_label
from inchwater.planning.price_work import is_shallow
from inchwater.survey import (
    Branch,
    Change,
    Fact,
    Filter,
    Grille,
    How,
    Survey,
    filters_of,
    grilles_of,
)
from inchwater.survey.ducts import filled, hangs

# New work that nobody has measured up yet: usual sizes of it (common practice, no source).
DEEP = ("media-4in-merv11", "media-4in-merv8")
_LOW_DROP = "pleat-1in-merv8"
FILTER_FACE = (20.0, 25.0)
_RETURNS = ((20.0, 20.0, 14.0), (20.0, 30.0, 16.0))
_RETURN_FEET = 12.0
# A run more: across, and its register, of which the air is no faster than registers are held to.
_RUNS_MORE, _RUN_FEET = ((7.0, (12.0, 6.0)), (8.0, (12.0, 8.0))), 20.0
_RUN_REGISTER = "register-bar"
_LARGER = (1.0, 2.0)  # inches that a run is enlarged by
_TRUNK_LARGER = 2.0
# Sides of filters and grilles in which they are sold. [in]
_SIDES = (6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 24.0, 25.0, 30.0, 36.0, 42.0, 48.0)
_STEPS = (1, 2)  # steps by which a grille is enlarged on both sides
_RUNS = 12  # runs that are proposed one by one
# What is exchanged for what resists less, the most promising first.
_BETTER = (
    ("elbow-90-mitred", "elbow-90-smooth"),
    ("flex-bend-tight", "flex-bend-wide"),
    ("trunk-take-off-top", "trunk-take-off-45"),
    ("take-off-elbow", "take-off-tapered"),
    ("take-off-projecting", "take-off-tapered"),
    ("trunk-take-off-90", "trunk-take-off-45"),
    ("take-off-straight", "take-off-tapered"),
    ("flex-bend-90", "flex-bend-wide"),
)

State = dict[str, str]


@dataclass(frozen=True, slots=True)
class Idea:
    """Changes made together, what they are called, what they replace; or why they cannot be."""

    key: str
    label: str
    changes: tuple[Change, ...] = ()
    replaces: tuple[str, ...] = field(default=())
    impossible: str = ""


def one(key: str, label: str, kind: str, targets: tuple[str, ...], to: dict[str, object]) -> Idea:
    """An idea of one change, whose id is its key, so that it scatters alike in all company."""
    features = tuple(f"{kind.removeprefix('add-')}:{target}" for target in targets) or (kind,)
    return Idea(key, label, (Change(f"offer-{key}", kind, targets, to),), features)


def seen(value: float, unit: str = "in") -> Fact:
    """A size of new work, in the unit that is given."""
    return Fact(round(value, 1), unit, How.SEEN)


def _inches_of(fact: Fact) -> float:
    return units.from_si(fact.si, "in")


def _larger(side: Fact, steps: int) -> float:
    """A side so many trade sizes larger; beyond the largest of them by 6 inches each. [in]"""
    now = _inches_of(side)
    above = [size for size in _SIDES if size > now + 0.5]
    return above[steps - 1] if len(above) >= steps else now + 6.0 * steps


# --- the return side ------------------------------------------------------------------------------


def _filters(survey: Survey, state: State) -> Iterator[Idea]:
    several = len(filters_of(survey)) > 1
    for old in filters_of(survey):
        which = f" in {old.id}" if several else ""
        if old.grade is not None and old.condition not in (None, "clean"):
            label = f"a clean filter of the same class{which}"
            yield one(f"clean:{old.id}", label, "filter", (old.id,), _bought(old, old.grade))
        yield from _deeper(old, which)
        if old.grade in GRADES and is_shallow(old.grade) and old.grade != _LOW_DROP:
            label = f"a 1-inch pleat of MERV 8{which}"
            yield one(f"low-drop:{old.id}", label, "filter", (old.id,), _bought(old, _LOW_DROP))


def _bought(old: Filter, grade: str) -> dict[str, object]:
    """Another filter in the same place, by its class and what its label has to say."""
    same = old.grade == grade and old.rated_drop is not None and old.rated_airflow is not None
    label = {"rated_drop": old.rated_drop, "rated_airflow": old.rated_airflow} if same else None
    return {"grade": grade, **(label or wanted_label(grade, old.width, old.height, old.count))}


def _deeper(old: Filter, which: str) -> Iterator[Idea]:
    if old.at != "unit":
        if old.width is not None and old.height is not None:
            for steps in _STEPS:
                wide, high = _larger(old.width, steps), _larger(old.height, steps)
                width, height = seen(wide), seen(high)
                to: dict[str, object] = {"width": width, "height": height}
                to |= wanted_label(old.grade, width, height, old.count)
                faces = f"{wide:g} × {high:g}"
                label = f"a larger filter grille, {faces}{which}"
                yield one(f"filter-grille:{old.id}:{faces}", label, "filter", (old.id,), to)
        return
    if not is_shallow(old.grade):
        label = "There is a deep filter at the unit already."
        yield Idea(f"deep:{old.id}", f"a 4-inch filter cabinet{which}", impossible=label)
        return
    size: dict[str, Fact] = {}
    if old.width is None or old.height is None:
        size = dict(zip(("width", "height"), map(seen, FILTER_FACE), strict=True))
    sides = size.get("width", old.width), size.get("height", old.height)
    for grade in DEEP:
        to = {"grade": grade, **size, **wanted_label(grade, *sides, old.count)}
        merv = grade.rpartition("merv")[2]
        label = f"a 4-inch filter cabinet, MERV {merv}{which}"
        yield one(f"deep-{merv}:{old.id}", label, "filter", (old.id,), to)


def _grilles(survey: Survey, state: State) -> Iterator[Idea]:
    filled_by = {f.id for f in filters_of(survey) if f.at == "grille"}
    faces = [(back, back.grille or Grille()) for back in grilles_of(survey)]
    sized = [
        (back, face.width, face.height)
        for back, face in faces
        if face.width is not None and face.height is not None
    ]
    if not sized:
        why = "The return grilles' sizes are not known."
        yield Idea("grille", "a larger return grille", impossible=why)
    sized.sort(key=lambda row: row[1].si * row[2].si)
    for back, width, height in sized:
        if back.filter in filled_by:
            continue  # the larger filter grille is proposed with its filter
        for steps in _STEPS:
            wide, high = _larger(width, steps), _larger(height, steps)
            size = f"{wide:g} × {high:g}"
            where = f" {back.room or back.id}" if len(sized) > 1 else ""
            yield one(
                f"grille:{back.id}:{size}",
                f"a larger return grille{where}, {size}",
                "grille",
                (back.id,),
                {"width": seen(wide), "height": seen(high)},
            )


def _added_return(survey: Survey, state: State) -> Iterator[Idea]:
    in_grilles = [f for f in survey.filters or () if f.at == "grille"]
    for wide, high, across in _RETURNS:
        to: dict[str, object] = {
            "id": f"return-{across:.0f}",
            "width": seen(wide),
            "height": seen(high),
            "diameter": seen(across),
            "length": seen(_RETURN_FEET, "ft"),
            "material": "flex",
        }
        if in_grilles and not any(f.at == "unit" for f in survey.filters or ()):
            # Air that came in here would pass no filter otherwise.
            held = in_grilles[0].grade or _LOW_DROP
            to |= {"grade": held, **wanted_label(held, seen(wide), seen(high))}
        size = f"{wide:g} × {high:g} on a {across:g}-inch duct"
        yield one(f"return:{across:.0f}", f"one return more, {size}", "add-return", (), to)


# --- the supply side ------------------------------------------------------------------------------


def branches_of(survey: Survey) -> list[Branch]:
    """All branches with their whole ducts, those that resist most at the same air first."""
    if survey.supply is None:
        return []
    like = survey.supply.run_like
    found = []
    for branch, _ in survey.supply.walk():
        duct = branch.duct if branch.is_trunk else filled(branch.duct, like)
        found.append(Branch(branch.id, duct, branch.room, branch.branches))
    lengths = [b.duct.length.si for b in found if b.duct.length is not None]
    usual = median(lengths) if lengths else 1.0

    def friction(branch: Branch) -> float:
        length = branch.duct.length.si if branch.duct.length else usual
        return -length / (branch.duct.diameter.si**5 if branch.duct.diameter else 1.0)

    return sorted(found, key=friction)


def named(run: Branch) -> str:
    """A run by its room and its id."""
    return f"{run.room} ({run.id})" if run.room else run.id


def _enlarged(survey: Survey, state: State) -> Iterator[Idea]:
    sized = [b for b in branches_of(survey) if b.duct.diameter is not None and not b.is_trunk]
    if not sized:
        yield Idea(
            "enlarge", "a larger supply run", impossible="The supply runs' sizes are not known."
        )
    for more in _LARGER:
        yield from (enlarged(run, more) for run in sized[:_RUNS])


def enlarged(branch: Branch, more: float) -> Idea:
    """A run or trunk of known diameter, so many inches larger."""
    assert branch.duct.diameter is not None
    size = seen(_inches_of(branch.duct.diameter) + more)
    which = f"the trunk {branch.id}" if branch.is_trunk else f"the run to {named(branch)}"
    label, key = f"{which} enlarged to {inches(size)}", f"enlarge:{branch.id}:{size.value:g}"
    return _run(one(key, label, "enlarge-run", (branch.id,), {"diameter": size}))


def _enlarged_trunks(survey: Survey, state: State) -> Iterator[Idea]:
    for trunk in (b for b in branches_of(survey) if b.is_trunk and b.duct.diameter is not None):
        yield enlarged(trunk, _TRUNK_LARGER)


def _tightened(survey: Survey, state: State) -> Iterator[Idea]:
    runs = [b for b in branches_of(survey) if not b.is_trunk]
    slack = [b for b in runs if hangs(b.duct.material) and b.duct.slack != "tight"]
    if not slack:
        why = "No run is known that hangs slack."
        yield Idea("tighten", "slack runs pulled tight", impossible=why)
        return
    if len(slack) > 1:
        ids = tuple(run.id for run in slack)
        label = f"all {len(ids)} slack runs pulled tight"
        yield _run(one("tighten:all", label, "tighten-run", ids, {}))
    for run in slack[:_RUNS]:
        label = f"the run to {named(run)} pulled tight"
        yield _run(one(f"tighten:{run.id}", label, "tighten-run", (run.id,), {}))


def _run(idea: Idea) -> Idea:
    """A run is enlarged or pulled tight, not both: new work hangs as it should."""
    targets = idea.changes[0].targets
    return Idea(idea.key, idea.label, idea.changes, tuple(f"run:{target}" for target in targets))


def _added_run(survey: Survey, state: State) -> Iterator[Idea]:
    if survey.supply is None or not survey.supply.branches:
        why = "The supply runs are not known."
        yield Idea("add-run", "one supply run more", impossible=why)
        return
    for number, (across, (wide, high)) in enumerate(_RUNS_MORE):
        to: dict[str, object] = {"id": "run-more", "material": "flex", "kind": _RUN_REGISTER}
        to |= {"diameter": seen(across), "length": seen(_RUN_FEET, "ft")}
        to |= {"width": seen(wide), "height": seen(high)}
        label = f"one supply run more, {across:g}-inch, with a {wide:g} × {high:g} register"
        key = "add-run" if number == 0 else f"add-run:{across:g}"
        idea = one(key, label, "add-run", (survey.supply.id,), to)
        yield Idea(idea.key, idea.label, idea.changes, ("run:run-more",))


def _fittings(survey: Survey, state: State) -> Iterator[Idea]:
    parts = [(b.id, b.duct, named(b)) for b in branches_of(survey)]
    parts = [(r.id, r.duct, f"return {r.id}") for r in survey.returns or ()] + parts
    for old, new in _BETTER:
        having = [(id_, name) for id_, duct, name in parts if old in (duct.fittings or ())]
        for id_, name in having[: _RUNS // 2]:
            label = f"{old.replace('-', ' ')} at {name} exchanged for {new.replace('-', ' ')}"
            to: dict[str, object] = {"from": old, "into": new}
            yield one(f"fitting:{id_}:{old}", label, "fitting", (id_,), to)


def _registers(survey: Survey, state: State) -> Iterator[Idea]:
    runs = sorted(branches_of(survey), key=lambda run: _area(run.duct.register))
    made = (larger_register(run) for run in runs)
    yield from [idea for idea in made if idea is not None][:_RUNS]


def larger_register(run: Branch) -> Idea | None:
    """A run's register two inches larger on both sides; None where its size is not known."""
    register = run.duct.register
    if register is None or register.width is None or register.height is None:
        return None
    wide, high = _inches_of(register.width) + 2.0, _inches_of(register.height) + 2.0
    label = f"a larger register in {named(run)}, {wide:g} × {high:g}"
    to: dict[str, object] = {"width": seen(wide), "height": seen(high)}
    return one(f"register:{run.id}", label, "register", (run.id,), to)


def _area(register: Grille | None) -> float:
    if register is None or register.width is None or register.height is None:
        return 0.0
    return register.width.si * register.height.si


# --- the blower -----------------------------------------------------------------------------------


def _taps(survey: Survey, state: State) -> Iterator[Idea]:
    unit, call = survey.unit, state.get("call", "cooling")
    table = unit.table
    running = state.get("tap") or unit.calls.get(call) or unit.tap
    order = [] if table is None else list(known_taps(table.rows))
    if running not in order:
        why = (
            "The blower table has to be known first."
            if table is None
            else "Which speed runs has to be known first."
        )
        yield Idea("tap", "another blower speed", impossible=why)
        return
    at = order.index(running)
    if at == 0:
        yield Idea(
            "tap:faster", "a faster blower speed", impossible="It runs at its fastest speed."
        )
    # The next ones first: one faster, one slower, two faster ...
    for other in sorted(order, key=lambda tap: (abs(order.index(tap) - at), order.index(tap))):
        if other != running:
            word = "faster" if order.index(other) < at else "slower"
            label = f"the {call.replace('-', ' ')} call on tap {other}, {word}"
            targets = (call,) if call in unit.calls or call != "cooling" else ()
            idea = one(f"tap:{call}:{other}", label, "tap", targets, {"tap": other})
            yield Idea(idea.key, idea.label, idea.changes, (f"tap:{call}",))


def other_speeds(survey: Survey, state: State) -> Iterator[Idea]:
    """The speeds of a call beside the one that the search is for, as far as its own is known."""
    if state["call"] in survey.unit.calls:
        yield from (idea for idea in _taps(survey, state) if idea.changes)


MADE: tuple[Callable[[Survey, State], Iterator[Idea]], ...] = (
    _filters,
    _taps,
    _grilles,
    _added_return,
    _tightened,
    _enlarged,
    _enlarged_trunks,
    _added_run,
    _fittings,
    _registers,
)
