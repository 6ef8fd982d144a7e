"""What is worth reading next, on its page and as a fragment of other pages."""

from __future__ import annotations

import pytest
from django.test import Client

from inchwater.app.firms.models import Firm
from inchwater.app.firms.services import make_local_firm
from inchwater.app.visits import services
from inchwater.app.visits.models import Visit
from inchwater.errors import UnknownNameError
from tests.app.conftest import THIN

HTMX = {"HX-Request": "true"}


@pytest.fixture
def demo(db: None) -> Visit:
    """The basement furnace, its filter read both ways."""
    return next(v for v in services.load_demos(*make_local_firm()) if v.demo == "b")


def test_the_page_has_the_ranked_readings(client: Client, demo: Visit) -> None:
    """The first of them is the heading; every one is a row of the table; money is said."""
    ranked = services.next_reading(make_local_firm()[0], demo.pk)
    page = client.get(f"/visits/{demo.pk}/next-reading/").content.decode()
    assert "<h1>What is worth reading next</h1>" in page
    assert ranked[0].title in page
    for one in ranked:
        assert f'<th scope="row">{one.title}</th>' in page
    assert "usual changes meets the goal at the least expected cost" in page
    assert "Next reading" in page


def test_the_fragment_has_no_page_around_it(client: Client, demo: Visit) -> None:
    """htmx gets the section alone, and a cache is told that the two differ."""
    response = client.get(f"/visits/{demo.pk}/next-reading/", headers=HTMX)
    text = response.content.decode()
    assert text.strip().startswith('<section class="next"')
    assert "<html" not in text
    assert response["Vary"] == "HX-Request"


def test_the_reading_page_loads_it_once_there_is_a_reading(client: Client, demo: Visit) -> None:
    """After a trial the page of readings asks for it; before one it does not."""
    url = f"/visits/{demo.pk}/next-reading/"
    assert f'hx-get="{url}"' in client.get(f"/visits/{demo.pk}/reading/").content.decode()
    empty = services.start_visit(*make_local_firm())
    page = client.get(f"/visits/{empty.pk}/reading/").content.decode()
    assert "next-reading" not in page
    response = client.get(f"/visits/{empty.pk}/next-reading/")
    assert (response.status_code, response["Location"]) == (302, f"/visits/{empty.pk}/reading/")
    alone = client.get(f"/visits/{empty.pk}/next-reading/", headers=HTMX)
    assert alone.content == b""


def test_the_findings_lead_to_it(client: Client, demo: Visit) -> None:
    """The one next act has a way to all the others."""
    page = client.get(f"/visits/{demo.pk}/findings/").content.decode()
    assert f'href="/visits/{demo.pk}/next-reading/"' in page


def test_what_cannot_be_answered_is_said(client: Client, db: None) -> None:
    """Readings far beyond the table: the page says why, the fragment too, and neither breaks."""
    firm, user = make_local_firm()
    visit = services.start_visit(firm, user)
    cells = {"cell1_tesp": "0.1", "cell1_airflow": "1000", "cell2_tesp": "0.2"}
    thin = {**THIN, "unit_kind": "packaged", "supply_static": "0.4", "return_static": "0.3"}
    for name, typed in {**thin, **cells, "cell2_airflow": "950"}.items():
        services.save_field(firm, visit.pk, name, typed)
    page = client.get(f"/visits/{visit.pk}/next-reading/")
    assert page.status_code == 422
    assert "No answer yet" in page.content.decode()
    part = client.get(f"/visits/{visit.pk}/next-reading/", headers=HTMX)
    assert part.status_code == 200
    assert "<html" not in part.content.decode()


def test_another_firm_s_visit_is_not_weighed(firm: Firm, other_firm: Firm) -> None:
    """The firm comes first, here as everywhere."""
    visit = services.start_visit(firm, None)
    with pytest.raises(UnknownNameError) as caught:
        services.next_reading(other_firm, visit.pk)
    assert caught.value.where == "visit"
    assert caught.value.came == str(visit.pk)


def test_what_is_kept_and_not_used_is_said_on_both_pages(client: Client, demo: Visit) -> None:
    """The wheel's speed where the table prints none: under the readings and in the findings."""
    firm, _ = make_local_firm()
    assert services.save_field(firm, demo.pk, "blower_speed", "1050").ok
    why = "is kept and not used: the blower table has no speeds."
    for page in ("findings", "next-reading"):
        text = client.get(f"/visits/{demo.pk}/{page}/").content.decode()
        assert "<h2>Kept and not used</h2>" in text
        assert why in text
    answer = services.answer(firm, demo.pk)
    assert [one.quantity for one in answer.not_used] == ["speed"]


def test_the_answer_carries_what_is_worth_reading(demo: Visit) -> None:
    """The page of readings and the next act of the findings are the same weighing."""
    firm, _ = make_local_firm()
    ranked = services.answer(firm, demo.pk).next_readings
    assert services.next_reading(firm, demo.pk) is ranked
    assert ranked


def test_a_missing_fact_comes_before_any_reading(client: Client, db: None) -> None:
    """Four fields filled: the page of readings says that the table's cells come first."""
    firm, user = make_local_firm()
    visit = services.start_visit(firm, user)
    for name, typed in THIN.items():
        services.save_field(firm, visit.pk, name, typed)
    page = client.get(f"/visits/{visit.pk}/next-reading/").content.decode()
    assert "Before any reading: Two cells of the blower table." in page
