"""A benchmark's short round, started as a user starts it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def quick(name, *arguments):
    """The JSON object on the last line of ``python -m benchmarks.NAME --quick``, which succeeds."""
    done = subprocess.run(
        [sys.executable, "-m", f"benchmarks.{name}", "--quick", *arguments],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT / "src")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout.splitlines()[-1])
