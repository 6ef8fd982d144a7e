"""The pages without a browser: what a reader sees, what a wrong address or a wrong value gets."""

from __future__ import annotations

import html
import io
import json
import re
from collections.abc import Callable
from typing import Any
from uuid import UUID

import pytest
from django.http import QueryDict
from django.test import Client

from inchwater.app.firms.services import make_local_firm
from inchwater.app.visits import services
from inchwater.app.visits.models import Visit
from inchwater.survey import KEYS

HTMX = {"HX-Request": "true"}
NOBODY = "00000000-0000-4000-8000-000000000000"
PAGES = (
    "reading",
    "say",
    "facts",
    "findings",
    "what-if",
    "test-points",
    "options",
    "wishes",
    "work",
)


@pytest.fixture
def client() -> Client:
    """A browser on this machine."""
    return Client(headers={"host": "localhost"})


@pytest.fixture
def demos(db: None) -> dict[str, Visit]:
    """The invented houses, by name."""
    return {visit.demo: visit for visit in services.load_demos(*make_local_firm())}


@pytest.fixture
def visit(client: Client, db: None) -> str:
    """Address of a new visit, made by the one act of the start page."""
    response = client.post("/visits/new/")
    assert response.status_code == 302
    return re.sub(r"reading/$", "", response["Location"])


@pytest.fixture
def leave(client: Client, visit: str) -> Callable[..., Any]:
    """Leave a field of the new visit with this text in it, as htmx does."""

    def leave(name: str, typed: str, query: str = "", **more: Any) -> Any:
        data = {name: typed, **more}
        return client.post(f"{visit}fields/{name}/{query}", data, headers=HTMX)

    return leave


def words(response: Any) -> str:
    """What a reader sees: the text of an answer without its tags."""
    text = re.sub(
        r"<(script|style|title|desc)\b.*?</\1>", " ", response.content.decode(), flags=re.S
    )
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


def first_answer(leave: Callable[..., Any]) -> None:
    """Type the short path."""
    for name, typed in (
        ("capacity", "3"),
        ("unit_kind", "air-handler"),
        ("return_static", "0.29"),
        ("supply_static", "0.42"),
    ):
        assert leave(name, typed).status_code == 200


def test_the_start_page_has_one_act_and_says_the_mode(client: Client, db: None) -> None:
    """On an empty database there is New reading, nothing to continue, and the local mode's line."""
    text = words(client.get("/"))
    assert "New reading" in text
    assert "Continue" not in text
    assert "Local single-user mode" in text


@pytest.mark.parametrize("name", ["a", "b", "c"])
def test_every_page_of_every_demo_opens(client: Client, demos: dict[str, Visit], name: str) -> None:
    """Every route answers 200 on a whole job, with a heading, a title and no duplicate id."""
    for page in PAGES:
        response = client.get(f"/visits/{demos[name].pk}/{page}/")
        assert response.status_code == 200, page
        body = response.content.decode()
        assert body.count("<h1>") == 1, page
        ids = re.findall(r'\bid="([^"]+)"', body)
        assert sorted(ids) == sorted(set(ids)), page


