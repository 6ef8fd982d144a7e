"""The shape of the project: order of imports, docstrings, size of modules, sources of data."""

from __future__ import annotations

import ast
import csv
import os
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "src" / "inchwater"
LONGEST = 400
STATUSES = {"read", "memory", "computed", "common practice, no source", "proposed"}
# Invented numbers may live here and nowhere else.
INVENTED_IN = ("rehearsal",)


def modules() -> list[Path]:
    """Every module that a person wrote: migrations are generated."""
    folders = [PACKAGE, ROOT / "tools", ROOT / "benchmarks"]
    found = (path for folder in folders for path in sorted(folder.rglob("*.py")))
    return [path for path in found if "migrations" not in path.parts]


def named(path: Path) -> str:
    """The path as a test's name."""
    return path.relative_to(ROOT).as_posix()


def public_definitions(tree: ast.Module) -> Iterator[ast.stmt]:
    """Public functions and classes at the top of a module."""
    kinds = (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)
    for node in tree.body:
        if isinstance(node, kinds) and not node.name.startswith("_"):
            yield node


def test_packages_import_only_from_those_below_them():
    """The order of imports in pyproject.toml holds, and every package has its place in it."""
    command = shutil.which("lint-imports", path=Path(sys.executable).parent)
    assert command, "import-linter is not installed beside this Python"
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "src")}
    done = subprocess.run(
        [command, "--no-cache"],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize("path", modules(), ids=named)
def test_a_module_says_what_it_answers(path):
    """Every module, and every public function and class at its top, has a docstring."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    silent = [] if ast.get_docstring(tree) else ["the module itself"]
    silent += [node.name for node in public_definitions(tree) if not ast.get_docstring(node)]
    assert silent == []


@pytest.mark.parametrize("path", modules(), ids=named)
def test_a_module_can_be_read_in_one_sitting(path):
    """No module is longer than 400 lines; past that there is a seam to be found."""
    lines = path.read_text(encoding="utf-8").count("\n")
    assert lines <= LONGEST


@pytest.mark.parametrize("path", sorted((ROOT / "tests").rglob("test_*.py")), ids=named)
def test_every_test_states_the_behaviour(path):
    """Each test's docstring says what is expected, in words."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    tests = [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
    ]
    assert [node.name for node in tests if not ast.get_docstring(node)] == []


def data_files() -> list[Path]:
    """Every table of numbers that ships: blower tables are a job's own, the app's are wording."""
    found = []
    for path in sorted(PACKAGE.rglob("*.csv")):
        if path.parts[len(PACKAGE.parts)] == "app":
            continue
        header = path.read_text(encoding="utf-8").splitlines()[0].split(",")
        if "tap" not in header:
            found.append(path)
    return found


@pytest.mark.parametrize("path", data_files(), ids=named)
def test_every_number_that_ships_says_where_it_is_from(path):
    """Each row of each data file has a status from the list; a read number has its source."""
    allowed = STATUSES | ({"invented"} if path.parts[len(PACKAGE.parts)] in INVENTED_IN else set())
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert rows, "the file holds no row"
    wrong = [n for n, row in enumerate(rows, start=2) if row.get("status") not in allowed]
    assert wrong == [], f"rows whose status is none of {sorted(allowed)}"
    unnamed = [n for n, row in enumerate(rows, start=2) if row["status"] == "read"]
    unnamed = [n for n in unnamed if not rows[n - 2].get("source")]
    assert unnamed == [], "rows that were read, without the document they were read in"


@pytest.mark.slow
def test_the_wheel_holds_every_file_of_the_package(tmp_path):
    """`pip install .` puts the whole package on a machine, its data and templates too."""
    source = tmp_path / "source"
    source.mkdir()
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, source)
    skipped = shutil.ignore_patterns("__pycache__", "*.egg-info")
    shutil.copytree(ROOT / "src", source / "src", ignore=skipped)
    pip = [sys.executable, "-m", "pip", "-q", "--disable-pip-version-check"]
    build = ["wheel", "--no-deps", "--no-build-isolation", "--wheel-dir", str(tmp_path / "wheel")]
    subprocess.run([*pip, *build, str(source)], check=True)
    (wheel,) = (tmp_path / "wheel").glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        held = {name for name in archive.namelist() if name.startswith("inchwater/")}
    files = (path for path in (source / "src").rglob("*") if path.is_file())
    wanted = {path.relative_to(source / "src").as_posix() for path in files}
    # Building leaves its own notes beside the package.
    wanted = {name for name in wanted if ".egg-info/" not in name}
    assert wanted - held == set()
