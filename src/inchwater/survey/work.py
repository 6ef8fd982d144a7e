"""What was done of a job's work, record by record: accepted, done, taken back, gates, undone.

Records are kept in the order in which things happened and never changed; what is wrong is followed
by another record.  ``check_work.py`` says what cannot be right, ``work_so_far.py`` what follows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from inchwater.survey.facts import Fact

WorkKind = Literal[
    "accepted", "done", "taken-back", "gate", "undone", "heard", "called-again", "stopped"
]
WORK_KINDS: tuple[WorkKind, ...] = get_args(WorkKind)
When = Literal["before", "after", "leaving"]
# ``ok`` and ``not-ok`` are what somebody saw, ``referred`` hands it to who is licensed for it.
Result = Literal["ok", "not-ok", "measured", "referred"]
Why = Literal["target-met", "customer", "other"]
# Where somebody finds it too loud and cannot say at which register or grille.
SOMEWHERE = "somewhere"


@dataclass(frozen=True, slots=True)
class WorkRecord:
    """One record of the work.

    ``kind`` says which of the others it has: ``accepted`` (option, changes: in the order in which
    they are made), ``done`` and ``taken-back`` (changes, step: their number in the plan), ``gate``
    (gate, when, changes and step that it belongs to, result, value where it was measured),
    ``undone`` (state: the key of a condition, trial: the last trial in it), ``heard`` (changes: in
    force when somebody who lives there was asked, loud: what they find too loud, ``register:<run
    id>``, ``grille:<return id>`` or :data:`SOMEWHERE`; empty where they find nothing too loud),
    ``called-again`` (changes: in force when somebody called because it does not do what is wanted;
    none where it is as found), ``stopped`` (why).
    ``at`` is when [ISO 8601], ``by`` who, ``note`` anything more in words.
    """

    id: str
    kind: WorkKind
    at: str | None = None
    option: str | None = None
    changes: tuple[str, ...] = ()
    step: int | None = None
    gate: str | None = None
    when: When | None = None
    result: Result | None = None
    value: Fact | None = None
    state: str | None = None
    trial: str | None = None
    loud: tuple[str, ...] | None = None
    why: Why | None = None
    by: str | None = None
    note: str | None = None
