"""A technician's way at 390 px: from nothing to the finding and the what-if, with one hand."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from inchwater.app.firms.services import make_local_firm
from inchwater.app.visits import services
from tests.browser.steps import Hand, open_all, open_demo, settled, too_small


def test_from_an_empty_database_to_the_finding_and_the_what_if(phone: Page) -> None:
    """New reading, at most eight inputs, the answer with pictures; two cells; a change forecast."""
    hand = Hand(phone)
    hand.first_answer()
    assert len(hand.inputs) <= 8
    heading = phone.get_by_role("heading", level=1)
    expect(heading).to_contain_text("leaves the blower, where 1,200 is wanted.")
    wide = phone.locator("#range").input_value()
    settled(phone)
    for picture in ("interval", "path", "budget", "tree", "curves"):
        expect(phone.locator(f"svg.picture-{picture}")).to_be_visible()

    expect(phone.get_by_role("heading", name="Next: Two cells of the blower table")).to_be_visible()
    assert phone.get_by_role("textbox", name="Cell 1: external static").input_value() == "0.7"
    hand.leave("Cell 1: airflow", "900")
    hand.leave("Cell 2: airflow", "800", re.compile(r"Airflow [\d,]+–[\d,]+ → [\d,]+–[\d,]+ cfm"))
    hand.act("Answer again")
    phone.wait_for_url("**/findings/")
    expect(phone.get_by_role("heading", name="It depends on what the table")).to_be_visible()
    hand.choose("Nothing of these", "Saved: Nothing of these")
    hand.act("Answer again")
    narrow = phone.locator("#range").input_value()
    assert _width(narrow) < _width(wide)

    phone.get_by_role("link", name="Add a fact").tap()
    phone.locator("summary", has_text="Supply side").tap()
    hand.leave("Supply runs", "seven 6-inch, about 25 ft, slack flex", "7 runs")
    phone.locator("summary", has_text="Filter").first.tap()
    hand.choose("At the unit", "Saved: At the unit")
    hand.act("To the findings")
    phone.get_by_role("link", name="What if …").tap()
    phone.wait_for_url("**/what-if/")
    phone.locator("#control-tighten-run > summary").tap()
    phone.locator("#control-tighten-run label", has_text="Run 1").tap()
    expect(phone.get_by_role("heading", name="would leave the blower")).to_be_visible()
    expect(phone).to_have_url(re.compile(r"what-if/\?typed-in=ip&tighten-run\.at=r1$"))
    expect(phone.locator("#foot")).to_contain_text("→")
    settled(phone)
    expect(phone.locator("#forecast svg.picture-curves")).to_contain_text("ducts after")


def _width(text: str) -> float:
    low, high = (float(part) for part in text.split(","))
    return high - low


def test_killed_in_the_middle_nothing_is_lost(phone: Page) -> None:
    """A page that goes away amid a field: Home offers Continue, the field has its text."""
    hand = Hand(phone)
    phone.goto("/")
    hand.act("New reading")
    hand.leave("Cooling capacity", "3.5", "Saved: 3.5 ton")
    # Typed and not left: the phone rings, the page is closed.
    phone.get_by_role("textbox", name="Return static").press_sequentially("0.31")
    phone.goto("about:blank")
    phone.goto("/")
    phone.get_by_role("link", name="Continue").tap()
    expect(phone.get_by_role("textbox", name="Cooling capacity")).to_have_value("3.5")
    expect(phone.get_by_role("textbox", name="Return static")).to_have_value("0.31")


def test_a_doubt_has_two_buttons(phone: Page) -> None:
    """Pascals typed as inches: Use takes the other number, Keep the typed one."""
    hand = Hand(phone)
    phone.goto("/")
    hand.act("New reading")
    hand.leave("Supply static", "150", "Ducts show 0.05–1.5 in. w.c. 150 Pa is 0.60.")
    box = phone.get_by_role("textbox", name="Supply static")
    expect(box).to_have_attribute("aria-invalid", "true")
    hand.act("Use 0.60")
    expect(box).to_have_value("0.60")
    expect(phone.locator("#told-supply_static")).to_have_text("Saved: 0.60 in. w.c.")
    hand.leave("Supply static", "2", "Ducts show 0.05–1.5 in. w.c.")
    hand.act("Keep 2")
    expect(phone.locator("#told-supply_static")).to_have_text("Saved: 2.00 in. w.c.")
    expect(box).not_to_have_attribute("aria-invalid", "true")


def test_the_coil_side_is_asked_of_a_furnace_only(phone: Page) -> None:
    """The question comes and goes with the kind of unit, without a page load."""
    hand = Hand(phone)
    phone.goto("/")
    hand.act("New reading")
    hand.choose("Furnace, coil in its own case", "Saved: Furnace, coil in its own case")
    hand.choose("Between furnace and coil", "Saved: Between furnace and coil")
    hand.choose("In the supply plenum", "Saved: In the supply plenum, after the coil")
    hand.choose("Packaged unit, all in one box", "Saved: Packaged unit, all in one box")
    expect(phone.get_by_text("Supply was read")).to_have_count(0)


def test_units_switch_on_every_page_at_once(phone: Page) -> None:
    """From inch-pound to SI in three taps, back on the page from which one came."""
    services.load_demos(*make_local_firm())
    place = open_demo(phone, "Basement furnace")
    expect(phone.get_by_role("heading", level=1)).to_contain_text("cfm")
    phone.get_by_role("link", name="in. w.c. · cfm").tap()
    phone.locator("label", has_text="SI: Pa").tap()
    phone.get_by_role("button", name="Use these units everywhere").tap()
    phone.wait_for_url(f"{place}findings/")
    expect(phone.get_by_role("heading", level=1)).to_contain_text("L/s")
    settled(phone)
    expect(phone.locator("svg.picture-path")).to_contain_text("static pressure, Pa")
    expect(phone.locator("svg.picture-curves")).to_contain_text("airflow, L/s")
    phone.goto(f"{place}reading/")
    expect(phone.locator("#field-return_static .unit")).to_have_text("Pa")


@pytest.mark.parametrize(
    ("picture", "row"), [("path", "path-3"), ("budget", "budget-2"), ("tree", "tree-3")]
)
def test_a_tap_on_a_picture_says_the_point_and_marks_its_row(
    phone: Page, picture: str, row: str
) -> None:
    """A row of the picture is one target; its words appear, its row in the table is marked."""
    services.load_demos(*make_local_firm())
    open_demo(phone, "Basement furnace")
    settled(phone)
    point = phone.locator(f'svg.picture-{picture} a.point[href="#{row}"]')
    point.tap()
    said = point.get_attribute("aria-label")
    assert said
    expect(phone.locator(f"figure:has(svg.picture-{picture}) .pointed")).to_have_text(said)
    expect(phone.locator(f"#{row}")).to_have_class("pointed-at")


def test_a_pulled_run_shows_two_flows_and_no_proof(phone: Page) -> None:
    """Air through the blower rises while air to the rooms falls, and the page says what it is."""
    services.load_demos(*make_local_firm())
    place = open_demo(phone, "Attic heat pump")
    phone.goto(f"{place}what-if/")
    phone.locator("#control-pull-run > summary").tap()
    phone.get_by_label("Which").last.select_option(index=1)
    phone.get_by_label("State").select_option(label="Pulled off, collar open")
    expect(phone.get_by_text("It can never be a proof")).to_be_visible()
    change = phone.locator("#forecast tr", has_text="Change through the blower").locator("td.then")
    expect(change).to_contain_text("+")
    rooms = phone.locator("#forecast tr", has_text="Change to the rooms").locator("td.then")
    expect(rooms).to_contain_text("−")


def test_it_works_without_scripts(chromium, server: str) -> None:  # type: ignore[no-untyped-def]
    """Forms, answers and pictures come without a line of JavaScript."""
    context = chromium.new_context(
        base_url=server, viewport={"width": 390, "height": 844}, java_script_enabled=False
    )
    page = context.new_page()
    page.goto("/")
    page.get_by_role("button", name="New reading").click()
    page.get_by_role("textbox", name="Cooling capacity").fill("3")
    page.get_by_role("radio", name="Air handler").check()
    page.get_by_role("textbox", name="Return static").fill("0.29")
    page.get_by_role("textbox", name="Supply static").fill("150")
    page.get_by_role("button", name="Answer").click()
    page.get_by_role("button", name="Use 0.60").click()
    page.get_by_role("button", name="Answer").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("leaves the blower")
    expect(page.locator("noscript img").first).to_be_visible()
    context.close()


def test_a_house_with_trunks_and_doors_is_described_on_a_phone(phone: Page) -> None:
    """A line for each part; what a simple field says shows in the lines, and is not undone."""
    hand = Hand(phone)
    hand.first_answer()
    settled(phone)
    phone.get_by_role("link", name="Add a fact").tap()
    phone.wait_for_url("**/facts/")
    open_all(phone)
    lines = phone.get_by_role("textbox", name="Several returns, one line each", exact=True)
    hand.leave(
        "Several returns, one line each",
        "hall: grille 20 x 25, 14-inch flex, 12 ft\nden: 14 x 20, panned",
        "Saved: 2 lines",
    )
    hand.leave("Every run, one line each", "den: 6-inch flex\nbath: 5-inch fluff", "'fluff' came")
    hand.leave("Every run, one line each", "den: 6-inch flex\nbath: 5-inch flex", "Saved: 2 lines")
    hand.leave("Several trunks, one line each", "t1: 16 x 8 metal, 20 ft", "Saved: 1 line")
    hand.leave("Rooms with a door, one line each", "den: undercut 30 x 3/4", "Saved: 1 line")
    hand.leave("What was different", "door den shut", "Saved: door den shut")
    # The same returns in a field for all of them: the lines follow.
    hand.leave("Return grille size", "30 x 20", "Saved: 30 × 20 in")
    expect(lines).to_have_value(re.compile(r"^hall: grille 30 × 20 in, 14 in, 12 ft, flex\nden"))
    hand.act("To the findings")
    phone.wait_for_url("**/findings/")
    settled(phone)
    tree = phone.locator("svg.picture-tree")
    for part in ("Return grille, 30", "Supply trunk, 16 × 8", "6-inch run, den", "Blower"):
        expect(tree).to_contain_text(part)
    phone.get_by_role("link", name="What if …").tap()
    phone.locator("#control-state > summary").tap()
    phone.locator("#control-state label", has_text="Door shut: den").tap()
    expect(phone.get_by_role("heading", name="would leave the blower")).to_be_visible()


def test_a_hood_and_a_run_s_static_are_typed_on_a_phone(
    phone: Page, axe: Callable[[Page], None]
) -> None:
    """Folded by what is read, each run by its room; a wrong sign stays where it was typed."""
    services.load_demos(*make_local_firm())
    place = open_demo(phone, "Attic heat pump")
    phone.goto(f"{place}facts/")
    part = phone.locator("#part-second")
    part.locator("> summary").tap()
    part.locator("summary", has_text="Registers and grilles, by hood").tap()
    hand = Hand(phone)
    hand.leave("Register of run r1, hall", "85", "Saved: 85 cfm")
    expect(part).to_contain_text(re.compile(r"Airflow [\d,]+–[\d,]+ "))
    part.locator("summary", has_text="Static in single ducts").tap()
    hand.leave("Static in run r2, kitchen", "-0.4", "Check that the two tubes were not swapped")
    hand.leave("Static in run r3, living room", "-0.01", "Saved: −0.01 in. w.c.")
    axe(phone)
    assert too_small(phone) == []
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    phone.reload()
    # What waits to be put right is open, and what was typed is still there.
    box = phone.get_by_role("textbox", name="Static in run r2, kitchen", exact=True)
    expect(box).to_be_visible()
    expect(box).to_have_value("-0.4")
    hand.leave("Static in run r2, kitchen", "0.04", "Saved: 0.04 in. w.c.")
    hand.act("To the findings")
    phone.wait_for_url("**/findings/")
    expect(phone.get_by_role("heading", level=1)).to_contain_text("leaves the blower")


def test_cautions_are_folded_behind_the_gravest(phone: Page) -> None:
    """One stands open; the others are named, counted and one tap away."""
    services.load_demos(*make_local_firm())
    place = open_demo(phone, "Basement furnace")
    phone.goto(f"{place}what-if/")
    control = phone.locator("#control-tap")
    control.locator("> summary").tap()
    expect(control.locator(".care:visible")).to_have_count(1)
    expect(control.locator(".care:visible")).to_contain_text("Combustion gate")
    more = control.locator(".more-care > summary")
    expect(more).to_contain_text("more cautions: ")
    expect(more).to_contain_text("Power off and locked")
    more.tap()
    assert control.locator(".care:visible").count() > 5


def test_a_field_that_was_not_sent_is_sent_again(context: BrowserContext) -> None:
    """By itself when the net is back, and when it is left once more with the same text."""
    # A request that fails is a trouble that other tests must not have.
    phone = context.new_page()
    hand = Hand(phone)
    phone.goto("/")
    hand.act("New reading")
    phone.wait_for_url("**/reading/")
    fields = "**/fields/return_static/"
    phone.route(fields, lambda route: route.abort())
    hand.leave("Return static", "0.31", "Not saved yet: the program did not answer.")
    phone.unroute(fields)
    box = phone.get_by_role("textbox", name="Return static", exact=True)
    box.focus()
    box.blur()
    expect(phone.locator("#told-return_static")).to_have_text("Saved: 0.31 in. w.c.")
    phone.route(fields, lambda route: route.abort())
    hand.leave("Return static", "0.33", "Not saved yet: the program did not answer.")
    phone.unroute(fields)
    phone.evaluate("window.dispatchEvent(new Event('online'))")
    expect(phone.locator("#told-return_static")).to_have_text("Saved: 0.33 in. w.c.")
