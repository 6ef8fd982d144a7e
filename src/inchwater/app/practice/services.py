"""What the pages may do with practice rounds; every function takes firm and person first."""

from __future__ import annotations

import json
import secrets
from functools import lru_cache
from typing import IO, cast
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from inchwater.app.firms.models import Firm, User
from inchwater.app.practice.models import PracticeRound
from inchwater.app.visits.models import Visit
from inchwater.app.visits.services import import_job
from inchwater.errors import InputError, UnknownNameError
from inchwater.rehearsal.practice import Act, Round
from inchwater.rehearsal.practice_file import (
    LARGEST,
    MOST_ACTS,
    act_from_dict,
    load_round,
    round_from_dict,
    round_to_dict,
)
from inchwater.reports.practice import practice_round
from inchwater.reports.practice_help import Help, practice_help

# Any house when nobody names one: numbers that are short to say again.
_HOUSES = 10_000
_LISTED = 8


def start(firm: Firm, user: User, seed: int | None = None) -> PracticeRound:
    """A new round of this person, on the house of a seed or on any house."""
    number = secrets.randbelow(_HOUSES) if seed is None else seed
    return _made(firm, user, practice_round(number))


def load(firm: Firm, user: User, source: IO[bytes]) -> PracticeRound:
    """A round from a file that page or prompt wrote.

    Raises
    ------
    FormatError
        If it is no such file.
    InchwaterError
        If an act of it cannot be done.
    """
    return _made(firm, user, practice_round(*load_round(source.read(LARGEST + 1))))


def _made(firm: Firm, user: User, now: Round) -> PracticeRound:
    row = PracticeRound.objects.of(firm).create(
        user=user,
        seed=now.seed,
        document=round_to_dict(now.seed, now.acts),
        ended=now.ended,
    )
    return cast(PracticeRound, row)


def recent(firm: Firm, user: User) -> list[PracticeRound]:
    """The person's latest rounds, the last one first."""
    rows = PracticeRound.objects.of(firm).filter(user=user).order_by("-changed")
    return [cast(PracticeRound, row) for row in rows[:_LISTED]]


def find(firm: Firm, user: User, round_id: UUID, *, hold: bool = False) -> PracticeRound:
    """The person's round; UnknownNameError (404) if they have no such one.

    ``hold`` keeps it against other writers until the transaction ends.
    """
    rows = PracticeRound.objects.of(firm).filter(pk=round_id, user=user)
    row = (rows.select_for_update() if hold else rows).first()
    if row is None:
        raise UnknownNameError(
            where="practice",
            came=str(round_id),
            right="your rounds are on the practice page",
            do="Choose one there, or start another one.",
        )
    return cast(PracticeRound, row)


def standing(row: PracticeRound) -> Round:
    """The round as it stands, computed from its document.

    Raises
    ------
    FormatError
        If it was played on another version's houses.
    """
    return _replayed(json.dumps(row.document, sort_keys=True))


@lru_cache(maxsize=64)
def _replayed(document: str) -> Round:
    """The round of a document; a page asks for the same one several times, and it is frozen."""
    return practice_round(*round_from_dict(json.loads(document)))


def play(firm: Firm, user: User, round_id: UUID, typed: str, known: str) -> Round:
    """The round after one more act.

    Parameters
    ----------
    firm, user : Firm, User
        Whose round it is.
    round_id : UUID
        Which.
    typed : str
        The act as JSON, as a button of the page holds it.
    known : str
        How many acts the page had seen: an act that is sent twice is done once.

    Raises
    ------
    InchwaterError
        If it is no act, or may not be done now; the round then stands as it stood.
    """
    act = _act(typed)
    with transaction.atomic():
        row = find(firm, user, round_id, hold=True)
        now = standing(row)
        if known != str(len(now.acts)):
            return now
        if len(now.acts) >= MOST_ACTS:
            raise InputError(
                where="practice",
                came="one more act",
                right=f"a round has at most {MOST_ACTS} acts",
                do="End it, or start another one.",
            )
        after = now.after(act)
        row.document = round_to_dict(after.seed, after.acts)
        row.ended = after.ended
        row.changed = timezone.now()
        row.save()
    return after


def _act(typed: str) -> Act:
    try:
        document = json.loads(typed)
    except (ValueError, RecursionError) as problem:
        raise InputError(
            where="act",
            came="no act" if not typed else "something else",
            right="an act of the practice page is wanted",
            do="Go back to the page and choose one there.",
        ) from problem
    return act_from_dict(document)


def to_visit(firm: Firm, user: User, round_id: UUID) -> Visit:
    """A visit made of the round's survey and readings: all the pages of a real one."""
    return import_job(firm, user, standing(find(firm, user, round_id)).job)


def help_for(firm: Firm, user: User, round_id: UUID) -> Help:
    """What Inchwater makes of the round's readings."""
    return practice_help(standing(find(firm, user, round_id)))
