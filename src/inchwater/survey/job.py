"""The job: the one document that engine, prompt, pages and Python share.

Survey as found, changes that last, trials, targets.  ``job.survey_after(ids)`` is the survey with
changes in force.  Reading and writing files is in ``document.py``, the rules of what can be right
in ``check.py``, what a change does in ``changes.py``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from inchwater.errors import UnknownNameError
from inchwater.survey.ducts import Branch, Bypass, Leakage, Return, Room, Supply
from inchwater.survey.facts import Fact
from inchwater.survey.form import listed
from inchwater.survey.trials import Instrument, Trial
from inchwater.survey.unit import Coil, Filter, Unit
from inchwater.survey.work import WorkRecord


@dataclass(frozen=True, slots=True)
class Place:
    """Where the system stands.

    ``space`` is where unit and ducts are (attic, basement, crawlspace, closet, garage, roof);
    ``fuel_appliances`` names burning appliances in the building other than the unit itself,
    with their venting: ``natural-draft``, ``induced-draft``, ``sealed``; None is unknown.
    ``duct_air`` and ``duct_dew_point`` are of the air around the ducts on a hot day.
    """

    altitude: Fact | None = None
    space: str | None = None
    fuel_appliances: tuple[str, ...] | None = None
    built: int | None = None
    duct_air: Fact | None = None
    duct_dew_point: Fact | None = None


@dataclass(frozen=True, slots=True)
class YearlyUse:
    """How much the system runs, and what energy costs.

    ``hours`` of a year in each thermostat call, ``energy`` that compressor and outdoor fan take in
    it in each call, ``price`` of electric energy.  What is left out is unknown.
    """

    hours: Mapping[str, Fact] = field(default_factory=dict)
    energy: Mapping[str, Fact] = field(default_factory=dict)
    price: Fact | None = None


@dataclass(frozen=True, slots=True)
class Survey:
    """What is installed, as found.  None is unknown; an empty tuple is known to be none."""

    unit: Unit
    filters: tuple[Filter, ...] | None = None
    coils: tuple[Coil, ...] | None = None
    returns: tuple[Return, ...] | None = None
    supply: Supply | None = None
    place: Place = field(default_factory=Place)
    bypasses: tuple[Bypass, ...] | None = None
    rooms: tuple[Room, ...] | None = None
    leakage: tuple[Leakage, ...] = ()
    use: YearlyUse = field(default_factory=YearlyUse)

    def room_called(self, name: str | None) -> Room | None:
        """The room that a run or return calls so, by its id or its name; None if none is."""
        for one in self.rooms or ():
            if name is not None and name in (one.id, one.name):
                return one
        return None

    @property
    def runs_by_id(self) -> dict[str, Branch]:
        """The runs by their ids, in their order; none where the supply is not described."""
        return {} if self.supply is None else {run.id: run for run in self.supply.runs}

    @property
    def part_ids(self) -> tuple[str, ...]:
        """The ids of all parts, in the air's order; an id that is used twice is there twice."""
        supply = () if self.supply is None else (self.supply.id,)
        branches = () if self.supply is None else tuple(b.id for b, _ in self.supply.walk())
        return (
            *(part.id for part in self.returns or ()),
            *(part.id for part in self.filters or ()),
            *(part.id for part in self.coils or ()),
            *supply,
            *branches,
            *(part.id for part in self.bypasses or ()),
            *(part.id for part in self.rooms or ()),
        )


@dataclass(frozen=True, slots=True)
class Change:
    """What lasts: a kind, the parts it is done to, and what they become.

    Kinds and the keys of ``to`` (facts unless said): ``filter`` (grade: word, width, height,
    count: int), ``grille`` (width, height, kind: word), ``add-return`` (id: word, width, height,
    diameter, length, material, slack: words), ``enlarge-run`` (diameter), ``tighten-run`` (),
    ``add-run`` (id, room: words, diameter, length, material, slack: words; target: a trunk or the
    plenum), ``fitting`` (from, into: words of fittings.csv), ``register`` (width, height, kind),
    ``tap`` (tap: word), ``cabinet`` (id, grade: words, width, height, count: int),
    ``enlarge-return`` (diameter, or width and height, length), ``shorten-run`` (length),
    ``move-run`` (at: the plenum or a trunk, length, into: word), ``boot`` (into: word), ``plenum``
    (width, height, into: word), ``damper`` (angle), ``insulate`` (insulation, jacket: word),
    ``seal`` (airflow, pressure of a test afterwards), ``remove-bypass`` (), ``transfer`` (kind:
    word, width, height, diameter, length), ``clean-wheel`` (), ``clean-coil`` (), ``motor``
    (motor: word, table: a blower table, tap: word), ``nothing`` ().
    """

    id: str
    kind: str
    targets: tuple[str, ...] = ()
    to: Mapping[str, Any] = field(default_factory=dict)
    made: str | None = None


@dataclass(frozen=True, slots=True)
class Wish:
    """A bound that somebody wants instead of the usual one.

    ``key`` is of ``wishes.WISHES``, which says what ``low`` and ``high`` are of.  ``call`` None
    is every call, ``part`` None every part (or room) that the key speaks of.
    """

    key: str
    low: Fact | None = None
    high: Fact | None = None
    call: str | None = None
    part: str | None = None


@dataclass(frozen=True, slots=True)
class Targets:
    """What is wanted; anything None, and all that no wish speaks of, comes from ``criteria``."""

    preset: str = "standard"
    airflow_per_capacity_low: Fact | None = None
    airflow_per_capacity_high: Fact | None = None
    wishes: tuple[Wish, ...] = ()


@dataclass(frozen=True, slots=True)
class Job:
    """One system's survey, changes and trials, and the records of the work on it."""

    id: str
    survey: Survey
    changes: tuple[Change, ...] = ()
    trials: tuple[Trial, ...] = ()
    instruments: tuple[Instrument, ...] = ()
    targets: Targets = field(default_factory=Targets)
    name: str = ""
    system: str | None = None
    complaint: str | None = None
    complaint_room: str | None = None
    work: tuple[WorkRecord, ...] = ()

    @property
    def changes_by_id(self) -> dict[str, Change]:
        """Its changes by their ids, in their order; the dictionary is the caller's own."""
        return {change.id: change for change in self.changes}

    @property
    def instruments_by_id(self) -> dict[str, Instrument]:
        """Its instruments by their ids; the dictionary is the caller's own."""
        return {one.id: one for one in self.instruments}

    def survey_after(self, ids: tuple[str, ...]) -> Survey:
        """The survey with the changes of these ids in force, in that order."""
        from inchwater.survey.changes import apply

        known = self.changes_by_id
        survey = self.survey
        for id_ in ids:
            if id_ not in known:
                raise UnknownNameError(
                    where="after",
                    came=repr(id_),
                    right=listed(known, "the changes of this job are", "no change is made yet"),
                )
            survey = apply(survey, known[id_])
        return survey
