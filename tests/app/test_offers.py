"""Options of a visit: searched beside the page, at the firm's rate, accepted and kept."""

from __future__ import annotations

import threading
from types import SimpleNamespace

import pytest
from django.db import DatabaseError, transaction
from django.test import Client

from inchwater.app.firms.models import Firm
from inchwater.app.firms.services import make_local_firm
from inchwater.app.offers import services as offers
from inchwater.app.offers.models import AcceptedOption
from inchwater.app.offers.searching import Searches
from inchwater.app.visits import services
from inchwater.app.visits.models import Visit
from inchwater.errors import InputError, NotPossibleError, UnknownNameError
from tests.app.conftest import THIN

HTMX = {"HX-Request": "true"}


@pytest.fixture
def demo(db: None) -> Visit:
    """The basement furnace."""
    return next(v for v in services.load_demos(*make_local_firm()) if v.demo == "b")


def test_the_page_comes_before_its_options(client: Client, demo: Visit, monkeypatch) -> None:
    """Nothing waits for the search: the page, then how far it is, then the options."""
    go = threading.Event()
    real = offers._searches
    slow = Searches()
    monkeypatch.setattr(offers, "_searches", slow)
    url = f"/visits/{demo.pk}/options/"
    started = slow.start

    def held(key, work):
        def later(tell):
            go.wait(20)
            return work(tell)

        return started(key, later)

    monkeypatch.setattr(slow, "start", held)
    page = client.get(url).content.decode()
    assert "<h1>What could be done</h1>" in page
    assert f'hx-get="{url}"' in page
    assert "Options are being searched." in page
    under_way = client.get(url, headers=HTMX)
    assert "Single changes are being solved." in under_way.content.decode()
    assert f'hx-get="{url}?more=yes"' in under_way.content.decode()
    assert under_way["Vary"] == "HX-Request"
    go.set()
    whole = client.get(f"{url}?whole=yes").content.decode()
    found = offers.frontier(make_local_firm()[0], demo.pk)
    assert whole.count('<section class="offer"') == len(found.offers)
    for one in found.offers:
        assert one.why.text("ip") in whole.replace("&#x27;", "'")
    assert "Cost against odds" in whole
    assert real is not slow


def test_options_need_a_reading(client: Client, db: None) -> None:
    """Before there is an answer the page leads to the reading, and the fragment is empty."""
    empty = services.start_visit(*make_local_firm())
    url = f"/visits/{empty.pk}/options/"
    assert client.get(url)["Location"] == f"/visits/{empty.pk}/reading/"
    assert client.get(url, headers=HTMX).content == b""


def test_the_rate_is_asked_once_and_prices_follow_it(client: Client, demo: Visit) -> None:
    """Twice the hours' price makes every offer with work dearer; blank goes back."""
    firm, _ = make_local_firm()
    url = f"/visits/{demo.pk}/options/"
    before = offers.frontier(firm, demo.pk)
    answer = client.post(f"{url}prices/", {"rate": "$200", "visit": ""})
    assert (answer.status_code, answer["Location"]) == (302, url)
    assert offers.book(firm).rate == 200.0
    after = offers.frontier(firm, demo.pk)
    now = {one.key: one.price.value for one in after.offers if one.changes}
    then = {one.key: one.price.value for one in before.offers}
    shared = set(now) & set(then)
    assert all(now[key] > then[key] for key in shared)
    assert "Prices at $200 an hour" in client.get(url).content.decode()
    client.post(f"{url}prices/", {"rate": " "})
    assert offers.own_prices(firm) == {}


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("-5", "-5 came; a price is a number, above zero"),
        ("0", "0 came; an hour of work costs more than nothing"),
        ("nan", "came; "),
        ("ninety", "came; "),
    ],
)
def test_a_rate_that_cannot_be_is_refused_where_it_stands(
    client: Client, demo: Visit, typed: str, said: str
) -> None:
    """422 on the same page, with the reason, and what was typed still there."""
    firm, _ = make_local_firm()
    response = client.post(f"/visits/{demo.pk}/options/prices/", {"rate": typed, "visit": "300"})
    page = response.content.decode()
    assert response.status_code == 422
    assert "An hour of one person:" in page
    assert said in page
    assert f'value="{typed}"' in page
    assert offers.book(firm).visit == 300.0
    with pytest.raises(InputError):
        offers.set_price(firm, "rate", typed)


