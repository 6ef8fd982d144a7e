"""Why the air is what it is: budget, worth, limit, doubts, what cannot be seen, cautions."""

from inchwater.findings.budget import budget
from inchwater.findings.cautions import ACTS, cautions_for, cautions_of
from inchwater.findings.consistency import doubts
from inchwater.findings.limit import limit
from inchwater.findings.not_used import NotUsed, not_used
from inchwater.findings.outside import outside
from inchwater.findings.setting import setting
from inchwater.findings.slips import Check, check
from inchwater.findings.slips_said import with_slip
from inchwater.findings.types import BudgetRow, Caution, Doubt, Limit, Outside, Told, Worth, told
from inchwater.findings.unseen import unseen
from inchwater.findings.worth import worth

__all__ = [
    "ACTS",
    "BudgetRow",
    "Caution",
    "Check",
    "Doubt",
    "Limit",
    "NotUsed",
    "Outside",
    "Told",
    "Worth",
    "budget",
    "cautions_for",
    "cautions_of",
    "check",
    "doubts",
    "limit",
    "not_used",
    "outside",
    "setting",
    "told",
    "unseen",
    "with_slip",
    "worth",
]
