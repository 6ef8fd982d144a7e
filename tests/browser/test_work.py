"""The work page at phone size, with signal and without."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect

from inchwater.app.firms.services import make_local_firm
from inchwater.app.visits import services
from inchwater.app.visits.entries import add_entry
from inchwater.app.visits.models import Visit
from inchwater.app.work import services as work
from inchwater.survey import Change, Fact
from tests.browser.steps import lose_signal, open_all, settled, too_small

CHANGES = (
    Change("c1", "filter", ("f1",), {"grade": "pleat-1in-merv8"}),
    Change("c2", "enlarge-return", ("g1",), {"diameter": Fact(16.0, "in")}),
)


@pytest.fixture
def demo(server: str) -> Visit:
    """The basement furnace with a filter and a return accepted; its filter was out once."""
    firm, user = make_local_firm()
    visit = next(v for v in services.load_demos(firm, user) if v.demo == "b")
    ids = services.add_changes(firm, user, visit.pk, CHANGES)
    add_entry(visit, user, "accepted-1", {"kind": "accepted", "changes": list(ids)})
    return services.find_visit(firm, visit.pk)


@pytest.fixture
def page(context: BrowserContext) -> Page:
    """A page on the phone that may lose its signal: what fails then is not held against it."""
    return context.new_page()


def told(page: Page) -> Locator:
    """What waits on the phone."""
    return page.locator("#waiting [role=status]")


def opened(page: Page, visit: Visit) -> None:
    """Open the page of the work, and wait until it is kept on the phone."""
    page.goto(f"/visits/{visit.pk}/work/")
    expect(page.locator("#work")).to_have_attribute("data-kept", "yes")
    open_all(page)


def test_a_step_is_done_read_and_judged_without_signal_and_sent_later(
    page: Page, context: BrowserContext, demo: Visit
) -> None:
    """All of it survives a reload without signal; with signal it is in the job, once."""
    firm, _ = make_local_firm()
    opened(page, demo)
    first = page.locator("#step-1")
    reading = first.locator("[data-low]").first
    low, high = (float(reading.get_attribute(f"data-{end}") or "") for end in ("low", "high"))
    box = reading.locator("input")
    lose_signal(context, page)
    first.get_by_role("button", name="Step 1 is done").tap()
    box.fill(f"{(low + high) / 2:.3f}".replace(".", ","))
    reading.get_by_role("button", name="Judge and keep").tap()
    expect(reading.locator("[data-said=inside]")).to_contain_text("as expected")
    other = first.locator("[data-low]").nth(1)
    other.locator("input").fill("0.9")
    # Not after the reload: a page that loads is for a moment not cut off yet, and what it sends
    # then arrives although its answer is lost. Once sent again, it is in the job once.
    assert services.job(firm, demo.pk).work[1:] == ()
    page.reload()
    expect(told(page)).to_contain_text("2 records wait on this phone")
    expect(page.locator("#step-1 h2 .mark")).to_be_visible()
    expect(reading.locator("[data-said=inside]")).to_be_visible()
    # What was typed and not kept yet stands where it stood.
    expect(other.locator("input")).to_have_value("0.9")
    context.set_offline(False)
    expect(told(page)).to_have_text("All is sent.")
    job = services.job(firm, demo.pk)
    assert [(one.kind, one.changes) for one in job.work[1:]] == [("done", ("c1",))]
    assert job.trials[-1].after == ("c1",)
    (kept,) = job.trials[-1].readings
    assert abs(abs(kept.value) - (low + high) / 2 * 249.089) < 1.0
    page.get_by_role("link", name="The plan for what is left, with these").tap()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Step 2 of 2")
    expect(page.locator("#step-1 [data-said=inside]").first).to_be_visible()


def test_a_reading_outside_says_what_it_most_likely_means(page: Page, demo: Visit) -> None:
    """Far above and far below have sentences of their own; no number is no reading."""
    opened(page, demo)
    reading = page.locator("#step-1 [data-low]").first
    for typed, side in (("9", "above"), ("0.0001", "below"), ("much", "none")):
        reading.locator("input").fill(typed)
        reading.get_by_role("button", name="Judge and keep").tap()
        expect(reading.locator(f"[data-said={side}]")).to_be_visible()
        expect(reading.locator("[data-said]:visible")).to_have_count(1)
    expect(reading.locator("input")).to_have_attribute("aria-invalid", "true")


def test_what_is_sent_meanwhile_says_nothing_of_what_is_typed_now(
    page: Page, context: BrowserContext, demo: Visit
) -> None:
    """The answer to a reading comes while another one is typed: this one's sentence stays."""
    opened(page, demo)
    reading = page.locator("#step-1 [data-low]").first
    judged = reading.get_by_role("button", name="Judge and keep")
    lose_signal(context, page)
    reading.locator("input").fill("9")
    judged.tap()
    expect(told(page)).not_to_have_text("All is sent.")
    reading.locator("input").fill("much")
    judged.tap()
    context.set_offline(False)
    # Nine inches are more than a house can have: the answer says so.
    expect(page.locator("#waiting li")).to_contain_text("9 in. w.c. came")
    expect(reading.locator("[data-said=none]")).to_be_visible()
    expect(reading.locator("[data-said]:visible")).to_have_count(1)
    expect(reading.locator("input")).to_have_value("much")


