"""Makes `.venv/` from the hash-pinned lists; plain Python, nothing but the standard library.

Usage: ``python3 tools/setup.py [run|dev]``.  A second call with unchanged lists returns at once;
a changed list, interpreter or folder installs again.  What is missing is said in words.
"""

import hashlib
import importlib.util
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

OLDEST = (3, 11)
ROOT = Path(__file__).resolve().parents[1]
VENV = ROOT / ".venv"
STAMP = VENV / "inchwater-setup.json"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
# Packages that exist as source only; every other one must come as a wheel, so that nothing is
# compiled and no code runs while it is installed.
SOURCE_ONLY = ("psychrolib",)
# What pip says when something outside this project is wrong, and what to do about it.
COMPLAINTS = (
    (
        ("No space left on device",),
        "The disk is full. Make some room (about 1 GB for the tests, half of it to run) "
        "and start again.",
    ),
    (
        ("DO NOT MATCH THE HASHES",),
        "A package is not the one that this project was tested with, so nothing of it was "
        "installed. If a proxy or mirror stands between, look there; otherwise report it.",
    ),
    (
        (
            "Connection",
            "Temporary failure in name resolution",
            "timed out",
            "Could not find a version",
            "No matching distribution",
            "SSLError",
            "ProxyError",
        ),
        "No package index that holds the pinned packages could be reached. Check the network; "
        "behind a proxy set HTTPS_PROXY; with a mirror, tell pip about it with "
        "`pip config set global.index-url ADDRESS`.",
    ),
    (
        ("Permission denied", "Read-only file system"),
        "This folder cannot be written to. Copy the project to a folder of yours.",
    ),
)


class MissingError(Exception):
    """What is missing, in words for the person who started this."""


def say(text):
    """Print one line at once, even into a pipe."""
    print(text, flush=True)


def newer_python():
    """Path of the newest suitable interpreter on PATH, or None."""
    for minor in range(OLDEST[1] + 4, OLDEST[1] - 1, -1):
        found = shutil.which(f"python{OLDEST[0]}.{minor}")
        if found and subprocess.run([found, "-c", ""], check=False).returncode == 0:
            return found
    return None


def check_python(version=None):
    """Start again under a newer Python when this one is too old; say so when there is none."""
    version = version or sys.version_info
    if tuple(version[:2]) >= OLDEST:
        return
    newer = newer_python()
    if newer:
        os.execv(newer, [newer, *sys.argv])
    raise MissingError(
        f"Python {version[0]}.{version[1]} came; Inchwater needs {OLDEST[0]}.{OLDEST[1]} or "
        "newer.\n"
        "Install one (on Debian or Ubuntu: `apt-get install python3 python3-venv`), or name it: "
        "`make PYTHON=/path/to/python3.12 run`."
    )


def check_venv():
    """Say which system package is missing when this Python cannot make an environment."""
    if importlib.util.find_spec("venv") and importlib.util.find_spec("ensurepip"):
        return
    minor = f"python{sys.version_info[0]}.{sys.version_info[1]}-venv"
    raise MissingError(
        f"This Python ({sys.executable}) cannot make a virtual environment: its venv package is "
        "missing.\nOn Debian or Ubuntu: `apt-get install python3-venv` "
        f"(or {minor}); then start again."
    )


def wanted(kind):
    """Digest of all that decides what an environment of this kind holds."""
    import tomllib

    digest = hashlib.sha256()
    for name in ("build", kind):
        digest.update((ROOT / "requirements" / f"{name}.txt").read_bytes())
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    # Settings of linters and tests change nothing that is installed.
    parts = [project["build-system"], project["project"], project["tool"]["setuptools"]]
    digest.update(json.dumps(parts, sort_keys=True).encode())
    digest.update(f"{sys.version_info[:3]} {sys.base_prefix} {ROOT}".encode())
    return digest.hexdigest()


def stamped():
    """The digests of what was installed, by kind; empty when there is nothing to trust."""
    try:
        stamp = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return stamp if PYTHON.exists() and isinstance(stamp, dict) else {}


def works(python):
    """Whether an environment's interpreter starts and has pip."""
    if not python.exists():
        return False
    done = subprocess.run([str(python), "-c", "import pip"], check=False, capture_output=True)
    return done.returncode == 0


