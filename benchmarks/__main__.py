"""Runs every benchmark, each in a process of its own: ``python -m benchmarks [--quick]``."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

_FRAME = {"__init__", "__main__", "frame"}


def main() -> int:
    """Run them in the order of their names; 1 if any failed."""
    names = sorted(path.stem for path in Path(__file__).parent.glob("*.py"))
    failed = []
    for name in names:
        if name in _FRAME or name.startswith("_"):
            continue
        print(f"\n== {name}", flush=True)
        done = subprocess.run([sys.executable, "-m", f"benchmarks.{name}", *sys.argv[1:]])
        if done.returncode:
            failed.append(name)
    if failed:
        print(f"failed: {', '.join(failed)}", file=sys.stderr)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