def test_the_signal_comes_back_while_a_try_to_send_fails(page: Page, demo: Visit) -> None:
    """What waits is sent at once then, and not only when its next turn comes (never, here)."""
    page.add_init_script("window.setInterval = () => 0")
    opened(page, demo)
    page.evaluate(
        """() => {
          const real = window.fetch;
          window.fetch = () => new Promise((_, fail) => {
            window.cutOff = () => { window.fetch = real; fail(new TypeError("no signal")); };
          });
        }"""
    )
    page.locator("#step-1").get_by_role("button", name="Step 1 is done").tap()
    expect(told(page)).to_contain_text("1 record waits")
    page.evaluate("() => { window.dispatchEvent(new Event('online')); window.cutOff(); }")
    expect(told(page)).to_have_text("All is sent.")


def test_a_gate_stands_before_its_step(page: Page, demo: Visit) -> None:
    """With a water heater beside it a return step waits for spillage and carbon monoxide."""
    firm, _ = make_local_firm()
    opened(page, demo)
    step = page.locator("#step-2")
    done = step.get_by_role("button", name="Step 2 is done")
    before = step.locator("[data-gate][data-when=before]")
    done.tap()
    expect(step.locator("[data-blocked]")).to_be_visible()
    spillage = before.filter(has_text="Spillage")
    spillage.locator("input").fill("90")
    spillage.get_by_role("button", name="Keep this result").tap()
    expect(spillage.locator("[data-gate-stop]")).to_be_visible()
    done.tap()
    expect(step.locator("[data-blocked]")).to_be_visible()
    for gate in before.all():
        gate.get_by_role("button", name="Referred").tap()
    page.locator("#step-1").get_by_role("button", name="Step 1 is done").tap()
    done.tap()
    expect(step.locator("h2 .mark")).to_be_visible()
    expect(told(page)).to_have_text("All is sent.")
    assert work.refused(firm, demo.pk) == []
    assert [one.changes for one in services.job(firm, demo.pk).work if one.kind == "done"] == [
        ("c1",),
        ("c2",),
    ]


def test_the_program_s_refusal_is_read_and_kept(page: Page, demo: Visit) -> None:
    """A step that was done on another phone meanwhile: the reason stands there until it is read."""
    firm, user = make_local_firm()
    opened(page, demo)
    work.receive(firm, user, demo.pk, [{"id": "other-phone-1", "kind": "done", "changes": ["c1"]}])
    page.locator("#step-1").get_by_role("button", name="Step 1 is done").tap()
    line = page.locator("#waiting li")
    expect(line).to_contain_text("c1 done again came")
    line.get_by_role("button", name="I have read it").tap()
    expect(line).to_have_count(0)
    page.reload()
    expect(page.get_by_text("Kept, and no part of the work (1)")).to_be_visible()