@pytest.mark.parametrize("picture", ["interval", "path", "budget", "tree", "curves"])
def test_a_picture_comes_alone_and_is_not_sent_twice(
    client: Client, demos: dict[str, Visit], picture: str
) -> None:
    """A picture is a fragment with its tag; asked again with the tag it is not sent again."""
    address = f"/visits/{demos['a'].pk}/pictures/{picture}/"
    first = client.get(address)
    assert first.status_code == 200
    assert first.content.decode().lstrip().startswith("<svg")
    again = client.get(address, headers={"If-None-Match": first["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    file = client.get(f"{address}?as=file")
    assert file["Content-Type"] == "image/svg+xml"
    assert "var(--" not in file.content.decode()
    assert file["ETag"] != first["ETag"]


@pytest.mark.parametrize(
    "rest", ["", *(f"{page}/" for page in PAGES), "job.json", "pictures/path/", "narrowed/"]
)
def test_an_unknown_visit_is_told_in_words(client: Client, db: None, rest: str) -> None:
    """Every route answers another visit's id with 404 and where to go."""
    response = client.get(f"/visits/{NOBODY}/{rest}")
    assert response.status_code == 404
    assert (
        f"visit: {NOBODY} came; the visits of this firm are on the start page. Choose one there."
        in words(response)
    )


@pytest.mark.parametrize("address", ["/visits/7/findings/", "/nowhere/", "/visits/new/x"])
def test_an_address_of_nothing_is_told_in_words(client: Client, db: None, address: str) -> None:
    """Anything else is a 404 page of ours."""
    response = client.get(address)
    assert response.status_code == 404
    assert "There is nothing here" in words(response)


def test_four_fields_give_an_answer(client: Client, visit: str, leave: Callable[..., Any]) -> None:
    """Capacity, kind and two statics: sentence, both flows, and two cells as the next act."""
    first_answer(leave)
    text = words(client.get(f"{visit}findings/"))
    assert "leaves the blower, where 1,200 is wanted." in text
    assert "reaches the rooms." in text
    assert "Next: Two cells of the blower table" in text
    assert "0.70" in text


def test_the_side_of_the_coil_is_asked_where_it_matters(
    client: Client, visit: str, leave: Callable[..., Any]
) -> None:
    """Only a furnace has a place to read before the coil."""
    assert "Supply was read" not in words(client.get(f"{visit}reading/"))
    assert "Supply was read" in words(leave("unit_kind", "furnace"))
    assert "Supply was read" in words(client.get(f"{visit}reading/"))
    assert "Supply was read" not in words(leave("unit_kind", "packaged"))


def test_a_doubt_is_asked_and_either_answer_is_taken(
    client: Client, visit: str, leave: Callable[..., Any]
) -> None:
    """Pascals typed as inches: the question, Use, Keep; and what was typed stays in the field."""
    told = leave("supply_static", "150")
    assert told.status_code == 422
    assert words(told) == (
        "Supply static: 150 came. Ducts show 0.05–1.5 in. w.c. 150 Pa is 0.60. Use 0.60 Keep 150"
    )
    assert 'value="150"' in client.get(f"{visit}reading/").content.decode()
    used = leave("supply_static", "150", "?use=0.60")
    assert used.status_code == 200
    assert 'value="0.60"' in used.content.decode()
    assert leave("supply_static", "2").status_code == 422
    kept = leave("supply_static", "2", "?keep=yes")
    assert kept.status_code == 200
    assert 'value="2"' in kept.content.decode()


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        (
            "return_static",
            "29",
            "Return static: 29 came. Ducts show 0.05–1.5 in. w.c. 29 with its point is 0.29; "
            "29 Pa is 0.12. Use 0.29 Use 0.12 Keep 29",
        ),
        (
            "supply_static",
            "-0.42",
            "Supply static: −0.42 came. Static on the supply side is positive. Check that the two "
            "tubes were not swapped. Use 0.42, or read again. Use 0.42",
        ),
        (
            "supply_static",
            "0",
            "Supply static: 0 came. Ducts show 0.05–1.5 in. w.c. Check zero, tube and place, and "
            "read again. Keep 0",
        ),
        (
            "capacity",
            "36000",
            "Cooling capacity: 36000 came. Units run from 0.5 to 10 ton. 36000 Btu/h is 3. Use 3, "
            "or type the unit. Use 3",
        ),
    ],
)
def test_only_what_can_be_done_has_a_button(
    leave: Callable[..., Any], name: str, text: str, told: str
) -> None:
    """Each likely number has its own, and Keep is there only where the typed one can be kept."""
    page = leave(name, text)
    assert page.status_code == 422
    assert words(page) == told


def test_keeping_what_no_blower_reaches_keeps_the_text_only(
    client: Client, visit: str, leave: Callable[..., Any]
) -> None:
    """150 in. w.c. stays in the field, as a text with its reason and never as a reading."""
    kept = leave("supply_static", "150", "?keep=yes")
    assert kept.status_code == 422
    assert "residential blowers reach at most 5" in words(kept)
    assert 'value="150"' in client.get(f"{visit}reading/").content.decode()
    assert "supply_static" in services.missing(*_of(visit))


def _of(visit: str) -> tuple[Any, Any]:
    key = UUID(visit.rstrip("/").rsplit("/", 1)[-1])
    return make_local_firm()[0], key


@pytest.mark.parametrize(
    "typed", ["abc", "-", "nan", "inf", "1e999", "٣٫٥٫٥", "0.3 furlong", "9" * 400, "<b>1</b>"]
)
@pytest.mark.parametrize("name", ["capacity", "return_static"])
def test_what_cannot_be_right_is_kept_and_told(
    client: Client, visit: str, leave: Callable[..., Any], name: str, typed: str
) -> None:
    """Text, NaN, infinity, nonsense: 422, the field by name, and the text still in the field."""
    told = leave(name, typed)
    assert told.status_code == 422
    label = {"capacity": "Cooling capacity", "return_static": "Return static"}[name]
    assert words(told).startswith(f"{label}: ")
    assert "Traceback" not in told.content.decode()
    page = client.get(f"{visit}reading/").content.decode()
    assert f'value="{html.escape(typed)}"' in page


def test_a_table_that_rises_is_refused_with_its_cells(leave: Callable[..., Any]) -> None:
    """A pasted table that rises with pressure names the tap and both cells."""
    leave("unit_kind", "air-handler")
    told = leave("table", "tap,tesp_inwc,airflow_cfm\n3,0.5,800\n3,0.6,900\n")
    assert told.status_code == 422
    text = words(told)
    assert "800" in text
    assert "900" in text
    assert "3" in text


def test_a_table_comes_as_a_file(client: Client, visit: str, leave: Callable[..., Any]) -> None:
    """A file of cells is saved like pasted ones; a binary file is refused in words."""
    file = io.BytesIO(b"tap,tesp_inwc,airflow_cfm\n3,0.7,750\n3,0.8,655\n")
    file.name = "table.csv"
    told = client.post(f"{visit}fields/table/", {"table_file": file}, headers=HTMX)
    assert told.status_code == 200
    assert words(told) == "Saved: 2 cells, taps 3"
    binary = io.BytesIO(b"\x89PNG\r\n\x1a\n\x00\x00")
    binary.name = "table.png"
    refused = client.post(f"{visit}fields/table/", {"table_file": binary}, headers=HTMX)
    assert refused.status_code == 400
    assert "Traceback" not in refused.content.decode()


def test_each_fact_says_how_the_range_moved(
    client: Client, visit: str, leave: Callable[..., Any]
) -> None:
    """After a fact the page asks how the range moved, and keeps the new range for the next."""
    first_answer(leave)
    body = client.get(f"{visit}facts/").content.decode()
    before = re.search(r'name="range" value="([^"]+)"', body)
    assert before is not None
    for name, typed in (
        ("cell1_tesp", "0.7"),
        ("cell1_airflow", "900"),
        ("cell2_tesp", "0.8"),
        ("cell2_airflow", "800"),
    ):
        told = leave(name, typed, range=before.group(1))
        assert told.status_code == 200
    leave("table_includes", "none")
    assert f"{visit}narrowed/?from=" in told.content.decode()
    moved = client.get(f"{visit}narrowed/", {"from": before.group(1)}, headers=HTMX)
    assert re.search(r"Airflow [\d,]+–[\d,]+ → [\d,]+–[\d,]+ cfm: narrower\.", words(moved))
    assert 'hx-swap-oob="true"' in moved.content.decode()


def test_without_scripts_a_form_saves_everything(client: Client, visit: str) -> None:
    """The plain form of the reading page saves all its fields and goes to the findings."""
    typed = {
        "capacity": "3",
        "unit_kind": "air-handler",
        "return_static": "0.29",
        "supply_static": "0.42",
    }
    response = client.post(f"{visit}reading/", typed)
    assert (response.status_code, response["Location"]) == (302, f"{visit}findings/")
    half = client.post(f"{visit}reading/", {**typed, "supply_static": "x", "capacity": ""})
    assert half.status_code == 422
    text = words(half)
    assert "Still missing for an answer: Cooling capacity" in text
    assert "Supply static: x came" in text or "Supply static: 'x' came" in text


def test_units_switch_everywhere_at_once(client: Client, demos: dict[str, Visit]) -> None:
    """In SI no page of a job has an inch-pound unit left in it, and the numbers are the same."""
    place = f"/visits/{demos['b'].pk}/"
    ip = words(client.get(f"{place}findings/"))
    assert "cfm" in ip
    back = client.post("/settings/", {"units": "si", "next": f"{place}findings/"})
    assert back["Location"] == f"{place}findings/"
    for page in PAGES:
        text = words(client.get(f"{place}{page}/"))
        # Sources and the columns of a table's file keep their own units.
        assert not re.search(r"\d (cfm|in\. w\.c\.)(?![\w-])", _own(text)), page
    assert "L/s" in words(client.get(f"{place}findings/"))
    refused = client.post("/settings/", {"units": "furlongs"})
    assert refused.status_code == 404
    assert "unit systems are ip (inch-pound) and si" in words(refused)


def _own(text: str) -> str:
    """A page's words without the notes on sources."""
    # A procedure's own words keep its own units.
    text = text.replace("20 % or 25 cfm", "")
    return re.sub(r"Where these criteria come from.*", "", text)


def test_a_job_goes_out_and_comes_back(client: Client, demos: dict[str, Visit]) -> None:
    """The file of a visit opens as another visit with the same job."""
    saved = client.get(f"/visits/{demos['a'].pk}/job.json")
    assert saved["Content-Disposition"].startswith("attachment")
    document = json.loads(saved.content)
    file = io.BytesIO(saved.content)
    file.name = "job.json"
    opened = client.post("/visits/upload/", {"job": file})
    assert opened.status_code == 302
    again = json.loads(client.get(f"{opened['Location']}job.json").content)
    assert again["survey"] == document["survey"]
    assert again["trials"] == document["trials"]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "job file"),
        (b"{", "job file"),
        (b"\x00\x01\x02", "job file"),
        (b"[]", "job file"),
        (b'{"format": "inchwater-job", "version": 99, "id": "x"}', "version"),
    ],
)
def test_a_file_that_is_no_job_is_refused(
    client: Client, db: None, content: bytes, says: str
) -> None:
    """Empty, broken, binary, another form, a newer version: 4xx, in words, no trace."""
    file = io.BytesIO(content)
    file.name = "job.json"
    response = client.post("/visits/upload/", {"job": file})
    assert 400 <= response.status_code < 500
    assert says in words(response)
    assert "Traceback" not in response.content.decode()


