"""The steps that browser tests share: fields by their labels, as a person finds them."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

from playwright.sync_api import BrowserContext, Page, expect


@dataclass
class Hand:
    """A person at the page; ``inputs`` counts every field filled and every choice taken."""

    page: Page
    inputs: list[str] = field(default_factory=list)

    def leave(self, label: str, typed: str, told: str | re.Pattern[str] | None = None) -> None:
        """Type into a field, leave it, and see what the page says."""
        box = self.page.get_by_role("textbox", name=label, exact=True)
        box.fill(typed)
        box.blur()
        self.inputs.append(label)
        if told is not None:
            name = box.get_attribute("id")
            expect(self.page.locator(f"#told-{name}")).to_contain_text(told)

    def choose(self, label: str, told: str | None = None) -> None:
        """Take a choice that is on the page, by tapping its whole line."""
        line = re.compile(rf"^\s*{re.escape(label)}")
        self.page.locator("label").filter(has_text=line).tap()
        self.inputs.append(label)
        if told is not None:
            expect(self.page.get_by_text(told, exact=True)).to_be_visible()

    def act(self, name: str) -> None:
        """Tap a button or an act that looks like one."""
        self.page.get_by_role("button", name=name).tap()

    def first_answer(self) -> None:
        """From the start page to the findings of an air handler."""
        self.page.goto("/")
        self.act("New reading")
        self.leave("Cooling capacity", "3", "Saved: 3.0 ton")
        self.choose("Air handler, coil inside", "Saved: Air handler, coil inside")
        self.leave("Return static", "0.29", "Saved: 0.29 in. w.c.")
        self.leave("Supply static", "0.42", "Saved: 0.42 in. w.c.")
        self.act("Answer")
        self.page.wait_for_url("**/findings/")


def open_demo(page: Page, name: str) -> str:
    """Open an invented house; the address of its visit."""
    page.goto("/")
    page.get_by_role("link", name=name).tap()
    page.wait_for_url("**/findings/")
    # A picture on its way when the page is left would count as a request that failed.
    settled(page)
    return page.url.removesuffix("findings/")


def too_small(page: Page) -> list[Any]:
    """Everything to tap that is smaller than 48 px, links within a sentence aside."""
    found: list[Any] = page.evaluate(
        """() => {
          const small = [];
          const all = "a, button, input, select, textarea, summary, label";
          document.querySelectorAll(all).forEach((e) => {
            if (e.closest(".skip, p:not(:has(> a:only-child)), li p, figure noscript")) return;
            if (e.matches("input[type=hidden], .field > label, .label, .skip")) return;
            // A choice is tapped on its whole line.
            if (e.matches(".choices input")) return;
            const box = e.getBoundingClientRect();
            if (box.width === 0) return;
            if (box.height < 47.5 || box.width < 47.5)
              small.push([e.outerHTML.slice(0, 120), box.width, box.height]);
          });
          return small;
        }"""
    )
    return found


def open_all(page: Page) -> None:
    """Unfold everything, so that what is folded is looked at too."""
    page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true })")


def settled(page: Page) -> None:
    """Wait until every picture has come."""
    page.wait_for_load_state("networkidle")
    expect(page.locator("figure.waits > p.soft")).to_have_count(0)


def lose_signal(context: BrowserContext, page: Page) -> None:
    """Cut the page off, and wait until that is so.

    The browser says that it is cut off before its network is: what is sent at once may still go
    out, and only the answer is lost.
    """
    context.set_offline(True)
    page.wait_for_function(
        "() => fetch('/visits/', {cache: 'no-store'}).then(() => false, () => true)"
    )
