"""A document read as a job: migrated, validated against the schema, built, checked.

Writing is in ``to_document.py``, files in ``files.py``, the form of the document in
``data/job.schema.json``, and the rules that no schema can state in ``check.py``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from inchwater import units
from inchwater.survey.check import check
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
from inchwater.survey.facts import UNITS_BY_KIND, Fact, How
from inchwater.survey.form import check_form
from inchwater.survey.job import Change, Job, Place, Survey, Targets, Wish, YearlyUse
from inchwater.survey.migrations import migrated
from inchwater.survey.schema import ROW_KINDS, VALUE_KEYS, validate
from inchwater.survey.trials import Instrument, Reading, Trial
from inchwater.survey.unit import BlowerTable, Coil, Filter, HeatKit, RiseRange, TableRow, Unit
from inchwater.survey.work import WorkRecord

_T = TypeVar("_T")


def job_from_dict(document: Mapping[str, Any]) -> Job:
    """The job of a document, migrated, validated and checked.

    Parameters
    ----------
    document : mapping
        What a job file holds, as ``json.loads`` gives it; older versions are migrated.

    Returns
    -------
    Job

    Raises
    ------
    FormatError
        If the document has not the form of a job, or is of a newer version.
    InputError
        If something in it cannot be right; every error names the place in the document.
    """
    check_form(document)
    current = migrated(document)
    validate(current)
    job = _job(current)
    check(job)
    return job


# --- from the document ---------------------------------------------------------------------------


def _job(d: Mapping[str, Any]) -> Job:
    survey = d["survey"]
    return Job(
        id=d["id"],
        survey=Survey(
            unit=_unit(survey["unit"]),
            filters=_tuple(survey, "filters", _filter),
            coils=_tuple(survey, "coils", _coil),
            returns=_tuple(survey, "returns", _return),
            supply=_supply(survey["supply"]) if "supply" in survey else None,
            place=_place(d.get("place", {})),
            bypasses=_tuple(survey, "bypasses", _bypass),
            rooms=_tuple(survey, "rooms", _room),
            leakage=_tuple(survey, "leakage", _leakage) or (),
            use=_use(survey.get("use", {})),
        ),
        changes=_tuple(d, "changes", _change) or (),
        trials=_tuple(d, "trials", _trial) or (),
        instruments=_tuple(d, "instruments", _instrument) or (),
        targets=_targets(d.get("targets", {})),
        name=d.get("name", ""),
        system=d.get("system"),
        complaint=d.get("complaint"),
        complaint_room=d.get("complaint_room"),
        work=_tuple(d, "work", _work) or (),
    )


def _tuple(
    d: Mapping[str, Any], key: str, make: Callable[[Mapping[str, Any]], _T]
) -> tuple[_T, ...] | None:
    return tuple(make(one) for one in d[key]) if key in d else None


def _fact(d: Mapping[str, Any], key: str) -> Fact | None:
    return _known(d[key]) if key in d else None


def _known(d: Mapping[str, Any]) -> Fact:
    return Fact(float(d["value"]), d["unit"], How(d["how"]))


def _facts(d: Mapping[str, Any], key: str) -> dict[str, Fact]:
    return {name: _known(fact) for name, fact in d.get(key, {}).items()}


def _words(d: Mapping[str, Any], key: str) -> tuple[str, ...] | None:
    return tuple(d[key]) if key in d else None


def _place(d: Mapping[str, Any]) -> Place:
    return Place(
        altitude=_fact(d, "altitude"),
        space=d.get("space"),
        fuel_appliances=_words(d, "fuel_appliances"),
        built=d.get("built"),
        duct_air=_fact(d, "duct_air"),
        duct_dew_point=_fact(d, "duct_dew_point"),
    )


def _unit(d: Mapping[str, Any]) -> Unit:
    return Unit(
        kind=d["kind"],
        capacity=_known(d["capacity"]),
        motor=d.get("motor"),
        tesp_rating=_fact(d, "tesp_rating"),
        table=_table(d["table"]) if "table" in d else None,
        tap=d.get("tap"),
        calls=dict(d.get("calls", {})),
        nominal_volts=_fact(d, "nominal_volts"),
        wheel=d.get("wheel"),
        heat=d.get("heat"),
        count=d.get("count", 1),
        calls_how={call: How(how) for call, how in d.get("calls_how", {}).items()},
        heat_kit=_heat_kit(d["heat_kit"]) if "heat_kit" in d else None,
        heat_output=_fact(d, "heat_output"),
        heat_output_low=_fact(d, "heat_output_low"),
        rise={
            call: RiseRange(_known(one["low"]), _known(one["high"]))
            for call, one in d.get("rise", {}).items()
        },
        sensible_share=_fact(d, "sensible_share"),
        leak_airflow=_fact(d, "leak_airflow"),
    )


def _heat_kit(d: Mapping[str, Any]) -> HeatKit:
    return HeatKit(
        power=_fact(d, "power"),
        inside_unit=d.get("inside_unit", True),
        rated_drop=_fact(d, "rated_drop"),
        rated_airflow=_fact(d, "rated_airflow"),
        least_airflow=_fact(d, "least_airflow"),
    )


def _table(d: Mapping[str, Any]) -> BlowerTable:
    return BlowerTable(
        id=d["id"],
        rows=tuple(_row(row) for row in d["rows"]),
        includes=frozenset(d["includes"]) if "includes" in d else None,
    )


def _row(d: Mapping[str, Any]) -> TableRow:
    # The schema lets no key through that is not one of these, and no row without a tesp.
    si = {
        quantity: units.to_si(float(d[f"{quantity}_{unit}"]), unit)
        for quantity, kind in ROW_KINDS.items()
        for unit in UNITS_BY_KIND[kind]
        if f"{quantity}_{unit}" in d
    }
    return TableRow(d["tap"], si["tesp"], si.get("airflow"), si.get("power"), si.get("speed"))


def _filter(d: Mapping[str, Any]) -> Filter:
    return Filter(
        id=d["id"],
        at=d.get("at", "unit"),
        grade=d.get("grade"),
        width=_fact(d, "width"),
        height=_fact(d, "height"),
        condition=d.get("condition"),
        rated_drop=_fact(d, "rated_drop"),
        rated_airflow=_fact(d, "rated_airflow"),
        count=d.get("count", 1),
    )


def _coil(d: Mapping[str, Any]) -> Coil:
    return Coil(
        id=d["id"],
        inside_unit=d["inside_unit"],
        condition=d.get("condition"),
        rated_drop=_fact(d, "rated_drop"),
        rated_airflow=_fact(d, "rated_airflow"),
        rated_wet=d.get("rated_wet", False),
    )


def _grille(d: Mapping[str, Any]) -> Grille:
    return Grille(_fact(d, "width"), _fact(d, "height"), d.get("kind"))


def _duct(d: Mapping[str, Any]) -> Duct:
    return Duct(
        material=d.get("material"),
        diameter=_fact(d, "diameter"),
        length=_fact(d, "length"),
        slack=d.get("slack"),
        fittings=_words(d, "fittings"),
        register=_grille(d["register"]) if "register" in d else None,
        shape=d.get("shape"),
        width=_fact(d, "width"),
        height=_fact(d, "height"),
        sag=_fact(d, "sag"),
        spacing=_fact(d, "spacing"),
        damper=_fact(d, "damper"),
        insulation=_fact(d, "insulation"),
        jacket=d.get("jacket"),
    )


def _return(d: Mapping[str, Any]) -> Return:
    return Return(
        id=d["id"],
        kind=d.get("kind"),
        grille=_grille(d["grille"]) if "grille" in d else None,
        filter=d.get("filter"),
        duct=_duct(d.get("duct", {})),
        into=d.get("into"),
        room=d.get("room"),
    )


def _supply(d: Mapping[str, Any]) -> Supply:
    return Supply(
        id=d.get("id", "plenum"),
        run_like=_duct(d.get("run_like", {})),
        branches=_tuple(d, "branches", _branch) or (),
    )


def _branch(d: Mapping[str, Any]) -> Branch:
    return Branch(
        id=d["id"],
        duct=_duct(d.get("duct", {})),
        room=d.get("room"),
        branches=_tuple(d, "branches", _branch) or (),
        zone=d.get("zone"),
    )


def _bypass(d: Mapping[str, Any]) -> Bypass:
    return Bypass(d["id"], d.get("kind"), _duct(d.get("duct", {})))


def _room(d: Mapping[str, Any]) -> Room:
    return Room(
        id=d["id"],
        name=d.get("name"),
        transfers=_tuple(d, "transfers", _transfer),
        purpose=d.get("purpose"),
        airflow=_fact(d, "airflow"),
        cooling_load=_fact(d, "cooling_load"),
        heating_load=_fact(d, "heating_load"),
    )


def _transfer(d: Mapping[str, Any]) -> Transfer:
    return Transfer(d["kind"], _fact(d, "width"), _fact(d, "height"), _duct(d.get("duct", {})))


def _leakage(d: Mapping[str, Any]) -> Leakage:
    return Leakage(d["side"], _fact(d, "airflow"), _fact(d, "pressure"), d.get("sealing"))


def _change(d: Mapping[str, Any]) -> Change:
    def value(key: str, one: Any) -> Any:
        if isinstance(one, dict):
            return _table(one) if key == "table" else _known(one)
        return tuple(one) if isinstance(one, list) else one

    return Change(
        id=d["id"],
        kind=d["kind"],
        targets=_words(d, "targets") or (),
        to={key: value(key, one) for key, one in d.get("to", {}).items()},
        made=d.get("made"),
    )


def _trial(d: Mapping[str, Any]) -> Trial:
    return Trial(
        id=d["id"],
        after=_words(d, "after") or (),
        condition=dict(d.get("condition", {})),
        readings=_tuple(d, "readings", _reading) or (),
    )


def _reading(d: Mapping[str, Any]) -> Reading:
    return Reading(
        id=d["id"],
        at=d["at"],
        quantity=d["quantity"],
        typed=d["typed"],
        unit=d["unit"],
        value=float(d[VALUE_KEYS[d["quantity"]]]),
        instrument=d.get("instrument"),
        taken=d.get("taken"),
        corrects=d.get("corrects"),
    )


def _instrument(d: Mapping[str, Any]) -> Instrument:
    return Instrument(d["id"], d.get("kind", "manometer"), d.get("gain"), d.get("zero"))


def _use(d: Mapping[str, Any]) -> YearlyUse:
    return YearlyUse(_facts(d, "hours"), _facts(d, "energy"), _fact(d, "price"))


def _wish(d: Mapping[str, Any]) -> Wish:
    return Wish(d["key"], _fact(d, "low"), _fact(d, "high"), d.get("call"), d.get("part"))


def _targets(d: Mapping[str, Any]) -> Targets:
    return Targets(
        preset=d.get("preset", "standard"),
        airflow_per_capacity_low=_fact(d, "airflow_per_capacity_low"),
        airflow_per_capacity_high=_fact(d, "airflow_per_capacity_high"),
        wishes=_tuple(d, "wishes", _wish) or (),
    )


def _work(d: Mapping[str, Any]) -> WorkRecord:
    known = {key: value for key, value in d.items() if key not in ("changes", "value", "loud")}
    return WorkRecord(
        **known,
        changes=_words(d, "changes") or (),
        value=_fact(d, "value"),
        loud=_words(d, "loud"),
    )
