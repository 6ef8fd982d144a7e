"""The documents hold: links lead somewhere, named paths exist, and the README's commands run."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
DOCUMENTS = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")])
LINK = re.compile(r"\]\(([^)#\s]+)")
NAMED_PATH = re.compile(r"`((?:src|tests|docs|tools|requirements|benchmarks)/[\w./-]+)`")
CONSOLE = re.compile(r"^```console\n(.*?)^```", re.MULTILINE | re.DOTALL)


def named(path: Path) -> str:
    """The path as a test's name."""
    return path.relative_to(ROOT).as_posix()


@pytest.mark.parametrize("path", DOCUMENTS, ids=named)
def test_links_and_paths_lead_somewhere(path):
    """Every relative link, and every file or folder named in code type, is there."""
    text = path.read_text(encoding="utf-8")
    links = [link for link in LINK.findall(text) if "://" not in link]
    missing = [link for link in links if not (path.parent / link).exists()]
    missing += [name for name in NAMED_PATH.findall(text) if not (ROOT / name).exists()]
    assert missing == []


def test_the_architecture_names_every_package_and_no_other():
    """The tree in docs/architecture.md is the tree on disk."""
    text = (ROOT / "docs" / "architecture.md").read_text(encoding="utf-8")
    told = set(re.findall(r"^\| `(\w+)` \|", text, re.MULTILINE))
    package = ROOT / "src" / "inchwater"
    there = {path.stem for path in package.glob("*.py")} | {
        path.parent.name for path in package.glob("*/__init__.py")
    }
    assert told == {name for name in there if not name.startswith("__")}


def test_every_decision_tells_what_would_change_our_mind():
    """A record has its question, choice, measurement and the end of its validity."""
    parts = ("question", "choice", "measured", "change our mind")
    records = sorted((ROOT / "docs" / "decisions").glob("*.md"))
    assert records
    short = [p.name for p in records if not all(x in p.read_text("utf-8").lower() for x in parts)]
    assert short == []


def test_make_alone_lists_its_targets():
    """`make` prints each target that the documents speak of."""
    done = subprocess.run(["make"], cwd=ROOT, capture_output=True, text=True, check=True)
    listed = set(re.findall(r"^  ([a-z-]+) ", done.stdout, re.MULTILINE))
    text = "\n".join(path.read_text(encoding="utf-8") for path in DOCUMENTS)
    told = set(re.findall(r"`make ([a-z-]+)`", text)) - {"run-time"}
    assert told - listed == set()
    assert {"run", "test", "quick", "check", "docs", "bench"} <= listed


def sessions() -> list[tuple[str, str]]:
    """The command lines of the README with what the README says they print."""
    found = []
    for block in CONSOLE.findall((ROOT / "README.md").read_text(encoding="utf-8")):
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, _, printed = part.replace("\\\n", " ").partition("\n")
            found.append((command, printed))
    return found


def blurred(text: str) -> str:
    """A text without its numbers, spaces and rules, which depend on machine and width."""
    return " ".join(re.sub(r"[\d.,–−-]+", "#", text).split())


@pytest.mark.parametrize(("command", "printed"), sessions())
def test_the_readmes_commands_run_and_print_what_it_shows(command, printed, tmp_path):
    """Each session of the README prints the words that stand there; numbers may move."""
    words = shlex.split(command)
    assert words[0] == "inchwater"
    program = "from inchwater.cli import main; main()"
    done = subprocess.run(
        [sys.executable, "-c", program, *words[1:]],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT / "src"), "COLUMNS": "100", "NO_COLOR": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    shown = [blurred(part) for part in printed.split("\n...\n")]
    assert [part for part in shown if part not in blurred(done.stdout)] == [], done.stdout
