"""What else could be done: cleaning, sealing, bypasses, dampers, doors, return ducts, the motor."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from inchwater import units
from inchwater.findings.labels import inches
from inchwater.planning.filter_labels import wanted_label
from inchwater.planning.proposed import (
    DEEP,
    FILTER_FACE,
    Idea,
    State,
    branches_of,
    named,
    one,
    seen,
)
from inchwater.survey import CALLS, Return, Survey, coils_of, filters_of

_RETURN_LARGER = 2.0  # inches that a return duct is enlarged by
_KEPT_LENGTH = 0.8  # of a draped run that is cut to what it needs [-]
_JUMPER = {"diameter": 8.0, "width": 12.0, "height": 12.0, "length": 8.0}
_THROTTLED = 30.0  # angle to which a damper of a run with plenty is set [deg]
_FEW = 3  # of a kind that are proposed where each helps a little


def _cleaning(survey: Survey, state: State) -> Iterator[Idea]:
    wheel = survey.unit.wheel
    if wheel in ("dusty", "caked"):
        made = one("clean-wheel", "the blower wheel cleaned", "clean-wheel", ("unit",), {})
        yield Idea(made.key, made.label, made.changes, ("wheel",))
    else:
        why = "The wheel is clean." if wheel else "Nobody has looked at the wheel yet."
        yield Idea("clean-wheel", "the blower wheel cleaned", impossible=why)
    for coil in coils_of(survey):
        key, label = f"clean-coil:{coil.id}", "the cooling coil cleaned"
        if coil.condition in ("dusty", "caked", "iced"):
            made = one(key, label, "clean-coil", (coil.id,), {})
            yield Idea(made.key, made.label, made.changes, (f"coil:{coil.id}",))
        else:
            why = "The coil is clean." if coil.condition else "Nobody has looked at the coil yet."
            yield Idea(key, label, impossible=why)


def _sealing(survey: Survey, state: State) -> Iterator[Idea]:
    sealed = {leak.side for leak in survey.leakage if leak.sealing == "sealed"}
    for side in ("supply", "return"):
        label = f"the joints of the {side} sealed"
        if side in sealed:
            why = f"The {side} is sealed already."
            yield Idea(f"seal:{side}", label, impossible=why)
            continue
        made = one(f"seal:{side}", label, "seal", (side,), {})
        yield Idea(made.key, made.label, made.changes, (f"leak:{side}",))


def _bypasses(survey: Survey, state: State) -> Iterator[Idea]:
    for bypass in survey.bypasses or ():
        key, label = f"remove-bypass:{bypass.id}", f"the bypass {bypass.id} taken out"
        made = one(key, label, "remove-bypass", (bypass.id,), {})
        yield Idea(made.key, made.label, made.changes, (f"bypass:{bypass.id}",))


def _return_ducts(survey: Survey, state: State) -> Iterator[Idea]:
    sized = [r for r in survey.returns or () if r.duct.diameter is not None and r.kind != "open"]
    for back in sorted(sized, key=lambda r: r.duct.diameter.si if r.duct.diameter else 0.0):
        idea = larger_return(back)
        if idea is not None:
            yield idea


def larger_return(back: Return) -> Idea | None:
    """A return's duct two inches larger; None where its size is not known."""
    if back.duct.diameter is None or back.kind == "open":
        return None
    size = seen(units.from_si(back.duct.diameter.si, "in") + _RETURN_LARGER)
    key, label = f"return-duct:{back.id}", f"the return duct {back.id} enlarged to {inches(size)}"
    made = one(key, label, "enlarge-return", (back.id,), {"diameter": size})
    return Idea(made.key, made.label, made.changes, (f"return-duct:{back.id}",))


def _cabinets(survey: Survey, state: State) -> Iterator[Idea]:
    filters = filters_of(survey)
    if not filters or any(f.at == "unit" for f in filters):
        return
    width, height = map(seen, FILTER_FACE)
    to: dict[str, object] = {"id": "cabinet", "grade": DEEP[0], "width": width, "height": height}
    to |= wanted_label(DEEP[0], width, height)
    label = "one 4-inch filter cabinet at the unit in place of the filter grilles"
    made = one("cabinet", label, "cabinet", (), to)
    yield Idea(made.key, made.label, made.changes, tuple(f"filter:{f.id}" for f in filters))