def test_an_upload_without_a_file_is_told(client: Client, db: None) -> None:
    """The act without a file says what to do."""
    response = client.post("/visits/upload/", {})
    assert response.status_code == 422
    assert (
        "job file: no file came; a job file in JSON is wanted. Choose the file, then send it."
        in words(response)
    )


WHAT_IF = {
    "filter": "filter.size=20+x+25",
    "grille": "grille.size=30+x+20",
    "add-return": "add-return.size=14+x+20&add-return.diameter=14&add-return.length=12",
    "enlarge-run": "enlarge-run.at=r1&enlarge-run.diameter=8",
    "add-run": "add-run.diameter=7&add-run.length=20&add-run.room=hall",
    "tighten-run": "tighten-run.at=r1&tighten-run.at=r2",
    "tap": "tap.tap=4",
    "register": "register.at=r1&register.size=12+x+6",
    "pull-run": "pull-run.at=r1&pull-run.state=pulled-open",
    "cabinet": "cabinet.grade=media-4in-merv11&cabinet.size=20+x+25",
    "enlarge-return": "enlarge-return.at=g1&enlarge-return.diameter=18",
    "shorten-run": "shorten-run.at=r1&shorten-run.length=10",
    "boot": "boot.at=r1&boot.into=boot-straight",
    "plenum": "plenum.into=take-off-tapered",
    "damper": "damper.at=r1&damper.angle=30",
    "seal": "seal.at=supply&seal.at=return",
    "clean-wheel": "clean-wheel.at=unit",
    "clean-coil": "clean-coil.at=c1",
    "motor": "motor.motor=constant-torque",
    "insulate": "insulate.at=r1&insulate.insulation=8",
}
# What the second house has and the first has not: a trunk.
ON_A_TRUNK = "move-run.at=r1&move-run.to=plenum&move-run.length=12"


