"""What benchmarks keep of houses that took long: nothing is measured twice, nothing mixed."""

from __future__ import annotations

import os
import subprocess
import sys
from functools import partial
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from benchmarks._kept import Kept, _digest
from inchwater.survey import Fact

ROOT = Path(__file__).parent.parent

HOUSES = [SimpleNamespace(id=f"house-{n}") for n in range(5)]


def measured(house, times=1):
    return times * int(house.id.removeprefix("house-"))


def test_what_was_kept_is_not_asked_for_again(tmp_path):
    """Cut off after two of four houses, the next run measures the other two and one more."""
    first = Kept(tmp_path, measured)
    left, _ = first.those(HOUSES[:4])
    results = first.keep(left, map(measured, left))
    assert [next(results), next(results)] == [0, 1]
    again = Kept(tmp_path, measured)
    left, order = again.those(HOUSES)
    assert [one.id for one in left] == ["house-2", "house-3", "house-4"]
    assert list(again.keep(left, map(measured, left))) == [2, 3, 4]
    assert [again.found[id_] for id_ in order] == [0, 1, 2, 3, 4]


def test_an_entry_that_was_cut_off_is_measured_again(tmp_path):
    """A process that is stopped while it writes loses that house alone."""
    kept = Kept(tmp_path, measured)
    list(kept.keep(HOUSES[:2], [0, 1]))
    (path,) = tmp_path.iterdir()
    path.write_bytes(path.read_bytes()[:-3])
    again = Kept(tmp_path, measured)
    assert set(again.found) == {"house-0"}
    list(again.keep(HOUSES[1:2], [1]))
    assert Kept(tmp_path, measured).found == {"house-0": 0, "house-1": 1}


def test_results_of_another_measurement_are_refused(tmp_path):
    """The same function with another number is another measurement."""
    Kept(tmp_path, partial(measured, times=1))
    with pytest.raises(SystemExit, match="begun by other code"):
        Kept(tmp_path, partial(measured, times=2))


def test_the_digest_is_the_same_in_every_run():
    """A set of words stands in another order in each process; what is measured is the same."""
    program = (
        "from benchmarks._kept import _digest\n"
        "from benchmarks.next_reading import SETS, SINGLES, _One\n"
        "print(_digest(_One(SETS)), _digest(_One(SINGLES)))"
    )
    found = {
        subprocess.run(
            [sys.executable, "-c", program],
            env={**os.environ, "PYTHONHASHSEED": seed},
            cwd=ROOT,
            check=True,
            capture_output=True,
            text=True,
        ).stdout
        for seed in ("1", "2", "3")
    }
    (both,) = found
    whole, single = both.split()
    assert whole != single


def test_the_digest_tells_what_a_function_holds():
    """Numbers, arrays, objects with slots and classes, each by what it is."""
    held = [1, 2.0, "a", np.zeros(2), np.ones(2), Fact(1.0, "in"), Fact(2.0, "in"), Fact, None]
    found = {_digest(partial(measured, times=one)) for one in held}
    assert len(found) == len(held)
    assert _digest(partial(measured, times={"a": 1, "b": 2})) == _digest(
        partial(measured, times={"b": 2, "a": 1})
    )