def test_another_figure_is_not_asked_for(firm: Firm) -> None:
    """Only what the page asks can be set."""
    with pytest.raises(UnknownNameError) as caught:
        offers.set_price(firm, "markup", "0.3")
    assert str(caught.value) == "price: 'markup' came; prices asked for are rate, visit."


def test_an_accepted_option_is_kept_as_it_was_offered(client: Client, demo: Visit) -> None:
    """Its changes stand in the job, in force in no trial; the row can never be changed."""
    firm, user = make_local_firm()
    found = offers.frontier(firm, demo.pk)
    offer = next(one for one in reversed(found.offers) if one.changes)
    before = services.answer(firm, demo.pk)
    answer = client.post(f"/visits/{demo.pk}/options/accept/", {"key": offer.key})
    assert answer.status_code == 302
    row = offers.accepted(firm, demo.pk)
    assert row is not None
    assert (row.key, row.label, row.by) == (offer.key, offer.label, user)
    assert row.document == offer.to_dict("si")
    job = services.job(firm, demo.pk)
    assert [change.id for change in job.changes if change.id in row.changes] == row.changes
    assert [c.kind for c in job.changes] == [c.kind for c in offer.changes]
    (record,) = job.work
    assert (record.kind, record.option) == ("accepted", offer.key)
    assert record.changes == tuple(row.changes)
    assert all(trial.after == () for trial in job.trials)
    # Nothing was done yet: the answer speaks of the same system.
    assert services.answer(firm, demo.pk).airflow.value == pytest.approx(
        before.airflow.value, rel=0.02
    )
    with pytest.raises(DatabaseError) as caught, transaction.atomic():
        row.save()
    said = "what was accepted is never changed; accept another option"
    assert str(caught.value).splitlines()[0] == said


def test_accepting_twice_adds_no_change_twice(demo: Visit) -> None:
    """The second time there is a second row, and the same changes."""
    firm, user = make_local_firm()
    offer = offers.frontier(firm, demo.pk).offers[-1]
    first = offers.accept(firm, user, demo.pk, offer.key)
    again = services.add_changes(firm, user, demo.pk, offer.changes)
    assert list(again) == first.changes
    assert len(services.job(firm, demo.pk).changes) == len(first.changes)


def test_what_is_not_offered_cannot_be_accepted(demo: Visit) -> None:
    """An old page's option is refused in words, and nothing is written."""
    firm, user = make_local_firm()
    with pytest.raises(UnknownNameError) as caught:
        offers.accept(firm, user, demo.pk, "a palace")
    assert str(caught.value) == (
        "the option: 'a palace' came; the options that are offered now are on the page. "
        "Open the options again and choose there; a new reading may have changed them."
    )
    assert AcceptedOption.objects.of(firm).count() == 0
    other = next(v for v in services.load_demos(firm, user) if v.demo == "a")
    services.close_visit(firm, other.pk)
    with pytest.raises(NotPossibleError) as refused:
        offers.accept(firm, user, other.pk, "nothing")
    assert str(refused.value) == (
        "the option: a visit that is closed came; an option is accepted while its visit is open. "
        "Start a new visit to the system."
    )


def test_another_firm_sees_neither_prices_nor_options(
    firm: Firm, other_firm: Firm, visit: Visit
) -> None:
    """Each firm has its own rate, and its own visits."""
    for name, text in THIN.items():
        services.save_field(firm, visit.pk, name, text)
    offers.set_price(firm, "rate", "150")
    assert offers.book(other_firm).rate != 150.0
    for ask in (offers.search, offers.frontier):
        with pytest.raises(UnknownNameError):
            ask(other_firm, visit.pk)
    assert offers.accepted(other_firm, visit.pk) is None


def test_a_search_is_started_once_and_tells_its_fault(caplog) -> None:
    """Who asks again gets the same search; what it raised is raised where one waits."""
    searches = Searches()
    runs = []

    def work(tell):
        runs.append(1)
        tell(SimpleNamespace(done=1, most=2, tried=()))
        raise RuntimeError("a fault")

    one, two = (searches.start(("key",), work) for _ in range(2))
    assert one is two
    with pytest.raises(RuntimeError, match="a fault"):
        one.waited(5)
    assert (runs, one.progress.done) == ([1], 1)
    assert "the search for options failed" in caplog.text