def test_every_change_is_forecast_before_it_is_made(
    client: Client, demos: dict[str, Visit]
) -> None:
    """Each control gives now and after for both flows, the statics and the odds, as a fragment."""
    for kind, query in WHAT_IF.items():
        address = f"/visits/{demos['a'].pk}/what-if/?{query}"
        response = client.get(address, headers=HTMX)
        assert response.status_code == 200, kind
        text = words(response)
        for word in ("Through the blower", "To the rooms", "External static", "Return static"):
            assert word in text, kind
        assert "Odds that the blower's air reaches the goal" in text, kind
        assert ("can never be a proof" in text) is (kind == "pull-run")
        assert response["HX-Replace-Url"].startswith(f"/visits/{demos['a'].pk}/what-if/?")
        whole = client.get(address)
        assert f'id="control-{kind}" open' in whole.content.decode(), kind


def test_a_run_moves_where_there_is_a_trunk(client: Client, demos: dict[str, Visit]) -> None:
    """It is forecast there, and blocked with the reason where every run leaves the plenum."""
    place = f"/visits/{demos['b'].pk}/what-if/?{ON_A_TRUNK}"
    assert "Through the blower" in words(client.get(place, headers=HTMX))
    bare = words(client.get(f"/visits/{demos['a'].pk}/what-if/"))
    assert "There is no trunk: every run leaves the plenum." in bare
    assert "No bypass is known." in bare


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("cabinet.grade=media-4in-merv11", "filter cabinet: half of it came"),
        ("filter.rated-drop=0.14", "filter's label: a drop without its airflow came"),
        ("filter.rated-airflow=1000", "filter's label: an airflow without its drop came"),
        (f"{WHAT_IF['cabinet']}&cabinet.rated-drop=0.1", "filter's label: a drop without its"),
        (
            "filter.rated-drop=14&filter.rated-airflow=1000",
            "Drop on the filter's label: 14 in. w.c. came",
        ),
        ("enlarge-return.at=g1", "larger return duct: no diameter came"),
        ("enlarge-return.diameter=18", "larger return duct: no return came"),
        ("shorten-run.at=r1", "shortened run: no length came"),
        ("shorten-run.length=10", "shortened run: no run came"),
        ("move-run.at=r1", "moved run: part of it came"),
        ("boot.at=r1", "boot: no kind came"),
        ("boot.into=boot-angle", "boot: no run came"),
        ("damper.at=r1", "damper: no angle came"),
        ("damper.angle=30", "damper: no duct came"),
        ("damper.at=r1&damper.angle=95", "Angle of the blade: 95 ° came"),
        ("insulate.at=r1", "insulation: half of it came"),
        ("insulate.at=r1&insulate.insulation=thick", "insulation: 'thick' came"),
        ("transfer.kind=grille", "way out of a room: half of it came"),
        ("seal.at=attic", "changes.if-seal.targets: 'attic' came"),
        ("motor.motor=steam", "changes.if-motor.to.motor: 'steam' came"),
    ],
)
def test_half_of_a_change_says_what_lacks(
    client: Client, demos: dict[str, Visit], query: str, said: str
) -> None:
    """What is chosen without the rest is told where it stands, and nothing falls over."""
    response = client.get(f"/visits/{demos['b'].pk}/what-if/?{query}", headers=HTMX)
    assert response.status_code in (200, 422)
    assert said in words(response)


