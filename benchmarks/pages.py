"""How long a person waits for a page: ``python -m benchmarks.pages [--quick]``.

A real server with its own records and a real Chromium at phone size.  A first answer is timed from
the submit until sentence and tables stand there, and until every picture is drawn; a what-if from
the choice until the new sentence, without the pictures.  Inputs are counted as they are made.
"""

from __future__ import annotations

import contextlib
import importlib.util
import os
import re
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

from benchmarks import frame

if TYPE_CHECKING:
    from playwright.sync_api import Page

ROOT = Path(__file__).resolve().parents[1]
# What the design promises. [ms]
PROMISED = {"first_answer_ms": 500, "pictures_ms": 1000, "what_if_ms": 300}
MOST_INPUTS = 8
DRAWN = (
    "() => document.querySelectorAll('figure.waits').length > 0 &&"
    " [...document.querySelectorAll('figure.waits')].every(one => one.querySelector('svg'))"
)


def _browser_tool() -> ModuleType:
    spec = importlib.util.spec_from_file_location("tools_browser", ROOT / "tools" / "browser.py")
    if spec is None or spec.loader is None:
        raise FileNotFoundError(ROOT / "tools" / "browser.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@contextlib.contextmanager
def serving() -> Iterator[str]:
    """Address of a server with the demo in it, its records in a folder that goes away."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    address = f"http://127.0.0.1:{port}"
    program = "from inchwater.cli import main; main()"
    command = [sys.executable, "-c", program, "serve", "--demo", "--port", str(port)]
    with tempfile.TemporaryDirectory(prefix="inchwater-bench-") as folder:
        server = subprocess.Popen(
            command,
            env={**os.environ, "INCHWATER_DATA": folder},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
        )
        try:
            _wait_for(address, server)
            yield address
        finally:
            server.terminate()
            server.wait(timeout=20)


def _wait_for(address: str, server: subprocess.Popen[str], patience: float = 60.0) -> None:
    """Return when the server answers; RuntimeError with its own words when it ends or is late."""
    end = time.monotonic() + patience
    while time.monotonic() < end:
        if server.poll() is not None:
            words = server.stderr.read() if server.stderr else ""
            raise RuntimeError(f"the server ended with {server.returncode}:\n{words}")
        with contextlib.suppress(OSError), urllib.request.urlopen(address, timeout=5):
            return
        time.sleep(0.1)
    raise RuntimeError(f"no answer from {address} within {patience:.0f} s")


def first_answer(page: Page, return_static: float) -> tuple[float, float, int]:
    """Start a visit, type what the page asks for, submit: (answer [ms], pictures [ms], inputs)."""
    page.goto("/")
    page.get_by_role("button", name="New reading").click()
    page.wait_for_url("**/reading/")
    inputs = 0
    typed = {"capacity": "2.5", "return_static": f"{return_static:.2f}", "supply_static": "0.42"}
    for name, text in typed.items():
        page.locator(f"#{name}").fill(text)
        inputs += 1
    # A furnace has its coil apart, so it is asked where the supply was read: the longest way.
    for name, value in {"unit_kind": "furnace", "supply_at": "before-coil"}.items():
        page.locator(f"label:has(input[name='{name}'][value='{value}'])").click()
        inputs += 1
        page.wait_for_load_state("networkidle")
    start = time.perf_counter()
    page.get_by_role("button", name="Answer", exact=True).click()
    page.wait_for_url("**/findings/", wait_until="domcontentloaded")
    sentence = page.locator("h1").inner_text()
    page.locator("table:visible").first.wait_for()
    answered = time.perf_counter()
    if "cfm" not in sentence:
        raise RuntimeError(f"no airflow in the first answer: {sentence}")
    page.wait_for_function(DRAWN)
    drawn = time.perf_counter()
    return (answered - start) * 1000.0, (drawn - start) * 1000.0, inputs


def open_what_if(page: Page) -> None:
    """Open the what-if of the first demo house, the runs' control unfolded, its last run chosen."""
    page.goto("/")
    page.locator("a", has_text="Attic heat pump").first.click()
    page.wait_for_url("**/findings/")
    page.goto(re.sub(r"findings/.*$", "what-if/", page.url))
    page.locator("#control-tighten-run > summary").click()
    # One run stays chosen, so that giving up another always leaves something to forecast.
    page.locator("label:has(input[name='tighten-run.at'])").last.click()
    page.locator("#forecast h2").first.wait_for()
    page.wait_for_load_state("networkidle")


def what_if(page: Page, run: int) -> float:
    """Choose, or give up, one more run to pull tight; how long until the new sentence. [ms]"""
    box = page.locator("label:has(input[name='tighten-run.at'])").nth(run)
    page.evaluate(
        "() => { window.swapped = false; document.body.addEventListener('htmx:afterSwap',"
        " event => { if (event.target.id === 'forecast') window.swapped = true; }) }"
    )
    start = time.perf_counter()
    box.click()
    page.wait_for_function("() => window.swapped")
    took = (time.perf_counter() - start) * 1000.0
    page.locator("#forecast h2").first.wait_for()
    # The pictures of this round must not run into the next one's time.
    page.wait_for_load_state("networkidle")
    return took


def measure(rounds: int) -> dict[str, list[float]]:
    """All times, and the inputs of each first answer."""
    from playwright.sync_api import sync_playwright

    tool = _browser_tool()
    found = tool.find()
    if found is None:
        raise SystemExit(tool.missing())
    times: dict[str, list[float]] = {name: [] for name in (*PROMISED, "inputs")}
    with serving() as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=list(tool.FLAGS))
        page = browser.new_page(base_url=address, viewport={"width": 390, "height": 844})
        page.set_default_timeout(20_000)
        # Round 0 belongs to the browser's own start; each other one is a job not seen before.
        for number in range(rounds + 1):
            answered, drawn, inputs = first_answer(page, 0.20 + 0.01 * number)
            if number:
                times["first_answer_ms"].append(answered)
                times["pictures_ms"].append(drawn)
                times["inputs"].append(inputs)
        open_what_if(page)
        for number in range(rounds + 1):
            took = what_if(page, number % 5)
            if number:
                times["what_if_ms"].append(took)
        browser.close()
    return times


def main() -> None:
    """Measure, print the table, and the one JSON object as last line."""
    rounds = 5 if frame.quick(__doc__ or "") else 20
    times = measure(rounds)
    result: dict[str, float | int] = {}
    rows = []
    for name, promised in PROMISED.items():
        middle, worst = frame.middle_and_worst(times[name])
        result[name] = round(middle, 1)
        verdict = "kept" if middle <= promised else "not kept"
        rows.append((name, f"{middle:.0f}", f"{worst:.0f}", promised, verdict))
    result["inputs"] = int(max(times["inputs"]))
    verdict = "kept" if result["inputs"] <= MOST_INPUTS else "not kept"
    rows.append(("inputs", result["inputs"], result["inputs"], MOST_INPUTS, verdict))
    frame.table(("what", "middle", "worst", "promised", ""), rows)
    frame.last_line(result)


if __name__ == "__main__":
    main()
