"""What to do: the missing fact, the reading worth most per minute, and priced options for work."""

from inchwater.planning.called_again import people_said, said_by_people
from inchwater.planning.candidates import Candidate
from inchwater.planning.gates import Gate, gate_keys, gates
from inchwater.planning.loudness import heard
from inchwater.planning.next_fact import READ_AGAIN, NextAct, next_act
from inchwater.planning.next_reading import ReadingValue, money, next_reading
from inchwater.planning.offers import Frontier, Offer, options
from inchwater.planning.price_book import Price, PriceBook, book_from_csv, price_book
from inchwater.planning.prices import Prices, usual_prices
from inchwater.planning.proposals import Proposal, proposals
from inchwater.planning.search import Progress
from inchwater.planning.steps_expected import Expected, Judged, judged
from inchwater.planning.usual_changes import Option, usual_changes
from inchwater.planning.work_now import WorkNow, may_close, undone_said, work_now
from inchwater.planning.work_plan import Step, WorkPlan, work_plan
from inchwater.planning.work_read import before_last_step, expected_after_last, in_trial
from inchwater.planning.work_records import (
    accepted,
    done_steps,
    heard_with,
    planned_steps,
    recorded,
)

__all__ = [
    "READ_AGAIN",
    "Candidate",
    "Expected",
    "Frontier",
    "Gate",
    "Judged",
    "NextAct",
    "Offer",
    "Option",
    "Price",
    "PriceBook",
    "Prices",
    "Progress",
    "Proposal",
    "ReadingValue",
    "Step",
    "WorkNow",
    "WorkPlan",
    "accepted",
    "before_last_step",
    "book_from_csv",
    "done_steps",
    "expected_after_last",
    "gate_keys",
    "gates",
    "heard",
    "heard_with",
    "in_trial",
    "judged",
    "may_close",
    "money",
    "next_act",
    "next_reading",
    "options",
    "people_said",
    "planned_steps",
    "price_book",
    "proposals",
    "recorded",
    "said_by_people",
    "undone_said",
    "usual_changes",
    "usual_prices",
    "work_now",
    "work_plan",
]
