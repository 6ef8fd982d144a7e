"""The records once more, on a PostgreSQL server of the tests' own."""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[1]


def tool() -> Any:
    """``tools/postgresql.py`` as a module."""
    spec = importlib.util.spec_from_file_location("tool", ROOT / "tools" / "postgresql.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.slow
@pytest.mark.postgresql
def test_the_records_behave_the_same_on_postgresql():
    """Migrations, triggers and every test of the records hold there as they do on SQLite."""
    postgresql = tool()
    if postgresql.programs() is None:
        pytest.skip(postgresql.missing())
    options = ["-q", "-p", "no:cacheprovider", "-m", "not browser and not postgresql"]
    with postgresql.server() as url:
        done = subprocess.run(
            [sys.executable, "-m", "pytest", *options, "tests/app"],
            cwd=ROOT,
            env={**os.environ, "INCHWATER_DATABASE_URL": url},
            capture_output=True,
            text=True,
            check=False,
        )
    assert done.returncode == 0, done.stdout[-4000:] + done.stderr[-1000:]