def test_what_is_too_loud_is_said_without_signal(
    page: Page, context: BrowserContext, demo: Visit
) -> None:
    """Ticked after the step, kept on the phone, in the job with the step in force."""
    firm, _ = make_local_firm()
    opened(page, demo)
    lose_signal(context, page)
    page.locator("#step-1").get_by_role("button", name="Step 1 is done").tap()
    asked = page.locator("#heard")
    asked.get_by_role("button", name="Too loud where ticked").tap()
    expect(asked.locator("[data-heard-none]")).to_be_visible()
    box = asked.locator("input").first
    box.tap()
    asked.get_by_role("button", name="Too loud where ticked").tap()
    expect(asked.locator("[data-heard-none]")).to_be_hidden()
    expect(asked.locator("[data-heard-said]")).to_have_text("something is too loud")
    page.reload()
    expect(told(page)).to_contain_text("2 records wait on this phone")
    expect(page.locator("#heard input").first).to_be_checked()
    context.set_offline(False)
    expect(told(page)).to_have_text("All is sent.")
    record = services.job(firm, demo.pk).work[-1]
    assert (record.kind, record.changes) == ("heard", ("c1",))
    assert record.loud == (page.locator("#heard input").first.get_attribute("value"),)
    page.get_by_role("link", name="The plan for what is left, with these").tap()
    expect(page.get_by_role("heading", name="It is too loud")).to_be_visible()
    page.locator("#heard").get_by_role("button", name="Nothing is too loud").tap()
    expect(told(page)).to_have_text("All is sent.")
    assert services.job(firm, demo.pk).work[-1].loud == ()


def test_that_they_called_again_is_said_without_signal(
    page: Page, context: BrowserContext, demo: Visit
) -> None:
    """Kept on the phone, in the job with the step in force, and weighed from then on."""
    firm, _ = make_local_firm()
    opened(page, demo)
    page.locator("#step-1").get_by_role("button", name="Step 1 is done").tap()
    expect(told(page)).to_have_text("All is sent.")
    lose_signal(context, page)
    page.get_by_role("button", name="They called again").tap()
    expect(page.locator("[data-called-said]")).to_have_text("they did")
    page.reload()
    expect(page.locator("[data-called-said]")).to_be_visible()
    context.set_offline(False)
    expect(told(page)).to_have_text("All is sent.")
    record = services.job(firm, demo.pk).work[-1]
    assert (record.kind, record.changes) == ("called-again", ("c1",))
    page.get_by_role("link", name="The plan for what is left, with these").tap()
    expect(page.get_by_role("heading", name="It does not do what is wanted")).to_be_visible()


def test_what_was_set_for_measuring_is_put_back(page: Page, demo: Visit) -> None:
    """Ticked, it is in the job."""
    firm, _ = make_local_firm()
    opened(page, demo)
    page.get_by_role("button", name="Put back: the filter").tap()
    expect(told(page)).to_have_text("All is sent.")
    record = services.job(firm, demo.pk).work[-1]
    assert (record.kind, record.state, record.trial) == ("undone", "filter:f1", "tr2")


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_the_page_is_for_hands_eyes_and_screen_readers(
    phone: Page, axe: Callable[[Page], None], demo: Visit, theme: str
) -> None:
    """No violation, targets of 48 px, no wider than the phone, with all of it unfolded."""
    phone.emulate_media(color_scheme=theme)  # type: ignore[arg-type]
    opened(phone, demo)
    settled(phone)
    open_all(phone)
    axe(phone)
    assert too_small(phone) == []
    for width in (320, 390, 1200):
        phone.set_viewport_size({"width": width, "height": 844})
        assert phone.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("wrong", ["0,3,1", "0.3,1", "12,34,5"])
def test_a_comma_too_many_is_no_number_on_the_phone_either(
    page: Page, demo: Visit, wrong: str
) -> None:
    """What the program refuses is not judged as another number; it stays as it was typed."""
    opened(page, demo)
    reading = page.locator("#step-1 [data-low]").first
    reading.locator("input").fill(wrong)
    reading.get_by_role("button", name="Judge and keep").tap()
    expect(reading.locator("[data-said=none]")).to_be_visible()
    expect(reading.locator("[data-said]:visible")).to_have_count(1)
    expect(reading.locator("input")).to_have_value(wrong)
    expect(told(page)).to_contain_text("Nothing waits to be sent")
