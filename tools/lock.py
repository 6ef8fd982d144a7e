"""Writes requirements/{build,run,dev}.txt from pyproject.toml: versions and hashes, no addresses.

Usage: ``make lock``.  Versions that are pinned already stay; ``make lock`` after deleting a list
takes the newest ones.
"""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
COMMON = (
    "uv",
    "pip",
    "compile",
    "--quiet",
    "--universal",
    "--python-version",
    "3.11",
    "--generate-hashes",
    "--no-header",
    "--no-annotate",
)
# The development list is held to the versions of the run list, so that it serves both.
LISTS = {
    "build": ("--group", "build"),
    "run": ("pyproject.toml", "--group", "build"),
    "dev": (
        "pyproject.toml",
        "--group",
        "build",
        "--group",
        "dev",
        "--all-extras",
        "--constraints",
        "requirements/run.txt",
    ),
}


def main():
    """Compile the three lists in their order."""
    for name, arguments in LISTS.items():
        target = f"requirements/{name}.txt"
        command = [sys.executable, "-m", *COMMON, *arguments, "--output-file", target]
        subprocess.run(command, check=True, cwd=ROOT)
        print(f"{target} written")


if __name__ == "__main__":
    main()
