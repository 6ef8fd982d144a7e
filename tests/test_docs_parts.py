"""The pages of docs/parts hold: every module and coefficient has its place, examples run."""

from __future__ import annotations

import csv
import doctest
import importlib.util
import re
from pathlib import Path
from types import ModuleType

import pytest

from inchwater import air
from inchwater.network import condition, rest
from inchwater.parts import ducts, filters, flex, leaks
from inchwater.units import from_si

ROOT = Path(__file__).resolve().parents[1]
PAGES = sorted((ROOT / "docs" / "parts").glob("*.md"))
FAMILIES = [path for path in PAGES if path.name != "README.md"]
PARTS = ROOT / "src" / "inchwater" / "parts"
FILES = sorted((PARTS / "data").glob("*.csv"))
TABLE = re.compile(r"<!-- table: (\S+)[^\n]*? -->\n(.*?)<!-- end -->", re.DOTALL)
EXAMPLE = re.compile(r"^```pycon\n(.*?)^```", re.MULTILINE | re.DOTALL)
# What a trial may have for a while.
CONDITIONS = {*condition._WORDS, "tap", "volts"}
# Each family's page has these.
TOLD = ("## Equation", "## Source", "## Range", "## Not modelled")


def text(path: Path) -> str:
    """A page as it is."""
    return path.read_text(encoding="utf-8")


def tool() -> ModuleType:
    """The script that writes the tables."""
    spec = importlib.util.spec_from_file_location(
        "tools_part_tables", ROOT / "tools" / "part_tables.py"
    )
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def keys(path: Path) -> list[str]:
    """The keys of a coefficient file."""
    with path.open(encoding="utf-8", newline="") as file:
        return [row["key"] for row in csv.DictReader(file)]


def test_every_parts_module_has_its_page():
    """Each module of `parts` is named by its path, and no module that is not there."""
    there = {path.stem for path in PARTS.glob("*.py")} - {"__init__"}
    told = set(
        re.findall(r"`src/inchwater/parts/(\w+)\.py`", "\n".join(text(page) for page in PAGES))
    )
    assert told == there


@pytest.mark.parametrize("path", FAMILIES, ids=lambda path: path.stem)
def test_a_page_tells_equation_source_range_and_what_is_left_out(path):
    """Every family's page has the four parts that a reader looks for."""
    assert [part for part in TOLD if part not in text(path)] == []


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_coefficient_is_in_one_table(path):
    """A coefficient file is shown on one page, each of its keys once and with its status."""
    shown = [
        found[2] for page in PAGES for found in TABLE.finditer(text(page)) if found[1] == path.stem
    ]
    assert len(shown) == 1
    told = re.findall(r"^\| `([^`]+)` \|", shown[0], re.MULTILINE)
    assert told == keys(path)


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.stem)
def test_tables_are_as_their_files(path):
    """No table is stale; `python3 tools/part_tables.py` writes them anew."""
    stale = tool().filled(text(path)) != text(path)
    assert not stale, f"{path.name} is stale: run python3 tools/part_tables.py"


def test_an_added_coefficient_makes_its_page_stale(tmp_path, monkeypatch):
    """The check of the tables sees a number that changed in its file alone."""
    module = tool()
    name = "roughness"
    changed = tmp_path / f"{name}.csv"
    changed.write_text(text(PARTS / "data" / f"{name}.csv").replace("0.0003,", "0.0004,"), "utf-8")
    monkeypatch.setattr(module, "DATA", tmp_path)
    page = text(ROOT / "docs" / "parts" / "ducts.md")
    assert "| `metal` | 0.0004 ft |" in module.filled(page)
    assert "| `metal` | 0.0003 ft |" in page


@pytest.mark.parametrize(
    ("page", "said"),
    [
        ("ducts", f"between {ducts.LAMINAR_END:.0f} and {ducts.TURBULENT_START:.0f}"),
        ("ducts", f"f = {ducts.LAMINAR_DRAG:.0f}/Re"),
        ("flex", f"from none to {100 * flex.MAX_COMPRESSION:.0f} %"),
        ("leaks", f"Below {leaks.LINEAR_BELOW} Pa"),
        ("filters", f"at {from_si(filters.REFERENCE_VELOCITY, 'fpm'):.0f} fpm"),
        ("network", f"within {rest.PATH_TOLERANCE:.0e} of the pressure".replace("e-0", "e-")),
        ("network", f"mass within {rest.MASS_TOLERANCE:.0e}".replace("e-0", "e-")),
        ("air", f"{from_si(air.STANDARD.density, 'lbft3'):.3f} lb/ft³"),
    ],
)
def test_numbers_of_the_code_are_those_of_the_pages(page, said):
    """What a page says of a constant that stands in code and in no table is that constant."""
    prose = " ".join(text(ROOT / "docs" / "parts" / f"{page}.md").split())
    assert said.lower() in prose.lower()


def test_the_accepted_residuals_are_those_of_the_page():
    """The page of the network names the tolerances that a variant is accepted with."""
    assert (rest.PATH_TOLERANCE, rest.MASS_TOLERANCE) == (1e-6, 1e-9)


def test_every_condition_is_on_the_page_of_the_network():
    """The page's table has each key that a condition may have, and no other."""
    page = text(ROOT / "docs" / "parts" / "network.md")
    rows = re.findall(r"^\| (`\w+`(?:, `\w+`)*) \|", page, re.MULTILINE)
    told = {key for row in rows for key in re.findall(r"\w+", row)}
    assert told == CONDITIONS


def test_every_page_is_in_the_list_of_pages():
    """The index links to each page, so that a reader finds it."""
    index = text(ROOT / "docs" / "parts" / "README.md")
    assert [page.name for page in FAMILIES if f"]({page.name})" not in index] == []


@pytest.mark.parametrize("path", FAMILIES, ids=lambda path: path.stem)
def test_keys_that_a_page_speaks_of_are_there(path):
    """A key in code type in a page's own text is one of a table, on this page or another's."""
    known = {key for file in FILES for key in keys(file)}
    prose = EXAMPLE.sub("", TABLE.sub("", text(path)))
    # Keys have a space, a dot or a hyphen in them or stand alone as a word; names of code have
    # brackets, slashes or underscores and are left to the other tests.
    said = set(re.findall(r"`([a-z][a-z.0-9 -]*[a-z0-9])`", prose))
    allowed = {"psychrolib", "fluids", "wntr", "beyond"} | {
        row for file in FILES for row in header(file)
    }
    allowed |= CONDITIONS
    assert sorted(said - known - allowed) == []


def header(path: Path) -> list[str]:
    """The columns of a coefficient file."""
    return text(path).splitlines()[0].split(",")


@pytest.mark.parametrize(
    "path", [page for page in PAGES if EXAMPLE.search(text(page))], ids=lambda path: path.stem
)
def test_examples_give_what_they_show(path):
    """Every example of a page runs and prints what stands under it."""
    found = "\n".join(EXAMPLE.findall(text(path)))
    test = doctest.DocTestParser().get_doctest(found, {}, path.name, str(path), 0)
    assert test.examples
    said: list[str] = []
    runner = doctest.DocTestRunner(verbose=False)
    runner.run(test, out=said.append)
    assert "".join(said) == ""
