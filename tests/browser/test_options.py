"""From the findings to an accepted option and its first step, at 390 px."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect

from inchwater.app.firms.services import make_local_firm
from inchwater.app.offers import services as offers
from inchwater.app.visits import services
from tests.browser.steps import Hand, open_demo


def test_an_option_is_priced_chosen_and_worked_on(phone: Page) -> None:
    """The page stands before its options; the firm's rate is asked once and prices them anew."""
    firm, user = make_local_firm()
    services.load_demos(firm, user)
    open_demo(phone, "Rooftop packaged unit")
    phone.get_by_role("link", name="See the options").tap()
    expect(phone.get_by_role("heading", level=1)).to_have_text("What could be done")
    offered = phone.locator("section.offer")
    expect(offered.nth(1)).to_be_visible(timeout=30_000)
    before = offered.nth(1).locator(".figures strong").inner_text()
    phone.locator("#prices > summary").tap()
    hand = Hand(phone)
    phone.get_by_label("An hour of one person").fill("$240")
    hand.act("Price the options with these")
    expect(phone.locator("#prices > summary")).to_contain_text("Prices at $240 an hour")
    expect(offered.nth(1)).to_be_visible(timeout=30_000)
    assert offered.nth(1).locator(".figures strong").inner_text() != before
    # A point of the picture says itself in words, and shows its row.
    phone.locator("svg.picture-frontier .point").first.tap()
    expect(phone.locator("figure .pointed").first).to_contain_text("in 100")
    expect(phone.locator("#offer-1")).to_have_class(re.compile("pointed-at"))
    offered.nth(1).get_by_role("button", name="Accept option 2").tap()
    phone.wait_for_url("**/work/")
    expect(phone.get_by_role("heading", level=1)).to_contain_text("Step 1 of")
    expect(phone.locator("#step-1 [data-low]").first).to_be_visible()
    visit = next(v for v in services.load_demos(firm, user) if v.demo == "c")
    row = offers.accepted(firm, visit.pk)
    assert row is not None


def test_without_a_script_the_options_are_a_page_of_their_own(phone: Page) -> None:
    """The link in their place leads to all of them at once."""
    services.load_demos(*make_local_firm())
    place = open_demo(phone, "Attic heat pump")
    phone.goto(f"{place}options/?whole=yes", timeout=30_000)
    expect(phone.locator("section.offer").first).to_be_visible()
    expect(phone.locator("#options")).not_to_have_attribute("hx-get", re.compile("."))
