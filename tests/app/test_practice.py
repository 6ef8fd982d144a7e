"""Practice rounds as pages: played without scripts, kept for each person, never another's."""

from __future__ import annotations

import html
import io
import json
import re
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from inchwater.app.firms.models import Firm, Membership, User
from inchwater.app.firms.services import make_local_firm, set_units
from inchwater.app.practice import services
from inchwater.app.practice.models import PracticeRound
from inchwater.errors import InchwaterError, UnknownNameError
from inchwater.rehearsal.practice import Act
from inchwater.rehearsal.practice_file import round_from_dict, round_to_dict
from inchwater.rehearsal.practice_house import practice_house
from inchwater.rehearsal.practice_score import score
from inchwater.reports.practice import practice_round
from inchwater.survey import job_from_dict
from tests.app.test_pages import words

HTMX = {"HX-Request": "true"}
READ = {"do": "read", "quantity": "static", "at": "supply"}
Send = Callable[..., Any]


@pytest.fixture
def house(client: Client, db: None) -> str:
    """Address of a round on house 1."""
    response = client.post("/rehearse/new/", {"seed": "1"})
    assert response.status_code == 302
    return str(response["Location"])


@pytest.fixture
def send(client: Client, house: str) -> Send:
    """Press the button of an act, as the page stands or as it stood after ``known`` acts."""

    def sent(act: Any, known: int | None = None) -> Any:
        if known is None:
            known = len(row().document["acts"])
        typed = act if isinstance(act, str) else json.dumps(act)
        return client.post(f"{house}act/", {"act": typed, "known": known})

    return sent


def row() -> PracticeRound:
    """The one round that there is."""
    firm, _ = make_local_firm()
    found = PracticeRound.objects.of(firm).get()
    assert isinstance(found, PracticeRound)
    return found


def ended() -> list[dict[str, str]]:
    """The acts of the cheapest end of house 1."""
    fix = score(practice_round(1, (Act("cannot"),))).cheapest
    ids = () if fix is None else fix.changes
    last = {"do": "cannot" if fix is None else "done"}
    return [*({"do": "change", "at": id_} for id_ in ids), last]


def test_the_start_page_says_what_it_is_and_is_linked_from_home(client: Client, db: None) -> None:
    """An invented house, for training; one big act; nothing to go on with yet."""
    assert 'href="/rehearse/"' in client.get("/").content.decode()
    text = words(client.get("/rehearse/"))
    assert "An invented house, for training: nothing in it stands anywhere." in text
    assert "Any house" in text
    assert "Your rounds" not in text


def test_a_whole_round_without_scripts(client: Client, house: str, send: Send) -> None:
    """Read, look until it stands still, change, end: every act is a form, every answer a page."""
    text = words(client.get(house))
    assert "Practice house 1 An invented house, for training" in text
    assert "Wanted in the cooling call:" in text
    assert "Nothing is" not in text
    assert send(READ)["Location"] == f"{house}#now"
    text = words(client.get(house))
    assert "It may still move." in text
    page = client.get(house).content.decode()
    (wait,) = re.findall(r'value="([^"]+)"><span>Wait until it stands still', page)
    assert send(html.unescape(wait)).status_code == 302
    assert "It stands still." in words(client.get(house))
    for act in ended():
        assert send(act).status_code == 302
    text = words(client.get(house))
    for said in ("What the round cost", "Over it", "What truly is", "What the survey did not say"):
        assert said in text
    assert "This house once more" in text
    assert row().ended in ("done", "cannot")
    assert "over: " in words(client.get("/rehearse/"))


def test_the_truth_is_on_no_page_before_the_end(client: Client, house: str, send: Send) -> None:
    """Neither the true airflow nor what was hidden can be read anywhere while it goes on."""
    send(READ)
    page = client.get(house).content.decode() + client.get(f"{house}round.json").content.decode()
    assert "What truly is" not in page
    assert "did not say" not in page
    true = practice_house(1).truths.trials["tr1"].airflow
    assert f"{true:.6}"[:7] not in page


def test_every_button_of_a_round_is_an_act_that_can_be_done(client: Client, house: str) -> None:
    """What a page offers is never refused."""
    page = client.get(house).content.decode()
    sent = [html.unescape(one) for one in re.findall(r'name="act" value="([^"]+)"', page)]
    assert len(sent) > 25
    now = practice_round(1)
    for one in sent:
        (act,) = round_from_dict({**round_to_dict(1, []), "acts": [json.loads(one)]})[1]
        assert now.after(act).acts == (act,)


