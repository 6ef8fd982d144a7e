"""A practice round by hand at 390 px: axe, gloves, narrow and wide, light and dark, no surprise."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from inchwater.app.firms.services import make_local_firm
from inchwater.app.practice import services
from inchwater.rehearsal.practice import Act
from inchwater.rehearsal.practice_file import round_to_dict
from tests.browser.steps import open_all, settled, too_small

READ = (Act("read", "supply", "static", 9), Act("read", "return", "static", 4))
STATES: dict[str, tuple[Act, ...] | None] = {
    "start": None,
    "new": (),
    "reading": READ,
    "filter out": (*READ, Act("filter-out")),
    "changed": (*READ, Act("change", "ch1"), Act("change", "ch4")),
    "over": (*READ, Act("change", "ch1"), Act("done")),
    "given up": (Act("cannot"),),
}


def go(page: Page, state: str, seed: int = 1) -> None:
    """Open a round of house ``seed`` in a state, with everything unfolded."""
    firm, user = make_local_firm()
    row = services.start(firm, user, seed)
    acts = STATES[state]
    if acts is not None:
        row.document = round_to_dict(seed, acts)
        row.ended = acts[-1].do if acts and acts[-1].do in ("done", "cannot") else ""
        row.save()
    page.goto("/rehearse/" if acts is None else f"/rehearse/{row.pk}/")
    settled(page)
    open_all(page)


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("state", STATES)
def test_axe_finds_nothing(
    phone: Page, axe: Callable[[Page], None], state: str, theme: str
) -> None:
    """No violation in any state, light or dark, with everything unfolded."""
    phone.emulate_media(color_scheme=theme)  # type: ignore[arg-type]
    go(phone, state)
    axe(phone)


@pytest.mark.parametrize("state", STATES)
def test_every_target_takes_a_glove_and_nothing_scrolls_sideways(phone: Page, state: str) -> None:
    """Targets are 48 px and more; the page is no wider than the screen, down to 320."""
    for seed in (1, 12):
        go(phone, state, seed)
        assert too_small(phone) == []
        for width in (390, 320, 1200):
            phone.set_viewport_size({"width": width, "height": 800})
            assert phone.evaluate("document.documentElement.scrollWidth") <= width
        smallest = phone.evaluate(
            """() => Math.min(...[...document.querySelectorAll("main *")]
              .filter((e) => e.innerText && e.children.length === 0)
              .map((e) => parseFloat(getComputedStyle(e).fontSize)))"""
        )
        assert smallest >= 17


def test_a_round_by_hand(phone: Page, axe: Callable[[Page], None]) -> None:
    """From the start page to the score, by what a person sees and taps."""
    phone.goto("/")
    phone.get_by_role("link", name="Practise, with a score").tap()
    phone.get_by_role("textbox", name="Its number").fill("1")
    phone.get_by_role("button", name="Start on this house").tap()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Practice house 1")

    phone.get_by_role("button", name="Static in the supply plenum").tap()
    now = phone.get_by_role("region", name="Now")
    expect(now).to_contain_text("It may still move.")
    first = now.locator(".figure").inner_text()
    now.get_by_role("button", name="Look again").tap()
    expect(now.locator(".figure")).not_to_have_text(first)
    now.get_by_role("button", name="Wait until it stands still").tap()
    expect(now).to_contain_text("It stands still.")
    # What was just read can be seen, and the places beside it are open.
    expect(now.locator(".figure")).to_be_in_viewport()
    phone.get_by_role("button", name="Static at the return").tap()
    now.get_by_role("button", name="Wait until it stands still").tap()

    phone.get_by_role("link", name="What Inchwater makes of it").tap()
    expect(phone.locator("#tool")).to_contain_text("odds of meeting the goal", timeout=30_000)
    axe(phone)
    assert too_small(phone) == []

    phone.locator("summary", has_text=re.compile("^Filter$")).tap()
    expect(phone.get_by_text("Filter out: briefly and never in heat").first).to_be_visible()
    phone.get_by_role("button", name="Pull the filter, briefly").tap()
    phone.get_by_role("button", name="Done: the goal is met").tap()
    expect(now.get_by_role("alert")).to_contain_text("Put the filter back first.")
    phone.get_by_role("button", name="Put the filter back").tap()

    phone.locator("summary", has_text="ch1:").tap()
    phone.get_by_role("button", name=re.compile(r"Make it for \$")).tap()
    expect(now).to_contain_text("Cooling call, after ch1")
    phone.locator("summary", has_text="ch1:").tap()
    phone.get_by_role("button", name="Take it back").tap()
    expect(now).to_contain_text("What was paid stays paid.")

    phone.get_by_role("link", name="To the end of the round").tap()
    phone.get_by_role("button", name="It cannot be reached with these").tap()
    expect(phone.get_by_text("What the survey did not say")).to_be_visible()
    phone.get_by_role("button", name="Another house").tap()
    expect(phone.get_by_role("heading", level=1)).to_contain_text("Practice house")


def test_it_works_without_scripts(chromium, server: str) -> None:  # type: ignore[no-untyped-def]
    """The tool's help is a page of its own, and every act is a form."""
    context = chromium.new_context(
        base_url=server, viewport={"width": 390, "height": 844}, java_script_enabled=False
    )
    page = context.new_page()
    page.goto("/rehearse/")
    page.get_by_role("button", name="Any house").click()
    page.get_by_role("button", name="Static in the supply plenum").click()
    page.get_by_role("link", name="What Inchwater makes of it").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("What Inchwater makes of it")
    page.get_by_role("link", name="Back to the house").click()
    page.get_by_role("button", name="It cannot be reached with these").click()
    expect(page.get_by_text("What the round cost")).to_be_visible()
    context.close()
