"""What is worth reading next, at 390 px: by its own request on the page of readings, and alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from playwright.sync_api import Page, expect

from inchwater.app.firms.services import make_local_firm
from inchwater.app.visits import services
from inchwater.rehearsal import demos
from inchwater.survey import Job
from tests.browser.steps import open_all, settled, too_small


def unread() -> Job:
    """The basement furnace before anybody looked at its filter: two statics."""
    job = demos()["b"]
    filters = tuple(replace(f, condition=None) for f in job.survey.filters or ())
    first = job.trials[0]
    readings = tuple(r for r in first.readings if r.at in ("return", "supply"))
    survey = replace(job.survey, filters=filters)
    return replace(job, survey=survey, trials=(replace(first, readings=readings),))


def test_after_a_trial_the_page_of_readings_says_what_to_read_next(
    phone: Page, axe: Callable[[Page], None]
) -> None:
    """It comes after the page, names the reading, its minutes and its caution; all in one list."""
    firm, user = make_local_firm()
    visit = services.import_job(firm, user, unread())
    phone.goto(f"/visits/{visit.pk}/reading/")
    section = phone.get_by_role("region", name="What to read next")
    expect(section.get_by_role("heading", level=2)).to_contain_text("Static before the filter")
    expect(section).to_contain_text("About 4 min.")
    expect(section.locator(".care").first).to_be_visible()
    section.locator("summary", has_text="All readings by what they are worth").tap()
    expect(section.get_by_role("row", name="Enough: stop measuring")).to_be_visible()
    settled(phone)
    open_all(phone)
    axe(phone)
    assert too_small(phone) == []
    for width in (320, 390, 1200):
        phone.set_viewport_size({"width": width, "height": 844})
        assert phone.evaluate("document.documentElement.scrollWidth") <= width


def test_the_table_needs_no_scrolling_on_a_phone(phone: Page) -> None:
    """Reading, minutes, money and whether it pays stand side by side at 390 px."""
    firm, user = make_local_firm()
    visit = services.import_job(firm, user, unread())
    phone.goto(f"/visits/{visit.pk}/next-reading/")
    open_all(phone)
    table = phone.locator(".next .scroll").first
    assert table.evaluate("box => box.scrollWidth - box.clientWidth") <= 0
