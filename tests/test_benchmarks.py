"""Benchmarks run: one short round each, and the promises that no machine's speed can break."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.mark.slow
@pytest.mark.browser
def test_a_first_answer_takes_at_most_eight_inputs():
    """The pages' benchmark ends with one JSON object; its times are finite and its inputs few."""
    done = subprocess.run(
        [sys.executable, "-m", "benchmarks.pages", "--quick"],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT / "src")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    result = json.loads(done.stdout.splitlines()[-1])
    assert set(result) == {"first_answer_ms", "pictures_ms", "what_if_ms", "inputs"}
    assert 3 <= result["inputs"] <= 8
    # A minute would be a hang; how fast it is depends on the machine and is not judged here.
    assert all(0 < result[name] < 60_000 for name in result if name.endswith("_ms"))
    assert result["first_answer_ms"] <= result["pictures_ms"]


@pytest.mark.slow
def test_the_solver_is_timed_beside_programs_that_agree():
    """The solver's benchmark ends with one JSON object; all three programs have the same airflow.

    How fast they are depends on the machine and is not judged here.
    """
    done = subprocess.run(
        [sys.executable, "-m", "benchmarks.solver", "--quick"],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT / "src")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    result = json.loads(done.stdout.splitlines()[-1])
    ratios = {"ratio_epanet", "ratio_epanet_60", "ratio_pandapipes", "jit_start_s"}
    assert ratios < set(result)
    assert all(result[name] > 0.0 for name in ratios)
    for name in ("agreement", "agreement_60", "agreement_pandapipes"):
        assert 0.0 < result[name] <= 1e-3
    # What a variant takes is its share of the result: two numbers a part, and what they rest on.
    assert result["memory_mb"] < 60.0