def test_a_refused_act_is_told_and_the_round_stands(client: Client, house: str, send: Send) -> None:
    """422 with the page and the reason in it; nothing was written."""
    send({"do": "filter-out"})
    before = row().document
    response = send({"do": "done"})
    assert response.status_code == 422
    text = words(response)
    assert "nothing is done without a filter but a few readings. Put the filter back first." in text
    assert "Put the filter back" in text
    assert row().document == before
    # The caution stands where the filter is pulled, and the way back is open.
    page = client.get(house).content.decode()
    assert "Filter out: briefly and never in heat" in page


@pytest.mark.parametrize(
    "typed",
    ["", "x", "[]", "{}", "[" * 3000, '{"do": "dance"}', '{"do": "call", "at": "emergency"}'],
)
def test_what_is_no_act_is_refused_in_words(send: Send, typed: str) -> None:
    """Anything that is no button of the page: 4xx, four fields, no trace."""
    response = send(typed)
    assert 400 <= response.status_code < 500
    assert " came; " in words(response)
    assert "Traceback" not in response.content.decode()
    assert row().document["acts"] == []


def test_an_act_that_is_sent_twice_is_done_once(send: Send) -> None:
    """A button pressed twice pays once: the page says how many acts it had seen."""
    change = {"do": "change", "at": "ch1"}
    for _ in range(2):
        assert send(change, known=0).status_code == 302
    assert row().document["acts"] == [change]
    assert send(READ, known=0).status_code == 302
    assert row().document["acts"] == [change]


def test_a_round_has_an_end(send: Send) -> None:
    """After five hundred acts it can only be ended by another round."""
    firm, user = make_local_firm()
    one = row()
    one.document = round_to_dict(1, [Act("call", "fan"), Act("call", "cooling")] * 250)
    one.save()
    with pytest.raises(InchwaterError) as refused:
        services.play(firm, user, one.pk, json.dumps(READ), "500")
    assert str(refused.value) == (
        "practice: one more act came; a round has at most 500 acts. End it, or start another one."
    )


def test_the_readings_become_a_visit_and_a_job_file(client: Client, house: str, send: Send) -> None:
    """The same job as the prompt's: as a file, and as a visit with its findings."""
    for at in ("supply", "return"):
        send({**READ, "at": at, "looks": 9})
    job = client.get(f"{house}job.json")
    assert job["Content-Disposition"].endswith('filename="inchwater-practice-1-job.json"')
    assert (
        job_from_dict(json.loads(job.content))
        == practice_round(1, tuple(Act("read", at, "static", 9) for at in ("supply", "return"))).job
    )
    opened = client.post(f"{house}visit/")
    assert opened.status_code == 302
    found = client.get(opened["Location"], follow=True)
    assert found.status_code == 200
    text = words(found)
    assert "Practice house 1 (invented)" in text
    assert "leaves the blower" in text


def test_the_tool_s_help_comes_alone_or_as_a_page(client: Client, house: str, send: Send) -> None:
    """Without a reading it says what to read; with some, its answer and odds by price."""
    assert client.get(f"{house}tool/").status_code == 422
    alone = client.get(f"{house}tool/", headers=HTMX)
    assert alone.status_code == 200
    assert "Read the static at the return and in the supply plenum first." in words(alone)
    for at in ("supply", "return"):
        send({**READ, "at": at, "looks": 9})
    alone = client.get(f"{house}tool/", headers=HTMX)
    assert "<html" not in alone.content.decode()
    text = words(alone)
    for said in ("leaves the blower", "odds of meeting the goal", "Leave it as it stands"):
        assert said in text
    page = client.get(f"{house}tool/")
    assert page.status_code == 200
    assert page.content.decode().count("<h1>") == 1


def test_a_round_goes_out_and_comes_back(client: Client, house: str, send: Send) -> None:
    """A saved round is the prompt's file, and opens as another round that stands the same."""
    send(READ)
    saved = client.get(f"{house}round.json")
    assert saved["Content-Disposition"].endswith('filename="inchwater-practice-1.json"')
    file = io.BytesIO(saved.content)
    file.name = "round.json"
    opened = client.post("/rehearse/open/", {"round": file})
    assert opened.status_code == 302
    assert opened["Location"] != house
    again = client.get(f"{opened['Location']}round.json")
    assert json.loads(again.content) == json.loads(saved.content)


