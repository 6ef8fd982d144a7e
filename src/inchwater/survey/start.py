"""The smallest job: capacity, return static, supply static, kind of unit, where supply was read.

Everything else that is given is put in its place; everything else stays unknown, never a blocked
form.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from inchwater.errors import UnknownNameError
from inchwater.survey.check import check
from inchwater.survey.check_readings import no_place_before_coil
from inchwater.survey.ducts import Return, Supply
from inchwater.survey.facts import UNITS_BY_KIND, Fact, How, shortest
from inchwater.survey.job import Job, Place, Survey
from inchwater.survey.trials import Quantity, Reading, TestPoint, Trial
from inchwater.survey.unit import BlowerTable, Coil, Filter, Motor, Unit, UnitKind

SupplyAt = Literal["before-coil", "after-coil"]
# The test point of each answer to "where was the supply read".
_SUPPLY_POINTS: Mapping[str, TestPoint] = {"before-coil": "before-coil", "after-coil": "supply"}


def minimal_job(
    *,
    capacity: float | Fact,
    return_static: float,
    supply_static: float,
    kind: UnitKind = "air-handler",
    supply_at: SupplyAt | None = None,
    motor: Motor | None = None,
    table: BlowerTable | None = None,
    tap: str | None = None,
    tesp_rating: float | Fact | None = None,
    altitude: float | Fact | None = None,
    volts: float | None = None,
    watts: float | None = None,
    filters: tuple[Filter, ...] | None = None,
    returns: tuple[Return, ...] | None = None,
    supply: Supply | None = None,
    condition: Mapping[str, str] | None = None,
    typed: Mapping[str, tuple[str, str]] | None = None,
    taken: str | None = None,
    id: str = "job",
    name: str = "",
) -> Job:
    """The job of the fewest inputs: one trial with the two statics, checked.

    Parameters
    ----------
    capacity : float or Fact
        Nominal cooling capacity. [W]
    return_static, supply_static : float
        Static as read; the sign is free, since the side gives it. [Pa]
    kind : str
        ``air-handler``, ``furnace`` or ``packaged``.
    supply_at : str, optional
        ``before-coil`` (between a furnace and its cased coil) or ``after-coil`` (in the supply
        plenum).  Unknown is taken as the supply plenum, and leaves a furnace's coil unknown.
    motor, table, tap, filters, returns, supply
        As in the survey; None is unknown.
    tesp_rating : float or Fact, optional
        Rated external static of the plate. [Pa]
    altitude : float or Fact, optional
        Of the site. [m]
    volts : float, optional
        Voltage at the unit under load. [V]
    watts : float, optional
        Power of the blower. [W]
    condition : mapping, optional
        What was temporary during the readings, as in ``Trial.condition``.
    typed : mapping, optional
        What was typed and in which unit, for ``return``, ``supply``, ``watts`` and ``volts``;
        without it the SI value stands for what was typed.
    taken : str, optional
        When, ISO 8601.
    id, name : str
        Of the job.

    Returns
    -------
    Job

    Raises
    ------
    InputError
        If a value cannot be, or the supply cannot have been read where it is said.
    UnknownNameError
        If ``kind``, ``supply_at`` or the tap is no known word.
    """
    _one_of("kind", kind, ("air-handler", "furnace", "packaged"))
    if supply_at is not None:
        _one_of("supply_at", supply_at, tuple(_SUPPLY_POINTS))
    if supply_at == "before-coil" and kind != "furnace":
        raise no_place_before_coil("supply_at", kind)
    shown = typed or {}
    statics: tuple[tuple[str, TestPoint, float], ...] = (
        ("return", "return", -abs(return_static)),
        ("supply", _SUPPLY_POINTS.get(supply_at or "", "supply"), abs(supply_static)),
    )
    readings = [
        _reading(f"rd-{word}", at, "static", value, shown.get(word), taken)
        for word, at, value in statics
    ]
    if watts is not None:
        readings.append(_reading("rd-watts", "unit", "power", watts, shown.get("watts"), taken))
    if volts is not None:
        readings.append(_reading("rd-volts", "unit", "voltage", volts, shown.get("volts"), taken))
    job = Job(
        id=id,
        name=name,
        survey=Survey(
            unit=Unit(
                kind=kind,
                capacity=_fact(capacity, "capacity", How.STATED),
                motor=motor,
                tesp_rating=_optional(tesp_rating, "pressure"),
                table=table,
                tap=tap,
            ),
            filters=filters,
            coils=_coils(kind, supply_at),
            returns=returns,
            supply=supply,
            place=Place(altitude=_optional(altitude, "altitude", How.STATED)),
        ),
        trials=(Trial("trial-1", condition=dict(condition or {}), readings=tuple(readings)),),
    )
    check(job)
    return job


def _coils(kind: UnitKind, supply_at: SupplyAt | None) -> tuple[Coil, ...] | None:
    if kind != "furnace":
        return (Coil("coil", inside_unit=True),)
    return None if supply_at is None else (Coil("coil", inside_unit=False),)


def _fact(value: float | Fact, kind: str, how: How) -> Fact:
    return value if isinstance(value, Fact) else Fact.of(value, kind, how)


def _optional(value: float | Fact | None, kind: str, how: How = How.SEEN) -> Fact | None:
    return None if value is None else _fact(value, kind, how)


def _reading(
    id_: str,
    at: TestPoint,
    quantity: Quantity,
    value: float,
    typed: tuple[str, str] | None,
    taken: str | None,
) -> Reading:
    if typed is None:
        kind = "pressure" if quantity == "static" else quantity
        unit, number = shortest(abs(value), UNITS_BY_KIND[kind])
        typed = (repr(number), unit)
    return Reading(id_, at, quantity, typed[0], typed[1], value, taken=taken)


def _one_of(where: str, word: str, choices: tuple[str, ...]) -> None:
    if word not in choices:
        raise UnknownNameError(
            where=where, came=repr(word), right=f"one of {', '.join(choices)} is wanted"
        )
