"""Every route as a hand, an eye and a screen reader meet it: axe, targets, width, both themes."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from inchwater.app.firms.services import make_local_firm
from inchwater.app.visits import services
from tests.browser.steps import open_all, settled, too_small

CHANGE = "?filter.size=20+x+25&tighten-run.at=r1"
ROUTES = {
    "home": "/",
    "settings": "/settings/",
    "say": "say/",
    "reading": "reading/",
    "findings": "findings/",
    "facts": "facts/",
    "what if": "what-if/",
    "what if, changed": f"what-if/{CHANGE}",
    "test points": "test-points/",
    "options": "options/",
    "wishes": "wishes/",
    "work": "work/",
    "next reading": "next-reading/",
    "nothing here": "/nowhere/",
}


def go(page: Page, route: str, demo: str = "b") -> None:
    """Open a route of an invented house with everything unfolded and drawn."""
    visit = next(v for v in services.load_demos(*make_local_firm()) if v.demo == demo)
    address = ROUTES[route]
    page.goto(address if address.startswith("/") else f"/visits/{visit.pk}/{address}")
    settled(page)
    open_all(page)


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("route", ROUTES)
def test_axe_finds_nothing(
    phone: Page, axe: Callable[[Page], None], route: str, theme: str
) -> None:
    """No violation on any route, light or dark, with everything unfolded."""
    phone.emulate_media(color_scheme=theme)  # type: ignore[arg-type]
    go(phone, route)
    axe(phone)


@pytest.mark.parametrize("route", ROUTES)
def test_every_target_takes_a_glove_and_nothing_scrolls_sideways(phone: Page, route: str) -> None:
    """Targets are 48 px and more at 390 px; the page is no wider than the screen, down to 320."""
    go(phone, route)
    assert too_small(phone) == []
    for width in (390, 320, 1200):
        phone.set_viewport_size({"width": width, "height": 800})
        assert phone.evaluate("document.documentElement.scrollWidth") <= width


def test_now_and_after_stand_side_by_side_on_the_smallest_phone(phone: Page) -> None:
    """At 320 px the forecast's table needs no scrolling: what changes is seen beside what was."""
    phone.set_viewport_size({"width": 320, "height": 700})
    go(phone, "what if, changed", "a")
    table = phone.locator(".live .scroll").first
    assert table.evaluate("box => box.scrollWidth - box.clientWidth") <= 0


def test_a_doubt_is_accessible_too(phone: Page, axe: Callable[[Page], None]) -> None:
    """The question with its two buttons has no violation and buttons for a glove."""
    firm, user = make_local_firm()
    visit = services.start_visit(firm, user)
    services.save_field(firm, visit.pk, "supply_static", "150")
    services.save_field(firm, visit.pk, "return_static", "abc")
    phone.goto(f"/visits/{visit.pk}/reading/")
    axe(phone)
    assert too_small(phone) == []


def test_a_refusal_is_accessible_too(phone: Page, axe: Callable[[Page], None]) -> None:
    """A reading far beyond the table: the page says why there is no answer, and where to go."""
    firm, user = make_local_firm()
    visit = services.start_visit(firm, user)
    cells = {"cell1_tesp": "0.1", "cell1_airflow": "1000", "cell2_tesp": "0.2"}
    thin = {"capacity": "3", "unit_kind": "packaged", "return_static": "0.3"}
    for name, typed in {**thin, "supply_static": "0.4", **cells, "cell2_airflow": "950"}.items():
        services.save_field(firm, visit.pk, name, typed)
    phone.goto(f"/visits/{visit.pk}/findings/")
    expect(phone.get_by_role("heading", name="No answer yet")).to_be_visible()
    axe(phone)
    assert too_small(phone) == []


def test_dark_is_dark_and_pictures_follow(context: BrowserContext, phone: Page) -> None:
    """In the dark theme the ground is dark, the text light, and a picture's ink is the page's."""
    phone.emulate_media(color_scheme="dark")
    go(phone, "findings")
    ground = phone.evaluate("getComputedStyle(document.body).backgroundColor")
    ink = phone.evaluate("getComputedStyle(document.body).color")
    text = phone.locator("svg.picture-path text", has_text="Room").first
    assert (ground, ink) == ("rgb(18, 25, 30)", "rgb(241, 239, 232)")
    assert text.evaluate("(e) => getComputedStyle(e).fill") == ink


def test_text_is_17_px_and_more(phone: Page) -> None:
    """Nothing that is read outside of a picture is smaller than 17 px."""
    for route in ("findings", "what if, changed", "reading", "test points"):
        go(phone, route)
        smallest = phone.evaluate(
            """() => Math.min(...[...document.querySelectorAll("main *, header *, nav *")]
              .filter((e) => !e.closest("svg") && e.innerText && e.children.length === 0)
              .map((e) => parseFloat(getComputedStyle(e).fontSize)))"""
        )
        assert smallest >= 17


def test_it_prints_without_its_controls(phone: Page) -> None:
    """On paper there are the answer and its pictures, and no buttons or forms."""
    go(phone, "findings")
    phone.emulate_media(media="print")
    assert not phone.locator(".foot").is_visible()
    assert not phone.locator("form").first.is_visible()
    assert phone.locator("svg.picture-path").is_visible()


@pytest.mark.parametrize("route", ["home", "findings", "facts", "what if"])
def test_one_long_word_makes_no_page_wider_than_the_phone(phone: Page, route: str) -> None:
    """A name or a complaint without a space is broken, and can be put right where it stands."""
    firm, user = make_local_firm()
    visit = next(v for v in services.load_demos(firm, user) if v.demo == "b")
    services.rename(firm, visit.pk, "w" * 200)
    services.save_field(firm, visit.pk, "complaint", "v" * 150, user=user)
    go(phone, route)
    for width in (390, 320):
        phone.set_viewport_size({"width": width, "height": 800})
        assert phone.evaluate("document.documentElement.scrollWidth") <= width
    if route == "findings":
        phone.get_by_role("textbox", name="Name of this system").fill("Basement furnace")
        phone.get_by_role("button", name="Keep this name").tap()
        expect(phone.locator(".where")).to_contain_text("Basement furnace")
