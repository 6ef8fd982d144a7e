"""A real Chromium at phone size against a running server, and axe-core over what it shows."""

from __future__ import annotations

import importlib.util
import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

# Playwright's synchronous calls run inside an event loop of its own, which Django takes for
# asynchronous code in the test's thread; the server has a thread to itself.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

PHONE = {"width": 390, "height": 844}
# A search on the other processor makes a page slow, not wrong. [ms]
PATIENCE = 20_000
_TOOL = Path(__file__).resolve().parents[2] / "tools" / "browser.py"


def _tool() -> Any:
    spec = importlib.util.spec_from_file_location("tools_browser", _TOOL)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """One Chromium for all browser tests; without one the tests fail and say what to install."""
    tool = _tool()
    expect.set_options(timeout=PATIENCE)
    found = tool.find()
    if found is None:
        pytest.fail(tool.missing(), pytrace=False)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=list(tool.FLAGS))
        yield browser
        browser.close()


@pytest.fixture
def server(live_server: Any) -> str:
    """Address of a running server on an empty database."""
    return str(live_server.url)


@pytest.fixture
def context(chromium: Browser, server: str) -> Iterator[BrowserContext]:
    """A fresh phone: nothing stored, touch, 390 px wide; addresses are relative to the server."""
    context = chromium.new_context(
        base_url=server, viewport=PHONE, has_touch=True, is_mobile=True, reduced_motion="reduce"
    )
    context.set_default_timeout(PATIENCE)
    yield context
    context.close()


@pytest.fixture
def phone(context: BrowserContext) -> Iterator[Page]:
    """A page on the phone; an error in its console or a request that failed fails the test."""
    page = context.new_page()
    troubles: list[str] = []
    page.on("pageerror", lambda error: troubles.append(f"script: {error}"))
    page.on(
        "console",
        lambda message: troubles.append(message.text) if message.type == "error" else None,
    )
    # A refused input is part of many tests, and the browser notes it as an error by itself.
    yield page
    told = "Failed to load resource: the server responded with a status of 4"
    assert [text for text in troubles if not text.startswith(told)] == []


@pytest.fixture
def axe() -> Callable[[Page], None]:
    """``axe(page)`` fails with axe-core's own words when it finds anything."""
    engine = Axe()

    def check(page: Page) -> None:
        found = engine.run(page)
        assert found.violations_count == 0, f"{page.url}\n{found.generate_report()}"

    return check
