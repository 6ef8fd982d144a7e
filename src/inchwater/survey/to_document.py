"""A job written as a document: unknowns left out, every number as short as it can be exactly."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from typing import Any, TypeVar

from inchwater.survey.ducts import (
    Branch,
    Bypass,
    Duct,
    Grille,
    Leakage,
    Return,
    Room,
    Supply,
    Transfer,
)
from inchwater.survey.facts import UNITS_BY_KIND, Fact, shortest
from inchwater.survey.job import Change, Job, Place, Targets, Wish, YearlyUse
from inchwater.survey.migrations import FORMAT, VERSION
from inchwater.survey.schema import ROW_KINDS, VALUE_KEYS
from inchwater.survey.trials import Instrument, Reading, Trial
from inchwater.survey.unit import BlowerTable, Coil, Filter, HeatKit, TableRow, Unit
from inchwater.survey.work import WorkRecord

Document = dict[str, Any]
_T = TypeVar("_T")


def job_to_dict(job: Job) -> Document:
    """The document of a job; ``job_from_dict`` makes the same job of it, to the last bit.

    Unknowns (None) are left out.  What ``changes.apply`` notes in ``renewed`` is not written: a
    document holds the survey as found, and its changes apart.
    """
    survey = job.survey
    return _without_none(
        {
            "format": FORMAT,
            "version": VERSION,
            "id": job.id,
            "system": job.system,
            "name": job.name or None,
            "complaint": job.complaint,
            "complaint_room": job.complaint_room,
            "place": _place_to(survey.place) or None,
            "survey": _without_none(
                {
                    "unit": _unit_to(survey.unit),
                    "filters": _list_to(survey.filters, _filter_to),
                    "coils": _list_to(survey.coils, _coil_to),
                    "returns": _list_to(survey.returns, _return_to),
                    "supply": None if survey.supply is None else _supply_to(survey.supply),
                    "bypasses": _list_to(survey.bypasses, _bypass_to),
                    "rooms": _list_to(survey.rooms, _room_to),
                    "leakage": _list_to(survey.leakage or None, _leakage_to),
                    "use": _use_to(survey.use) or None,
                }
            ),
            "changes": _list_to(job.changes or None, _change_to),
            "trials": _list_to(job.trials or None, _trial_to),
            "instruments": _list_to(job.instruments or None, _instrument_to),
            "targets": _targets_to(job.targets) or None,
            "work": _list_to(job.work or None, _work_to),
        }
    )


def _without_none(d: Document) -> Document:
    return {key: value for key, value in d.items() if value is not None}


def _list_to(parts: tuple[_T, ...] | None, make: Callable[[_T], Document]) -> list[Document] | None:
    return None if parts is None else [make(part) for part in parts]


def _fact_to(fact: Fact | None) -> Document | None:
    if fact is None:
        return None
    return {"value": fact.value, "unit": fact.unit, "how": fact.how.value}


def _words_to(words: tuple[str, ...] | None) -> list[str] | None:
    return None if words is None else list(words)


def _place_to(place: Place) -> Document:
    return _without_none(
        {
            "altitude": _fact_to(place.altitude),
            "space": place.space,
            "fuel_appliances": _words_to(place.fuel_appliances),
            "built": place.built,
            "duct_air": _fact_to(place.duct_air),
            "duct_dew_point": _fact_to(place.duct_dew_point),
        }
    )


def _unit_to(unit: Unit) -> Document:
    return _without_none(
        {
            "kind": unit.kind,
            "capacity": _fact_to(unit.capacity),
            "motor": unit.motor,
            "tesp_rating": _fact_to(unit.tesp_rating),
            "table": None if unit.table is None else _table_to(unit.table),
            "tap": unit.tap,
            "calls": dict(unit.calls) or None,
            "calls_how": {call: how.value for call, how in unit.calls_how.items()} or None,
            "nominal_volts": _fact_to(unit.nominal_volts),
            "wheel": unit.wheel,
            "heat": unit.heat,
            "count": unit.count if unit.count != 1 else None,
            "heat_kit": None if unit.heat_kit is None else _heat_kit_to(unit.heat_kit),
            "heat_output": _fact_to(unit.heat_output),
            "heat_output_low": _fact_to(unit.heat_output_low),
            "rise": {
                call: {"low": _fact_to(one.low), "high": _fact_to(one.high)}
                for call, one in unit.rise.items()
            }
            or None,
            "sensible_share": _fact_to(unit.sensible_share),
            "leak_airflow": _fact_to(unit.leak_airflow),
        }
    )


def _heat_kit_to(kit: HeatKit) -> Document:
    return _without_none(
        {
            "power": _fact_to(kit.power),
            "inside_unit": kit.inside_unit,
            "rated_drop": _fact_to(kit.rated_drop),
            "rated_airflow": _fact_to(kit.rated_airflow),
            "least_airflow": _fact_to(kit.least_airflow),
        }
    )


def _table_to(table: BlowerTable) -> Document:
    return _without_none(
        {
            "id": table.id,
            "includes": None if table.includes is None else sorted(table.includes),
            "rows": [_row_to(row) for row in table.rows],
        }
    )


def _row_to(row: TableRow) -> Document:
    document: Document = {"tap": row.tap}
    for quantity, kind in ROW_KINDS.items():
        si = getattr(row, quantity)
        if si is not None:
            unit, value = shortest(si, UNITS_BY_KIND[kind])
            document[f"{quantity}_{unit}"] = value
    return document


def _filter_to(one: Filter) -> Document:
    return _without_none(
        {
            "id": one.id,
            "at": one.at,
            "grade": one.grade,
            "width": _fact_to(one.width),
            "height": _fact_to(one.height),
            "condition": one.condition,
            "rated_drop": _fact_to(one.rated_drop),
            "rated_airflow": _fact_to(one.rated_airflow),
            "count": one.count if one.count != 1 else None,
        }
    )


def _coil_to(coil: Coil) -> Document:
    return _without_none(
        {
            "id": coil.id,
            "inside_unit": coil.inside_unit,
            "condition": coil.condition,
            "rated_drop": _fact_to(coil.rated_drop),
            "rated_airflow": _fact_to(coil.rated_airflow),
            "rated_wet": coil.rated_wet or None,
        }
    )


def _grille_to(grille: Grille | None) -> Document | None:
    if grille is None:
        return None
    return _without_none(
        {
            "width": _fact_to(grille.width),
            "height": _fact_to(grille.height),
            "kind": grille.kind,
        }
    )


def _duct_to(duct: Duct) -> Document:
    return _without_none(
        {
            "material": duct.material,
            "diameter": _fact_to(duct.diameter),
            "length": _fact_to(duct.length),
            "slack": duct.slack,
            "fittings": _words_to(duct.fittings),
            "register": _grille_to(duct.register),
            "shape": duct.shape,
            "width": _fact_to(duct.width),
            "height": _fact_to(duct.height),
            "sag": _fact_to(duct.sag),
            "spacing": _fact_to(duct.spacing),
            "damper": _fact_to(duct.damper),
            "insulation": _fact_to(duct.insulation),
            "jacket": duct.jacket,
        }
    )


def _return_to(one: Return) -> Document:
    return _without_none(
        {
            "id": one.id,
            "kind": one.kind,
            "grille": _grille_to(one.grille),
            "filter": one.filter,
            "duct": _duct_to(one.duct) or None,
            "into": one.into,
            "room": one.room,
        }
    )


def _supply_to(supply: Supply) -> Document:
    return _without_none(
        {
            "id": supply.id,
            "run_like": _duct_to(supply.run_like) or None,
            "branches": _list_to(supply.branches or None, _branch_to),
        }
    )


def _branch_to(branch: Branch) -> Document:
    return _without_none(
        {
            "id": branch.id,
            "room": branch.room,
            "duct": _duct_to(branch.duct) or None,
            "branches": _list_to(branch.branches or None, _branch_to),
            "zone": branch.zone,
        }
    )


def _bypass_to(one: Bypass) -> Document:
    return _without_none({"id": one.id, "kind": one.kind, "duct": _duct_to(one.duct) or None})


def _room_to(room: Room) -> Document:
    return _without_none(
        {
            "id": room.id,
            "name": room.name,
            "transfers": _list_to(room.transfers, _transfer_to),
            "purpose": room.purpose,
            "airflow": _fact_to(room.airflow),
            "cooling_load": _fact_to(room.cooling_load),
            "heating_load": _fact_to(room.heating_load),
        }
    )


def _transfer_to(transfer: Transfer) -> Document:
    return _without_none(
        {
            "kind": transfer.kind,
            "width": _fact_to(transfer.width),
            "height": _fact_to(transfer.height),
            "duct": _duct_to(transfer.duct) or None,
        }
    )


def _leakage_to(one: Leakage) -> Document:
    return _without_none(
        {
            "side": one.side,
            "airflow": _fact_to(one.airflow),
            "pressure": _fact_to(one.pressure),
            "sealing": one.sealing,
        }
    )


def _change_to(change: Change) -> Document:
    def value(one: Any) -> Any:
        if isinstance(one, Fact):
            return _fact_to(one)
        if isinstance(one, BlowerTable):
            return _table_to(one)
        return list(one) if isinstance(one, tuple) else one

    return _without_none(
        {
            "id": change.id,
            "kind": change.kind,
            "targets": list(change.targets) or None,
            "to": {key: value(one) for key, one in change.to.items()} or None,
            "made": change.made,
        }
    )


def _trial_to(trial: Trial) -> Document:
    return _without_none(
        {
            "id": trial.id,
            "after": list(trial.after),
            "condition": dict(trial.condition),
            "readings": [_reading_to(reading) for reading in trial.readings],
        }
    )


def _reading_to(reading: Reading) -> Document:
    return _without_none(
        {
            "id": reading.id,
            "at": reading.at,
            "quantity": reading.quantity,
            "typed": reading.typed,
            "unit": reading.unit,
            VALUE_KEYS[reading.quantity]: reading.value,
            "instrument": reading.instrument,
            "taken": reading.taken,
            "corrects": reading.corrects,
        }
    )


def _instrument_to(instrument: Instrument) -> Document:
    return _without_none(
        {
            "id": instrument.id,
            "kind": instrument.kind,
            "gain": instrument.gain,
            "zero": instrument.zero,
        }
    )


def _use_to(use: YearlyUse) -> Document:
    return _without_none(
        {
            "hours": {call: _fact_to(fact) for call, fact in use.hours.items()} or None,
            "energy": {call: _fact_to(fact) for call, fact in use.energy.items()} or None,
            "price": _fact_to(use.price),
        }
    )


def _wish_to(wish: Wish) -> Document:
    return _without_none(
        {
            "key": wish.key,
            "low": _fact_to(wish.low),
            "high": _fact_to(wish.high),
            "call": wish.call,
            "part": wish.part,
        }
    )


def _targets_to(targets: Targets) -> Document:
    return _without_none(
        {
            "preset": targets.preset if targets.preset != "standard" else None,
            "airflow_per_capacity_low": _fact_to(targets.airflow_per_capacity_low),
            "airflow_per_capacity_high": _fact_to(targets.airflow_per_capacity_high),
            "wishes": _list_to(targets.wishes or None, _wish_to),
        }
    )


def _work_to(record: WorkRecord) -> Document:
    written = {field.name: getattr(record, field.name) for field in fields(record)}
    written |= {
        "changes": list(record.changes) or None,
        "value": _fact_to(record.value),
        "loud": None if record.loud is None else list(record.loud),
    }
    return _without_none(written)
