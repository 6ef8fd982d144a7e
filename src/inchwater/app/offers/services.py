"""What the pages may do with options and prices; every function takes the firm first."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, cast
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from inchwater import __version__
from inchwater.app.firms.models import Firm, User
from inchwater.app.offers.models import AcceptedOption, OwnPrice
from inchwater.app.offers.searching import Search, Searches
from inchwater.app.visits import services as visits
from inchwater.app.visits.entries import add_entry
from inchwater.errors import InchwaterError, NotPossibleError, UnknownNameError
from inchwater.survey import parse_number

if TYPE_CHECKING:
    from inchwater.planning import Frontier, Offer, PriceBook

# What a firm is asked for, in the words of the page: an hour of work, and another visit.
ASKED = {"rate": "An hour of one person", "visit": "Another visit"}
_searches = Searches()


# --- prices ---------------------------------------------------------------------------------------


def own_prices(firm: Firm) -> dict[str, OwnPrice]:
    """The firm's own figures by their key in the price book."""
    return {row.key: row for row in OwnPrice.objects.of(firm).order_by("key")}


def book(firm: Firm) -> PriceBook:
    """The price book at the firm's own figures."""
    from inchwater.planning import price_book

    own = own_prices(firm)
    return price_book().but(figures={key: row.value for key, row in own.items()})


def set_price(firm: Firm, key: str, typed: str) -> None:
    """Keep one of the firm's own figures as typed; blank takes it away. [USD]

    Raises
    ------
    UnknownNameError
        If the firm is not asked for such a figure.
    InputError
        If it is no price; named as on the page.
    """
    if key not in ASKED:
        raise UnknownNameError(
            where="price", came=repr(key[:40]), right=f"prices asked for are {', '.join(ASKED)}"
        )
    text = typed.strip()[:50]
    if not text:
        OwnPrice.objects.of(firm).filter(key=key).delete()
        return
    from inchwater.planning import price_book

    try:
        value = parse_number(ASKED[key], text.removeprefix("$"))
        price_book().but(figures={key: value})
    except InchwaterError as error:
        error.where = ASKED[key]
        raise
    OwnPrice.objects.of(firm).update_or_create(
        key=key, defaults={"typed": text, "value": value, "at": timezone.now()}
    )


# --- the search -----------------------------------------------------------------------------------


def search(firm: Firm, visit_id: UUID) -> Search:
    """The search for the visit's options at the firm's prices, started if it was not yet.

    Raises
    ------
    NotYetError
        If capacity, kind of unit or a reading is missing.
    """
    from inchwater.planning import options, said_by_people

    key, posterior = visits.posterior(firm, visit_id)
    prices = book(firm)
    figures = tuple((name, row.value) for name, row in own_prices(firm).items())
    # What people say moves no reading, but offers.
    asked = (*key, figures, repr(said_by_people(posterior.job)))
    return _searches.start(asked, lambda tell: options(posterior, prices, progress=tell))


def frontier(firm: Firm, visit_id: UUID) -> Frontier:
    """The visit's options, however long they take."""
    found = search(firm, visit_id).waited(None)
    assert found is not None
    return found


def forget() -> None:
    """Drop what the process remembers."""
    _searches.forget()


# --- what is accepted -----------------------------------------------------------------------------


def accepted(firm: Firm, visit_id: UUID) -> AcceptedOption | None:
    """The option that was accepted last; None before any was."""
    rows = AcceptedOption.objects.of(firm).filter(visit_id=visit_id)
    return cast("AcceptedOption | None", rows.order_by("-at", "-created").first())


def accept(firm: Firm, user: User | None, visit_id: UUID, key: str) -> AcceptedOption:
    """Accept an option as it is offered now: its changes come into the job, not yet made.

    Raises
    ------
    UnknownNameError
        If no option of this key is offered.
    NotPossibleError
        If the visit is closed.
    """
    visit = visits.find_visit(firm, visit_id)
    if visit.state == visit.State.CLOSED:
        raise NotPossibleError(
            where="the option",
            came="a visit that is closed",
            right="an option is accepted while its visit is open",
            do="Start a new visit to the system.",
        )
    stood, _ = visits.posterior(firm, visit_id)
    offer = _offer(frontier(firm, visit_id), key)
    with transaction.atomic():
        ids = visits.add_changes(firm, user, visit_id, offer.changes)
        row = cast(
            AcceptedOption,
            AcceptedOption.objects.of(firm).create(
                visit=visit,
                key=offer.key,
                label=offer.label,
                changes=list(ids),
                document=offer.to_dict("si"),
                job_hash=stood[1],
                engine_version=__version__,
                by=user,
            ),
        )
        if ids:
            record = {"kind": "accepted", "at": _iso(row.at), "option": offer.key}
            add_entry(visit, user, str(row.pk), {**record, "changes": list(ids)})
        return row


def _iso(moment: datetime) -> str:
    return moment.isoformat().replace("+00:00", "Z")


def _offer(found: Frontier, key: str) -> Offer:
    for one in found.offers:
        if one.key == key:
            return one
    raise UnknownNameError(
        where="the option",
        came=repr(key[:80]),
        right="the options that are offered now are on the page",
        do="Open the options again and choose there; a new reading may have changed them.",
    )
