"""What is wanted: shown with its sources, wished otherwise for a call or part, taken back."""

from __future__ import annotations

import pytest
from django.test import Client

from inchwater.app.firms.services import make_local_firm
from inchwater.app.offers import wishing
from inchwater.app.visits import services
from inchwater.app.visits.models import Visit
from inchwater.errors import InputError, UnknownNameError
from inchwater.survey import WISHES


@pytest.fixture
def demo(db: None) -> Visit:
    """The basement furnace: eight runs, two returns, a plate."""
    return next(v for v in services.load_demos(*make_local_firm()) if v.demo == "b")


def bounds(visit: Visit, name: str) -> tuple[float | None, float | None, bool]:
    """Low and high [SI] of a target in cooling, and whether somebody wished it."""
    job = services.job(make_local_firm()[0], visit.pk)
    found = next(one for one in wishing.wanted_in(job)["cooling"] if one.name == name)
    return found.low, found.high, found.stated


def test_everything_that_can_be_wished_has_a_title() -> None:
    """Nothing that a job file may wish is missing on the page."""
    assert set(wishing.TITLES) == set(WISHES)


def test_the_page_shows_bounds_and_all_sources(client: Client, demo: Visit) -> None:
    """The bound, who says so, and the figures of sources that disagree."""
    job = services.job(make_local_firm()[0], demo.pk)
    page = client.get(f"/visits/{demo.pk}/wishes/").content.decode()
    for one in wishing.wanted_in(job)["cooling"]:
        assert one.bounds("ip") in page
        for other in one.others:
            assert f"Another source: {other.text('ip')}" in page.replace("&#x27;", "'")


def test_a_wish_for_one_part_holds_for_it_alone(client: Client, demo: Visit) -> None:
    """Typed in the page's units or with a unit; the others keep the published bound."""
    sent = {"key": "run-velocity", "high": "2.5 m/s", "part": "r1"}
    answer = client.post(f"/visits/{demo.pk}/wishes/wish/", sent)
    assert (answer.status_code, answer["Location"]) == (302, f"/visits/{demo.pk}/wishes/")
    assert bounds(demo, "run-velocity:r1") == (None, 2.5, True)
    assert bounds(demo, "run-velocity:r2")[2] is False
    page = client.get(f"/visits/{demo.pk}/wishes/").content.decode()
    assert "Take this wish back" in page
    client.post(f"/visits/{demo.pk}/wishes/wish/", {"key": "run-velocity", "part": "r1"})
    assert bounds(demo, "run-velocity:r1")[2] is False
    assert wishing.wished(make_local_firm()[0], demo.pk) == []


def test_a_second_wish_for_the_same_takes_the_first_one_s_place(demo: Visit) -> None:
    """One wish for a key, call and part."""
    firm, user = make_local_firm()
    for typed in ("30", "28"):
        wishing.wish(firm, user, demo.pk, "noise", {"high": typed})
    (only,) = wishing.wished(firm, demo.pk)
    assert only["high"] == {"value": 28.0, "unit": "nc", "how": "stated"}


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"key": "tesp", "high": "0.9"}, "External static pressure:"),
        ({"key": "noise", "high": "loud"}, "Noise at registers and grilles:"),
        ({"key": "noise", "high": "5"}, "Noise at registers and grilles:"),
        ({"key": "airflow", "low": "1200", "high": "900"}, "Airflow through the unit:"),
        ({"key": "power", "low": "0.3"}, "Blower power for the air moved:"),
        ({"key": "run-velocity", "high": "600", "part": "r99"}, "Air speed in runs:"),
    ],
)
def test_a_wish_that_cannot_be_is_told_and_nothing_moves(
    client: Client, demo: Visit, sent: dict[str, str], said: str
) -> None:
    """422 or 404 on the same page, what was typed still stands there, and no wish is kept."""
    response = client.post(f"/visits/{demo.pk}/wishes/wish/", sent)
    page = response.content.decode()
    assert response.status_code in (404, 422)
    assert f"<strong>{said}</strong>" in page
    assert wishing.wished(make_local_firm()[0], demo.pk) == []


def test_wishes_that_exclude_each_other_are_refused_with_both(demo: Visit) -> None:
    """More air to the rooms than the unit may move."""
    firm, user = make_local_firm()
    wishing.wish(firm, user, demo.pk, "airflow", {"low": "800", "high": "900"})
    with pytest.raises(InputError) as caught:
        wishing.wish(firm, user, demo.pk, "delivered", {"low": "140"})
    assert "900" in str(caught.value)
    assert [one["key"] for one in wishing.wished(firm, demo.pk)] == ["airflow"]


def test_another_climate_has_another_window(client: Client, demo: Visit) -> None:
    """The preset is kept in the job; the usual one is not written down."""
    firm, _ = make_local_firm()
    client.post(f"/visits/{demo.pk}/wishes/preset/", {"preset": "humid"})
    assert services.job(firm, demo.pk).targets.preset == "humid"
    client.post(f"/visits/{demo.pk}/wishes/preset/", {"preset": "standard"})
    assert "targets" not in services.find_visit(firm, demo.pk).revision.document
    answer = client.post(f"/visits/{demo.pk}/wishes/preset/", {"preset": "arctic"})
    assert answer.status_code == 404


def test_an_unknown_wish_is_refused(demo: Visit) -> None:
    """Only what a job file may hold."""
    with pytest.raises(UnknownNameError) as caught:
        wishing.wish(*make_local_firm(), demo.pk, "silence", {"high": "0"})
    assert str(caught.value) == (f"the wish: 'silence' came; wishes are {', '.join(WISHES)}.")