def test_a_filter_is_forecast_by_its_label(client: Client, demos: dict[str, Visit]) -> None:
    """The drop that is printed on the box in hand moves the forecast, of a cabinet as well."""
    place = f"/visits/{demos['a'].pk}/what-if/"
    for kind, query in (
        ("filter", "filter.grade=pleat-1in-merv8"),
        ("cabinet", WHAT_IF["cabinet"]),
    ):
        found = set()
        for drop in ("0.08", "0.40"):
            more = f"{query}&{kind}.rated-drop={drop}&{kind}.rated-airflow=1050"
            response = client.get(f"{place}?{more}", headers=HTMX)
            assert response.status_code == 200
            assert "Through the blower" in words(response)
            found.add(words(response))
        assert len(found) == 2, kind


def test_a_tap_is_forecast_for_another_call(client: Client, demos: dict[str, Visit]) -> None:
    """The call is chosen beside the tap."""
    query = "tap.tap=low&tap.call=fan&state.at=call%3Dfan"
    text = words(client.get(f"/visits/{demos['b'].pk}/what-if/?{query}", headers=HTMX))
    assert "Through the blower" in text


def test_a_switch_of_units_translates_what_was_asked(
    client: Client, demos: dict[str, Visit]
) -> None:
    """Twelve feet stay twelve feet when the page turns to SI: the forecast is the same."""
    place = f"/visits/{demos['b'].pk}/what-if/"
    query = {
        "typed-in": "ip",
        "add-return.size": "14 x 20",
        "add-return.diameter": "14",
        "add-return.length": "12",
    }
    before = client.get(place, query, headers=HTMX).content.decode()
    client.post("/settings/", {"units": "si"})
    moved = client.get(place, query)
    assert moved.status_code == 302
    asked = QueryDict(moved["Location"].partition("?")[2])
    assert asked["typed-in"] == "si"
    assert asked["add-return.size"] in ("355.6 × 508", "356 × 508")
    assert asked["add-return.diameter"] in ("355.6", "356")
    assert asked["add-return.length"] in ("3.66", "3.7")
    after = client.get(moved["Location"], headers=HTMX).content.decode()
    cfm, ls = (
        float(re.search(r'class="then">([\d,]+)', body).group(1).replace(",", ""))  # type: ignore[union-attr]
        for body in (before, after)
    )
    assert ls == pytest.approx(cfm * 0.4719474, rel=0.01)