def _shortened(survey: Survey, state: State) -> Iterator[Idea]:
    draped = [
        b
        for b in branches_of(survey)
        if not b.is_trunk and b.duct.slack in ("draped", "kinked") and b.duct.length is not None
    ]
    for run in draped[:_FEW]:
        assert run.duct.length is not None
        length = seen(units.from_si(run.duct.length.si, "ft") * _KEPT_LENGTH, "ft")
        key, label = f"shorten:{run.id}", f"the run to {named(run)} cut to what it needs"
        made = one(key, label, "shorten-run", (run.id,), {"length": length})
        yield Idea(made.key, made.label, made.changes, (f"run:{run.id}",))


def _moved(survey: Survey, state: State) -> Iterator[Idea]:
    """Runs on a trunk led from the plenum: as long as they are, and the trunks that they leave."""
    if survey.supply is None:
        return
    above = {branch.id: path for branch, path in survey.supply.walk()}
    lengths = {b.id: b.duct.length.si for b in branches_of(survey) if b.duct.length is not None}
    on_trunks = [b for b in branches_of(survey) if not b.is_trunk and above[b.id]]
    for run in [b for b in on_trunks if b.id in lengths][:_FEW]:
        metres = lengths[run.id] + 0.5 * sum(lengths.get(trunk, 0.0) for trunk in above[run.id])
        to: dict[str, object] = {"at": survey.supply.id}
        to["length"] = seen(units.from_si(metres, "ft"), "ft")
        key, label = f"move:{run.id}", f"the run to {named(run)} led from the plenum"
        made = one(key, label, "move-run", (run.id,), to)
        yield Idea(made.key, made.label, made.changes, (f"run:{run.id}",))


def _dampers(survey: Survey, state: State) -> Iterator[Idea]:
    # The last are those that resist least.
    runs = [b for b in branches_of(survey) if not b.is_trunk and b.duct.damper is not None]
    for run in runs:
        assert run.duct.damper is not None
        if run.duct.damper.si > 0.0:
            yield _damper(run.id, f"the damper of {named(run)} opened", 0.0)
    for run in runs[::-1][:_FEW]:
        assert run.duct.damper is not None
        if run.duct.damper.si <= 0.0:
            label = f"the damper of {named(run)} set to {_THROTTLED:g}°"
            yield _damper(run.id, label, _THROTTLED)


def _damper(id_: str, label: str, angle: float) -> Idea:
    made = one(f"damper:{id_}:{angle:g}", label, "damper", (id_,), {"angle": seen(angle, "deg")})
    return Idea(made.key, made.label, made.changes, (f"damper:{id_}",))


def _ways_out(survey: Survey, state: State) -> Iterator[Idea]:
    returns = {r.room for r in survey.returns or () if r.room}
    shut = [r for r in survey.rooms or () if not r.transfers and not {r.id, r.name} & returns]
    for room in shut[:_FEW]:
        to: dict[str, object] = {k: seen(v) for k, v in _JUMPER.items() if k != "length"}
        to |= {"kind": "jumper", "material": "flex", "length": seen(_JUMPER["length"], "ft")}
        key, label = f"transfer:{room.id}", f"a jumper duct out of {room.name or room.id}"
        made = one(key, label, "transfer", (room.id,), to)
        yield Idea(made.key, made.label, made.changes, (f"way:{room.id}",))


def _motors(survey: Survey, state: State) -> Iterator[Idea]:
    key, label = "motor", "a constant-torque motor in place of the old one"
    if survey.unit.motor != "psc":
        why = (
            "Which motor there is has to be known first."
            if survey.unit.motor is None
            else "The motor holds its airflow better than one with leads already."
        )
        yield Idea(key, label, impossible=why)
        return
    made = one(key, label, "motor", ("unit",), {"motor": "constant-torque"})
    yield Idea(made.key, made.label, made.changes, ("motor", *(f"tap:{call}" for call in CALLS)))


MORE: tuple[Callable[[Survey, State], Iterator[Idea]], ...] = (
    _cleaning,
    _sealing,
    _bypasses,
    _return_ducts,
    _cabinets,
    _shortened,
    _moved,
    _dampers,
    _ways_out,
    _motors,
)
