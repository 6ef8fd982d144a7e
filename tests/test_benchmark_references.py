"""Chains that are kept: read back as they were, and told from those of other code."""

from __future__ import annotations

from dataclasses import replace

import pytest

from benchmarks._references import FILE, Reference, keep_chains, read_chains
from benchmarks.calibration import Against, at_fixed_places, compared
from inchwater.calibration import calibrate
from inchwater.rehearsal import virtual_house

ONE = Reference(
    "house-2",
    3,
    4321.0,
    1.0012,
    {"unit:level": (0.123456789, 0.9)},
    {"log likelihood": (-3.0, -250.0)},
)


def test_chains_are_kept_in_the_order_of_houses_and_replaced(tmp_path):
    """To six digits; one of the same house and trials takes the other's place."""
    file = tmp_path / "chains.jsonl"
    assert read_chains(file) == {}
    keep_chains([replace(ONE, house="house-10"), ONE], file)
    keep_chains([replace(ONE, trials=1), replace(ONE, size=5000.0)], file)
    found = read_chains(file)
    assert list(found) == [("house-2", 1), ("house-2", 3), ("house-10", 3)]
    assert found["house-2", 3].size == 5000.0
    assert found["house-2", 3].values == {"unit:level": [0.123457, 0.9]}
    assert found["house-2", 3].fits(ONE.places)


@pytest.mark.parametrize(
    "places",
    [
        {"log likelihood": (-3.0, -250.1)},
        {"log likelihood": (-3.0,)},
        {"log likelihood": (-3.0, float("nan"))},
        {"log likelihood": (-3.0, -250.0), "tesp as found": (100.0, 90.0)},
        {},
    ],
)
def test_a_chain_of_other_code_does_not_fit(places):
    """Another likelihood, another number of places, a forecast more or less."""
    assert not ONE.fits(places)
    assert ONE.fits({"log likelihood": (-3.0, -250.0 - 1e-4)})


def test_a_chain_that_is_kept_is_of_the_code_that_runs():
    """Two of the file's at the fixed places; what is not kept would be run anew."""
    known = read_chains(FILE)
    for seed, roles in ((0, ("first",)), (1, ("first", "filter-drop", "other-call"))):
        house = virtual_house(seed)
        kept = known[house.id, len(roles)]
        _, again = compared(house, roles, 4000.0, kept)
        assert again is kept


def test_a_chain_is_run_where_none_that_fits_is_kept(monkeypatch):
    """One of another likelihood, or a shorter one than is wanted."""
    house = virtual_house(0)
    job = house.with_trials(("first",))
    places = at_fixed_places(job, calibrate(job, 31), ())
    assert len(places["log likelihood"]) == 12
    kept = read_chains(FILE)[house.id, 1]
    asked = []

    def ran(*given):
        asked.append(given[0])
        raise LookupError

    monkeypatch.setattr("benchmarks.calibration.reference", ran)
    for other in (None, replace(kept, places={**kept.places, "log likelihood": (0.0,) * 12})):
        with pytest.raises(LookupError):
            compared(house, ("first",), 4000.0, other)
    with pytest.raises(LookupError):
        Against(1e9, {(house.id, 1): kept})(house)
    assert len(asked) == 3
