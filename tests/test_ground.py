"""The ground: pinned lists that name no address, and a set-up that says what is missing."""

from __future__ import annotations

import importlib.util
import re
import subprocess
import sys
import tomllib
from pathlib import Path
from types import ModuleType

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
# Written in halves, so that this file does not find itself.
HOSTS = (
    "pypi" + ".org",
    "python" + "hosted.org",
    "registry." + "npmjs",
    "unpkg" + ".com",
    "js" + "delivr",
    "cdnjs." + "cloudflare",
    "deb." + "debian.org",
    "fonts." + "googleapis",
    "anaconda" + ".org",
)
INDEX_OPTION = re.compile(r"(index-url|find-links|trusted-host)[ =]+\S*(://|\w\.\w)")
MACHINE_PATH = re.compile(r"(?<![\w./>*}-])/(work|root|home|opt/pypi)/|\.\./shared")


def load(name: str) -> ModuleType:
    """A script of tools/ as a module."""
    spec = importlib.util.spec_from_file_location(f"tools_{name}", ROOT / "tools" / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def pinned(name: str) -> dict[str, set[str]]:
    """The versions of a pinned list by package."""
    versions: dict[str, set[str]] = {}
    for line in (ROOT / "requirements" / f"{name}.txt").read_text(encoding="utf-8").splitlines():
        if match := re.match(r"([A-Za-z0-9._-]+)==([^ ;\\]+)", line):
            versions.setdefault(canonicalize_name(match[1]), set()).add(match[2])
    return versions


def project_files() -> list[Path]:
    """The text files that are or can be committed."""
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    found = (ROOT / name for name in listed.stdout.split("\0") if name)
    binary = {".png", ".ttf", ".woff2", ".sqlite3", ".bin"}
    return [path for path in found if path.is_file() and path.suffix not in binary]


def test_no_file_names_a_package_index_or_a_path_of_one_machine():
    """What the project installs comes from wherever the user's own tools are pointed at."""
    wrong = []
    for path in project_files():
        for number, line in enumerate(path.read_text("utf-8", "replace").splitlines(), start=1):
            found = any(host in line for host in HOSTS) or INDEX_OPTION.search(line)
            if found or (path != Path(__file__) and MACHINE_PATH.search(line)):
                wrong.append(f"{path.relative_to(ROOT)}:{number}: {line.strip()[:100]}")
    assert wrong == []


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("build", PROJECT["dependency-groups"]["build"]),
        ("run", PROJECT["project"]["dependencies"]),
        ("dev", PROJECT["project"]["dependencies"] + PROJECT["dependency-groups"]["dev"]),
        ("dev", PROJECT["project"]["optional-dependencies"]["postgresql"]),
    ],
)
def test_a_pinned_list_holds_every_dependency_of_the_project(name, wanted):
    """Each named package is pinned, to versions that its own range allows."""
    versions = pinned(name)
    for text in wanted:
        requirement = Requirement(text)
        found = versions.get(canonicalize_name(requirement.name), set())
        assert found, f"{requirement.name} is missing: run `make lock`"
        assert all(requirement.specifier.contains(v, prereleases=True) for v in found), text


def test_the_development_list_holds_the_run_list_unchanged():
    """Tests run with exactly the versions that users run."""
    run, dev = pinned("run"), pinned("dev")
    assert {name: dev.get(name) for name in run} == run


@pytest.mark.parametrize("name", ["build", "run", "dev"])
def test_every_pinned_package_has_its_hashes(name):
    """A list line is a package with a hash on the next line, and nothing else."""
    text = (ROOT / "requirements" / f"{name}.txt").read_text(encoding="utf-8")
    entries = re.split(r"\n(?! )", text.strip())
    assert [e for e in entries if not re.match(r"\S+==\S+[^\n]*\n    --hash=sha256:", e)] == []


def test_an_old_python_is_told_what_to_install(monkeypatch):
    """Set-up under Python 3.9 with no newer one on PATH says which one is needed and how."""
    setup = load("setup")
    monkeypatch.setattr(setup, "newer_python", lambda: None)
    with pytest.raises(setup.MissingError) as caught:
        setup.check_python((3, 9, 2))
    assert str(caught.value) == (
        "Python 3.9 came; Inchwater needs 3.11 or newer.\n"
        "Install one (on Debian or Ubuntu: `apt-get install python3 python3-venv`), or name it: "
        "`make PYTHON=/path/to/python3.12 run`."
    )


def test_a_python_without_its_venv_package_is_told_so(monkeypatch):
    """Debian's bare python3 lacks ensurepip; the words name the package to install."""
    setup = load("setup")
    monkeypatch.setattr(setup.importlib.util, "find_spec", lambda name: None)
    with pytest.raises(setup.MissingError) as caught:
        setup.check_venv()
    minor = f"python{sys.version_info[0]}.{sys.version_info[1]}-venv"
    assert str(caught.value) == (
        f"This Python ({sys.executable}) cannot make a virtual environment: its venv package is "
        "missing.\nOn Debian or Ubuntu: `apt-get install python3-venv` "
        f"(or {minor}); then start again."
    )


@pytest.mark.parametrize(
    ("output", "words"),
    [
        ("ERROR: No matching distribution found for numpy==2.4.6", "No package index that holds"),
        ("OSError: [Errno 28] No space left on device", "The disk is full."),
        ("ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM", "A package is not the one that"),
        ("PermissionError: [Errno 13] Permission denied: 'x'", "This folder cannot be written to."),
        ("something nobody has seen", "Its last lines were:"),
    ],
)
def test_a_failed_installation_is_told_in_words(output, words):
    """What pip printed is explained first, and its own last lines follow."""
    first, second, last = load("setup").explain(output, "It failed.").split("\n")
    assert first == "It failed."
    assert second.startswith(words)
    assert last == "    " + output


def test_the_stamp_follows_the_list(tmp_path, monkeypatch):
    """A changed pinned list asks for a new installation; a linter's setting does not."""
    setup = load("setup")
    (tmp_path / "requirements").mkdir()
    for name in ("build", "run"):
        (tmp_path / "requirements" / f"{name}.txt").write_text(f"{name}==1\n")
    settings = tmp_path / "pyproject.toml"
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    settings.write_text(text, encoding="utf-8")
    monkeypatch.setattr(setup, "ROOT", tmp_path)
    before = setup.wanted("run")
    settings.write_text(text.replace("line-length = 100", "line-length = 99"), encoding="utf-8")
    assert setup.wanted("run") == before
    (tmp_path / "requirements" / "run.txt").write_text("run==2\n")
    assert setup.wanted("run") != before


def test_the_browser_that_is_named_goes_before_all(tmp_path):
    """INCHWATER_BROWSER wins over what is on PATH, and a name that leads nowhere finds nothing."""
    browser = load("browser")
    for name in ("chromium", "mine"):
        (tmp_path / name).write_text("#!/bin/sh\n")
        (tmp_path / name).chmod(0o755)
    environment = {"PATH": str(tmp_path)}
    assert browser.find(environment) == str(tmp_path / "chromium")
    assert browser.find({**environment, "INCHWATER_BROWSER": "mine"}) == str(tmp_path / "mine")
    assert browser.find({**environment, "INCHWATER_BROWSER": "gone"}) is None
