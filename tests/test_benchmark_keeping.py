"""What benchmarks keep of houses that took long: nothing is measured twice, nothing mixed."""

from __future__ import annotations

from functools import partial
from types import SimpleNamespace

import pytest

from benchmarks._kept import Kept

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
