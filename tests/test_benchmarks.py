"""Benchmarks run: one short round each, and the promises that no machine's speed can break."""

from __future__ import annotations

import pytest

from tests.benchmark_runs import quick


@pytest.mark.slow
@pytest.mark.browser
def test_a_first_answer_takes_at_most_eight_inputs():
    """The pages' benchmark ends with one JSON object; its times are finite and its inputs few."""
    result = quick("pages")
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
    result = quick("solver")
    ratios = {"ratio_epanet", "ratio_epanet_60", "ratio_pandapipes", "jit_start_s"}
    assert ratios < set(result)
    assert all(result[name] > 0.0 for name in ratios)
    for name in ("agreement", "agreement_60", "agreement_pandapipes"):
        assert 0.0 < result[name] <= 1e-3
    # What a variant takes is its share of the result: two numbers a part, and what they rest on.
    assert result["memory_mb"] < 60.0