@pytest.mark.parametrize(
    ("content", "status", "says"),
    [
        (b"{", 400, "practice round: no JSON came"),
        (b'{"format": "inchwater-job"}', 400, "'inchwater-job' came"),
        (
            json.dumps(round_to_dict(1, [Act("look")])).encode(),
            422,
            "one looks again at a reading that was begun just before",
        ),
        (b" " * 300_000, 400, "at most 200 kB are read"),
        (None, 422, "practice round: no file came"),
    ],
)
def test_a_file_that_is_no_round_is_refused(
    client: Client, db: None, content: bytes | None, status: int, says: str
) -> None:
    """In words, and nothing is kept."""
    data = {}
    if content is not None:
        data["round"] = io.BytesIO(content)
        data["round"].name = "round.json"
    response = client.post("/rehearse/open/", data)
    assert response.status_code == status
    assert says in words(response)
    assert services.recent(*make_local_firm()) == []


def test_a_number_that_is_none_is_told_at_its_field(client: Client, db: None) -> None:
    """422, the field's name, and what was typed still in it; no number is any house."""
    response = client.post("/rehearse/new/", {"seed": "seven"})
    assert response.status_code == 422
    assert "Its number: 'seven' came; a house's number is a whole one" in words(response)
    assert 'value="seven"' in response.content.decode()
    assert client.post("/rehearse/new/", {}).status_code == 302


def test_units_are_the_reader_s(client: Client, house: str, send: Send) -> None:
    """In SI a whole round has no inch-pound figure of its own; sizes stay as they were surveyed."""
    set_units(*make_local_firm(), "si")
    send({**READ, "looks": 9})
    for _ in range(2):
        text = words(client.get(house))
        assert not re.search(r"\d (cfm|in\. w\.c\.)", text)
        assert "L/s" in text
        send({"do": "cannot"})
    assert "What truly is" in words(client.get(house))


def test_no_page_has_an_id_twice(client: Client, house: str, send: Send) -> None:
    """One heading, no id twice, going on, helped and over."""
    send(READ)
    for rest in ("", "tool/"):
        body = client.get(f"{house}{rest}").content.decode()
        ids = re.findall(r'\bid="([^"]+)"', body)
        assert sorted(ids) == sorted(set(ids))
        assert body.count("<h1>") == 1
    send({"do": "cannot"})
    body = client.get(house).content.decode()
    ids = re.findall(r'\bid="([^"]+)"', body)
    assert sorted(ids) == sorted(set(ids))


def test_a_round_of_another_version_is_told(client: Client, house: str) -> None:
    """Its houses are others, so that the round cannot be computed again; the list still stands."""
    one = row()
    one.document = {**one.document, "house": "0123456789ab"}
    one.save()
    response = client.get(house)
    assert response.status_code == 400
    assert (
        "house: '0123456789ab' came; in this version of Inchwater house 1 is another one"
        in words(response)
    )
    assert client.get("/rehearse/").status_code == 200


def test_nobody_sees_another_s_round(firm: Firm, other_firm: Firm) -> None:
    """Neither another firm nor a colleague: each person practises alone."""
    user = User.objects.get(username="one technician")
    colleague = User.objects.create(username="colleague")
    Membership.objects.of(firm).create(user=colleague)
    stranger = User.objects.get(username="other technician")
    one = services.start(firm, user, 1)
    for place, person in ((firm, colleague), (other_firm, stranger), (other_firm, user)):
        assert services.recent(place, person) == []
        for call in (
            lambda: services.find(place, person, one.pk),  # noqa: B023
            lambda: services.play(place, person, one.pk, json.dumps(READ), "0"),  # noqa: B023
            lambda: services.to_visit(place, person, one.pk),  # noqa: B023
            lambda: services.help_for(place, person, one.pk),  # noqa: B023
        ):
            with pytest.raises(UnknownNameError) as refused:
                call()
            assert str(refused.value) == (
                f"practice: {one.pk} came; your rounds are on the practice page. "
                "Choose one there, or start another one."
            )
    assert [found.pk for found in services.recent(firm, user)] == [one.pk]


@pytest.mark.parametrize("rest", ["", "tool/", "job.json", "round.json"])
def test_an_unknown_round_is_told_in_words(client: Client, db: None, rest: str) -> None:
    """404, and where to go."""
    response = client.get(f"/rehearse/{uuid4()}/{rest}")
    assert response.status_code == 404
    assert "your rounds are on the practice page" in words(response)


@pytest.mark.parametrize("rest", ["act/", "visit/"])
def test_an_unknown_round_takes_no_act(client: Client, db: None, rest: str) -> None:
    """404 for what would be written as well."""
    response = client.post(f"/rehearse/{uuid4()}/{rest}", {"act": json.dumps(READ), "known": "0"})
    assert response.status_code == 404
