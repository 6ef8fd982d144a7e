"""Finds the Chromium that browser tests and benchmarks drive; installs it where that is possible.

Usage: ``python3 tools/browser.py`` prints its path.  Standard library only.
"""

import os
import shutil
import subprocess
import sys
from pathlib import Path

# Commands under which systems know it, and the places where it is not on PATH.
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
PLACES = (
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
)
# The system's package managers and what each needs to hear.
MANAGERS = (
    (
        "apt-get",
        (
            ["apt-get", "-qq", "update"],
            ["apt-get", "-qq", "install", "-y", "--no-install-recommends", "chromium"],
        ),
    ),
    ("dnf", (["dnf", "-q", "install", "-y", "chromium"],)),
    ("apk", (["apk", "add", "--quiet", "chromium"],)),
    ("pacman", (["pacman", "-Sy", "--noconfirm", "chromium"],)),
)
# Headless in a container, quiet: without these it looks up hosts of its own at each start.
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


def find(environment=None):
    """Path of a Chromium, or None.

    ``INCHWATER_BROWSER`` goes before all: a command or a path.
    """
    environment = os.environ if environment is None else environment
    named = environment.get("INCHWATER_BROWSER")
    if named:
        return shutil.which(named, path=environment.get("PATH"))
    for name in NAMES:
        found = shutil.which(name, path=environment.get("PATH"))
        if found:
            return found
    return next((place for place in PLACES if Path(place).exists()), None)


def missing():
    """What to do by hand, in words."""
    return (
        "No Chromium was found, and the browser tests need one.\n"
        "Install it with the system's packages (Debian: `apt-get install chromium` as root), "
        "or name one: `INCHWATER_BROWSER=/path/to/chromium make test`."
    )


def install():
    """Install Chromium with the system's package manager; its path, or None when that cannot be."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        return None
    for manager, commands in MANAGERS:
        if not shutil.which(manager):
            continue
        print(f"Installing Chromium with {manager} ...", flush=True)
        quiet = dict(os.environ, DEBIAN_FRONTEND="noninteractive")
        for command in commands:
            done = subprocess.run(command, check=False, capture_output=True, text=True, env=quiet)
            if done.returncode:
                print(f"`{' '.join(command)}` failed:\n{done.stderr[-600:]}", file=sys.stderr)
                break
        return find()
    return None


if __name__ == "__main__":
    path = find() or install()
    if path is None:
        print(missing(), file=sys.stderr)
        sys.exit(2)
    print(path)
