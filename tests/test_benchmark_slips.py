"""The benchmark of slips: it makes the slips it says, and counts only those that could be seen."""

from __future__ import annotations

import numpy as np
import pytest

from benchmarks import slips
from inchwater.rehearsal import virtual_house
from tests.benchmark_runs import quick


@pytest.fixture(scope="module")
def made():
    """The slips of one house by kind."""
    return {one.kind: one for one in slips._all_made(virtual_house(3))}


def test_every_kind_of_slip_is_made(made):
    """Five kinds, each against a visit that differs in nothing but the slip."""
    assert set(made) == {
        "reading-off",
        "tubes-swapped",
        "Pa as inches",
        "filter-left-in",
        "wrong-tap",
    }
    for one in made.values():
        assert [t.id for t in one.slipped.trials] == [t.id for t in one.honest.trials]
        moved = slips._values(one.slipped) != slips._values(one.honest)
        assert moved.any()
        assert not moved.all()


def test_each_slip_is_what_it_says(made):
    """One reading off by 0.04 to 0.5 in. w.c.; two tubes the other way round; a factor of 249."""
    shift = slips._values(made["reading-off"].slipped) - slips._values(made["reading-off"].honest)
    assert np.count_nonzero(shift) == 1
    assert 0.0399 < np.abs(shift).max() / slips._INCH < 0.501
    one = made["tubes-swapped"]
    before, after = slips._values(one.honest), slips._values(one.slipped)
    rows = before != after
    assert sorted(np.abs(before[rows])) == pytest.approx(sorted(np.abs(after[rows])))
    one = made["Pa as inches"]
    ratio = slips._values(one.slipped) / slips._values(one.honest)
    for times in ratio[ratio != 1.0]:
        assert max(times, 1.0 / times) == pytest.approx(249.08891)


def test_the_same_house_has_the_same_slips():
    """Slips are keyed by the house."""
    one, again = (
        [slips._values(m.slipped) for m in slips._all_made(virtual_house(3))] for _ in range(2)
    )
    assert all(np.array_equal(a, b) for a, b in zip(one, again, strict=True))


def test_rates_count_what_could_be_seen():
    """Slips of four sd and more count; the rest only in what was said of them."""

    def row(kind, size, found=False, named=False, hidden=False):
        return slips.Row("h", kind, size, found, named, named, hidden, 0.1)

    rows = [
        *[row("honest", 0.0, found=k == 0) for k in range(10)],
        *[row("reading-off", 5.0, found=True, named=k < 6) for k in range(8)],
        *[row("reading-off", 9.0) for _ in range(2)],
        *[row("wrong-tap", 1.0, hidden=k == 0) for k in range(4)],
    ]
    assert slips.rates(rows) == {
        "found_rate": 0.8,
        "named_rate": 0.6,
        "false_alarm_rate": 0.1,
        "cannot_be_seen_rate": 0.25,
        "slips": 10,
        "honest_visits": 10,
    }
    table = slips.by_size(rows)
    assert table.rows[0] == ("reading-off", "4 to 8", "8", "100.0%", "75.0%", "75.0%", "0.0%")
    assert table.note.startswith("10 honest visits")


@pytest.mark.slow
def test_a_short_round_ends_with_its_rates():
    """Two houses from the command line: the last line has the rates, and nothing is judged."""
    result = quick("slips", "--count", "2", "--jobs", "1")
    assert {"found_rate", "named_rate", "false_alarm_rate"} < set(result)
    assert result["houses"] == 2
    assert 0.0 <= result["false_alarm_rate"] <= 1.0
