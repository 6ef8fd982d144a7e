"""The job: survey as found, changes, trials, targets; its file, its rules and what people type."""

from inchwater.survey.change_keys import KEYS, targets_of
from inchwater.survey.changes import apply
from inchwater.survey.check import check, checked, doubts, problems
from inchwater.survey.check_readings import parts_read_at
from inchwater.survey.document import job_from_dict
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
    filled,
)
from inchwater.survey.facts import Fact, How
from inchwater.survey.files import load, save
from inchwater.survey.job import Change, Job, Place, Survey, Targets, Wish, YearlyUse
from inchwater.survey.printed import printed_airflow, printed_drop
from inchwater.survey.schema import schema
from inchwater.survey.standing import MEASURING, standing_state, standing_trial, volts_of
from inchwater.survey.start import minimal_job
from inchwater.survey.table_check import check_table
from inchwater.survey.table_file import read_table
from inchwater.survey.to_document import job_to_dict
from inchwater.survey.trials import (
    KINDS,
    READ_AT,
    TEST_POINTS,
    Instrument,
    Quantity,
    Reading,
    Trial,
    place_of,
    places_said,
)
from inchwater.survey.typed import (
    parse_airflow,
    parse_altitude,
    parse_capacity,
    parse_diameter,
    parse_length,
    parse_quantity,
    parse_size,
    parse_static,
    parse_volts,
    parse_watts,
)
from inchwater.survey.typed_numbers import parse_number
from inchwater.survey.typed_readings import parse_reading
from inchwater.survey.typed_runs import RunGroup, parse_runs, supply_of
from inchwater.survey.undescribed import coils_of, filters_of, grilles_of, returns_of
from inchwater.survey.unit import (
    CALLS,
    HEATING_CALLS,
    BlowerTable,
    Coil,
    Filter,
    HeatKit,
    RiseRange,
    TableRow,
    Unit,
)
from inchwater.survey.wishes import WISHES, WishKey
from inchwater.survey.work import SOMEWHERE, WORK_KINDS, WorkKind, WorkRecord
from inchwater.survey.work_so_far import (
    NotUndone,
    WorkSoFar,
    all_in_force,
    for_measuring_only,
    in_force,
    not_undone,
    openings_of,
    to_undo,
    work_of,
)

__all__ = [
    "CALLS",
    "HEATING_CALLS",
    "KEYS",
    "KINDS",
    "MEASURING",
    "READ_AT",
    "SOMEWHERE",
    "TEST_POINTS",
    "WISHES",
    "WORK_KINDS",
    "BlowerTable",
    "Branch",
    "Bypass",
    "Change",
    "Coil",
    "Duct",
    "Fact",
    "Filter",
    "Grille",
    "HeatKit",
    "How",
    "Instrument",
    "Job",
    "Leakage",
    "NotUndone",
    "Place",
    "Quantity",
    "Reading",
    "Return",
    "RiseRange",
    "Room",
    "RunGroup",
    "Supply",
    "Survey",
    "TableRow",
    "Targets",
    "Transfer",
    "Trial",
    "Unit",
    "Wish",
    "WishKey",
    "WorkKind",
    "WorkRecord",
    "WorkSoFar",
    "YearlyUse",
    "all_in_force",
    "apply",
    "check",
    "check_table",
    "checked",
    "coils_of",
    "doubts",
    "filled",
    "filters_of",
    "for_measuring_only",
    "grilles_of",
    "in_force",
    "job_from_dict",
    "job_to_dict",
    "load",
    "minimal_job",
    "not_undone",
    "openings_of",
    "parse_airflow",
    "parse_altitude",
    "parse_capacity",
    "parse_diameter",
    "parse_length",
    "parse_number",
    "parse_quantity",
    "parse_reading",
    "parse_runs",
    "parse_size",
    "parse_static",
    "parse_volts",
    "parse_watts",
    "parts_read_at",
    "place_of",
    "places_said",
    "printed_airflow",
    "printed_drop",
    "problems",
    "read_table",
    "returns_of",
    "save",
    "schema",
    "standing_state",
    "standing_trial",
    "supply_of",
    "targets_of",
    "to_undo",
    "volts_of",
    "work_of",
]
