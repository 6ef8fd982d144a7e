"""The job: survey as found, changes, trials, targets; its file, its rules and what people type."""

from inchwater.survey.change_keys import KEYS, targets_of
from inchwater.survey.changes import apply
from inchwater.survey.ducts import Branch, Duct, Grille, Return, Supply, filled
from inchwater.survey.facts import Fact, How
from inchwater.survey.job import Change, Job, Place, Survey, Targets
from inchwater.survey.trials import TEST_POINTS, Instrument, Reading, Trial
from inchwater.survey.unit import BlowerTable, Coil, Filter, TableRow, Unit

__all__ = [
    "KEYS",
    "TEST_POINTS",
    "BlowerTable",
    "Branch",
    "Change",
    "Coil",
    "Duct",
    "Fact",
    "Filter",
    "Grille",
    "How",
    "Instrument",
    "Job",
    "Place",
    "Reading",
    "Return",
    "Supply",
    "Survey",
    "TableRow",
    "Targets",
    "Trial",
    "Unit",
    "apply",
    "filled",
    "targets_of",
]