def make_venv():
    """Make `.venv/`, or make it anew when it does not start any more."""
    if works(PYTHON):
        return
    if VENV.exists() and not (VENV / "pyvenv.cfg").exists() and any(VENV.iterdir()):
        raise MissingError(
            f"{VENV} exists and is no virtual environment. Move it away and start again."
        )
    say("Making .venv/ ...")
    done = subprocess.run(
        [sys.executable, "-m", "venv", "--clear", str(VENV)],
        check=False,
        capture_output=True,
        text=True,
    )
    if done.returncode:
        raise MissingError(explain(done.stdout + done.stderr, f"Making {VENV} failed."))


def explain(output, what):
    """What a failed command's output means, followed by its last lines."""
    meaning = [text for signs, text in COMPLAINTS if any(sign in output for sign in signs)]
    last = "\n".join("    " + line for line in output.strip().splitlines()[-6:])
    return f"{what}\n{meaning[0] if meaning else 'Its last lines were:'}\n{last}"


def pip(*arguments):
    """Run the environment's pip; stop with words when it fails."""
    environment = {k: v for k, v in os.environ.items() if k not in ("PYTHONPATH", "PYTHONHOME")}
    # A half-set user option would send packages past the environment.
    environment["PIP_USER"] = "0"
    command = [str(PYTHON), "-m", "pip", "--disable-pip-version-check", "--no-input", *arguments]
    done = subprocess.run(command, check=False, capture_output=True, text=True, env=environment)
    if done.returncode:
        shown = " ".join(str(a) for a in arguments)
        raise MissingError(explain(done.stdout + done.stderr, f"`pip {shown}` failed."))


def install(kind):
    """Install the pinned lists and the project itself into `.venv/`."""
    only = ["--only-binary", ":all:", "--no-binary", ",".join(SOURCE_ONLY)]
    # The build tool first and pinned: the source packages and the project are built with it
    # instead of with whatever an isolated build would fetch.
    own = ["--use-pep517", "--no-build-isolation"]
    listed = (ROOT / "requirements" / f"{kind}.txt").read_text(encoding="utf-8")
    count = sum("==" in line for line in listed.splitlines())
    say(
        f"Installing up to {count} pinned packages (requirements/{kind}.txt); under two minutes ..."
    )
    pip("install", "--require-hashes", *only, "-r", str(ROOT / "requirements" / "build.txt"))
    pip(
        "install",
        "--require-hashes",
        *only,
        *own,
        "-r",
        str(ROOT / "requirements" / f"{kind}.txt"),
    )
    pip("install", "--no-deps", "--no-build-isolation", "--editable", str(ROOT))


def make_ready():
    """Compile the solver once, so that the first answer does not wait for it."""
    code = "from inchwater.network.ready import warm; warm()"
    done = subprocess.run(
        [str(PYTHON), "-c", code], check=False, capture_output=True, text=True, cwd=ROOT
    )
    if done.returncode != 0:
        raise MissingError(f"What was installed does not run:\n{done.stderr.strip()}")


def main(arguments):
    """Set up one kind of environment, unless it stands already."""
    kind = arguments[0] if arguments else "run"
    if kind not in ("run", "dev") or len(arguments) > 1:
        raise MissingError(f"{' '.join(arguments)!r} came; one of run, dev is right.")
    check_python()
    digest = wanted(kind)
    if stamped().get(kind) == digest:
        return
    check_venv()
    if not os.access(str(ROOT), os.W_OK):
        raise MissingError(f"{ROOT} cannot be written to. Copy the project to a folder of yours.")
    make_venv()
    before = stamped()
    STAMP.unlink(missing_ok=True)
    install(kind)
    say("Making the solver ready ...")
    make_ready()
    # The dev list pins the run list's versions, so it serves both.
    done = {kind: digest, "run": wanted("run")}
    if before.get("dev") == wanted("dev"):
        done["dev"] = before["dev"]
    partial = STAMP.with_suffix(".partial")
    partial.write_text(json.dumps(done), encoding="utf-8")
    partial.replace(STAMP)
    say("Set up.")


if __name__ == "__main__":
    try:
        main(sys.argv[1:])
    except MissingError as stop:
        print(stop, file=sys.stderr)
        sys.exit(2)
    except KeyboardInterrupt:
        print("Stopped; start again to go on.", file=sys.stderr)
        sys.exit(130)
