"""Slips of the system: another tap, filter, side, table or run than the one that was said."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from inchwater import units
from inchwater.calibration.observe import Observed
from inchwater.findings.labels import inches
from inchwater.findings.slip import Slip, figure
from inchwater.findings.slips_typed import flat
from inchwater.findings.watts import tap_in_use
from inchwater.network import compile_network
from inchwater.parts import fan_laws
from inchwater.survey.ducts import Branch, walked
from inchwater.survey.facts import Fact
from inchwater.survey.job import Job, Survey
from inchwater.survey.trials import Trial
from inchwater.survey.unit import TableRow

# These are looked at on an honest visit too, to say what cannot be seen.
ALWAYS = ("tap-in-trial", "tap-of-call", "filter-left-in")


def system_slips(
    job: Job,
    trials: Sequence[Observed],
    includes: frozenset[str] | None,
    far: Sequence[float],
    every: bool = True,
) -> Iterator[Slip]:
    """Every slip by which the system is another than said, worth a thought for these readings.

    Parameters
    ----------
    job : Job
        Survey and trials.
    trials : sequence of Observed
        Its trials as said.
    includes : frozenset of str or None
        What the table's zero was taken to hold.
    far : sequence of float
        How far each reading lies from what the others make it, in its own spread. [-]
    every : bool
        Whether all kinds are wanted, not those of :data:`ALWAYS` alone.
    """
    yield from _taps(job, trials, includes)
    filters = _filters(job, trials, includes)
    yield from (one for one in filters if every or one.kind in ALWAYS)
    if not every:
        return
    yield from _sides(trials)
    yield from _tables(job, trials, includes)
    yield from _runs(job, trials, includes, far)
    yield from _all_runs(job, trials, includes)


Edit = Callable[[Observed], Observed | None]


def _edited(trials: Sequence[Observed], edit: Edit) -> tuple[Observed, ...] | None:
    """The trials with an edit where it applies; None where it applies to none."""
    changed = [edit(one) for one in trials]
    if not any(changed):
        return None
    return tuple(new or old for new, old in zip(changed, trials, strict=True))


def _in_state(
    job: Job,
    one: Observed,
    state: Mapping[str, str],
    includes: frozenset[str] | None,
    survey: Survey | None = None,
) -> Observed:
    built = compile_network(survey or job.survey_after(one.trial.after), state, includes)
    return replace(one, network=built)


def _filters(
    job: Job, trials: Sequence[Observed], includes: frozenset[str] | None
) -> Iterator[Slip]:
    keys = [f"filter:{one.id}" for one in job.survey.filters or ()]
    for one in trials:
        state = dict(one.network.state)
        out = [key for key in keys if state.get(key) == "out"]
        if out:
            kind, then = "filter-left-in", {k: v for k, v in state.items() if k not in out}
        elif keys and not any(r.at in keys for r in one.readings):
            kind, then = "filter-left-out", state | dict.fromkeys(keys, "out")
        else:
            continue
        changed = _in_state(job, one, then, includes)
        yield Slip(
            kind,
            figure(kind),
            (one.trial.id,),
            tuple(out or keys),
            observed=tuple(changed if t is one else t for t in trials),
        )


def neighbours(survey: Survey, trial: Trial) -> tuple[str, ...]:
    """The taps of the table beside the one that is said to run in a trial."""
    if survey.unit.table is None:
        return ()
    order = fan_laws.known_taps(survey.unit.table.rows)
    tap = tap_in_use(survey, trial)
    if tap not in order:
        return ()
    at = order.index(tap)
    return tuple(order[k] for k in (at - 1, at + 1) if 0 <= k < len(order))


def _taps(job: Job, trials: Sequence[Observed], includes: frozenset[str] | None) -> Iterator[Slip]:
    on: dict[str, list[tuple[Observed, dict[str, Observed]]]] = {}
    # Trials in the same state have the same network; most of a visit's are.
    built: dict[tuple[object, ...], Observed] = {}

    def ran(one: Observed, tap: str) -> Observed:
        state = {**one.network.state, "tap": tap}
        key = (one.trial.after, *sorted(state.items()))
        if key not in built:
            built[key] = _in_state(job, one, state, includes)
        return replace(one, network=built[key].network)

    for one in trials:
        survey = job.survey_after(one.trial.after)
        near = {tap: ran(one, tap) for tap in neighbours(survey, one.trial)}
        call = one.trial.condition.get("call", "cooling")
        if "tap" not in one.trial.condition:
            on.setdefault(f"{call} {tap_in_use(survey, one.trial)}", []).append((one, near))
        for tap, changed in near.items():
            yield Slip(
                "tap-in-trial",
                figure("tap-in-trial") / len(near),
                (one.trial.id,),
                ("unit.tap",),
                tap,
                observed=tuple(changed if t is one else t for t in trials),
            )
    for members in on.values():
        ids = {owner.trial.id for owner, _ in members}
        for tap in members[0][1]:
            moved = {owner.trial.id: near[tap] for owner, near in members if tap in near}
            yield Slip(
                "tap-of-call",
                figure("tap-of-call") / len(members[0][1]),
                tuple(t.trial.id for t in trials if t.trial.id in ids),
                ("unit.tap",),
                tap,
                observed=tuple(moved.get(t.trial.id, t) for t in trials),
            )


def _sides(trials: Sequence[Observed]) -> Iterator[Slip]:
    """A hole on the other side of the filter or of the coil than was said."""
    for at, truly in (
        ("return", "before-filter"),
        ("before-filter", "return"),
        ("supply", "before-coil"),
        ("before-coil", "supply"),
    ):

        def moved(one: Observed, at: str = at, truly: str = truly) -> Observed | None:
            read = {r.at for r in one.readings if r.quantity == "static"}
            if at not in read or truly not in one.network.ports:
                return None
            return replace(
                one,
                readings=tuple(
                    replace(r, at=truly) if r.quantity == "static" and r.at == at else r
                    for r in one.readings
                ),
            )

        observed = _edited(trials, moved)
        if observed is not None:
            ids = tuple(
                new.trial.id for new, old in zip(observed, trials, strict=True) if new is not old
            )
            yield Slip("wrong-side", figure("wrong-side"), ids, (at,), truly, observed=observed)


def _tables(
    job: Job, trials: Sequence[Observed], includes: frozenset[str] | None
) -> Iterator[Slip]:
    """A table of the next size of unit, where anything but statics has been read of the air."""
    printed = job.survey.unit.table
    told = any(
        r.quantity in ("airflow", "temperature-rise", "power", "speed")
        for t in trials
        for r in t.readings
    )
    if printed is None or not told:
        return
    for word, factor in (
        ("larger", figure("other-table-step")),
        ("smaller", 1.0 / figure("other-table-step")),
    ):
        rows = tuple(
            replace(
                row,
                airflow=None if row.airflow is None else row.airflow * factor,
                power=None if row.power is None else row.power * factor,
            )
            for row in printed.rows
        )

        def resized(one: Observed, rows: tuple[TableRow, ...] = rows) -> Observed:
            survey = job.survey_after(one.trial.after)
            unit = replace(survey.unit, table=replace(printed, rows=rows))
            return _in_state(job, one, one.network.state, includes, replace(survey, unit=unit))

        yield Slip(
            "other-table",
            0.5 * figure("other-table"),
            (),
            ("unit.table",),
            word,
            observed=tuple(resized(one) for one in trials),
        )


def _runs(
    job: Job, trials: Sequence[Observed], includes: frozenset[str] | None, far: Sequence[float]
) -> Iterator[Slip]:
    """The run whose own reading lies furthest off: of another size, or shut."""
    rows = flat(trials)
    at_runs = [
        (abs(far[i]), reading.at.partition(":")[2])
        for i, (_, _, reading) in enumerate(rows)
        if reading.at.startswith(("run:", "register:"))
    ]
    if not at_runs or job.survey.supply is None:
        return
    run = max(at_runs)[1]
    duct = next((r.duct for r in job.survey.supply.runs if r.id == run), None)

    def shut(one: Observed) -> Observed:
        state = {**one.network.state, f"register:{run}": "closed"}
        return _in_state(job, one, state, includes)

    yield Slip(
        "damper-shut",
        figure("damper-shut"),
        (),
        (f"run:{run}",),
        observed=tuple(shut(one) for one in trials),
    )
    for step in (-1.0, 1.0):
        resized = None if duct is None else _other_size(duct.diameter, step)
        if resized is None:
            continue

        def of_size(survey: Survey, size: Fact = resized) -> Survey:
            return _with_diameter(survey, run, size)

        yield Slip(
            "run-size",
            0.5 * figure("run-size"),
            (),
            (f"run:{run}",),
            inches(resized),
            observed=_resurveyed(job, trials, includes, of_size),
        )


def _all_runs(
    job: Job, trials: Sequence[Observed], includes: frozenset[str] | None
) -> Iterator[Slip]:
    """The one size that was said of several runs: the mistake is in each run that takes it over."""
    supply = job.survey.supply
    if supply is None or supply.run_like.diameter is None:
        return
    said = supply.run_like.diameter
    own = {branch.id: branch.duct.diameter for branch, _ in supply.walk()}
    if sum(own[run.id] is None and run.duct.diameter is not None for run in supply.runs) < 2:
        return
    for step in (-2.0, -1.0, 1.0, 2.0):
        resized = _other_size(said, step)
        if resized is None:
            continue

        def of_size(survey: Survey, size: Fact = resized) -> Survey:
            assert survey.supply is not None  # a change takes no supply away
            like = replace(survey.supply.run_like, diameter=size)
            return replace(survey, supply=replace(survey.supply, run_like=like))

        yield Slip(
            "runs-size",
            0.25 * figure("runs-size"),
            (),
            ("runs",),
            inches(resized),
            observed=_resurveyed(job, trials, includes, of_size),
        )


def _other_size(said: Fact | None, step: float) -> Fact | None:
    """A diameter some inches from the one that was said; None where no duct is that small."""
    if said is None:
        return None
    size = units.from_si(said.si, "in") + step
    return None if size < 3.0 else Fact(size, "in", said.how)


def _resurveyed(
    job: Job,
    trials: Sequence[Observed],
    includes: frozenset[str] | None,
    of: Callable[[Survey], Survey],
) -> tuple[Observed, ...]:
    """Every trial of a survey that is said otherwise."""
    return tuple(
        _in_state(job, one, one.network.state, includes, of(job.survey_after(one.trial.after)))
        for one in trials
    )


def _with_diameter(survey: Survey, run: str, diameter: Fact) -> Survey:
    def of(one: Branch) -> Branch:
        return replace(one, duct=replace(one.duct, diameter=diameter)) if one.id == run else one

    assert survey.supply is not None  # the caller has looked
    branches = walked(survey.supply.branches, of)
    return replace(survey, supply=replace(survey.supply, branches=branches))