def test_what_cannot_be_asked_is_told_beside_what_can(
    client: Client, demos: dict[str, Visit]
) -> None:
    """One wrong control has its own words and leaves the others' forecast standing."""
    query = "filter.size=20+x+25&enlarge-run.diameter=8&grille.size=banana"
    text = words(client.get(f"/visits/{demos['a'].pk}/what-if/?{query}", headers=HTMX))
    assert "enlarged run: no run came; one run or more is chosen." in text
    assert "Grille size: banana came" in text or "Grille size: 'banana' came" in text
    assert "Through the blower" in text


def test_cautions_stand_at_the_control(client: Client, demos: dict[str, Visit]) -> None:
    """The tap has its lockout; a return beside a natural-draft heater has its combustion gate."""
    body = client.get(f"/visits/{demos['b'].pk}/what-if/").content.decode()
    controls = dict(re.findall(r'id="control-([a-z-]+)".*?>(.*?)</details>', body, flags=re.S))
    assert "Power off and locked" in controls["tap"]
    for kind in ("grille", "add-return"):
        assert "Combustion gate: test before and after" in controls[kind]


def test_names_and_rooms_cannot_write_html(client: Client, demos: dict[str, Visit]) -> None:
    """A name with a tag in it stays text on every page and in every picture."""
    visit = demos["a"]
    client.post(f"/visits/{visit.pk}/name/", {"name": "<script>alert(1)</script>"})
    for page in ("findings", "reading"):
        body = client.get(f"/visits/{visit.pk}/{page}/").content.decode()
        assert "<script>alert" not in body
        assert "&lt;script&gt;alert(1)" in body


def test_a_closed_visit_leaves_the_list(
    client: Client, visit: str, leave: Callable[..., Any]
) -> None:
    """One in which something was typed is offered; Close takes it off Continue, its page stays."""
    assert "Continue" not in words(client.get("/"))
    leave("capacity", "3")
    assert "Continue" in words(client.get("/"))
    assert client.post(f"{visit}close/").status_code == 302
    assert "Continue" not in words(client.get("/"))
    assert client.get(f"{visit}reading/").status_code == 200


def test_a_fitting_is_exchanged_once_it_is_known(
    client: Client, visit: str, leave: Callable[..., Any]
) -> None:
    """What sits on the runs is a fact of one tap; then another fitting can be forecast."""
    first_answer(leave)
    asked = f"{visit}what-if/"
    assert "What sits on the runs now is not known yet." in words(client.get(asked))
    leave("runs", "six 6-inch, 20 ft, slack flex")
    told = client.post(
        f"{visit}fields/run_fittings/",
        {"run_fittings": ["take-off-straight", "flex-bend-tight", "boot-angle"]},
        headers=HTMX,
    )
    assert told.status_code == 200
    query = "fitting.at=r1&fitting.at=r2&fitting.from=flex-bend-tight&fitting.into=flex-bend-90"
    assert "Through the blower" in words(client.get(f"{asked}?{query}", headers=HTMX))


def test_kinds_of_change_stand_under_the_part_that_they_are_done_to(client, demos):
    """Every kind is there once, under its heading; doing nothing is one of them."""
    body = client.get(f"/visits/{demos['b'].pk}/what-if/").content.decode()
    ids = re.findall(r'<details class="control" id="control-([\w-]+)"', body)
    assert len(ids) == len(set(ids))
    assert set(ids) == {*KEYS, "pull-run", "state"}
    headings = re.findall(r"<h2>([^<]+)</h2>", body)
    assert headings[0] == "As it is"
    assert {"Filters", "Return side", "Unit", "Supply side"} <= set(headings)


def test_doing_nothing_has_a_forecast(client, demos):
    """Now and after are the same, with the odds of the system as it is."""
    query = "nothing.at=as-it-is"
    text = words(client.get(f"/visits/{demos['b'].pk}/what-if/?{query}", headers=HTMX))
    assert "Odds that the blower's air reaches the goal" in text.replace("&#x27;", "'")
    assert "Change through the blower +0 cfm" in text or "0 cfm" in text
