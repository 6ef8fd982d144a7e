"""What is wanted of a visit's system, and what somebody wishes instead; takes the firm first."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db import transaction

from inchwater import units
from inchwater.app.firms.models import Firm, User
from inchwater.app.visits import jobs, saving
from inchwater.app.visits import services as visits
from inchwater.criteria import Target, calls_wanted, noisy_room, presets, targets
from inchwater.errors import InchwaterError, UnknownNameError
from inchwater.survey import CALLS, WISHES, Job, WishKey, parse_quantity
from inchwater.survey.typed_numbers import measured
from inchwater.units import System

Document = dict[str, Any]
# What each is called on the page, in the order in which it stands there.
TITLES: dict[str, str] = {
    "airflow": "Airflow through the unit",
    "delivered": "Air that reaches the rooms, of what is wanted",
    "tesp": "External static pressure",
    "room-share": "How far a room may be from its air",
    "noise": "Noise at registers and grilles",
    "quieter": "Quieter than now",
    "door-pressure": "Pressure of a room behind its shut door",
    "filter-face": "Air speed at filters",
    "filter-drop": "Drop of filters",
    "run-velocity": "Air speed in runs",
    "trunk-velocity": "Air speed in trunks",
    "register-velocity": "Air speed at registers",
    "return-velocity": "Air speed in return ducts",
    "grille-velocity": "Air speed at return grilles",
    "rise": "Temperature rise in heating",
    "power": "Blower power for the air moved",
}


def wanted_in(job: Job) -> dict[str, tuple[Target, ...]]:
    """What is wanted of the system as found, by call.

    Raises
    ------
    InputError
        If two of the targets exclude each other, or a wish is looser than what a maker allows.
    """
    noisy = noisy_room(job)
    return {
        call: targets(job.survey, job.targets, call, noisy)
        for call in calls_wanted(job.survey, job.targets)
    }


def wish(
    firm: Firm,
    user: User | None,
    visit_id: UUID,
    key: str,
    bounds: dict[str, str],
    *,
    call: str = "",
    part: str = "",
    system: System = "ip",
) -> None:
    """Wish other bounds for a call and part; empty ones take the wish for these back.

    Parameters
    ----------
    firm, user : Firm, User or None
        Whose visit it is, and who wishes.
    visit_id : UUID
        The visit.
    key : str
        One of ``survey.WISHES``.
    bounds : dict
        ``low`` and ``high`` as typed, a unit behind them or in the page's units.
    call, part : str
        For which call and part (or room); empty is all of them.
    system : "ip" or "si"
        The page's units.

    Raises
    ------
    UnknownNameError
        If the key, the call or the part is none of this system.
    InchwaterError
        If it cannot be, or excludes what else is wanted; the wishes stay as they were.
    """
    what = WISHES.get(key)
    if what is None:
        raise UnknownNameError(
            where="the wish", came=repr(key[:40]), right=f"wishes are {', '.join(WISHES)}"
        )
    new: Document = {"key": key}
    for side in ("low", "high"):
        text = bounds.get(side, "").strip()[:100]
        if text:
            new[side] = _fact(TITLES[key], text, what, system)
    empty = len(new) == 1
    new |= {name: word for name, word in (("call", call), ("part", part)) if word}
    with transaction.atomic():
        visit = saving.locked(firm, visit_id)
        document = visit.revision.document
        wanted = dict(document.get("targets", {}))
        others = [one for one in wanted.get("wishes", []) if not _same(one, key, call, part)]
        wishes = others if empty else [*others, new]
        _put(wanted, "wishes", wishes)
        _keep(visit, document, wanted, user, TITLES[key], check=not empty)


def choose_preset(firm: Firm, user: User | None, visit_id: UUID, key: str) -> None:
    """Take another usual window of airflow; UnknownNameError if there is none of this name."""
    known = presets()
    if key not in known:
        raise UnknownNameError(
            where="the usual airflow", came=repr(key[:40]), right=f"they are {', '.join(known)}"
        )
    with transaction.atomic():
        visit = saving.locked(firm, visit_id)
        document = visit.revision.document
        wanted = dict(document.get("targets", {}))
        _put(wanted, "preset", "" if key == "standard" else key)
        _keep(visit, document, wanted, user, "The usual airflow", check=True)


def wished(firm: Firm, visit_id: UUID) -> list[Document]:
    """The wishes as they stand in the job, in the order in which they were made."""
    found = visits.find_visit(firm, visit_id).revision.document.get("targets", {})
    return list(found.get("wishes", []))


def _keep(
    visit: Any, document: Document, wanted: Document, user: User | None, where: str, *, check: bool
) -> None:
    new = dict(document)
    _put(new, "targets", wanted)
    jobs.revise(visit, new, visit.revision.typed, user)
    try:
        job = jobs.job_of(visit)
        if check:
            wanted_in(job)
    except InchwaterError as error:
        if error.where.startswith("targets"):
            error.where = where
        raise


def _fact(label: str, text: str, what: WishKey, system: System) -> Document:
    unit = units.SHOWN[what.kind][system][0]
    parse_quantity(label, text, unit, what.range)
    number, name, _ = measured(label, text, unit, what.kind)
    return {"value": number, "unit": name, "how": "stated"}


def _same(one: Document, key: str, call: str, part: str) -> bool:
    return (one["key"], one.get("call", ""), one.get("part", "")) == (key, call, part)


def _put(node: Document, key: str, value: Any) -> None:
    if value:
        node[key] = value
    else:
        node.pop(key, None)


CALL_CHOICES = tuple((call, call.replace("-low", ", low stage")) for call in CALLS)
