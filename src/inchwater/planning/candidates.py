"""The cheap readings that a job does not have yet: what is read, in which condition, how long.

A reading is a candidate where this system has the place and the model could use it.  A state that
can hurt is offered only by the design's rules: the filter out only where no hole can be put on
each side of it, never in heat and never with ice on the coil.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from inchwater.findings.labels import counted
from inchwater.network.heat import heat_given
from inchwater.planning.prices import Prices
from inchwater.survey import CALLS, Job, Survey, filters_of, standing_trial
from inchwater.survey.ducts import Branch
from inchwater.survey.trials import Quantity

# Calls in which a burner or heater may be on.
_HEAT = ("heating", "heating-low")


@dataclass(frozen=True, slots=True)
class Candidate:
    """One thing to read or look at.

    ``key`` is unique among a job's candidates; ``readings`` are pairs of quantity and place, all
    taken in ``condition``; ``look`` is what is looked at instead (``tap``, ``wheel``).  ``field``
    is the test point or fact that it fills; ``acts`` are acts whose cautions belong to it; ``how``
    says in a sentence or two how it is done.
    """

    key: str
    title: str
    minutes: float
    readings: tuple[tuple[Quantity, str], ...] = ()
    condition: Mapping[str, str] = field(default_factory=dict)
    look: Literal["", "tap", "wheel"] = ""
    field: str = ""
    acts: tuple[str, ...] = ("reading", "test-point")
    how: str = ""

    @property
    def kind(self) -> Literal["reading", "fact"]:
        """A reading, or a fact that is looked at."""
        return "fact" if self.look else "reading"


def candidates_of(
    job: Job, survey: Survey, state: Mapping[str, str], prices: Prices
) -> tuple[Candidate, ...]:
    """Every cheap reading that this job lacks.

    Parameters
    ----------
    job : Job
        What is in its trials is not asked again.
    survey : Survey
        The system as it stands.
    state : mapping
        The condition in which it stands.
    """
    return tuple(
        one for kind in _KINDS for one in kind(_Asked(job, survey, dict(state), prices.minutes))
    )


@dataclass(frozen=True, slots=True)
class _Asked:
    """What a kind of candidate is made from."""

    job: Job
    survey: Survey
    state: dict[str, str]
    minutes: Mapping[str, float]

    def has(self, quantity: Quantity, at: str) -> bool:
        return any(
            r.quantity == quantity and r.at == at for t in self.job.trials for r in t.in_force
        )

    @property
    def iced(self) -> bool:
        return any(coil.condition == "iced" for coil in self.survey.coils or ())

    @property
    def both_sides(self) -> tuple[tuple[Quantity, str], ...]:
        """The statics that the standing trial has, which another whole trial reads again."""
        stands = standing_trial(self.job)
        points = [] if stands is None else [r for r in stands.in_force if r.quantity == "static"]
        return tuple(dict.fromkeys(("static", r.at) for r in points))


def _filter(asked: _Asked) -> Iterator[Candidate]:
    filters = filters_of(asked.survey)
    known = asked.survey.filters is not None
    out = any(
        key.startswith("filter:") and state == "out"
        for trial in asked.job.trials
        for key, state in trial.condition.items()
    )
    at_unit = [one for one in filters if one.at == "unit"]
    split = asked.has("static", "before-filter") or any(
        asked.has("drop", f"filter:{one.id}") for one in filters
    )
    if at_unit and not split and not out:
        yield Candidate(
            "before-filter",
            "Static before the filter",
            asked.minutes["before-filter"],
            (("static", "before-filter"),),
            asked.state,
            field="before-filter",
            how="With the filter in. It splits the return side in two: the duct, and the filter.",
        )
    in_grilles = [one for one in filters if one.at == "grille"] if known else []
    for one in in_grilles:
        if not asked.has("drop", f"filter:{one.id}") and not out:
            yield Candidate(
                f"drop:filter:{one.id}",
                "Drop across the filter grille"
                if len(in_grilles) == 1
                else f"Drop across filter {one.id}",
                asked.minutes["return-grille"],
                (("drop", f"filter:{one.id}"),),
                asked.state,
                field=f"filter:{one.id}",
                how="One tube behind the filter, one in the room: what filter and grille take.",
            )
    if at_unit and known and not split and not out and not _sides_reached(asked):
        yield from _filter_out(asked, tuple(one.id for one in at_unit))


def _sides_reached(asked: _Asked) -> bool:
    """Whether a hole can be put on each side of the filter, which is better than to take it out."""
    return any(one.kind != "platform" for one in asked.survey.returns or ())


def _filter_out(asked: _Asked, ids: tuple[str, ...]) -> Iterator[Candidate]:
    if asked.state.get("call") in _HEAT or asked.iced or not asked.both_sides:
        return
    condition = {**asked.state, **{f"filter:{id_}": "out" for id_ in ids}}
    yield Candidate(
        "filter-out",
        "Both sides with the filter out, briefly",
        asked.minutes["filter-out"],
        asked.both_sides,
        condition,
        field="trial2",
        acts=("reading", "filter"),
        how="Dust settled, slot covered; not in heat, not with ice. Filter back at once.",
    )


def _coil(asked: _Asked) -> Iterator[Candidate]:
    outside = [coil for coil in asked.survey.coils or () if not coil.inside_unit]
    if not outside or any(asked.has("drop", f"coil:{coil.id}") for coil in outside):
        return
    for point, title in (
        ("before-coil", "Static before the coil"),
        ("supply", "Static after the coil"),
    ):
        if not asked.has("static", point):
            yield Candidate(
                point,
                title,
                asked.minutes["coil-side"],
                (("static", point),),
                asked.state,
                field=point,
                how="It splits the supply side in two: the coil, and the ducts after it.",
            )


def _other_call(asked: _Asked) -> Iterator[Candidate]:
    unit = asked.survey.unit
    running = asked.state.get("tap") or unit.calls.get(asked.state.get("call", ""), unit.tap)
    read = {trial.condition.get("call") for trial in asked.job.trials}
    if not asked.both_sides or "tap" in asked.state:
        return
    for call in CALLS:
        tap = unit.calls.get(call)
        if tap is None or tap == running or call in read:
            continue
        condition = {**asked.state, "call": call}
        if not call.startswith("cooling"):
            condition.pop("coil", None)
            if asked.survey.coils is None or asked.survey.coils:
                condition["coil"] = "dry"
        word = call.replace("-", " ")
        yield Candidate(
            f"call:{call}",
            f"Both sides again in the {word} call",
            asked.minutes["other-call"],
            asked.both_sides,
            condition,
            field="trial2",
            acts=("reading",),
            how="Set the thermostat, wait until it is steady, and read the same test points again.",
        )


def _at_the_unit(asked: _Asked) -> Iterator[Candidate]:
    table = asked.survey.unit.table
    if not asked.has("airflow", "unit"):
        yield Candidate(
            "flow",
            "Airflow at the unit by flow plate",
            asked.minutes["flow"],
            (("airflow", "unit"),),
            asked.state,
            field="unit:airflow",
            acts=("reading", "filter"),
            how="The plate in the filter's slot, the supply static noted before. Filter back.",
        )
    if not asked.has("power", "unit") and table is not None and any(r.power for r in table.rows):
        yield Candidate(
            "watts",
            "Watts of the blower",
            asked.minutes["watts"],
            (("power", "unit"),),
            asked.state,
            field="unit",
            acts=("reading",),
            how="A true-power meter, at the same call. Volts times amps is not watts.",
        )
    if not asked.has("speed", "unit") and table is not None and any(r.speed for r in table.rows):
        yield Candidate(
            "speed",
            "Speed of the blower",
            asked.minutes["speed"],
            (("speed", "unit"),),
            asked.state,
            field="unit:speed",
            acts=("reading", "cabinet"),
            how="A mark on the wheel with the power off, then the tachometer with the panel on.",
        )


def _temperature_rise(asked: _Asked) -> Iterator[Candidate]:
    if asked.has("temperature-rise", "unit") or heat_given(asked.survey, asked.state) is None:
        return
    condition = {k: v for k, v in asked.state.items() if k not in ("coil", "tap")}
    condition["call"] = "heating"
    yield Candidate(
        "temperature-rise",
        "Temperature rise with the heat on",
        asked.minutes["temperature-rise"],
        (("temperature-rise", "unit"),),
        condition,
        field="unit:temperature-rise",
        acts=("reading", "test-point"),
        how="Heat steady for some minutes, probes where they cannot see the heater; panels on, no "
        "safety touched.",
    )


def _hoods(asked: _Asked) -> Iterator[Candidate]:
    runs = () if asked.survey.supply is None else asked.survey.supply.runs
    left = [run for run in runs if not asked.has("airflow", f"register:{run.id}")]
    if len(left) < len(runs) or not runs:
        return
    yield Candidate(
        "hoods",
        f"Every register by hood ({counted(len(runs), 'register').lower()})",
        asked.minutes["hoods"] * len(runs),
        tuple(("airflow", f"register:{run.id}") for run in runs),
        asked.state,
        field="registers",
        acts=("reading",),
        how="Register by register at one steady call, doors as they are.",
    )
    longest = _longest(runs)
    yield Candidate(
        f"hood:{longest.id}",
        f"One register by hood: {longest.room or longest.id}",
        asked.minutes["hood"],
        (("airflow", f"register:{longest.id}"),),
        asked.state,
        field=f"register:{longest.id}",
        acts=("reading",),
        how="At the same steady call, doors as they are.",
    )


def _longest(runs: Sequence[Branch]) -> Branch:
    return max(runs, key=lambda run: run.duct.length.si if run.duct.length else 0.0)


def _in_ducts(asked: _Asked) -> Iterator[Candidate]:
    supply = asked.survey.supply
    if supply is None:
        return
    for branch, above in supply.walk():
        if branch.is_trunk and not above and not asked.has("static", f"trunk:{branch.id}"):
            yield Candidate(
                f"trunk:{branch.id}",
                f"Static in the trunk {branch.id}",
                asked.minutes["duct"],
                (("static", f"trunk:{branch.id}"),),
                asked.state,
                field=f"trunk:{branch.id}",
                how="Before its first take-off, the tip straight into the air.",
            )
    runs = [run for run in supply.runs if not asked.has("static", f"run:{run.id}")]
    if len(runs) == len(supply.runs) and runs:
        longest = _longest(runs)
        yield Candidate(
            f"run:{longest.id}",
            f"Static in the run to {longest.room or longest.id}",
            asked.minutes["duct"],
            (("static", f"run:{longest.id}"),),
            asked.state,
            field=f"run:{longest.id}",
            how="Just after its take-off. Whole-system statics cannot see one crushed run.",
        )


def _looks(asked: _Asked) -> Iterator[Candidate]:
    unit = asked.survey.unit
    known = unit.tap or unit.calls or any("tap" in t.condition for t in asked.job.trials)
    if unit.table is not None and len(unit.table.taps) > 1 and not known:
        yield Candidate(
            "tap",
            "The tap in use",
            asked.minutes["tap"],
            look="tap",
            condition=asked.state,
            field="unit.tap",
            acts=("reading", "cabinet"),
            how="Power off first; then the lead's colour or number on the board, or the switches.",
        )
    if unit.wheel is None:
        yield Candidate(
            "wheel",
            "The blower wheel: clean or dirty",
            asked.minutes["wheel"],
            look="wheel",
            condition=asked.state,
            field="unit.wheel",
            acts=("reading", "cabinet"),
            how="Power off, look at the blades. Dirt takes airflow that no static shows.",
        )


_KINDS = (
    _filter,
    _coil,
    _other_call,
    _at_the_unit,
    _temperature_rise,
    _hoods,
    _in_ducts,
    _looks,
)
